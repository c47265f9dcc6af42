"""Lines of keys and list entries, held against the standard library's TOML reader."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import railsheet
from railsheet.job.toml_lines import KeyPath, line_at, value_lines

ROOT = Path(__file__).parent.parent.parent
FILES = sorted(
    [*(ROOT / "samples").glob("*.toml"), *Path(railsheet.__file__).parent.rglob("data/*/*.toml")]
)

TEXT = '''# a remark [with] = signs
top = 1
"quoted key" . inner = "a # b = c"
[job]  # remark
name = """two
lines = "quoted" [x]"""
[[flight]]
R = [ "7", # one
  ["4", "3"],
  "7",
]
site = { edge = "open",
  D = "4" }
[flight.readings]
N = '''

TEXT += """'''
it's'''
[[flight]]
mark = "B" # second
[flight.readings]
"N" = 1979-05-27 07:32:00 # a date
"""


def paths(value: object, at: KeyPath = ()) -> Iterator[KeyPath]:
    if at:
        yield at
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths(inner, (*at, key))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from paths(inner, (*at, number))


def test_the_lines_of_a_text_with_every_trap() -> None:
    text = TEXT.replace('site = { edge = "open",\n  D', 'site = { edge = "open", D')
    lines = value_lines(text)
    assert set(lines) == set(paths(tomllib.loads(text)))
    numbered = text.splitlines()
    for path, begins in (
        (("top",), "top"),
        (("quoted key", "inner"), '"quoted'),
        (("job", "name"), "name"),
        (("flight", 0), "[[flight]]"),
        (("flight", 0, "R", 0), "R ="),
        (("flight", 0, "R", 1, 1), '  ["4"'),
        (("flight", 0, "R", 2), '  "7"'),
        (("flight", 0, "site", "D"), "site"),
        (("flight", 0, "readings", "N"), "N"),
        (("flight", 1, "mark"), "mark"),
        (("flight", 1, "readings", "N"), '"N"'),
    ):
        assert numbered[lines[path] - 1].startswith(begins), path


def test_a_missing_key_is_at_its_table() -> None:
    lines = value_lines("[a]\nx = 1\n[a.b]\ny = 2\n")
    assert line_at(lines, ("a", "b", "none")) == 3
    assert line_at(lines, ("a", "none", "below")) == 1
    assert line_at(lines, ("none",)) is None


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_shipped_file_is_read_as_the_library_reads_it(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = value_lines(text)
    assert set(lines) == set(paths(tomllib.loads(text)))
    written = text.splitlines()
    for at, line in lines.items():
        named = [key for key in at if isinstance(key, str)]
        if isinstance(at[-1], str):
            assert named[-1] in written[line - 1]


KEYS = st.text(max_size=6)
VALUES = st.recursive(
    st.one_of(st.integers(), st.booleans(), st.text(max_size=12), st.dates()),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=8,
)


def quoted(text: str) -> str:
    plain = all(char.isprintable() and char not in '"\\' for char in text)
    body = text if plain else "".join(f"\\U{ord(char):08X}" for char in text)
    return f'"{body}"'


def written(value: object) -> str:
    """A value as TOML; lists are spread over lines with remarks, as a person might."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, list):
        return "[ # ] [\n" + "".join(f"{written(v)}, # , ]\n" for v in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quoted(k)} = {written(v)}" for k, v in value.items()) + "}"
    return str(value)


@given(st.dictionaries(KEYS, VALUES, max_size=4), st.lists(VALUES, max_size=3))
def test_any_toml_is_read_as_the_library_reads_it(table, rows) -> None:
    text = "".join(f"{quoted(k)} = {written(v)}\n" for k, v in table.items())
    if "rows" not in table:
        text += "".join(f"[[rows]]\nv = {written(row)}\n" for row in rows)
    assert set(value_lines(text)) == set(paths(tomllib.loads(text)))

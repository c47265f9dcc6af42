from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from railsheet.cuts.drops import read_drops, write_drops
from railsheet.cuts.stock_model import Drop
from railsheet.errors import BadInput
from railsheet.job.absurd import one_line

D1 = Drop("D1", "rail", "black", 1523.25, first_hole_mm=41.275)
D2 = Drop("D2", "post", "white", 610.0)

# What a sheet can letter, on one line: anything else a job or a kit is refused for.
text = st.text(
    st.characters(max_codepoint=0x24F, exclude_categories=["Cs", "Cc", "Cf"]),
    min_size=1,
    max_size=12,
).filter(lambda s: s == one_line(s) and s)
drop = st.builds(
    Drop,
    mark=text,
    profile=text,
    finish=text,
    length_mm=st.floats(500, 9000),
    first_hole_mm=st.none() | st.floats(0, 400),
    last_hole_mm=st.none() | st.floats(0, 400),
)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.lists(drop, max_size=5, unique_by=lambda d: d.mark))
def test_written_and_read_back(tmp_path_factory: pytest.TempPathFactory, drops: list[Drop]) -> None:
    path = tmp_path_factory.mktemp("rack") / "drops.toml"
    write_drops(path, drops)
    first = path.read_bytes()
    back = read_drops(path)
    for wrote, read in zip(drops, back, strict=True):
        assert (read.mark, read.profile, read.finish) == (wrote.mark, wrote.profile, wrote.finish)
        # Never longer than it was: a millionth of a millimetre is cut off, not rounded up.
        assert wrote.length_mm - 2e-6 <= read.length_mm <= wrote.length_mm + 1e-7
        assert (read.first_hole_mm is None) == (wrote.first_hole_mm is None)
        if read.first_hole_mm is not None:
            assert read.first_hole_mm == pytest.approx(wrote.first_hole_mm, abs=2e-6)
    write_drops(path, back)
    assert path.read_bytes() == first


def test_written_by_hand_in_inches(tmp_path: Path) -> None:
    path = tmp_path / "drops.toml"
    path.write_text(
        'units = "ft-in"\n[[drop]]\nmark = "D7"\nprofile = "rail"\nfinish = "black"\n'
        'length = "5\' 3 1/2\\""\nfirst_hole = "1 5/8"\n',
        encoding="utf-8",
    )
    assert read_drops(path) == (Drop("D7", "rail", "black", 1612.9, 41.275),)


def test_the_list_before_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "drops.toml"
    write_drops(path, [D1])
    old = path.read_bytes()
    write_drops(path, [D1, D2])
    assert (tmp_path / "drops.toml.bak").read_bytes() == old
    assert read_drops(path) == (D1, D2)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["drops.toml", "drops.toml.bak"]


def test_an_empty_rack(tmp_path: Path) -> None:
    path = tmp_path / "drops.toml"
    write_drops(path, [])
    assert read_drops(path) == ()


def test_a_list_that_cannot_be_read_back_replaces_nothing(tmp_path: Path) -> None:
    path = tmp_path / "drops.toml"
    write_drops(path, [D1])
    with pytest.raises(BadInput):
        write_drops(path, [D1, D1])
    assert read_drops(path) == (D1,)
    assert [p.name for p in tmp_path.iterdir()] == ["drops.toml"]


def test_nowhere_to_write(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be written"):
        write_drops(tmp_path / "no" / "drops.toml", [D1])


@pytest.mark.parametrize(
    ("body", "place", "says"),
    [
        ("", "units", "missing"),
        ('units = "furlong"\n', "units", "one of"),
        ('units = "mm"\n[[drop]]\nmark = "D1"\n', "drop 1 > profile", "missing"),
        ('units = "mm"\nrack = 1\n', "rack", "no such key"),
        (
            'units = "mm"\n[[drop]]\nmark="D"\nprofile="r"\nfinish="b"\n'
            "length=900\nfirst_hole=950\n",
            "drop 1 > first_hole",
            "on the drop",
        ),
        (
            'units = "mm"\n[[drop]]\nmark="D"\nprofile="r"\nfinish="b"\nlength="9 1/2"\n',
            "drop 1 > length",
            "could be inches",
        ),
        (
            'units = "mm"\n[[drop]]\nmark="D"\nprofile="r"\nfinish="b"\nlength=900\nlenght=1\n',
            "drop 1 > lenght",
            "did you mean length",
        ),
    ],
)
def test_mistakes_are_named(tmp_path: Path, body: str, place: str, says: str) -> None:
    path = tmp_path / "drops.toml"
    path.write_text(body, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_drops(path)
    assert caught.value.place == place
    assert says in caught.value.allowed

"""Odd inputs for the fuzz tests: lengths nobody writes, and job and kit files gone wrong."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from pathlib import Path

Change = Callable[[random.Random, str], str]

ROOT = Path(__file__).parent.parent.parent
SAMPLES = sorted((ROOT / "samples").glob("*.toml"))
KITS = sorted((ROOT / "railsheet" / "data" / "kits").glob("*.toml"))
CODES = sorted((ROOT / "railsheet" / "data" / "codes").glob("*.toml"))

_PIECES = (
    *"0123456789", *"/-.,'\"′″ \t\n", "½", "⅞", "mm", "cm", "m", "in", "ft", "inches", "1/16", "e",
    "1e308", "nan", "inf", "-", "+", "٣", "²", "\u200b", "\u202e", "\0", "\ud800", "🛠", "%s", "../",
)  # fmt: skip
_VALUES = (
    "-1", "0", "1e308", "-1e308", "1e-320", "nan", "inf", "-inf", "0x" + "f" * 400, "9" * 400,
    "9" * 1500, "true", "[]", "{}", "[[[]]]", '""', '" "', '"\\u0000"', '"../../etc"', '"7 9/8"',
    '"1/0"', "2026-11-20", "08:00:00", '"\\n"', "['x'", '"' + "x" * 3000 + '"', "[" * 300, "''''''",
    '"250"', "250", "0.25", '"½"', "[1, 'a', {b = 2}]", "{ least = 1 }", "1_000", "3.", '"9999 ft"',
    '"tread 0"', '"tread ٣"', '"tread 99999999999999999999"', "1e6", '"A"', '"free"',
)  # fmt: skip
_VALUE = re.compile(r"(?<== )[^\n#]+|\"[^\"\n]*\"|(?<=[ \[])[\d./]+")
_KEY = re.compile(r"(?m)^[A-Za-z_]+(?= =)")


def length_text(rng: random.Random) -> str | int | float:
    """Something where a length should be."""
    kind = rng.random()
    if kind < 0.05:
        return rng.choice((0, -1, 10**30, -(10**400), 10**5000, 1e308, float("nan"), 5e-324, True))
    if kind < 0.1:
        return rng.uniform(-1e4, 1e4)
    most = 4000 if kind > 0.995 else 12
    return "".join(rng.choice(_PIECES) for _ in range(rng.randint(0, most)))


def mutated(rng: random.Random, text: str) -> str:
    """A file with a few things gone wrong."""
    for _ in range(rng.choice((1, 1, 1, 2, 3, 6))):
        text = rng.choice(_WAYS)(rng, text)
    return text


def gently_changed(rng: random.Random, text: str) -> str:
    """A file with a few of its lengths changed a little, or to something quite different."""
    for _ in range(rng.randint(1, 4)):
        text = _other_length(rng, text) if rng.random() < 0.3 else _nudged(rng, text)
    return text


def _nudged(rng: random.Random, text: str) -> str:
    """One figure of one length changed."""
    places = list(re.finditer(r"(?<=[\" \[])\d+(?=[ \"\],/])", text))
    if not places:
        return text
    place = rng.choice(places)
    return f"{text[: place.start()]}{rng.choice((1, 2, 3, 5, 8, 12))}{text[place.end() :]}"


def _other_value(rng: random.Random, text: str) -> str:
    return _replaced(rng, text, _VALUE, rng.choice(_VALUES))


def _other_length(rng: random.Random, text: str) -> str:
    return _replaced(rng, text, _VALUE, f'"{rng.uniform(0, 60):.{rng.randint(0, 3)}f}"')


def _other_key(rng: random.Random, text: str) -> str:
    keys = sorted(set(_KEY.findall(text)))
    return _replaced(rng, text, _KEY, rng.choice(keys)) if keys else text


def _replaced(rng: random.Random, text: str, pattern: re.Pattern[str], by: str) -> str:
    places = list(pattern.finditer(text))
    if not places:
        return text
    place = rng.choice(places)
    return text[: place.start()] + by + text[place.end() :]


def _lines(rng: random.Random, text: str) -> str:
    lines = text.split("\n")
    at, to = rng.randrange(len(lines)), rng.randrange(len(lines))
    how = rng.random()
    if how < 0.5:
        del lines[at]
    elif how < 0.75:
        lines.insert(to, lines[at])
    else:
        lines[at], lines[to] = lines[to], lines[at]
    return "\n".join(lines)


def _cut(rng: random.Random, text: str) -> str:
    return text[: rng.randint(0, len(text))]


def _spliced(rng: random.Random, text: str) -> str:
    at = rng.randint(0, len(text))
    odd = "".join(rng.choice(_PIECES) for _ in range(rng.randint(1, 5)))
    return text[:at] + odd + text[at + rng.randint(0, 3) :]


def _repeated(rng: random.Random, text: str) -> str:
    start = rng.randint(0, len(text))
    return text + text[start : start + 400] * rng.choice((1, 1, 2, 30))


_WAYS = (
    _other_value, _other_value, _other_value, _other_length, _other_length, _other_key, _lines,
    _lines, _cut, _spliced, _repeated,
)  # fmt: skip


def written(path: Path, text: str) -> None:
    """The text as a file; what is no character at all goes in as the bytes that break UTF-8."""
    path.write_bytes(text.encode("utf-8", "surrogatepass"))


def job_and_kit(
    rng: random.Random, folder: Path, texts: Sequence[str], kits: Sequence[str], change: Change
) -> Path:
    """A changed job file, or a good one with a changed kit, written into a folder."""
    job = folder / "job.toml"
    text = rng.choice(texts)
    if rng.random() < 0.3:
        written(folder / "kit.toml", change(rng, rng.choice(kits)))
        text = re.sub(r'(?m)^kit = ".*"$', 'kit = "kit.toml"', text)
    else:
        text = change(rng, text)
    written(job, text)
    return job

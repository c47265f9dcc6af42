"""The readings of a flight from its table in the job file."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace

from railsheet.job.absurd import MOST_RISERS
from railsheet.job.model import FlightReadings
from railsheet.job.nosings import read_nosings
from railsheet.job.source import Table
from railsheet.job.taken import Instruments, Letter, Taken
from railsheet.units.length import MM_PER_INCH

# What a reading can sensibly be. Wide enough for an odd garden stair, narrow enough that metres
# typed for inches, or a slipped decimal, never pass.
_RISER_MM = (2 * MM_PER_INCH, 16 * MM_PER_INCH)
_RUN_MM = (4 * MM_PER_INCH, 60 * MM_PER_INCH)
_THICKNESS_MM = (0.25 * MM_PER_INCH, 8 * MM_PER_INCH)
_WIDTH_MM = (12 * MM_PER_INCH, 240 * MM_PER_INCH)
_STEP_MM = (1 / 64 * MM_PER_INCH, MM_PER_INCH)
_SPREAD_MM = (1e-3, 2 * MM_PER_INCH)
# The longest reading the table of tape tolerances covers.
_LONGEST_MM = 1200 * MM_PER_INCH
_BELOW_MM = (0.0, 240 * MM_PER_INCH)
_RAKE_DEG = (1.0, 80.0)
_SPREAD_DEG = (0.001, 5.0)

_PAIR = re.compile(r"(\d+)-(\d+)")
_LINE_ID = re.compile(r"[A-Za-z][A-Za-z0-9]{0,11}")


def read_readings(table: Table, tape_step_mm: float) -> FlightReadings:
    """One flight's readings.

    Args:
        table: the flight's ``readings``.
        tape_step_mm: the job's tape, which the readings were read to unless they say otherwise.

    Raises:
        BadInput: a reading that is missing, out of range or not of this flight.
    """
    risers = table.lengths_or_blanks("R", "riser", *_RISER_MM, most=MOST_RISERS)
    runs = table.lengths_or_blanks("T", "run", *_RUN_MM)
    if len(risers) < 2:
        raise table.bad("R", "a flight has at least two risers: one step has no rake to lay out")
    if len(runs) != len(risers) - 1:
        raise table.bad(
            "T",
            f"{len(runs)} runs beside {len(risers)} risers: {len(risers)} risers have "
            f"{len(risers) - 1} runs between their noses",
            f"{len(runs)} runs",
        )
    more = (*_totals(table, len(risers)), *_nose_to_nose(table, len(risers)))
    instruments = Instruments(
        read_to_mm=table.length("read_to", *_STEP_MM, tape_step_mm),
        line=table.choice("levelled_by", ("laser line", "water level"), "laser line"),
        level_step_rad=math.radians(
            table.number("level_shows", 0.01, 1.0, "the step of the level, degrees", 0.1)
        ),
    )
    readings = FlightReadings(
        risers_mm=risers,
        runs_mm=runs,
        nosings=read_nosings(table, len(risers)),
        tread_thickness_mm=table.length("K", *_THICKNESS_MM),
        width_mm=table.length("W", *_WIDTH_MM),
        open_risers=table.flag("open_risers"),
        more=more,
        instruments=instruments,
    )
    taken = readings.taken
    readings = replace(readings, spreads=_spreads(table, taken), left_out=_left_out(table, taken))
    table.done()
    return readings


def _totals(table: Table, risers: int) -> Iterator[Taken]:
    """Total rise and run, running totals up to nose 1..n and along to nose 2..n."""
    rise, run = (
        (_RISER_MM[0], _RISER_MM[1] * risers),
        (_RUN_MM[0], _RUN_MM[1] * (risers - 1)),
    )
    for letter, key, limits, first in (
        (Letter.TOTAL_RISE, "H", rise, 0),
        (Letter.TOTAL_RUN, "L", run, 1),
    ):
        value = table.length_or_none(key, *limits)
        if value is not None:
            yield Taken(letter, key, value, first, risers)
    for letter, key, limits, first in (
        (Letter.UP, "U", rise, 0),
        (Letter.ALONG, "A", run, 1),
    ):
        if not table.has(key):
            continue
        values = table.lengths_or_blanks(key, "running total to nose", *limits, first=first + 1)
        _whole(table, key, len(values), risers - first, f"noses {first + 1} to {risers}")
        for nose, value in enumerate(values, start=first + 1):
            if value is not None:
                yield Taken(letter, f"{key} {nose}", value, first, nose)


def _nose_to_nose(table: Table, last: int) -> Iterator[Taken]:
    if table.has("S"):
        values = table.lengths_or_blanks("S", "slope from nose", _RUN_MM[0], _LONGEST_MM)
        _whole(table, "S", len(values), last - 1, f"noses 1 to {last - 1}, each to the next")
        for nose, value in enumerate(values, start=1):
            if value is not None:
                yield Taken(Letter.SLOPE, f"S {nose}", value, nose, nose + 1)
    if table.has("D"):
        pairs = table.table("D")
        for key in pairs.written:
            lower, upper = _pair(pairs, key, last)
            value = pairs.length(key, _RUN_MM[0], _LONGEST_MM)
            yield Taken(Letter.DIAGONAL, f"D {key}", value, lower, upper)
    if table.has("P"):
        pairs = table.table("P")
        for key in pairs.written:
            lower, upper = _pair(pairs, key, last)
            degrees = pairs.number(key, *_RAKE_DEG, "degrees from level")
            yield Taken(Letter.RAKE, f"P {key}", math.radians(degrees), lower, upper)
    if table.has("Z"):
        lines = table.table("Z")
        for line in lines.written:
            if not _LINE_ID.fullmatch(line):
                raise lines.bad(line, "a line's name is a letter, then letters or digits", line)
            values = lines.lengths_or_blanks(line, "drop to nose", *_BELOW_MM, first=0)
            _whole(lines, line, len(values), last + 1, f"the bottom surface and noses 1 to {last}")
            for nose, value in enumerate(values):
                if value is not None:
                    yield Taken(Letter.BELOW_LINE, f"Z {line} {nose}", value, 0, nose, line)


def _whole(table: Table, key: str, given: int, wanted: int, of: str) -> None:
    if given != wanted:
        raise table.bad(
            key, f'one entry for each of {of}, so {wanted}; "" where none was taken', f"{given}"
        )


def _pair(pairs: Table, key: str, last: int) -> tuple[int, int]:
    match = _PAIR.fullmatch(key)
    if match is None or not 1 <= int(match[1]) < int(match[2]) <= last:
        raise pairs.bad(
            key,
            f"two noses of this flight, the lower first, as 1-{last}: noses are 1 to {last}",
            key,
        )
    return int(match[1]), int(match[2])


def _spreads(table: Table, taken: tuple[Taken, ...]) -> tuple[tuple[str, float], ...]:
    """Stated spreads by reading; one reading's own goes before its letter's."""
    if not table.has("spread"):
        return ()
    stated = table.table("spread")
    letters = sorted({reading.letter.value for reading in taken})
    found: dict[str, float] = {}
    for key in sorted(stated.written, key=len):
        meant = [r.key for r in taken if key in (r.letter.value, r.key)]
        if not meant:
            allowed = f"no such reading; a reading's key, as {taken[0].key}, or a letter of those "
            raise stated.bad(key, allowed + "taken: " + ", ".join(letters), key)
        if key[0] == Letter.RAKE.value:
            value = math.radians(stated.number(key, *_SPREAD_DEG, "degrees"))
        else:
            value = stated.length(key, *_SPREAD_MM)
        found |= dict.fromkeys(meant, value)
    return tuple(found.items())


def _left_out(table: Table, taken: tuple[Taken, ...]) -> tuple[str, ...]:
    """The keys of readings set aside, in the order they were taken; blanks in a key are free."""
    if not table.has("left_out"):
        return ()
    keys = {reading.key.replace(" ", ""): reading.key for reading in taken}
    asked = table.texts("left_out", 'readings by their keys, as ["R4", "D 1-6"]')
    meant = [name.replace(" ", "") for name in asked]
    for name, key in zip(asked, meant, strict=True):
        if key not in keys:
            raise table.bad("left_out", "no such reading; taken are " + ", ".join(keys), name)
        if meant.count(key) > 1:
            raise table.bad("left_out", "named twice: once is enough", name)
    return tuple(key for short, key in keys.items() if short in meant)

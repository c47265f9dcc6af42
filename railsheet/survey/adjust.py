"""The stair as all its readings together have it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from railsheet.survey.network import NotConvergedError, fit
from railsheet.survey.quality import (
    GlobalTest,
    ReadingQuality,
    Suspect,
    global_test,
    left_out,
    reading_qualities,
    refit_flight,
    suspects,
)
from railsheet.survey.readings import Reading, Unknown, unknowns_of


@dataclass(frozen=True)
class Adjustment:
    """One flight adjusted.

    Attributes:
        s_mm: place of noses 1..n along the run, from nose 1 (the first is 0), mm.
        z_mm: height of noses 1..n above the bottom walking surface, mm.
        lines_mm: height of each level line above the bottom walking surface, by id, mm.
        unknowns: what the covariance's rows are: ("z", nose), ("s", nose), ("line", id).
        covariance_mm2: covariance of the unknowns, a-priori variance factor 1, mm².
        readings: every reading used, with its residual and what it is worth.
        left_out: keys of the readings left out at the caller's asking.
        redundancy: readings more than unknowns.
        checked: something could be checked, redundancy above 0. When False the readings come back
            untouched and no misreading would show.
        test: the global χ² test; None when nothing could be checked.
        suspects: readings that don't fit the rest, worst first; each later one as it shows once
            the earlier are left out. The adjusted values above still use them all.
    """

    s_mm: tuple[float, ...]
    z_mm: tuple[float, ...]
    lines_mm: tuple[tuple[str, float], ...]
    unknowns: tuple[Unknown, ...]
    covariance_mm2: tuple[tuple[float, ...], ...]
    readings: tuple[ReadingQuality, ...]
    left_out: tuple[str, ...]
    redundancy: int
    checked: bool
    test: GlobalTest | None
    suspects: tuple[Suspect, ...]

    @property
    def unchecked(self) -> tuple[ReadingQuality, ...]:
        """The readings the rest do not check."""
        return tuple(reading for reading in self.readings if not reading.checkable)

    def reading(self, key: str) -> ReadingQuality:
        """The reading of a key.

        Raises:
            KeyError: no reading used has it.
        """
        for reading in self.readings:
            if reading.key == key:
                return reading
        raise KeyError(key)

    def nose_covariance_mm2(self) -> NDArray[np.float64]:
        """Covariance of (s_1..s_n, z_1..z_n), shape (2n, 2n), mm²; s_1's row is nil."""
        n = len(self.z_mm)
        order: list[Unknown] = [("s", i) for i in range(1, n + 1)]
        order += [("z", i) for i in range(1, n + 1)]
        whole = np.array(self.covariance_mm2)
        row = {unknown: k for k, unknown in enumerate(self.unknowns)}
        out = np.zeros((2 * n, 2 * n))
        held = [k for k, unknown in enumerate(order) if unknown in row]
        rows = [row[order[k]] for k in held]
        out[np.ix_(held, held)] = whole[np.ix_(rows, rows)]
        return out


def adjust(readings: Sequence[Reading], risers: int, without: Collection[str] = ()) -> Adjustment:
    """Adjust a flight's readings together by weighted least squares.

    All the readings are used, suspects too, except those named in ``without``: a reading is a
    person's to strike out, not the arithmetic's.

    Args:
        readings: the readings, in any mixture.
        risers: how many risers the flight has, n; its noses are 1..n.
        without: keys of readings to leave out.

    Raises:
        UnderdeterminedError: the readings leave a nose free; says which, and what to read.
        NotConvergedError: no stair meets the readings (a slope shorter than its riser, say).
        ValueError: a reading that isn't of this flight, has no spread, or shares its key; or a key
            in ``without`` that no reading has.
    """
    unknown_keys = set(without) - {reading.key for reading in readings}
    if unknown_keys:
        raise ValueError(f"no reading has the key {sorted(unknown_keys)[0]!r}")
    unknowns_of(tuple(readings), risers)
    used = tuple(reading for reading in readings if reading.key not in without)
    unknowns = unknowns_of(used, risers)
    try:
        solved = fit(used, unknowns, risers)
    except NotConvergedError as failed:
        raise _culprit(used, risers) or failed from None
    noses = range(1, risers + 1)
    return Adjustment(
        s_mm=tuple(solved.at["s", i] for i in noses),
        z_mm=tuple(solved.at["z", i] for i in noses),
        lines_mm=tuple((str(u[1]), solved.at[u]) for u in unknowns if u[0] == "line"),
        unknowns=unknowns,
        covariance_mm2=tuple(tuple(row) for row in solved.solution.covariance.tolist()),
        readings=reading_qualities(solved),
        left_out=tuple(r.key for r in readings if r.key in without),
        redundancy=solved.degrees_of_freedom,
        checked=solved.degrees_of_freedom > 0,
        test=global_test(solved),
        suspects=suspects(solved, lambda rest: refit_flight(rest, risers)),
    )


def _culprit(used: tuple[Reading, ...], risers: int) -> NotConvergedError | None:
    """The reading without which the rest agree best, when together they agree on no stair."""
    rests = [(reading, left_out(used, reading.key, risers)) for reading in used]
    solved = [(rest.solution.sum_of_squares, reading) for reading, rest in rests if rest]
    if not solved:
        return None
    _, worst = min(solved, key=lambda pair: pair[0])
    return NotConvergedError(worst.key, worst.name)

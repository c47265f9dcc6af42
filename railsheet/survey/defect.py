"""When the readings don't fix the stair: which noses are loose, and what to read next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from railsheet.survey.readings import DATUM, Difference, Riser, RiseTo, Run, RunTo, Unknown
from railsheet.survey.wls import Array

# A free direction is a unit vector; a share in it, or a sight of it, under this is rounding.
SEEN = 1e-6


@dataclass(frozen=True)
class Missing:
    """A reading worth taking.

    Attributes:
        take: its name, as "run 3".
        or_else: names of readings that would do the same, as "total run".
    """

    take: str
    or_else: tuple[str, ...]

    def __str__(self) -> str:
        return " or ".join((self.take, *self.or_else))


class UnderdeterminedError(Exception):
    """The readings leave a nose free to move.

    Attributes:
        heights: noses whose height isn't fixed, 1..n.
        alongs: noses whose place along the run isn't fixed, 2..n.
        take: readings that together would fix them all; each with others as good.
    """

    def __init__(
        self, heights: tuple[int, ...], alongs: tuple[int, ...], take: tuple[Missing, ...]
    ) -> None:
        self.heights = heights
        self.alongs = alongs
        self.take = take
        loose = [f"nose {i} up" for i in heights] + [f"nose {i} along" for i in alongs]
        wanted = "; ".join(str(missing) for missing in take)
        super().__init__(f"the readings do not fix {', '.join(loose)}; take {wanted}")


def underdetermined(null: Array, unknowns: Sequence[Unknown], risers: int) -> UnderdeterminedError:
    """The exception for a set of free directions.

    Args:
        null: free directions, one a column, orthonormal, shape (unknowns, defect).
        unknowns: what the rows are.
        risers: how many risers the flight has.
    """
    share = np.linalg.norm(null, axis=1)
    loose = [u for u, s in zip(unknowns, share, strict=True) if s > SEEN]
    return UnderdeterminedError(
        tuple(int(u[1]) for u in loose if u[0] == "z"),
        tuple(int(u[1]) for u in loose if u[0] == "s"),
        _to_take(null, unknowns, risers),
    )


def _to_take(null: Array, unknowns: Sequence[Unknown], risers: int) -> tuple[Missing, ...]:
    """Single risers and runs that close the defect, lowest first, with totals that would do too."""
    singles: list[Difference] = [Riser("", f"riser {i}", 0.0, 1.0, i) for i in range(1, risers + 1)]
    singles += [Run("", f"run {i}", 0.0, 1.0, i) for i in range(1, risers)]
    totals: list[Difference] = [RiseTo("", "total rise", 0.0, 1.0, risers)]
    if risers > 1:
        totals.append(RunTo("", "total run", 0.0, 1.0, risers))
    for i in range(2, risers):
        totals.append(RiseTo("", f"running rise to nose {i}", 0.0, 1.0, i))
        totals.append(RunTo("", f"running run to nose {i}", 0.0, 1.0, i))
    wanted: list[Missing] = []
    for single in singles:
        if null.shape[1] == 0:
            break
        row = _row(single, unknowns)
        if np.linalg.norm(row @ null) <= SEEN:
            continue
        instead = [t.name for t in totals if _does_the_same(_row(t, unknowns), row, null)]
        wanted.append(Missing(single.name, tuple(instead[:2])))
        null = _without(row, null)
    return tuple(wanted)


def _does_the_same(other: Array, row: Array, null: Array) -> bool:
    seen = float(np.linalg.norm(other @ null))
    return seen > SEEN and float(np.linalg.norm(row @ _without(other, null))) <= SEEN


def _without(row: Array, null: Array) -> Array:
    """What is still free once ``row`` is read too."""
    _, _, vt = np.linalg.svd((row @ null)[None, :], full_matrices=True)
    return np.asarray(null @ vt[1:].T)


def _row(reading: Difference, unknowns: Sequence[Unknown]) -> Array:
    row = np.zeros(len(unknowns))
    for place, slope in reading.equation(dict.fromkeys((*unknowns, *DATUM), 0.0)).slopes:
        if place not in DATUM:
            row[unknowns.index(place)] = slope
    return row

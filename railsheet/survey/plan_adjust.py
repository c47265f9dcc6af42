"""A site's posts in plan as all its readings together have them: least squares, as for a flight."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from railsheet.survey.network import MOST_STEPS, STEP_MM, Fit, linearised
from railsheet.survey.quality import (
    GlobalTest,
    ReadingQuality,
    Suspect,
    global_test,
    reading_qualities,
    suspects,
)
from railsheet.survey.readings import Reading, Unknown
from railsheet.survey.spreads import TAPE_TOLERANCES_FT_IN, tape_sigma_mm
from railsheet.survey.wls import Array, RankDefectError, WlsSolution, solve_wls
from railsheet.tolerance import SAME_MM

Place = tuple[float, float]

_LONGEST_TAPE_MM = TAPE_TOLERANCES_FT_IN[-1][0] * 304.8


@dataclass(frozen=True)
class PlanSurvey:
    """A site's plan adjusted.

    Attributes:
        places_mm: every post's place.
        readings: every reading with its residual and what it is worth.
        redundancy: readings more than unknowns.
        test: the global test; None where nothing could be checked.
        suspects: readings that do not fit the rest, worst first.
        unknowns: what the covariance's rows are.
        covariance_mm2: of the posts that are not held.
    """

    places_mm: Mapping[str, Place]
    readings: tuple[ReadingQuality, ...]
    redundancy: int
    test: GlobalTest | None
    suspects: tuple[Suspect, ...]
    unknowns: tuple[Unknown, ...]
    covariance_mm2: Array

    @property
    def moved(self) -> frozenset[str]:
        """The posts that the readings place, not the job."""
        return frozenset(str(mark) for _, mark in self.unknowns)

    def distance_sigma_mm(self, start: str, end: str) -> float:
        """What the adjusted distance between two posts scatters by, mm."""
        (x0, y0), (x1, y1) = self.places_mm[start], self.places_mm[end]
        length = math.hypot(x1 - x0, y1 - y0)
        slopes = np.zeros(len(self.unknowns))
        for mark, sign in ((start, -1.0), (end, 1.0)):
            for place, part in zip(_both(mark), (x1 - x0, y1 - y0), strict=True):
                if place in self.unknowns:
                    slopes[self.unknowns.index(place)] = sign * part / length
        return math.sqrt(max(float(slopes @ self.covariance_mm2 @ slopes), 0.0))


def plan_sigma_mm(length_mm: float, step_mm: float) -> float:
    """Standard deviation of a length read level over a deck, mm.

    One longer than the longest tape of the table is read in lengths of that tape, each as good as
    the last and not of it.
    """
    tapes = max(math.ceil(length_mm / _LONGEST_TAPE_MM - SAME_MM), 1)
    return math.sqrt(tapes) * tape_sigma_mm(
        min(length_mm / tapes, _LONGEST_TAPE_MM - SAME_MM), step_mm
    )


def adjust_plan(
    readings: Sequence[Reading], start_mm: Mapping[str, Place], held: Sequence[str]
) -> PlanSurvey:
    """Adjust a site's readings together, by Gauss-Newton from places already near.

    Args:
        readings: distances and bearings between posts.
        start_mm: where each post stands by dead reckoning.
        held: posts whose places are given and do not move; at least one.

    Raises:
        RankDefectError: the readings leave a post free.
    """
    unknowns: tuple[Unknown, ...] = tuple(
        place for mark in sorted(start_mm) if mark not in held for place in _both(mark)
    )
    at: dict[Unknown, float] = {}
    for mark, (x, y) in start_mm.items():
        at["x", mark], at["y", mark] = x, y
    solved = _fit(tuple(readings), unknowns, at)
    return PlanSurvey(
        places_mm={mark: (solved.at["x", mark], solved.at["y", mark]) for mark in start_mm},
        readings=reading_qualities(solved),
        redundancy=solved.degrees_of_freedom,
        test=global_test(solved),
        suspects=suspects(solved, lambda rest: _refit(rest, unknowns, at)),
        unknowns=unknowns,
        covariance_mm2=solved.solution.covariance,
    )


def _both(mark: str) -> tuple[Unknown, Unknown]:
    return ("x", mark), ("y", mark)


def _refit(
    rest: tuple[Reading, ...], unknowns: tuple[Unknown, ...], at: Mapping[Unknown, float]
) -> Fit | None:
    try:
        return _fit(rest, unknowns, at)
    except RankDefectError:
        return None


def _fit(
    readings: tuple[Reading, ...], unknowns: tuple[Unknown, ...], start: Mapping[Unknown, float]
) -> Fit:
    at = dict(start)
    sigmas = np.array([reading.sigma for reading in readings])
    for _ in range(MOST_STEPS):
        design, misfit = linearised(readings, unknowns, at)
        solution = solve_wls(design, misfit, sigmas)
        if np.max(np.abs(solution.x), initial=0.0) <= STEP_MM:
            break
        for unknown, step in zip(unknowns, solution.x, strict=True):
            at[unknown] += float(step)
    true = WlsSolution(
        solution.x,
        solution.covariance,
        -misfit,
        solution.redundancy,
        solution.cofactor,
        solution.sigmas,
    )
    return Fit(readings, unknowns, at, true)

"""The readings of one flight solved together: Gauss-Newton on their equations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from railsheet.survey.defect import underdetermined
from railsheet.survey.readings import Reading, Unknown
from railsheet.survey.start import first_guess
from railsheet.survey.wls import NO_REDUNDANCY, Array, RankDefectError, WlsSolution, solve_wls

# A step no tape, laser or saw can tell from nothing; well above float64 rounding of a 10 m stair,
# about 1e-12 mm. Steps below it are not taken, so chained sums come through bit for bit.
STEP_MM = 1e-9

# A nose known no better than this isn't known: the equations bend too much across it for its
# covariance to mean anything. common practice, no source
LOOSE_SIGMA_MM = 25.0

# A misfit of this many spreads where the search gives out is a contradiction, not scatter.
# common practice, no source
CONTRADICTED_W = 10.0

# A misread foot in a slant can slow the steps to two thirds of the last; two hundred of those end
# far below STEP_MM.
MOST_STEPS = 200
MOST_HALVINGS = 12


class NotConvergedError(Exception):
    """No place for the noses satisfies the readings' equations to a least sum of squares.

    Attributes:
        key: the reading that fits worst where the search stopped.
        name: its name.
    """

    def __init__(self, key: str, name: str) -> None:
        super().__init__(f"the readings contradict one another; {name} fits worst")
        self.key = key
        self.name = name


@dataclass(frozen=True)
class Fit:
    """The solved flight.

    Attributes:
        readings: the readings used, in order.
        unknowns: the unknowns, in order.
        at: every place, datum included, mm.
        solution: the least squares solution linearised there; ``x`` is the last step (nil), and
            ``residuals`` are the true ones, in each reading's unit.
    """

    readings: tuple[Reading, ...]
    unknowns: tuple[Unknown, ...]
    at: Mapping[Unknown, float]
    solution: WlsSolution

    @property
    def degrees_of_freedom(self) -> int:
        """Readings more than unknowns."""
        return len(self.readings) - len(self.unknowns)


def fit(readings: tuple[Reading, ...], unknowns: tuple[Unknown, ...], risers: int) -> Fit:
    """Solve the readings for the unknowns.

    Raises:
        UnderdeterminedError: a nose is loose.
        NotConvergedError: the readings can't be met by any stair.
    """
    guess = first_guess(readings, unknowns)
    at = guess
    sigmas = np.array([reading.sigma for reading in readings])
    for _ in range(MOST_STEPS):
        design, misfit = linearised(readings, unknowns, at)
        try:
            solution = solve_wls(design, misfit, sigmas)
        except RankDefectError as defect:
            if np.max(np.abs(misfit) / sigmas, initial=0.0) > CONTRADICTED_W and at is not guess:
                # led here by readings that can't all be met, not for want of one
                raise _worst(readings, misfit, sigmas) from None
            raise underdetermined(defect.null, unknowns, risers) from None
        step = np.where(np.abs(solution.x) > STEP_MM, solution.x, 0.0)
        if not step.any():
            return _accepted(readings, unknowns, at, misfit, solution, risers)
        at = _stepped(readings, unknowns, at, step, sigmas)
    raise _worst(readings, linearised(readings, unknowns, at)[1], sigmas)


def linearised(
    readings: tuple[Reading, ...], unknowns: tuple[Unknown, ...], at: Mapping[Unknown, float]
) -> tuple[Array, Array]:
    """Design matrix and misfit (read less predicted) at ``at``."""
    column = {unknown: k for k, unknown in enumerate(unknowns)}
    design = np.zeros((len(readings), len(unknowns)))
    misfit = np.zeros(len(readings))
    for row, reading in enumerate(readings):
        equation = reading.equation(at)
        misfit[row] = reading.read - equation.predicted
        for place, slope in equation.slopes:
            # The datum, or a post whose place is given, does not move.
            if place in column:
                design[row, column[place]] = slope
    return design, misfit


def _stepped(
    readings: tuple[Reading, ...],
    unknowns: tuple[Unknown, ...],
    at: Mapping[Unknown, float],
    step: Array,
    sigmas: Array,
) -> dict[Unknown, float]:
    """Take the step, or the greatest halving of it that doesn't fit worse."""
    before = _sum_of_squares(readings, at, sigmas)
    for halving in range(MOST_HALVINGS):
        tried = dict(at)
        for unknown, move in zip(unknowns, step / 2.0**halving, strict=True):
            tried[unknown] += float(move)
        # room for rounding, or the last steps of all would be refused
        if _sum_of_squares(readings, tried, sigmas) <= before * (1.0 + 1e-9) + 1e-9:
            return tried
    raise _worst(readings, linearised(readings, unknowns, at)[1], sigmas)


def _sum_of_squares(
    readings: tuple[Reading, ...], at: Mapping[Unknown, float], sigmas: Array
) -> float:
    misfit = np.array([r.read - r.equation(at).predicted for r in readings]) / sigmas
    return float(misfit @ misfit)


def _accepted(
    readings: tuple[Reading, ...],
    unknowns: tuple[Unknown, ...],
    at: Mapping[Unknown, float],
    misfit: Array,
    solution: WlsSolution,
    risers: int,
) -> Fit:
    variances, axes = np.linalg.eigh(solution.covariance)
    if np.max(np.diag(solution.covariance), initial=0.0) > LOOSE_SIGMA_MM**2:
        raise underdetermined(axes[:, variances > LOOSE_SIGMA_MM**2], unknowns, risers)
    unchecked = solution.redundancy <= NO_REDUNDANCY
    if np.any(np.abs(misfit[unchecked]) > 1e-3 * solution.sigmas[unchecked]):
        # a reading nothing checks can always be met, unless the stair it asks for can't exist
        raise _worst(readings, np.where(unchecked, misfit, 0.0), solution.sigmas)
    # what nothing checks comes back as it was read, not as its rounding
    residuals = np.where(unchecked, 0.0, -misfit)
    return Fit(
        readings,
        unknowns,
        at,
        WlsSolution(
            solution.x,
            solution.covariance,
            residuals,
            solution.redundancy,
            solution.cofactor,
            solution.sigmas,
        ),
    )


def _worst(readings: tuple[Reading, ...], misfit: Array, sigmas: Array) -> NotConvergedError:
    reading = readings[int(np.argmax(np.abs(misfit) / sigmas))]
    return NotConvergedError(reading.key, reading.name)

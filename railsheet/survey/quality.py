"""How well the readings bear each other out, and which of them look misread."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal, TypeAlias

import numpy as np

from railsheet.survey.defect import UnderdeterminedError
from railsheet.survey.network import Fit, NotConvergedError, fit
from railsheet.survey.readings import Reading, unknowns_of
from railsheet.survey.wls import NO_REDUNDANCY, Array

# Data snooping tests each reading at 0.1 % and asks what blunder it would catch four times in five.
# Source: Baarda 1968, A testing procedure for use in geodetic networks (Netherlands Geodetic
# Commission, Publ. on Geodesy 2/5); the pair 0.1 %, 80 % and the limit 3.2905 as read in a survey
# adjustment manual's page on Baarda's internal reliability (aplitop.com).
SNOOPING_ALPHA = 0.001
SNOOPING_POWER = 0.80
CRITICAL_W = NormalDist().inv_cdf(1.0 - SNOOPING_ALPHA / 2.0)
DETECTABLE_W = CRITICAL_W + NormalDist().inv_cdf(SNOOPING_POWER)

# The global test is two-sided: readings may disagree too much, or agree better than their spreads
# have a right to. 5 % is the usual level (Ghilani, Adjustment Computations, ch. 5; from memory).
GLOBAL_ALPHA = 0.05

# A reading the rest check by less than this share counts as unchecked
# (1 % is the usual bound for "not controlled" in survey practice; from memory).
UNCHECKED_SHARE = 0.01

# Residuals correlated this closely rise and fall together: no test can choose between the readings.
ALIKE = 1.0 - 1e-6

# Leaving out reading j instead of i lowers vᵀPv by wⱼ² instead of wᵢ², a likelihood ratio of
# exp((wᵢ² − wⱼ²)/2). Readings within tenfold are named beside it. common practice, no source
PLAUSIBLE_W2 = 2.0 * math.log(10.0)

# Past this many spreads a slant or a rake is out of the range where its equation is straight, and w
# may point at its neighbour: then each reading is really left out in turn, which is exact.
# common practice, no source
GROSS_W = 20.0


Refit: TypeAlias = Callable[[tuple[Reading, ...]], Fit | None]


@dataclass(frozen=True)
class ReadingQuality:
    """One reading after adjustment. Values are in ``unit``.

    Attributes:
        key: where the job file has it.
        name: what a person calls it.
        unit: "mm" or "rad".
        read: as read.
        sigma: its standard deviation as given.
        adjusted: as the adjusted stair has it; equals ``read`` exactly where nothing checks it.
        residual: v = adjusted − read.
        residual_sigma: standard deviation of v, σ√r.
        redundancy: redundancy number r, 0..1: the share of an error in it that shows in v.
        checkable: r is at least 0.01.
        standardised: w = v/(σ√r); None where r is nil.
        implied: what the rest of the readings imply for it, read + v/r; exact for a linear
            reading, to first order for a slant or a rake; None where r is nil.
        implied_sigma: standard deviation of ``implied``, σ√(1/r − 1); None where r is nil.
        detectable: smallest misreading caught with 80 % power at 0.1 %, 4.13·σ/√r; None where r
            is nil, as then none is.
    """

    key: str
    name: str
    unit: Literal["mm", "rad"]
    read: float
    sigma: float
    adjusted: float
    residual: float
    residual_sigma: float
    redundancy: float
    checkable: bool
    standardised: float | None
    implied: float | None
    implied_sigma: float | None
    detectable: float | None


@dataclass(frozen=True)
class GlobalTest:
    """Do the readings, all together, scatter as their spreads say?

    Attributes:
        statistic: vᵀPv.
        degrees_of_freedom: readings more than unknowns, at least 1.
        upper: χ² at 2.5 % of its right tail.
        probability: chance of a statistic this large or larger from good readings.
    """

    statistic: float
    degrees_of_freedom: int
    upper: float
    probability: float

    @property
    def passes(self) -> bool:
        """The readings disagree no more than their spreads allow."""
        return self.statistic <= self.upper


@dataclass(frozen=True)
class Suspect:
    """A reading that doesn't fit the rest. Values are in ``unit``.

    Attributes:
        key: where the job file has it.
        name: what a person calls it.
        unit: "mm" or "rad".
        read: as read.
        implied: what the rest imply, earlier suspects left out.
        implied_sigma: its standard deviation.
        standardised: w, beyond ±3.29; past ±20 the root of what vᵀPv falls by without the
            reading, with the sign of w, which for a linear reading is the same.
        same_as: keys of readings no test can tell it from: any one of them may be the wrong one.
        could_be: keys of further readings that explain the misfit nearly as well, likeliest first.
        after: keys of the suspects left out before this one showed.
    """

    key: str
    name: str
    unit: Literal["mm", "rad"]
    read: float
    implied: float
    implied_sigma: float
    standardised: float
    same_as: tuple[str, ...]
    could_be: tuple[str, ...]
    after: tuple[str, ...]


def reading_qualities(solved: Fit) -> tuple[ReadingQuality, ...]:
    """Every reading's residual and what it is worth, in the order of the readings."""
    solution = solved.solution
    standardised = solution.standardised
    qualities = []
    for k, reading in enumerate(solved.readings):
        v, r, sigma = float(solution.residuals[k]), float(solution.redundancy[k]), reading.sigma
        seen = r > NO_REDUNDANCY
        qualities.append(
            ReadingQuality(
                key=reading.key,
                name=reading.name,
                unit=reading.unit,
                read=reading.read,
                sigma=sigma,
                adjusted=reading.read + v,
                residual=v,
                residual_sigma=sigma * math.sqrt(r) if seen else 0.0,
                redundancy=r if seen else 0.0,
                checkable=r >= UNCHECKED_SHARE,
                standardised=float(standardised[k]) if seen else None,
                implied=reading.read + v / r if seen else None,
                implied_sigma=sigma * math.sqrt(max(1.0 / r - 1.0, 0.0)) if seen else None,
                detectable=DETECTABLE_W * sigma / math.sqrt(r) if seen else None,
            )
        )
    return tuple(qualities)


def global_test(solved: Fit) -> GlobalTest | None:
    """The χ² test of the adjustment as a whole; None when there is nothing to test."""
    freedom = solved.degrees_of_freedom
    if freedom < 1:
        return None
    from scipy.special import chdtrc, chdtri

    statistic = solved.solution.sum_of_squares
    return GlobalTest(
        statistic=statistic,
        degrees_of_freedom=freedom,
        upper=float(chdtri(freedom, GLOBAL_ALPHA / 2.0)),
        probability=float(chdtrc(freedom, statistic)),
    )


def suspects(solved: Fit, refit: Refit) -> tuple[Suspect, ...]:
    """Iterative data snooping: the worst reading, then the worst of the rest without it, and on.

    Stops when none is beyond the limit, or the rest no longer fix what is surveyed.

    Args:
        refit: solves other readings of the same; None where they do not fix it.
    """
    found: list[Suspect] = []
    while True:
        suspect = _worst(solved, refit, tuple(s.key for s in found))
        if suspect is None:
            return tuple(found)
        found.append(suspect)
        rest = refit(_but(solved.readings, suspect.key))
        if rest is None:
            return tuple(found)
        solved = rest


def left_out(readings: tuple[Reading, ...], key: str, risers: int) -> Fit | None:
    """The flight solved without one reading; None where the rest do not fix it."""
    return refit_flight(_but(readings, key), risers)


def _but(readings: tuple[Reading, ...], key: str) -> tuple[Reading, ...]:
    return tuple(reading for reading in readings if reading.key != key)


def refit_flight(rest: tuple[Reading, ...], risers: int) -> Fit | None:
    """A flight solved from some of its readings; None where they do not fix it."""
    try:
        return fit(rest, unknowns_of(rest, risers), risers)
    except (UnderdeterminedError, NotConvergedError):
        return None


def _worst(solved: Fit, refit: Refit, after: tuple[str, ...]) -> Suspect | None:
    solution = solved.solution
    w = np.nan_to_num(solution.standardised, nan=0.0)
    if not len(w) or float(np.max(np.abs(w))) <= CRITICAL_W:
        return None
    r = np.maximum(solution.redundancy, NO_REDUNDANCY)
    implied = np.array([reading.read for reading in solved.readings]) + solution.residuals / r
    if float(np.max(np.abs(w))) > GROSS_W:
        w, implied = _one_by_one(solved, refit, w, implied)
    largest = int(np.argmax(np.abs(w)))
    correlation = solution.cofactor[largest] / np.sqrt(r[largest] * r)
    alike = [k for k in range(len(w)) if abs(correlation[k]) >= ALIKE and w[k] != 0.0]
    # rounding would choose among equals; the order of reading is as good, and steady
    first = min({*alike, largest})
    reading, share = solved.readings[first], float(r[first])
    close = [
        k
        for k in np.argsort(-np.abs(w))
        if k not in alike and abs(w[k]) > 0.0 and w[largest] ** 2 - w[k] ** 2 <= PLAUSIBLE_W2
    ]
    return Suspect(
        key=reading.key,
        name=reading.name,
        unit=reading.unit,
        read=reading.read,
        implied=float(implied[first]),
        implied_sigma=reading.sigma * math.sqrt(max(1.0 / share - 1.0, 0.0)),
        standardised=float(w[first]),
        same_as=tuple(solved.readings[k].key for k in alike if k != first),
        could_be=tuple(solved.readings[k].key for k in close),
        after=after,
    )


def _one_by_one(solved: Fit, refit: Refit, w: Array, implied: Array) -> tuple[Array, Array]:
    """w and the implied values with each reading really left out: w² is what vᵀPv falls by."""
    exact_w, exact_implied = np.zeros_like(w), implied.copy()
    for k, reading in enumerate(solved.readings):
        rest = refit(_but(solved.readings, reading.key)) if w[k] != 0.0 else None
        if rest is None:
            continue
        fall = solved.solution.sum_of_squares - rest.solution.sum_of_squares
        exact_implied[k] = reading.equation(rest.at).predicted
        exact_w[k] = math.copysign(math.sqrt(max(fall, 0.0)), exact_implied[k] - reading.read)
    return exact_w, exact_implied

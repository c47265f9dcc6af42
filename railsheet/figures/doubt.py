"""How the readings' scatter runs on to every figure, and which reading would lessen it most.

First-order propagation, Σ_f = J·Σ·Jᵀ (JCGM 100:2008, GUM, 5.2.2, from memory): J is taken by
differences over the whole solve, what is chosen by count (how many balusters, which window) held.
A greater scatter could choose otherwise; that is a notice's business, not a figure's ±.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from railsheet.errors import BadInput
from railsheet.figures.post_readings import PostReading, post_readings
from railsheet.job.model import FlightSpec
from railsheet.layout.rail_line import RailLine
from railsheet.survey.flight import Survey, places_of
from railsheet.survey.readings import DATUM, Reading, RiseTo, RunTo, Slant, Unknown
from railsheet.survey.spreads import tape_sigma_mm
from railsheet.survey.stair import Nose, Stair

Array = NDArray[np.float64]

# Far above the rounding of a solve (1e-10 mm) and the tolerances within it (1e-6 mm), far below
# any tape.
STEP_MM = 0.01
# Slopes on both sides of a smooth figure differ by the step over what it bends within, some hundred
# mm; and by a solve's rounding over the step.
_ALIKE = 1e-3
_NOISE = 1e-7


@dataclass(frozen=True)
class Doubt:
    """What one figure scatters by. In the figure's unit, mm or rad.

    Attributes:
        key: the figure's key.
        sigma: its standard deviation.
        take: the reading that would lessen it most; empty where none would.
        sigma_then: its standard deviation once that reading is taken (once more).
    """

    key: str
    sigma: float
    take: str
    sigma_then: float


@dataclass(frozen=True)
class _Candidate:
    name: str
    row: Array
    sigma: float


@dataclass(frozen=True)
class AlongLine:
    """A solve that takes the rail's line apart from the stair below it.

    Every nose moves the line, and nearly every figure follows the line. So the figures' slopes by
    it are found once, and a nose has only to be moved below the line as it stands, where little
    follows it: the chain rule.

    Attributes:
        line: the line, for a stair and wishes.
        figures: as of ``flight_doubts``, along a line. What does not rest on the line but on the
            stair alone is as the stair has it.
        greatest: those of the figures that are the greatest of several over the line. The best
            line makes some of these equal, and then the slope of the whole is not the sum of
            slopes; so these are found again with the stair and the line moved together.
    """

    line: Callable[[Stair, FlightSpec], RailLine]
    figures: Callable[[Stair, FlightSpec, RailLine], Mapping[str, float]]
    greatest: Callable[[Stair, FlightSpec, RailLine], Mapping[str, float]]


def flight_doubts(
    survey: Survey,
    spec: FlightSpec,
    figures: Callable[[Stair, FlightSpec], Mapping[str, float]],
) -> tuple[Doubt, ...]:
    """Every figure's standard deviation from the readings' spreads.

    Args:
        survey: the flight as surveyed.
        spec: what the job wants of it, with the readings of its posts.
        figures: the whole solve: the flight's figures by key, mm or rad, for a stair and wishes.
            Counts are left out, and are the same wherever the same keys come back.

    Returns:
        One for each figure; none at all where every small change would change what is chosen by
        count, for then no figure has a slope.
    """
    nominal = _Nominal(figures(survey.stair, spec))
    columns = (
        nominal.slope(lambda by: figures(*moved(by)))  # noqa: B023
        for moved in _moves(survey, spec)
    )
    return _doubts(survey, spec, nominal.keys, columns)


def doubts_along(survey: Survey, spec: FlightSpec, solve: AlongLine) -> tuple[Doubt, ...]:
    """The same, of a solve that takes the rail's line apart."""
    stair = survey.stair
    line = solve.line(stair, spec)
    first, last = stair.noses[0].s_mm, stair.noses[-1].s_mm
    heights = _heights(line, first, last)
    nominal = _Nominal(solve.figures(stair, spec, line))

    def with_line(there: Stair, wishes: FlightSpec) -> dict[str, float]:
        """What is found again with the line moved too: its own two heights first."""
        along = solve.line(there, wishes)
        return _heights(along, first, last) | dict(solve.greatest(there, wishes, along))

    of_line = _Nominal(with_line(stair, spec))

    def raised(end: str, by_mm: float) -> Mapping[str, float]:
        there = dict(heights)
        there[end] += by_mm
        slope = (there["high"] - there["low"]) / (last - first)
        return solve.figures(stair, spec, RailLine(slope, there["low"] - slope * first))

    sides = [nominal.sides(partial(raised, end)) for end in heights]
    by_line = [_middle(each) for each in sides]
    apart = [nominal.keys.index(key) for key in of_line.keys[len(heights) :]]
    turning = np.zeros(len(nominal.keys), dtype=bool)
    for each in sides:
        turning |= _turns(each)
    turning[apart] = False

    def column(moved: _Moved) -> Array | None:
        found = nominal.slope(lambda by: solve.figures(*moved(by), line))
        follows = of_line.slope(lambda by: with_line(*moved(by)))
        if found is None or follows is None:
            return None
        for slope, share in zip(by_line, follows[: len(heights)], strict=True):
            if slope is not None:
                found = found + slope * share
            elif share:
                return None
        found[apart] = follows[len(heights) :]
        if turning.any():
            whole = nominal.slope(lambda by: _whole(solve, *moved(by)))
            if whole is None:
                return None
            found[turning] = whole[turning]
        return found

    return _doubts(survey, spec, nominal.keys, map(column, _moves(survey, spec)))


def _whole(solve: AlongLine, stair: Stair, spec: FlightSpec) -> Mapping[str, float]:
    return solve.figures(stair, spec, solve.line(stair, spec))


def _heights(line: RailLine, first_mm: float, last_mm: float) -> dict[str, float]:
    return {"low": line.z_at(first_mm), "high": line.z_at(last_mm)}


# The stair and the wishes once a reading is otherwise by so many mm.
_Moved = Callable[[float], tuple[Stair, FlightSpec]]


def _moves(survey: Survey, spec: FlightSpec) -> Iterator[_Moved]:
    """Every nose's two coordinates, then the readings of the posts."""
    stair = survey.stair

    def nose_moved(unknown: Unknown, by_mm: float) -> tuple[Stair, FlightSpec]:
        return _moved(stair, unknown, by_mm), spec

    def post_read(post: PostReading, by_mm: float) -> tuple[Stair, FlightSpec]:
        wishes = post.put(spec, post.value_mm + by_mm)
        # The nosings are readings of the steps that the stair carries itself.
        return replace(stair, nosings=wishes.readings.nosings), wishes

    for unknown in survey.adjustment.unknowns:
        if unknown[0] != "line":
            yield partial(nose_moved, unknown)
    for post in post_readings(spec):
        yield partial(post_read, post)


def _doubts(
    survey: Survey, spec: FlightSpec, keys: Sequence[str], slopes: Iterable[Array | None]
) -> tuple[Doubt, ...]:
    unknowns, posts = survey.adjustment.unknowns, post_readings(spec)
    columns = []
    for slope in slopes:
        if slope is None:
            return ()
        columns.append(slope)
    # The unknowns' standing order has the lines' heights last: no figure of the rail rests on them.
    lines = sum(unknown[0] == "line" for unknown in unknowns)
    noses = len(unknowns) - lines
    columns[noses:noses] = [np.zeros(len(keys))] * lines
    candidates = _candidates(survey, spec, places_of(survey.adjustment), posts)
    return _weigh(keys, np.column_stack(columns), _covariance(survey, posts), candidates)


def _moved(stair: Stair, unknown: Unknown, by_mm: float) -> Stair:
    axis, number = unknown
    assert isinstance(number, int)
    nose = stair.nose(number)
    moved = (
        Nose(nose.s_mm + by_mm, nose.z_mm) if axis == "s" else Nose(nose.s_mm, nose.z_mm + by_mm)
    )
    return replace(stair, noses=(*stair.noses[: number - 1], moved, *stair.noses[number:]))


class _Nominal:
    """Figures as they are, to tell their slopes by."""

    def __init__(self, figures: Mapping[str, float]) -> None:
        self._figures = figures
        self.keys = tuple(figures)
        self._here = np.array(list(figures.values()))

    def slope(self, moved: Callable[[float], Mapping[str, float]]) -> Array | None:
        """The slopes by central difference, or one-sided where a choice turns on one side."""
        return _middle(self.sides(moved))

    def sides(self, moved: Callable[[float], Mapping[str, float]]) -> list[Array]:
        """The slopes on either side on which no choice turns."""
        sides = []
        for by in (STEP_MM, -STEP_MM):
            try:
                there = moved(by)
            except BadInput:
                # On the very edge of what can be laid out at all; the other side has the slope.
                continue
            if there.keys() == self._figures.keys():
                values = np.array([there[key] for key in self.keys])
                sides.append((values - self._here) / by)
        return sides


def _middle(sides: Sequence[Array]) -> Array | None:
    if len(sides) < 2:
        return sides[0] if sides else None
    return (sides[0] + sides[1]) / 2


def _turns(sides: Sequence[Array]) -> NDArray[np.bool_]:
    """Which figures' slopes are not alike on both sides; none where only one side is known."""
    one, other = (*sides, *sides)[:2] if sides else (np.zeros(1), np.zeros(1))
    unlike: NDArray[np.bool_] = np.abs(one - other) > (
        _ALIKE * (np.abs(one) + np.abs(other)) + _NOISE
    )
    return unlike


def _covariance(survey: Survey, posts: Sequence[PostReading]) -> Array:
    noses = np.array(survey.adjustment.covariance_mm2)
    size = len(noses)
    whole = np.zeros((size + len(posts), size + len(posts)))
    whole[:size, :size] = noses
    for number, post in enumerate(posts, start=size):
        whole[number, number] = post.sigma_mm**2
    return whole


def _candidates(
    survey: Survey, spec: FlightSpec, at: Mapping[Unknown, float], posts: Sequence[PostReading]
) -> list[_Candidate]:
    """Readings worth taking: each taken one again, and the totals and diagonal not taken yet."""
    unknowns = survey.adjustment.unknowns
    size = len(unknowns) + len(posts)

    def row(reading: Reading) -> Array:
        slopes = np.zeros(size)
        for place, slope in reading.equation(at).slopes:
            if place not in DATUM:
                slopes[unknowns.index(place)] = slope
        return slopes

    found = [_Candidate(f"{r.name} again", row(r), r.sigma) for r in survey.readings]
    taken = {reading.name for reading in survey.readings}
    step = spec.readings.instruments.read_to_mm
    last = len(survey.stair.noses)
    top, first = survey.stair.noses[-1], survey.stair.noses[0]
    chord = float(np.hypot(top.s_mm, top.z_mm - first.z_mm))
    further: list[Reading] = [
        Slant(
            "",
            f"diagonal, nose 1 to nose {last}",
            chord,
            tape_sigma_mm(chord, step, "tape diagonal"),
            1,
            last,
        )
    ]
    for number, nose in enumerate(survey.stair.noses[1:], start=2):
        total = number == last
        up = "total rise" if total else f"running rise to nose {number}"
        along = "total run" if total else f"running run to nose {number}"
        further += [
            RiseTo("", up, nose.z_mm, tape_sigma_mm(nose.z_mm, step), number),
            RunTo("", along, nose.s_mm, tape_sigma_mm(nose.s_mm, step), number),
        ]
    found += [_Candidate(r.name, row(r), r.sigma) for r in further if r.name not in taken]
    for number, post in enumerate(posts, start=len(unknowns)):
        slopes = np.zeros(size)
        slopes[number] = 1.0
        found.append(_Candidate(post.take, slopes, post.again_sigma_mm))
    return found


def _weigh(
    keys: Sequence[str], jacobian: Array, covariance: Array, candidates: Sequence[_Candidate]
) -> tuple[Doubt, ...]:
    """Each figure's variance, and what one reading more would take off it.

    A further reading a with variance σ² lowers gᵀΣg by (aᵀΣg)²/(σ² + aᵀΣa): the update of
    sequential least squares (Ghilani, *Adjustment Computations*; from memory).
    """
    spread = jacobian @ covariance
    variances = np.einsum("ij,ij->i", spread, jacobian)
    rows = np.array([candidate.row for candidate in candidates])
    noise = np.array([candidate.sigma**2 for candidate in candidates])
    worth = (spread @ rows.T) ** 2 / (noise + np.einsum("ij,jk,ik->i", rows, covariance, rows))
    doubts = []
    for number, key in enumerate(keys):
        variance = max(float(variances[number]), 0.0)
        best = int(np.argmax(worth[number]))
        gain = float(worth[number, best])
        helps = gain > 0.01 * variance > 0.0
        doubts.append(
            Doubt(
                key=key,
                sigma=variance**0.5,
                take=candidates[best].name if helps else "",
                sigma_then=max(variance - gain, 0.0) ** 0.5 if helps else variance**0.5,
            )
        )
    return tuple(doubts)

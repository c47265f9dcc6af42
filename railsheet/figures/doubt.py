"""How the readings' scatter runs on to every figure, and which reading would lessen it most.

First-order propagation, Σ_f = J·Σ·Jᵀ (JCGM 100:2008, GUM, 5.2.2, from memory): J is taken by
differences over the whole solve, what is chosen by count (how many balusters, which window) held.
A greater scatter could choose otherwise; that is a notice's business, not a figure's ±.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from statistics import stdev

import numpy as np
from numpy.typing import NDArray

from railsheet.errors import BadInput
from railsheet.job.model import FlightSpec, Place, PostSpec
from railsheet.job.nosings import Nosings
from railsheet.survey.flight import Survey, places_of
from railsheet.survey.readings import DATUM, Reading, RiseTo, RunTo, Slant, Unknown
from railsheet.survey.spreads import tape_sigma_mm
from railsheet.survey.stair import Nose, Stair

Array = NDArray[np.float64]

# Far above the rounding of a solve (1e-10 mm) and the tolerances within it (1e-6 mm), far below
# any tape.
STEP_MM = 0.01


@dataclass(frozen=True)
class PostReading:
    """A reading of a post's place or height, beside the readings of the steps. mm.

    Attributes:
        name: what a person calls it.
        value_mm: as read.
        sigma_mm: its standard deviation.
        again_sigma_mm: of the reading taken (once more).
        taken: whether it was taken; one that was not stands at what the rest have.
        put: the flight's wishes with the reading at another value.
    """

    name: str
    value_mm: float
    sigma_mm: float
    again_sigma_mm: float
    taken: bool
    put: Callable[[FlightSpec, float], FlightSpec]

    @property
    def take(self) -> str:
        """What taking it (once more) is called."""
        return f"{self.name} again" if self.taken else self.name


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
    posts = post_readings(spec)
    unknowns = survey.adjustment.unknowns
    at = places_of(survey.adjustment)
    nominal = figures(survey.stair, spec)
    keys = tuple(nominal)

    def nose_moved(unknown: Unknown, by_mm: float) -> Mapping[str, float]:
        return figures(_moved(survey.stair, unknown, by_mm), spec)

    def post_read(post: PostReading, by_mm: float) -> Mapping[str, float]:
        wishes = post.put(spec, post.value_mm + by_mm)
        # The nosings are readings of the steps that the stair carries itself.
        return figures(replace(survey.stair, nosings=wishes.readings.nosings), wishes)

    moves = [partial(nose_moved, u) for u in unknowns if u[0] != "line"]
    moves += [partial(post_read, post) for post in posts]
    columns = []
    for move in moves:
        slope = _slope(keys, nominal, move)
        if slope is None:
            return ()
        columns.append(slope)
    # The unknowns' standing order has the lines' heights last: no figure of the rail rests on them.
    lines = sum(unknown[0] == "line" for unknown in unknowns)
    noses = len(unknowns) - lines
    columns[noses:noses] = [np.zeros(len(keys))] * lines
    jacobian = np.column_stack(columns)
    covariance = _covariance(survey, posts)
    return _weigh(keys, jacobian, covariance, _candidates(survey, spec, at, posts))


def post_readings(spec: FlightSpec) -> tuple[PostReading, ...]:
    """The readings of the posts and of the nosings; where a free post goes is no reading."""
    step = spec.readings.instruments.read_to_mm

    def reading(
        name: str, value: float, put: Callable[[FlightSpec, float], FlightSpec]
    ) -> PostReading:
        sigma = tape_sigma_mm(value, step)
        return PostReading(name, value, sigma, sigma, True, put)

    found = list(_nosing_readings(spec.readings.nosings, step))
    for name, which in (("bottom", "bottom_post"), ("top", "top_post")):
        post: PostSpec = getattr(spec, which)
        fields = [("G, the slab's drop", "slab_drop_mm", post.slab_drop_mm or None)]
        if post.place is Place.STANDING:
            fields += [
                ("E", "from_nose_mm", post.from_nose_mm),
                ("I", "in_from_side_mm", post.in_from_side_mm),
                ("V", "height_mm", post.height_mm),
            ]
        for letter, field, value in fields:
            if value is None:
                continue

            def put(s: FlightSpec, v: float, w: str = which, f: str = field) -> FlightSpec:
                post: PostSpec = getattr(s, w)
                return _with_post(s, w, replace(post, **{f: v}))  # type: ignore[arg-type]

            found.append(reading(f"{letter} of the {name} post", value, put))
    return tuple(found)


def _nosing_readings(nosings: Nosings, step_mm: float) -> Iterator[PostReading]:
    """Those read, then those that were not, which scatter as the ones read do among themselves.

    One more of a sample of m scatters about their mean by s·√(1 + 1/m) (a prediction from a
    normal sample, from memory), and by the tape at the least.
    """

    def put_at(nose: int) -> Callable[[FlightSpec, float], FlightSpec]:
        def put(spec: FlightSpec, mm: float) -> FlightSpec:
            moved = spec.readings.nosings.reading(nose, mm)
            return replace(spec, readings=replace(spec.readings, nosings=moved))

        return put

    read = nosings.read_mm
    for nose, value in zip(nosings.noses_read, read, strict=True):
        name = "N, the nosing" if nosings.once else f"N {nose}, the nosing at nose {nose}"
        sigma = tape_sigma_mm(value, step_mm)
        yield PostReading(name, value, sigma, sigma, True, put_at(nose))
    for nose in nosings.unread:
        value = nosings.each_mm[nose - 1]
        name, taped = f"N {nose}, the nosing at nose {nose}", tape_sigma_mm(value, step_mm)
        among = stdev(read) * (1.0 + 1.0 / len(read)) ** 0.5
        yield PostReading(name, value, max(among, taped), taped, False, put_at(nose))


def _with_post(spec: FlightSpec, which: str, post: PostSpec) -> FlightSpec:
    if which == "bottom_post":
        return replace(spec, bottom_post=post)
    return replace(spec, top_post=post)


def _moved(stair: Stair, unknown: Unknown, by_mm: float) -> Stair:
    axis, number = unknown
    assert isinstance(number, int)
    nose = stair.nose(number)
    moved = (
        Nose(nose.s_mm + by_mm, nose.z_mm) if axis == "s" else Nose(nose.s_mm, nose.z_mm + by_mm)
    )
    return replace(stair, noses=(*stair.noses[: number - 1], moved, *stair.noses[number:]))


def _slope(
    keys: Sequence[str],
    nominal: Mapping[str, float],
    moved: Callable[[float], Mapping[str, float]],
) -> Array | None:
    """The figures' slopes by central difference, or one-sided where a choice turns on one side."""
    here = np.array([nominal[key] for key in keys])
    sides = []
    for by in (STEP_MM, -STEP_MM):
        try:
            there = moved(by)
        except BadInput:
            # On the very edge of what can be laid out at all; the other side has the slope.
            continue
        if there.keys() == nominal.keys():
            sides.append((np.array([there[key] for key in keys]) - here) / by)
    if not sides:
        return None
    return np.asarray(np.mean(sides, axis=0))


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

"""How the greatest circles of a railing's openings follow small moves of what they touch.

The radius is the greatest over all centres c of the least distance to anything, max min d(c). Where
three things hold the circle up, or two plumb or parallel ones, its slope is by the envelope theorem
the sum of w·∂d, c held: w are the weights, none below zero and one in sum, that balance the unit
vectors from the places touched to c (the multipliers of the linear programme that c solves to first
order; Fiacco, *Introduction to Sensitivity and Stability Analysis in Nonlinear Programming*, from
memory). So each thing touched is asked for its distance from the circle's centre as it was, in the
moved railing, and no opening is cut out or fitted again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from railsheet.checks.opening import RIVAL_MM, Circle
from railsheet.checks.opening_bounds import (
    bottom_floor_z,
    plate_box,
    rail_edge,
    step_below,
    underside,
)
from railsheet.checks.openings_of import Opening, Sort, openings_of
from railsheet.checks.stair_opening import EdgeLine
from railsheet.layout.railing import Bay, Railing
from railsheet.tolerance import SAME_MM

Point = tuple[float, float]
# An edge by its two ends, or a corner, in the plane of the guard; for any railing near this one.
_Bound = Callable[[Railing], tuple[Point, ...]]

# What is this near to a circle touches it: the hair that openings are cut with, and float noise.
_TOUCHES_MM = 1e-6
# Weights nearer to nothing than this leave open which of the things touched hold the circle.
_LEAST_WEIGHT = 1e-3
# Two edges whose directions cross by less than this are parallel: float noise over a bay.
_PARALLEL = 1e-10
# Farther than any opening reaches.
_FAR_MM = 1e5


@dataclass(frozen=True)
class _Contact:
    """One thing that holds a circle up.

    Attributes:
        bound: it, in any railing near this one.
        toward: from the place touched to the circle's centre, of length one.
        away_mm: from it to the centre.
        weight: its share in how the radius follows.
        sliding: it is one of the two sides of a slot, and the other has to stay parallel to it.
    """

    bound: _Bound
    toward: Point
    away_mm: float
    weight: float
    sliding: bool


@dataclass(frozen=True)
class _Followed:
    """An opening and what holds its circle up."""

    opening: Opening
    contacts: tuple[_Contact, ...]

    def moved(self, railing: Railing) -> Opening | None:
        """The opening in a railing near the one it was found in; None where it must be sought."""
        circle = self.opening.circle
        grown, facing = 0.0, []
        for contact in self.contacts:
            points = contact.bound(railing)
            toward = _toward(points, circle)
            if contact.toward[0] * toward[0] + contact.toward[1] * toward[1] < 0.0:
                # What was touched has come past the centre: no small move.
                return None
            away = _distance_mm(points, toward, circle)
            grown += contact.weight * (away - contact.away_mm)
            facing.append(toward)
        if self.contacts[0].sliding and abs(_cross(*facing)) > _PARALLEL:
            return None
        was, diameter = self.opening, circle.diameter_mm + 2.0 * grown
        there = Circle(circle.s_mm, circle.z_mm, diameter)
        return Opening(was.where, was.sort, was.quantity, was.beside, there)


class Following:
    """Some openings of a railing, followed into railings near it.

    Attributes:
        sought: the places whose circle follows by no slope.
    """

    def __init__(self, railing: Railing, openings: Sequence[Opening]) -> None:
        """Take the openings as they were found in a railing."""
        self._shape = _shape(railing)
        self._followed = [(opening, _followed(railing, opening)) for opening in openings]
        self._every = {opening.where for opening in openings}
        self.sought = {opening.where for opening, held in self._followed if held is None}

    def moved(self, railing: Railing) -> tuple[Opening, ...]:
        """The same openings in a railing near the first.

        Those whose circle follows by no slope are sought again, and all of them where the railing
        is of other parts.
        """
        if _shape(railing) != self._shape:
            return openings_of(railing, self._every)
        sought, moved = set(self.sought), []
        for opening, held in self._followed:
            there = None if held is None else held.moved(railing)
            if there is None:
                sought.add(opening.where)
            else:
                moved.append(there)
        return (*moved, *(openings_of(railing, sought) if sought else ()))


def following(openings: Sequence[Opening], found_in: Railing, railing: Railing) -> Following:
    """Openings followed from a railing that is the one they were found in, or much like it.

    A site cuts the ends of the runs that it joins; should it move an opening, all are sought again.
    """
    held = Following(found_in, openings)
    there = {each.where: each.circle.diameter_mm for each in held.moved(railing)}
    if all(
        abs(there.get(each.where, math.inf) - each.circle.diameter_mm) <= SAME_MM
        for each in openings
    ):
        return held
    return Following(railing, openings_of(railing, {each.where for each in openings}))


def _shape(railing: Railing) -> tuple[int, ...]:
    return (
        len(railing.stair.noses),
        len(railing.posts),
        *(len(bay.infill.members) for bay in railing.bays),
    )


def _followed(railing: Railing, opening: Opening) -> _Followed | None:
    circle = opening.circle
    if circle.rivalled or not circle.diameter_mm:
        return None
    touched = []
    for bound in _bounds(railing, opening):
        points = bound(railing)
        if not _within(points, circle):
            continue
        toward = _toward(points, circle)
        away = _distance_mm(points, toward, circle)
        clear = away - circle.diameter_mm / 2
        if abs(clear) <= _TOUCHES_MM:
            touched.append((bound, len(points), toward, away))
        elif abs(clear) <= RIVAL_MM:
            # The moves could bring it to hold the circle up.
            return None
    weights = _balance([toward for _, _, toward, _ in touched])
    slot = len(touched) == 2
    # Two corners, or a corner and an edge, let the circle slip away sideways.
    if weights is None or (slot and any(points < 2 for _, points, _, _ in touched)):
        return None
    return _Followed(
        opening,
        tuple(
            _Contact(bound, toward, away, weight, slot)
            for (bound, _, toward, away), weight in zip(touched, weights, strict=True)
        ),
    )


def _balance(toward: Sequence[Point]) -> tuple[float, ...] | None:
    """The weights that balance unit vectors; None where not just one choice of them does."""
    if len(toward) == 2:
        first, second = toward
        against = first[0] * second[0] + first[1] * second[1] < 0.0
        return (0.5, 0.5) if against and abs(_cross(first, second)) <= _PARALLEL else None
    if len(toward) != 3:
        return None
    first, second, third = toward
    turns = _cross(second, third), _cross(third, first), _cross(first, second)
    whole = sum(turns)
    if abs(whole) < _LEAST_WEIGHT:
        return None
    weights = turns[0] / whole, turns[1] / whole, turns[2] / whole
    return weights if min(weights) > _LEAST_WEIGHT else None


def _cross(first: Point, second: Point) -> float:
    return first[0] * second[1] - first[1] * second[0]


def _toward(points: Sequence[Point], circle: Circle) -> Point:
    """From the nearest place of an edge's line, or from a corner, to the centre, of length one."""
    (s, z), end = points[0], points[-1]
    if len(points) == 1:
        away = circle.s_mm - s, circle.z_mm - z
    else:
        along = end[0] - s, end[1] - z
        away = -along[1], along[0]
        if away[0] * (circle.s_mm - s) + away[1] * (circle.z_mm - z) < 0.0:
            away = along[1], -along[0]
    size = math.hypot(*away)
    return (away[0] / size, away[1] / size) if size else (0.0, 0.0)


def _distance_mm(points: Sequence[Point], toward: Point, circle: Circle) -> float:
    s, z = points[0]
    return toward[0] * (circle.s_mm - s) + toward[1] * (circle.z_mm - z)


def _within(points: Sequence[Point], circle: Circle) -> bool:
    """Whether the centre's foot on an edge's line lies on the edge, its ends left out."""
    if len(points) == 1:
        return True
    (s, z), (end_s, end_z) = points
    along_s, along_z = end_s - s, end_z - z
    length = math.hypot(along_s, along_z)
    if length <= _TOUCHES_MM:
        return False
    foot = ((circle.s_mm - s) * along_s + (circle.z_mm - z) * along_z) / length
    return _TOUCHES_MM < foot < length - _TOUCHES_MM


def _bounds(railing: Railing, opening: Opening) -> Iterator[_Bound]:
    """All that could hold an opening's circle up."""
    number = _bay_at(railing, opening.circle.s_mm)
    for uphill in (False, True):
        yield partial(_face, number, uphill)
    if opening.sort in (Sort.STEP, Sort.FLAT):
        yield partial(_rail_line, number, lambda bay: underside(bay))
        for post in range(len(railing.posts)):
            yield from _around(partial(_plate, post), 4)
        yield from _walk(railing, opening.circle)
        return
    yield partial(_rail_line, number, lambda bay: rail_edge(bay, bay.top_rail))
    yield partial(_rail_line, number, lambda bay: rail_edge(bay, bay.bottom_rail))
    for index, member in enumerate(railing.bays[number].infill.members):
        yield from _around(partial(_member, number, index), len(member.outline))


def _bay_at(railing: Railing, s_mm: float) -> int:
    return next(
        number
        for number, bay in enumerate(railing.bays)
        if bay.downhill_face_mm <= s_mm <= bay.uphill_face_mm
    )


def _face(bay: int, uphill: bool, railing: Railing) -> tuple[Point, ...]:
    found = railing.bays[bay]
    s = found.uphill_face_mm if uphill else found.downhill_face_mm
    return (s, -_FAR_MM), (s, _FAR_MM)


def _rail_line(bay: int, edge_of: Callable[[Bay], EdgeLine], railing: Railing) -> tuple[Point, ...]:
    found = railing.bays[bay]
    edge = edge_of(found)
    ends = found.downhill_face_mm - found.clear_mm, found.uphill_face_mm + found.clear_mm
    return (ends[0], edge.height_mm(ends[0])), (ends[1], edge.height_mm(ends[1]))


def _around(corner_of: Callable[[int, Railing], Point], corners: int) -> Iterator[_Bound]:
    """A closed outline's edges and corners."""

    def corner(index: int, railing: Railing) -> tuple[Point, ...]:
        return (corner_of(index, railing),)

    def edge(index: int, railing: Railing) -> tuple[Point, ...]:
        return corner_of(index, railing), corner_of((index + 1) % corners, railing)

    for index in range(corners):
        yield partial(corner, index)
        yield partial(edge, index)


def _plate(post: int, corner: int, railing: Railing) -> Point:
    low_s, low_z, high_s, high_z = plate_box(railing, railing.posts[post])
    return (low_s, high_s, high_s, low_s)[corner], (low_z, low_z, high_z, high_z)[corner]


def _member(bay: int, member: int, corner: int, railing: Railing) -> Point:
    return railing.bays[bay].infill.members[member].outline[corner]


def _walk(railing: Railing, circle: Circle) -> Iterator[_Bound]:
    """The floor, the steps and the deck, as one line going uphill; of the steps those near."""
    stair, radius = railing.stair, circle.diameter_mm / 2
    last = len(stair.noses)
    yield partial(_floor)
    if not last:
        return
    yield partial(_deck)
    for riser in range(1, last + 1):
        before, behind = _step_corner(riser, 0, railing), _step_corner(riser, 3, railing)
        low = stair.nose(riser - 1).s_mm if riser > 1 else behind[0] - stair.runs_mm[0]
        if low > circle.s_mm + radius or before[0] < circle.s_mm - radius:
            continue
        for corner in range(4):
            yield partial(_step_at, riser, corner)
        for corner in range(3):
            yield partial(_step_edge, riser, corner)
        if riser > 1:
            yield partial(_tread, riser)


def _floor(railing: Railing) -> tuple[Point, ...]:
    """The bottom walking surface up to the first riser; of a level run, the whole walk."""
    if not railing.stair.noses:
        return (-_FAR_MM, 0.0), (_FAR_MM, 0.0)
    foot = _step_corner(1, 0, railing)
    return (foot[0] - _FAR_MM, foot[1]), foot


def _deck(railing: Railing) -> tuple[Point, ...]:
    last = railing.stair.noses[-1]
    return (last.s_mm, last.z_mm), (last.s_mm + _FAR_MM, last.z_mm)


def _tread(riser: int, railing: Railing) -> tuple[Point, ...]:
    """The tread that ends at a riser, from its nose."""
    return _step_corner(riser - 1, 3, railing), _step_corner(riser, 0, railing)


def _step_at(riser: int, corner: int, railing: Railing) -> tuple[Point, ...]:
    return (_step_corner(riser, corner, railing),)


def _step_edge(riser: int, corner: int, railing: Railing) -> tuple[Point, ...]:
    return _step_corner(riser, corner, railing), _step_corner(riser, corner + 1, railing)


def _step_corner(riser: int, corner: int, railing: Railing) -> Point:
    """The foot of a riser, its head, the lower edge of the nose over it, and the nose."""
    stair = railing.stair
    if riser == 1:
        below = stair.nose(1).s_mm - stair.runs_mm[0], bottom_floor_z(railing)
    else:
        nose = stair.nose(riser - 1)
        below = nose.s_mm, nose.z_mm
    step = step_below(stair, below, riser)
    next_s, next_z = step.next_nose_mm
    return (
        (step.back_s_mm, below[1]),
        (step.back_s_mm, step.under_z_mm),
        (next_s, step.under_z_mm),
        (next_s, next_z),
    )[corner]

"""Where a rail ends: what stands beside its end post in plan, and how wide the way between is.

A sphere passes between two things that stand plumb through the whole height of a guard when it is
no wider than the least distance between them in plan: that is the greatest sphere. Rails and base
plates stand out over a part of that height only, so a sphere passes under or over them; how near
they come is told beside the figure and does not lessen it.

A wide gap is not always an opening. Across the foot or the head of a flight it is the way onto
the stair; anywhere else the job does not say what closes it. Both are told, and neither is judged
as an opening.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from railsheet.job.model import PostKind, Side
from railsheet.layout.plan import Leg, Point
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import SitePost
from railsheet.layout.solid_plan import (
    Nearest,
    PlanSolid,
    nearest,
    post_solid,
    reaching_in,
    standing_in,
)
from railsheet.layout.turn import Turn, TurnKind
from railsheet.layout.turned_post import turned_half_mm
from railsheet.tolerance import SAME_MM

# A gap at least so wide is one that people walk through: 22 in, the unit of exit width that codes
# long counted persons abreast by. From memory.
WALKED_MM = 22 * 25.4
# Farther from a rail's end than this nothing stands beside it. Common practice, no source.
_BESIDE_MM = 72 * 25.4
# Two things stand beside each other where they share at least so much height, two thirds of a
# guard. Common practice, no source.
_SHARED_MM = 600.0


_AT_HOUSE = (PostKind.WALL, PostKind.HALF)


def rail_ends(posts: Mapping[str, SitePost]) -> list[SitePost]:
    """The posts at which a rail ends away from the house, by mark."""
    return [post for _, post in sorted(posts.items()) if _is_end(post)]


def _is_end(post: SitePost) -> bool:
    return len(post.meetings) == 1 and post.kind not in _AT_HOUSE


@dataclass(frozen=True)
class _Plan:
    """Everything that stands in plan, by run."""

    railings: Mapping[str, Railing]
    legs: Mapping[str, Leg]
    posts: Mapping[str, SitePost]
    post_solids: Mapping[str, PlanSolid]
    infill: Mapping[str, tuple[PlanSolid, ...]]
    parts: Mapping[str, tuple[PlanSolid, ...]]

    def far_end(self, run: str, post: str) -> str:
        """The mark of a run's other post."""
        leg = self.legs[run]
        return leg.end if leg.start == post else leg.start


def turns_of(
    railings: Mapping[str, Railing],
    legs: Mapping[str, Leg],
    posts: Mapping[str, SitePost],
) -> tuple[Turn, ...]:
    """The gap at every rail's end, each pair of things once, by the end post's mark.

    Args:
        railings: every run, its posts cut to their one height.
    """
    plan = _laid_out(railings, legs, posts)
    found: list[Turn] = []
    for post in rail_ends(posts):
        for turn in _at_end(plan, post):
            pair = {turn.post, turn.beside_post}
            told = any(turn.beside_post and {t.post, t.beside_post} == pair for t in found)
            if not told or turn.kind is TurnKind.STEPS:
                found.append(turn)
    return tuple(found)


def _laid_out(
    railings: Mapping[str, Railing],
    legs: Mapping[str, Leg],
    posts: Mapping[str, SitePost],
) -> _Plan:
    infill, parts = {}, {}
    for run, leg in sorted(legs.items()):
        first, railing = posts[leg.start], railings[run]
        base = first.foot_mm - railing.downhill_post.surface_z_mm
        infill[run] = tuple(standing_in(railing, leg, first.at_mm, base))
        parts[run] = tuple(reaching_in(railing, leg, first.at_mm, base))
    solids = {mark: post_solid(post, railings[post.owner]) for mark, post in posts.items()}
    return _Plan(railings, legs, posts, solids, infill, parts)


@dataclass(frozen=True)
class _Gap:
    """An end post's solid, another thing's, and where the two come nearest."""

    own: PlanSolid
    other: PlanSolid
    at: Nearest

    def turn(self, kind: TurnKind, post: SitePost, flight: str = "") -> Turn:
        """The gap, told as one kind or another."""
        runs = post.meetings[0].run, self.other.run
        at, other = self.at, self.other
        return Turn(
            kind, post.mark, other.name, other.post, runs, at.clear_mm, at.start, at.end, flight
        )


def _at_end(plan: _Plan, post: SitePost) -> Iterator[Turn]:
    gaps = [
        _Gap(own, other, nearest(own.outline, other.outline)) for own, other in _pairs(plan, post)
    ]
    gaps.sort(key=lambda gap: (gap.at.clear_mm, gap.other.name))
    if not gaps:
        return
    least = gaps[0]
    if least.at.clear_mm < WALKED_MM - SAME_MM:
        turn = least.turn(TurnKind.OPENING, post)
        yield replace(turn, parts_mm=_parts_mm(plan, turn))
        return
    for gap in gaps:
        for flight in sorted(plan.railings):
            mouth = _mouth(plan, gap, flight)
            if mouth is None:
                continue
            yield gap.turn(TurnKind.WAY, post, flight)
            if mouth.beyond_mm > SAME_MM:
                yield replace(
                    gap.turn(TurnKind.STEPS, post, flight),
                    beside=mouth.far.name,
                    clear_mm=mouth.beyond_mm,
                    start=mouth.edge,
                    end=mouth.corner,
                )
            return
    if least.at.clear_mm <= _BESIDE_MM:
        yield least.turn(TurnKind.UNCLOSED, post)


def _pairs(plan: _Plan, post: SitePost) -> Iterator[tuple[PlanSolid, PlanSolid]]:
    """What stands at a rail's end, with each other thing that could close the way past it.

    Of a run that leaves the end post's run at its far post, only a far end counts: the rest of it
    is the same guard, going on.
    """
    run = post.meetings[0].run
    far = plan.far_end(run, post.mark)
    joined = {meeting.run for meeting in plan.posts[far].meetings} - {run}
    mine = [plan.post_solids[post.mark], *_near_half(plan, run, post)]
    others = []
    for mark, other in plan.posts.items():
        runs = {meeting.run for meeting in other.meetings}
        going_on = runs & joined and not (_is_end(other) or other.kind in _AT_HOUSE)
        if run not in runs and not going_on:
            others.append(plan.post_solids[mark])
    for other_run, solids in plan.infill.items():
        if other_run != run and other_run not in joined:
            others += solids
    for own in mine:
        for thing in others:
            if own.shared_mm(thing) >= _SHARED_MM:
                yield own, thing


def _near_half(plan: _Plan, run: str, post: SitePost) -> Iterator[PlanSolid]:
    """The end post's run's infill that stands nearer to it than to the run's other post."""
    here, there = post.middle_mm, plan.posts[plan.far_end(run, post.mark)].middle_mm
    for solid in plan.infill[run]:
        x = sum(corner[0] for corner in solid.outline) / len(solid.outline)
        y = sum(corner[1] for corner in solid.outline) / len(solid.outline)
        if math.dist((x, y), here) < math.dist((x, y), there):
            yield solid


def _parts_mm(plan: _Plan, turn: Turn) -> float | None:
    """How near rails and plates come beside an opening, where that is nearer than the opening."""
    own, other = (
        [*_bodies(plan, run, mark)]
        for run, mark in zip(turn.runs, (turn.post, turn.beside_post), strict=True)
    )
    gaps = [nearest(a.outline, b.outline) for a in own for b in other]
    here = [gap.clear_mm for gap in gaps if math.dist(gap.middle, turn.middle) <= WALKED_MM]
    least = min(here, default=turn.clear_mm)
    return least if least < turn.clear_mm - SAME_MM else None


def _bodies(plan: _Plan, run: str, mark: str) -> Iterator[PlanSolid]:
    if mark:
        yield plan.post_solids[mark]
    yield from plan.parts[run]


@dataclass(frozen=True)
class _Mouth:
    """The way onto a flight between its own end post and something else. Lengths in mm.

    Attributes:
        far: what stands across from the flight's post.
        beyond_mm: how far it stands beyond the far edge of the steps; negative is over them.
        edge, corner: where the steps' edge and what stands beyond it come nearest.
    """

    far: PlanSolid
    beyond_mm: float
    edge: Point
    corner: Point


def _mouth(plan: _Plan, gap: _Gap, flight: str) -> _Mouth | None:
    """The way onto a flight, where a gap lies across the flight's foot or head.

    It does where one of the two is the flight's own end post, the other stands on the walking
    side of it within half a right angle of square across, and what is left between them of the
    steps' width can be walked through. None where it does not.
    """
    railing, leg = plan.railings[flight], plan.legs[flight]
    if railing.level:
        return None
    side = 1.0 if railing.spec.side is Side.RIGHT else -1.0
    up = math.cos(leg.bearing_rad), math.sin(leg.bearing_rad)
    across = -side * up[1], side * up[0]
    for post, mark in ((railing.downhill_post, leg.start), (railing.uphill_post, leg.end)):
        for near, far, start, end in (
            (gap.own, gap.other, gap.at.start, gap.at.end),
            (gap.other, gap.own, gap.at.end, gap.at.start),
        ):
            if near.post != mark:
                continue
            plate = railing.kit.plate
            half = turned_half_mm(plate.along_mm, plate.across_mm, post.spec.skew.angle_rad)[1]
            edge_mm = _dot(plan.posts[mark].middle_mm, across) + (
                railing.stair.width_mm - post.in_from_side_mm - half
            )
            corner = _foremost(far, across)
            beyond = _dot(corner, across) - edge_mm
            gone = end[0] - start[0], end[1] - start[1]
            square = _dot(gone, across)
            walked = square - max(beyond, 0.0)
            if walked < WALKED_MM - SAME_MM or abs(_dot(gone, up)) > square:
                continue
            if beyond <= _BESIDE_MM:
                edge = corner[0] - beyond * across[0], corner[1] - beyond * across[1]
                return _Mouth(far, beyond, edge, corner)
    return None


def _foremost(solid: PlanSolid, across: Point) -> Point:
    """The corner that stands least far across; amid the side where a whole side does."""
    least = min(_dot(point, across) for point in solid.outline)
    found = [point for point in solid.outline if _dot(point, across) <= least + SAME_MM]
    return sum(x for x, _ in found) / len(found), sum(y for _, y in found) / len(found)


def _dot(point: Point, way: Point) -> float:
    return point[0] * way[0] + point[1] * way[1]

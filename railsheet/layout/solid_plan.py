"""What stands in plan, as convex outlines, and how near two of them come."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from railsheet.job.kit import PostKit
from railsheet.job.model import PostKind
from railsheet.layout.plan import Leg, Point
from railsheet.layout.post_section import post_in_plan
from railsheet.layout.railing import Bay, Railing
from railsheet.layout.site_model import SitePost

# Two pairs of points as far apart as this are equally near: noise of a site's float64 sums.
_EQUAL_MM = 1e-9

Outline = tuple[Point, ...]


@dataclass(frozen=True)
class PlanSolid:
    """A convex outline in plan that holds between two heights. Lengths in mm.

    Attributes:
        name: in words.
        run: the run it belongs to; of a post, any one of its runs.
        post: the mark of the post at a run's end that it is; empty for anything else.
        outline: its corners, in order; two for a wall plate.
        low_mm, high_mm: over the site's datum.
    """

    name: str
    run: str
    post: str
    outline: Outline
    low_mm: float
    high_mm: float

    def shared_mm(self, other: PlanSolid) -> float:
        """The height that both stand through; 0 or less where they share none."""
        return min(self.high_mm, other.high_mm) - max(self.low_mm, other.low_mm)


@dataclass(frozen=True)
class Nearest:
    """Where two outlines come nearest. Lengths in mm.

    Attributes:
        clear_mm: between them; 0 where they touch or overlap.
        start, end: a point of each; of faces that stand parallel, amid the stretch they share.
    """

    clear_mm: float
    start: Point
    end: Point

    @property
    def middle(self) -> Point:
        """Midway."""
        return (self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2


def nearest(first: Sequence[Point], second: Sequence[Point]) -> Nearest:
    """Where two convex outlines come nearest.

    Outlines that do not meet are nearest at a corner of one and a side of the other; of all such
    pairs the equally near ones are the ends of the stretch that parallel sides share, and nearest
    pairs of convex outlines may be averaged (the set of them is convex).
    """
    if _overlap(first, second):
        at = _middle([*first, *second])
        return Nearest(0.0, at, at)
    pairs = [(corner, _foot(corner, *side)) for corner, side in product(first, _sides(second))]
    pairs += [(_foot(corner, *side), corner) for corner, side in product(second, _sides(first))]
    clear = min(math.dist(a, b) for a, b in pairs)
    equal = [(a, b) for a, b in pairs if math.dist(a, b) <= clear + _EQUAL_MM]
    low, high = min(equal), max(equal)
    return Nearest(clear, _middle([low[0], high[0]]), _middle([low[1], high[1]]))


def _sides(outline: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from zip(outline, (*outline[1:], outline[0]), strict=True)


def _foot(point: Point, start: Point, end: Point) -> Point:
    """The point of a side that is nearest to a point."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    if square == 0.0:
        return start
    share = ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square
    share = min(max(share, 0.0), 1.0)
    return start[0] + share * dx, start[1] + share * dy


def _overlap(first: Sequence[Point], second: Sequence[Point]) -> bool:
    """Whether no line parts them: of convex outlines a side's own line would (separating axis)."""
    for start, end in (*_sides(first), *_sides(second)):
        dx, dy = end[0] - start[0], end[1] - start[1]
        for axis in ((-dy, dx), (dx, dy)):
            reach = [[x * axis[0] + y * axis[1] for x, y in each] for each in (first, second)]
            if min(reach[0]) > max(reach[1]) or min(reach[1]) > max(reach[0]):
                return False
    return True


def _middle(points: Sequence[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def post_outline(post: SitePost, section: PostKit, mount_mm: float) -> Outline:
    """A post as it stands turned; a wall plate as the line on the wall that its mount covers."""
    (x, y), turned = post.middle_mm, post.turned_rad
    if post.kind is PostKind.WALL:
        way = post.meetings[0].lies_rad + math.pi / 2
        dx, dy = math.cos(way) * mount_mm / 2, math.sin(way) * mount_mm / 2
        return (x - dx, y - dy), (x + dx, y + dy)
    return post_in_plan(section, (x, y), turned)


def post_solid(post: SitePost, railing: Railing) -> PlanSolid:
    """A post at a run's end; a wall plate stands for the wall, which is as tall as need be."""
    kit = railing.kit
    outline = post_outline(post, kit.post, kit.wide_at_wall_mm)
    wall = post.kind is PostKind.WALL
    return PlanSolid(
        name=f"{post.kind.value} {post.mark}",
        run=post.owner,
        post=post.mark,
        outline=outline,
        low_mm=-math.inf if wall else post.foot_mm,
        high_mm=math.inf if wall else post.foot_mm + post.height_mm,
    )


def standing_in(railing: Railing, leg: Leg, start: Point, base_mm: float) -> Iterator[PlanSolid]:
    """What of a run stands from rail to rail or from floor to top: line posts and infill.

    Members in a row stand each by itself; any other infill shuts its bay from post to post.

    Args:
        start: the plan point that the run's line starts from.
        base_mm: the run's own z = 0 over the site's datum.
    """
    place = _Place(leg, start)
    run, half = railing.spec.mark, railing.kit.post.width_mm / 2
    for post in railing.posts[1:-1]:
        yield PlanSolid(
            f"{post.words} of run {run}",
            run,
            "",
            place.box(post.centre_s_mm - half, post.centre_s_mm + half, half),
            base_mm + post.surface_z_mm,
            base_mm + post.top_z_mm,
        )
    for bay in railing.bays:
        for low_s, high_s, thick in _members(bay):
            middle = (low_s + high_s) / 2
            top = base_mm + bay.line.z_at(middle)
            yield PlanSolid(
                f"the infill of run {run}",
                run,
                "",
                place.box(low_s, high_s, thick / 2),
                top - bay.section.height_plumb_mm,
                top,
            )


def _members(bay: Bay) -> Iterator[tuple[float, float, float]]:
    """From where to where on the run, and how thick."""
    members = bay.infill.members
    if bay.infill.row is None:
        thick = min((member.thick_mm for member in members), default=0.0)
        yield bay.downhill_face_mm, bay.uphill_face_mm, thick
        return
    for member in members:
        places = [s for s, _ in member.outline]
        yield min(places), max(places), member.thick_mm


def reaching_in(railing: Railing, leg: Leg, start: Point, base_mm: float) -> Iterator[PlanSolid]:
    """What of a run stands out over a part of its height only: rails, and base plates."""
    place, kit, run = _Place(leg, start), railing.kit, railing.spec.mark
    for bay in railing.bays:
        ends = bay.downhill_face_mm, bay.uphill_face_mm
        tops = [base_mm + bay.line.z_at(s) for s in ends]
        wide = max(rail.kit.width_mm for rail in bay.rails)
        low = min(tops) - bay.section.height_plumb_mm
        outline = place.box(*ends, wide / 2)
        yield PlanSolid(f"rail of run {run}", run, "", outline, low, max(tops))
    along, across = kit.plate.along_mm / 2, kit.plate.across_mm / 2
    for post in railing.posts:
        if post.made:
            s, foot = post.centre_s_mm, base_mm + post.surface_z_mm
            outline = place.box(s - along, s + along, across)
            top = foot + kit.plate.thickness_mm
            yield PlanSolid(f"plate of run {run}", run, "", outline, foot, top)


class _Place:
    """From a run's own s, and how far across to its left, to the plan."""

    def __init__(self, leg: Leg, start: Point) -> None:
        self._zero = leg.start_s_mm
        self._start = start
        self._way = math.cos(leg.bearing_rad), math.sin(leg.bearing_rad)

    def at(self, s_mm: float, left_mm: float) -> Point:
        (x, y), (ux, uy), along = self._start, self._way, s_mm - self._zero
        return x + along * ux - left_mm * uy, y + along * uy + left_mm * ux

    def box(self, low_s: float, high_s: float, half: float) -> Outline:
        corners = (low_s, -half), (high_s, -half), (high_s, half), (low_s, half)
        return tuple(self.at(s, left) for s, left in corners)

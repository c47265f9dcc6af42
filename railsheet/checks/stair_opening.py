"""Outlines of the openings in a guard: beside a step, and between plumb members.

Run frame: s along the run, uphill positive, z up, both in mm, in the plane of the guard.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from railsheet.checks.opening import Circle, greatest_circles

# A circle this near to a line that only closes the drawing is held up by it.
_LEANS_MM = 1e-6
_NOTHING = Polygon()


@dataclass(frozen=True)
class EdgeLine:
    """A straight edge of a rail in the plane of the guard, z = slope·s + intercept.

    Attributes:
        slope: tangent of the rake.
        intercept_mm: height at s = 0.
    """

    slope: float
    intercept_mm: float

    def height_mm(self, s_mm: float) -> float:
        """Height of the edge at s."""
        return self.slope * s_mm + self.intercept_mm


@dataclass(frozen=True)
class Step:
    """One step beside the guard: the tread, and the nose above it.

    Attributes:
        nose_mm: (s, z) of the tread's leading edge.
        next_nose_mm: (s, z) of the leading edge of the tread above.
        overhang_mm: how far the tread above stands out over the riser face, or, with open
            risers, over the back of this tread.
        thickness_mm: the tread above, over the void: with a bar or a part riser hung below it,
            down to the lower edge of that.
        open_riser: there is no riser board.
    """

    nose_mm: tuple[float, float]
    next_nose_mm: tuple[float, float]
    overhang_mm: float
    thickness_mm: float
    open_riser: bool

    @property
    def run_mm(self) -> float:
        """Nose to nose along the run."""
        return self.next_nose_mm[0] - self.nose_mm[0]

    @property
    def rise_mm(self) -> float:
        """Tread to tread, upright."""
        return self.next_nose_mm[1] - self.nose_mm[1]

    @property
    def back_s_mm(self) -> float:
        """The riser's face; with open risers the back of the void, as ``step_void`` takes it."""
        beyond = self.run_mm if self.open_riser else 0.0
        return self.next_nose_mm[0] + self.overhang_mm + beyond

    @property
    def under_z_mm(self) -> float:
        """The underside of the tread above."""
        return self.next_nose_mm[1] - self.thickness_mm


@dataclass(frozen=True)
class StepOpening:
    """The opening beside one step.

    Attributes:
        outline: the opening, in mm; empty where the rail shuts it.
        circle: the greatest circle in it.
        whole: the circle touches only the stair and the rail. False where it leans on a line
            that is not there in the world: then the rail stands so high that the opening runs
            on past this step, and at least this circle passes.
    """

    outline: Polygon
    circle: Circle
    whole: bool


@dataclass(frozen=True)
class Void:
    """An opening before anything is fitted into it.

    Attributes:
        outline: in mm; empty where there is no opening.
        open_sides: the parts of the outline that only close the drawing: in the world the
            opening runs on there.
    """

    outline: Polygon
    open_sides: tuple[LineString, ...]

    def clipped(self, low_s_mm: float, high_s_mm: float, blocks: Sequence[Polygon] = ()) -> Void:
        """What is left between two plumb faces and outside of solid blocks."""
        if self.outline.is_empty:
            return Void(self.outline, ())
        _, bottom, _, top = self.outline.bounds
        between = box(low_s_mm, bottom - 1.0, high_s_mm, top + 1.0)
        left: BaseGeometry = shapely.intersection(self.outline, between)
        for block in blocks:
            left = shapely.difference(left, block)
        ends = [line.bounds for line in self.open_sides]
        # What of a side is above or below the outline no circle in it can lean on.
        if all(low_s_mm <= end[0] and end[2] <= high_s_mm for end in ends):
            return Void(_greatest_part(left), self.open_sides)
        sides = tuple(
            side
            for line in self.open_sides
            for side in shapely.get_parts(shapely.intersection(line, between))
            if isinstance(side, LineString) and side.length > _LEANS_MM
        )
        return Void(_greatest_part(left), sides)

    def joined(self, others: Sequence[Void]) -> Void:
        """This opening made one with its neighbours, which it opens into; no side is open then."""
        whole = shapely.union_all([self.outline, *(other.outline for other in others)])
        return Void(_without_holes(_greatest_part(whole)), ())

    def with_circle(self, circle: Circle) -> StepOpening:
        """With the greatest circle in it."""
        centre = Point(circle.s_mm, circle.z_mm)
        reach = circle.diameter_mm / 2.0 + _LEANS_MM
        whole = all(line.distance(centre) > reach for line in self.open_sides)
        return StepOpening(self.outline, circle, self.outline.is_empty or whole)

    def fitted(self) -> StepOpening:
        """The greatest circle in it."""
        return fitted_all([self])[0]


def fitted_all(voids: Sequence[Void]) -> list[StepOpening]:
    """The greatest circle in each, all sought together, which is far quicker than one by one."""
    circles = greatest_circles([void.outline for void in voids])
    return [void.with_circle(circle) for void, circle in zip(voids, circles, strict=True)]


def step_void(step: Step, rail_underside: EdgeLine) -> Void:
    """The outline of the opening formed by the tread, the riser and the bottom rail at one step.

    It runs along the tread's top to the riser face; up the riser to the underside of the tread
    above; out under its overhang to the nose and up its front; plumb to the underside of the
    bottom rail; down the rail. Downhill of the tread's own nose it follows the tread's level on
    to the rail, or for one run at the most. With the rail lying on the noses, no overhang and a
    closed riser this is the right triangle of riser, tread and rail; a rail held off the noses
    scales that triangle up.

    With an open riser there is no riser face. The outline runs on at the tread's level under the
    tread above to that tread's own back, taken to be one run beyond its nose's overhang, and is
    bounded above by its underside: a sphere may lean into the void as it passes.

    The model is of the plane of the guard: "the triangular openings at the open side of stair,
    formed by the riser, tread and bottom rail of a guard" (International Residential Code,
    2021 R312.1.3 exception 1).

    Raises:
        ValueError: the step does not rise and run, or the tread above is as thick as the rise.
    """
    _check(step)
    (nose_s, nose_z), (next_s, next_z) = step.nose_mm, step.next_nose_mm
    down_s = _downhill_end(step, rail_underside)
    back_s, under_z = step.back_s_mm, step.under_z_mm
    ends = (rail_underside.height_mm(down_s), rail_underside.height_mm(next_s))
    above_z = max(*ends, next_z) + step.rise_mm
    room = Polygon(
        [
            (down_s, nose_z),
            (back_s, nose_z),
            (back_s, under_z),
            (next_s, under_z),
            (next_s, above_z),
            (down_s, above_z),
        ]
    )
    under_rail = _below(rail_underside, down_s, back_s, nose_z - step.rise_mm)
    return Void(
        _greatest_part(shapely.intersection(room, under_rail)),
        (
            LineString([(down_s, nose_z), (nose_s, nose_z)]),
            LineString([(down_s, nose_z), (down_s, above_z)]),
            LineString([(next_s, next_z), (next_s, above_z)]),
        ),
    )


def flat_void(
    low_s_mm: float,
    high_s_mm: float,
    floor_z_mm: float,
    rail_underside: EdgeLine,
    *,
    nose_s_mm: float | None = None,
    run_mm: float = 0.0,
) -> Void:
    """The opening between a level floor and a bottom rail.

    Args:
        low_s_mm, high_s_mm: where the floor begins and ends.
        floor_z_mm: its height.
        rail_underside: the rail over it.
        nose_s_mm: the floor's nose, where it begins at one: the outline then goes on past it at
            the floor's level to the rail, or for one run at the most, as beside a step.
        run_mm: the run below that nose.

    Raises:
        ValueError: the floor ends before it begins.
    """
    if not low_s_mm < high_s_mm:
        raise ValueError("a flat begins downhill of where it ends")
    down_s = low_s_mm
    sides: tuple[LineString, ...] = ()
    if nose_s_mm is not None:
        step = Step((nose_s_mm, floor_z_mm), (nose_s_mm + run_mm, floor_z_mm + 1), 0, 0, False)
        down_s = _downhill_end(step, rail_underside)
        if down_s < nose_s_mm:
            sides = (LineString([(down_s, floor_z_mm), (nose_s_mm, floor_z_mm)]),)
    heights = [rail_underside.height_mm(s) for s in (down_s, high_s_mm)]
    above_z = max(floor_z_mm, *heights) + 1.0
    sides = (*sides, LineString([(down_s, floor_z_mm), (down_s, above_z)]))
    if nose_s_mm is None:
        sides = (*sides, LineString([(high_s_mm, floor_z_mm), (high_s_mm, above_z)]))
    room = box(down_s, floor_z_mm, high_s_mm, above_z)
    under_rail = _below(rail_underside, down_s, high_s_mm, floor_z_mm)
    return Void(_greatest_part(shapely.intersection(room, under_rail)), sides)


def _check(step: Step) -> None:
    if not (step.run_mm > 0.0 and step.rise_mm > 0.0):
        raise ValueError("a step runs and rises: its next nose is uphill and higher")
    if not 0.0 <= step.thickness_mm < step.rise_mm:
        raise ValueError("a tread's thickness is from nothing to less than the rise")
    if step.overhang_mm < 0.0:
        raise ValueError("an overhang is not less than nothing")


def _downhill_end(step: Step, rail: EdgeLine) -> float:
    nose_s, nose_z = step.nose_mm
    furthest = nose_s - step.run_mm
    if rail.slope <= 0.0:
        return furthest
    return min(nose_s, max((nose_z - rail.intercept_mm) / rail.slope, furthest))


def _below(rail: EdgeLine, from_s: float, to_s: float, floor_z: float) -> Polygon:
    ends = (rail.height_mm(from_s), rail.height_mm(to_s))
    # A rail that dips under this floor leaves the outline empty there, not turned inside out.
    floor = min(floor_z, *ends) - 1.0
    return Polygon([(from_s, floor), (to_s, floor), (to_s, ends[1]), (from_s, ends[0])])


def _greatest_part(cut: BaseGeometry) -> Polygon:
    """The largest piece, where a rail low over the nose cuts the room in two."""
    parts = [part for part in shapely.get_parts(cut) if isinstance(part, Polygon)]
    parts = [part for part in parts if part.area > 0.0]
    return max(parts, key=lambda part: part.area, default=_NOTHING)


def _without_holes(outline: Polygon) -> Polygon:
    # Neighbours meet along a line; float noise may leave a sliver between them. Filling it only
    # makes the opening larger.
    return Polygon(outline.exterior) if outline.interiors else outline


def between_plumbs(
    left_s_mm: float, right_s_mm: float, lower: EdgeLine, upper: EdgeLine
) -> Polygon:
    """The opening between two plumb faces, from a lower edge to an upper one.

    Serves between two balusters, between a post and the first baluster, and, with a floor for
    the lower edge, under a bottom rail on the flat.

    Args:
        left_s_mm: the lower face.
        right_s_mm: the face uphill of it.
        lower: top of the bottom rail, or the floor.
        upper: underside of the rail above.

    Returns:
        The outline in mm, four corners.

    Raises:
        ValueError: the faces or the edges are in the wrong order.
    """
    corners = [
        (left_s_mm, lower.height_mm(left_s_mm)),
        (right_s_mm, lower.height_mm(right_s_mm)),
        (right_s_mm, upper.height_mm(right_s_mm)),
        (left_s_mm, upper.height_mm(left_s_mm)),
    ]
    if not left_s_mm < right_s_mm:
        raise ValueError("the first face is downhill of the second")
    if corners[0][1] >= corners[3][1] or corners[1][1] >= corners[2][1]:
        raise ValueError("the lower edge is under the upper one at both faces")
    return Polygon(corners)

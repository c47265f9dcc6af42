"""A handrail raised in space from its setting-out: bars through its corners, cut by planes.

Frame: x along the first straight going up, y to its left, z up from its first surface; mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import cadquery as cq

from railsheet.job.kit_handrail import Finish, HandrailSection
from railsheet.solids.bar import cut_off
from railsheet.solids.handrail_out import CornerOut, HandrailOut
from railsheet.solids.part import Part, PartKind
from railsheet.solids.space import UP, Flat

# Longer than any handrail, mm.
_LONG = 2.0e4


@dataclass(frozen=True)
class RaisedPiece:
    """One straight piece.

    Attributes:
        number: as the sheets count it, from 1.
        start, stop: the corners that its middle goes between.
        solid: cut at both ends.
        over: the flight it rises with; None for a level piece and a return.
    """

    number: int
    start: cq.Vector
    stop: cq.Vector
    solid: cq.Shape
    over: str | None

    @property
    def way(self) -> cq.Vector:
        """Going up."""
        return (self.stop - self.start).normalized()


@dataclass(frozen=True)
class RaisedHandrail:
    """A handrail in space.

    Attributes:
        pieces: from the lower end up, returns included.
        main: numbers of the first and last piece that are no return.
        bends: at each corner between two pieces, how far from it the bend begins, mm.
        walls: each straight's surface, looking to the rail.
    """

    out: HandrailOut
    pieces: tuple[RaisedPiece, ...]
    main: tuple[int, int]
    bends: tuple[float, ...]
    walls: tuple[Flat, ...]


def handrail_parts(rail: RaisedHandrail) -> dict[str, Part]:
    """Its pieces by mark; where two are mitred, the upper one lies on the lower."""
    mark = rail.out.mark
    parts = {}
    for piece in rail.pieces:
        number = piece.number - rail.main[0]
        corner = rail.out.corners[number] if 0 <= number < len(rail.out.corners) else None
        mitred = piece.number > 1 and (corner is None or corner.fitting_mm is None)
        on = (f"{mark}-{piece.number - 1}",) if mitred else ()
        name = f"{mark}-{piece.number}"
        parts[name] = Part(name, PartKind.RAIL, piece.solid, on)
    return parts


def raise_handrail(out: HandrailOut) -> RaisedHandrail:
    """Raise one handrail."""
    frames = straight_planes(out)
    points = _corners(out, frames)
    overs = [*out.over]
    fittings = [corner.fitting_mm for corner in out.corners]
    lower, upper = out.ends
    if lower.turns:
        points.insert(0, _turned_to(out, points[0], frames[0], lower, out.corners[0]))
        overs.insert(0, None)
        fittings.insert(0, None)
    if upper.turns:
        points.append(_turned_to(out, points[-1], frames[-1], upper, out.corners[-1]))
        overs.append(None)
        fittings.append(None)
    ways = [(b - a).normalized() for a, b in pairwise(points)]
    stops: list[tuple[Flat, Flat]] = []
    bends = []
    for number in range(1, len(points) - 1):
        before, after, at = ways[number - 1], ways[number], points[number]
        bend, pair = _joined(at, before, after, fittings[number])
        bends.append(bend)
        stops.append(pair)
    gaps = [out.kit.end(finish).gap_mm for finish in out.ends]
    low = Flat(points[0] + ways[0] * gaps[0], ways[0] * -1.0)
    high = Flat(points[-1] - ways[-1] * gaps[1], ways[-1])
    begins = [low, *(pair[1] for pair in stops)]
    finishes = [*(pair[0] for pair in stops), high]
    pieces = tuple(
        RaisedPiece(
            number,
            points[number - 1],
            points[number],
            cut_off(long_bar(out.kit.section, points[number - 1], way), [begin, finish]),
            over,
        )
        for number, (way, begin, finish, over) in enumerate(
            zip(ways, begins, finishes, overs, strict=True), start=1
        )
    )
    first = 2 if lower.turns else 1
    side, off = float(out.way.side), out.way.offset_mm - out.way.face_mm
    walls = tuple(Flat(f.origin + f.yDir * (side * off), f.yDir * side) for f in frames)
    return RaisedHandrail(out, pieces, (first, first + len(out.over) - 1), tuple(bends), walls)


def straight_planes(out: HandrailOut) -> list[cq.Plane]:
    """Each straight's line in plan: x along it, y to its left; its origin where it is read from."""
    found = [cq.Plane(origin=(0, 0, 0), xDir=(1, 0, 0), normal=(0, 0, 1))]
    for straight in out.straights[:-1]:
        last = found[-1]
        at, turn = last.toWorldCoords((straight.length_mm, 0, 0)), straight.turn_rad
        way = last.xDir * math.cos(turn) + last.yDir * math.sin(turn)
        found.append(cq.Plane(origin=at, xDir=way, normal=UP))
    return found


def _corners(out: HandrailOut, frames: list[cq.Plane]) -> list[cq.Vector]:
    """Where the middle bends: its places in plan, its heights by the rail's lines."""
    across = float(out.way.side) * out.way.offset_mm
    plan = []
    for corner in out.corners:
        frame = frames[corner.straight]
        if not corner.turns:
            plan.append(frame.toWorldCoords((corner.along_mm, across, 0)))
            continue
        after = frames[corner.straight + 1]
        line = Flat(after.toWorldCoords((0, across, 0)), after.yDir)
        plan.append(line.met_by(frame.toWorldCoords((0, across, 0)), frame.xDir))
    heights: list[float | None] = [None] * len(plan)
    for index, flight in enumerate(out.over):
        if flight is None:
            continue
        frame, middle = line_over(out, frames, flight)
        for each in (index, index + 1):
            heights[each] = middle(float((plan[each] - frame.origin).dot(frame.xDir)))
    for index in (*range(1, len(plan)), *range(len(plan) - 2, -1, -1)):
        # A level piece is as high at one end as at the other.
        beside = index - 1 if heights[index - 1] is not None and index else index + 1
        if heights[index] is None and beside < len(plan):
            heights[index] = heights[beside]
    return [point + UP * (height or 0.0) for point, height in zip(plan, heights, strict=True)]


def line_over(
    out: HandrailOut, frames: list[cq.Plane], flight: str
) -> tuple[cq.Plane, Callable[[float], float]]:
    """A flight's straight, and its rail's middle there by the place along it."""
    number, beside = next(
        (n, f) for n, s in enumerate(out.straights) for f in s.flights if f.mark == flight
    )
    slope, start = out.lines[flight]
    along = cq.Vector(1, 0, slope).normalized()
    square = cq.Vector(-along.z, 0, along.x)
    top = cq.Vector(beside.nose_mm, 0, beside.floor_mm + start)
    flat = Flat(top - square * (out.kit.section.depth_mm / 2), square)
    return frames[number], lambda s: float(flat.plumb_at(s).z)


def _joined(
    at: cq.Vector, before: cq.Vector, after: cq.Vector, fitting_mm: tuple[float, float] | None
) -> tuple[float, tuple[Flat, Flat]]:
    """How far from a corner its bend begins, and what cuts the pieces before and after it."""
    if fitting_mm is None:
        between = (before + after).normalized()
        return 0.0, (Flat(at, between), Flat(at, between * -1.0))
    radius, leg = fitting_mm
    bend = _bend_mm(before, after, radius) if radius else 0.0
    back = bend + leg
    return bend, (Flat(at - before * back, before), Flat(at + after * back, after * -1.0))


def _bend_mm(before: cq.Vector, after: cq.Vector, radius: float) -> float:
    """From a corner to where an arc of a radius touches both its ways: the kernel's own fillet."""
    far = 100.0 * radius
    # In the plane of both ways: x along the first, the corner at zero.
    aside = (after - before * after.dot(before)).normalized()
    ends = [
        cq.Vector(-far, 0, 0),
        cq.Vector(0, 0, 0),
        cq.Vector(after.dot(before), after.dot(aside), 0) * far,
    ]
    wire = cq.Wire.assembleEdges([cq.Edge.makeLine(a, b) for a, b in pairwise(ends)])
    arc = next(e for e in wire.fillet2D(radius, [wire.Vertices()[1]]).Edges()
               if e.geomType() == "CIRCLE")  # fmt: skip
    return float(arc.startPoint().Length)


def long_bar(section: HandrailSection, through: cq.Vector, way: cq.Vector) -> cq.Shape:
    """The section drawn far along a way, its sides plumb."""
    start = through - way * _LONG
    if section.round:
        return cq.Solid.makeCylinder(section.depth_mm / 2, 2 * _LONG, start, way)
    side = UP.cross(way)
    aside = side.normalized() if side.Length > 1e-9 else cq.Vector(0, 1, 0)
    plane = cq.Plane(origin=start, xDir=aside, normal=way)
    low = cq.Vector(-section.width_mm / 2, -section.depth_mm / 2, 0)
    return cq.Solid.makeBox(section.width_mm, section.depth_mm, 2 * _LONG, low).moved(
        plane.location
    )


def _turned_to(
    out: HandrailOut, at: cq.Vector, frame: cq.Plane, finish: Finish, corner: CornerOut
) -> cq.Vector:
    """Where a return's middle comes to its wall, its post or its floor."""
    if finish is Finish.FLOOR:
        floor = out.straights[corner.straight].surface_mm(corner.along_mm)
        return cq.Vector(at.x, at.y, floor)
    off = out.way.offset_mm - out.way.face_mm
    return at - frame.yDir * (float(out.way.side) * (out.way.offset_mm - off))

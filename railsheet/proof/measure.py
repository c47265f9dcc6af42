"""Measuring a solid as a bench or a tape would: faces, edges, reaches, shots. mm and radians.

Open CASCADE's own faces, edges and distances, through cadquery; no formula of the layout's.
"""

from __future__ import annotations

from dataclasses import dataclass

import cadquery as cq

from railsheet.solids.space import FAR, Flat

# What the kernel holds two directions or places the same to.
_SAME_WAY = 1e-7


def long_way(solid: cq.Shape) -> cq.Vector:
    """The way of a solid's longest straight edge, uphill; a plumb one, up."""
    edge = max(
        (e for e in solid.Edges() if e.geomType() == "LINE"), key=lambda line: float(line.Length())
    )
    way = (edge.endPoint() - edge.startPoint()).normalized()
    turn = way.x if abs(way.x) > _SAME_WAY else way.z
    return way if turn > 0 else way * -1.0


def reach_mm(shape: cq.Shape, way: cq.Vector) -> tuple[float, float]:
    """From where to where a solid with straight edges goes, along a way."""
    places = [vertex.Center().dot(way) for vertex in shape.Vertices()]
    return min(places), max(places)


def spread_mm(shape: cq.Shape, way: cq.Vector) -> float:
    """How long a solid with straight edges is, along a way."""
    low, high = reach_mm(shape, way)
    return high - low


def extent_mm(shape: cq.Shape, way: cq.Vector) -> tuple[float, float]:
    """From where to where a shape goes along a way, its curves with it.

    Each is the distance to a plane far off, square to the way.
    """
    ends = []
    for sign in (-1.0, 1.0):
        base = cq.Plane(origin=way * (sign * FAR), normal=way)
        far = cq.Face.makePlane(4 * FAR, 4 * FAR, base.origin, base.zDir)
        ends.append(sign * (FAR - shape.distance(far)))
    return ends[0], ends[1]


@dataclass(frozen=True)
class Side:
    """A flat face of a solid.

    Attributes:
        face: the kernel's own.
        flat: its plane, looking out of the solid.
    """

    face: cq.Face
    flat: Flat


def sides(solid: cq.Shape) -> list[Side]:
    """A solid's flat faces."""
    return [
        Side(face, Flat(face.Center(), face.normalAt()))
        for face in solid.Faces()
        if face.geomType() == "PLANE"
    ]


def outermost(solid: cq.Shape, way: cq.Vector) -> Side:
    """The flat face that looks a way and lies farthest that way.

    Raises:
        ValueError: no face looks that way.
    """
    looking = [s for s in sides(solid) if s.flat.normal.dot(way) > 1 - _SAME_WAY]
    return max(looking, key=lambda side: float(side.flat.at.dot(way)))


def end_side(solid: cq.Shape, way: cq.Vector) -> Side:
    """The cut at a piece's end: of the faces that look at all that way, the farthest."""
    looking = [s for s in sides(solid) if s.flat.normal.dot(way) > 0.3]
    return max(looking, key=lambda side: float(side.flat.at.dot(way)))


def cut_side(bar: cq.Shape, way: cq.Vector) -> Side:
    """The cut at a bored bar's end: of the faces that look at all that way, that of the long point.

    A hole that the cut has opened has a side that looks that way as well. Its middle may lie past
    the middle of a plumb cut; none of its corners lies past the long point.
    """
    looking = [s for s in sides(bar) if s.flat.normal.dot(way) > 0.3]
    return max(looking, key=lambda side: reach_mm(side.face, way)[1])


def angle_rad(one: cq.Vector, other: cq.Vector) -> float:
    """The angle between two ways, as lines: 0 to a quarter turn."""
    angle = float(one.getAngle(other))
    return min(angle, 3.141592653589793 - angle)


def shot_mm(solid: cq.Shape, z_mm: float) -> tuple[float, float]:
    """Where a level line along the run, in the rails' middle, goes into a solid and out of it.

    Raises:
        ValueError: it passes by.
    """
    line = cq.Edge.makeLine(cq.Vector(-FAR, 0, z_mm), cq.Vector(FAR, 0, z_mm))
    met = [vertex.X for vertex in solid.intersect(line).Vertices()]
    return min(met), max(met)


def across_mm(solid: cq.Shape, at: cq.Vector, way: cq.Vector) -> float:
    """How far a line through a point, in a way, stays within a solid past that point.

    Raises:
        ValueError: it passes by.
    """
    line = cq.Edge.makeLine(at - way * FAR, at + way * FAR)
    return max(float((v.Center() - at).dot(way)) for v in solid.intersect(line).Vertices())


def signed_mm(flat: Flat, point: cq.Vector) -> float:
    """How far a point stands before a plane; negative behind it."""
    return float((point - flat.at).dot(flat.normal))

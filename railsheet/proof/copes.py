"""A coped end measured on its solid: its round, how far it goes in, and where it meets a face."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cadquery as cq

from railsheet.proof.derived import Derived, angle
from railsheet.proof.measure import Side, angle_rad, extent_mm

_QUARTER = 1.5707963267948966


@dataclass(frozen=True)
class Cope:
    """A rail's coped end: the kernel's own face, and the round that it lies on.

    Attributes:
        radius_mm, axis: of that round.
    """

    face: cq.Face
    radius_mm: float
    axis: cq.Vector


def cope_of(solid: cq.Shape, way: cq.Vector) -> Cope | None:
    """The cope at a rail's end that looks a way; None where the end is cut flat."""
    copes = [face for face in solid.Faces() if face.geomType() == "CYLINDER"]
    if not copes:
        return None
    low, high = extent_mm(solid, way)
    face = max(copes, key=lambda each: float(each.Center().dot(way)))
    if face.Center().dot(way) < (low + high) / 2:
        return None
    round_ = face._geomAdaptor().Cylinder()
    axis = round_.Axis().Direction()
    return Cope(face, round_.Radius(), cq.Vector(axis.X(), axis.Y(), axis.Z()))


def on_side(cope: Cope, side: Side) -> cq.Vector:
    """Where the cope's edge crosses the middle of a flat side of the rail."""
    edges = [
        edge
        for edge in cope.face.Edges()
        if abs((edge.positionAt(0.5) - side.flat.at).dot(side.flat.normal)) < 1e-6
    ]
    return edges[0].positionAt(0.5)


def cope_figures(key: str, cope: Cope, along: cq.Vector, depth_mm: float) -> Iterator[Derived]:
    """A coped end's own figures.

    Args:
        key: where they stand in the book.
        along: the rail's way.
        depth_mm: the rail's.
    """
    yield angle(f"{key}.saw", _QUARTER - angle_rad(cope.axis, along), depth_mm)
    low, high = extent_mm(cope.face, along)
    yield Derived(f"{key}.short_point", high - low)
    yield Derived(f"{key}.cope_radius", cope.radius_mm)
    # Of an edge on a flat side the ends are the long points, the middle the hollow's floor.
    edge = max(cope.face.Edges(), key=lambda each: abs(each.tangentAt(0.5).y))
    ends = edge.startPoint(), edge.endPoint()
    yield Derived(f"{key}.cope", abs(float((edge.positionAt(0.5) - ends[0]).dot(along))))

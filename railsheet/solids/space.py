"""Planes and plumb lines in space: what the parts are cut by.

Run frame: x is s, z up, y across; mm. Only vectors are used here: no rake, and of a rail no angle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cadquery as cq

UP = cq.Vector(0, 0, 1)
RUN = cq.Vector(1, 0, 0)

# Longer than any run, mm.
FAR = 1.0e5


@dataclass(frozen=True)
class Flat:
    """A plane.

    Attributes:
        at: a point on it.
        normal: square to it, of length 1.
    """

    at: cq.Vector
    normal: cq.Vector

    def met_by(self, point: cq.Vector, way: cq.Vector) -> cq.Vector:
        """Where the line through a point, in a way, meets it."""
        share = (self.at - point).dot(self.normal) / way.dot(self.normal)
        return point + way * share

    def plumb_at(self, s_mm: float) -> cq.Vector:
        """Where it stands over a place on the run, in the rails' middle."""
        return self.met_by(cq.Vector(s_mm, 0, 0), UP)


def plumb_flat(s_mm: float, way: float = 1.0) -> Flat:
    """A plumb plane square across the run at a place, looking uphill (1) or downhill (-1)."""
    return Flat(cq.Vector(s_mm, 0, 0), RUN * way)


def facing(at: cq.Vector, turned_rad: float, way: cq.Vector) -> Flat:
    """The plumb face of a square post through a point that looks most nearly one way.

    Args:
        at: a point on it.
        turned_rad: the way one of the post's faces looks, from the run's own way.
        way: into which it looks.
    """
    look = cq.Vector(math.cos(turned_rad), math.sin(turned_rad), 0)
    side = UP.cross(look)
    return Flat(at, max((look, side, look * -1.0, side * -1.0), key=lambda n: float(n.dot(way))))


def beyond(flat: Flat) -> cq.Solid:
    """All the space on the side that a plane looks to, as far as it matters."""
    # Four times as far as any bar: from wherever it begins it reaches past the bar's end.
    room = cq.Solid.makeBox(8 * FAR, 8 * FAR, 4 * FAR, cq.Vector(-4 * FAR, -4 * FAR, 0))
    return room.moved(cq.Plane(flat.at, normal=flat.normal).location)


def slab(outline: Sequence[cq.Vector], width_mm: float, y_mm: float = 0.0) -> cq.Solid:
    """An outline in the plane of the run, extruded to a width across it, its middle at y."""
    start = cq.Vector(0, y_mm - width_mm / 2, 0)
    wire = cq.Wire.makePolygon([cq.Vector(p.x, 0, p.z) + start for p in outline], close=True)
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(0, width_mm, 0))


def box(low: cq.Vector, high: cq.Vector) -> cq.Solid:
    """A box square to the run frame, between two corners."""
    size = high - low
    return cq.Solid.makeBox(size.x, size.y, size.z, low)


def whole(shape: cq.Shape) -> cq.Shape:
    """A boolean's result as the one solid that it is, where it is one."""
    solids = shape.Solids()
    return solids[0] if len(solids) == 1 else shape

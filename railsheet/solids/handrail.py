"""A handrail as solids: its pieces cut as they are, its fittings' bends, in one assembly."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from railsheet.layout.handrail_model import Handrail, HandrailPiece, Joint
from railsheet.layout.handrail_pieces import section_up

if TYPE_CHECKING:
    import cadquery

Array = NDArray[np.float64]


def handrail_solids(handrail: Handrail) -> cadquery.Assembly:
    """Every piece and fitting of a handrail, named by its mark, in millimetres.

    x is along the first straight going up, y to the left of it, z up, as the layout has them.
    Pieces are drawn solid, since the parts give no wall thickness; a fitting as the rail's own
    section along its middle. Brackets and end plates are left to the maker's own model.
    """
    import cadquery

    whole = cadquery.Assembly(name=f"handrail {handrail.mark}")
    for piece in handrail.pieces:
        whole.add(piece_solid(handrail, piece), name=piece.mark)
    for joint in handrail.joints:
        # A splice whose rails touch stands within them: nothing of it shows.
        if joint.fitting is not None and joint.set_back_mm:
            whole.add(fitting_solid(handrail, joint), name=f"{handrail.mark}-J{joint.corner + 1}")
    return whole


def piece_solid(handrail: Handrail, piece: HandrailPiece) -> cadquery.Workplane:
    """One piece in place, both its ends cut."""
    way = np.array(piece.way)
    start = np.array(handrail.corners[piece.start].at)
    low = start + way * (piece.lower.back_mm - piece.lower.reach_mm)
    bar = _bar(handrail, low, way, piece.length_mm)
    stop = start + way * (piece.corner_to_corner_mm - piece.upper.back_mm)
    begin = start + way * piece.lower.back_mm
    for end, at, outward in ((piece.lower, begin, -way), (piece.upper, stop, way)):
        if end.lean_rad:
            # The cut's plane holds the middle's end and leans toward its long point.
            long_way = np.array(end.long_way)
            normal = outward * math.cos(end.lean_rad) - long_way * math.sin(end.lean_rad)
            bar = bar.cut(_beyond(at, normal, piece.length_mm))
    return bar


def _bar(handrail: Handrail, start: Array, way: Array, length_mm: float) -> cadquery.Workplane:
    import cadquery

    section = handrail.spec.kit.section
    up = section_up(way)
    plane = cadquery.Plane(origin=_tuple(start), xDir=_tuple(np.cross(up, way)), normal=_tuple(way))
    drawn = cadquery.Workplane(plane)
    if section.round:
        return drawn.circle(section.depth_mm / 2).extrude(length_mm)
    return drawn.rect(section.width_mm, section.depth_mm).extrude(length_mm)


def _beyond(at: Array, normal: Array, size_mm: float) -> cadquery.Workplane:
    """All that lies past a plane, as far as a piece could."""
    import cadquery

    plane = cadquery.Plane(origin=_tuple(at), normal=_tuple(normal))
    return cadquery.Workplane(plane).rect(4 * size_mm, 4 * size_mm).extrude(2 * size_mm)


def fitting_wire(handrail: Handrail, joint: Joint) -> cadquery.Wire:
    """A fitting's middle: straight, round its bend, and straight again."""
    import cadquery

    before, after = handrail.pieces[joint.corner - 1], handrail.pieces[joint.corner]
    corner = np.array(handrail.corners[joint.corner].at)
    one, other = np.array(before.way), np.array(after.way)
    back, bend = joint.set_back_mm, joint.bend_mm
    points = [
        corner - one * back,
        corner - one * bend,
        corner + other * bend,
        corner + other * back,
    ]
    vectors = [cadquery.Vector(*_tuple(point)) for point in points]
    if not bend:
        return cadquery.Wire.assembleEdges(
            [
                cadquery.Edge.makeLine(vectors[0], vectors[1]),
                cadquery.Edge.makeLine(vectors[2], vectors[3]),
            ]
        )
    arc = cadquery.Edge.makeTangentArc(vectors[1], cadquery.Vector(*_tuple(one)), vectors[2])
    lines = [
        cadquery.Edge.makeLine(a, b)
        for a, b in ((vectors[0], vectors[1]), (vectors[2], vectors[3]))
        if (b - a).Length > 1e-9
    ]
    return cadquery.Wire.assembleEdges([*lines[:1], arc, *lines[1:]])


def fitting_solid(handrail: Handrail, joint: Joint) -> cadquery.Workplane:
    """A fitting as the rail's section swept along its middle."""
    import cadquery

    before = handrail.pieces[joint.corner - 1]
    way = np.array(before.way)
    start = np.array(handrail.corners[joint.corner].at) - way * joint.set_back_mm
    section = handrail.spec.kit.section
    plane = cadquery.Plane(
        origin=_tuple(start), xDir=_tuple(np.cross(section_up(way), way)), normal=_tuple(way)
    )
    drawn = cadquery.Workplane(plane)
    drawn = (
        drawn.circle(section.depth_mm / 2)
        if section.round
        else drawn.rect(section.width_mm, section.depth_mm)
    )
    path = cadquery.Workplane(obj=fitting_wire(handrail, joint))
    return drawn.sweep(path, transition="right")


def _tuple(values: Array) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])

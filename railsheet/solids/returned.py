"""A top rail's return to a wall in space: its corner past the last post, the piece, its elbow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit import RailPlace
from railsheet.job.kit_return import ReturnKit
from railsheet.solids.bar import Bar, cut_off, groove, stock
from railsheet.solids.part import Part, PartKind
from railsheet.solids.space import UP, Flat, box, plumb_flat, whole

# A wall as it is drawn: to either side of the return, and thick enough to be seen, mm.
_WALL_LONG_MM, _WALL_MM = 300.0, 100.0


@dataclass(frozen=True)
class Returned:
    """A return as it is set out in space.

    Attributes:
        holds: how the kit makes it.
        bar: it as an endless bar, its upper side up as the rail's is.
        corner: where its middle and the rail's cross.
        out: along the rail, out of the run.
        to_wall: level and square to the run.
        wall: the wall's face, looking at the run.
    """

    holds: ReturnKit
    bar: Bar
    corner: cq.Vector
    out: cq.Vector
    to_wall: cq.Vector
    wall: Flat

    @property
    def joint(self) -> Flat:
        """The plane that cuts the rail, looking out of it: a mitre's, or an elbow's shoulder."""
        if self.holds.elbow is None:
            return Flat(self.corner, (self.out + self.to_wall).normalized())
        return Flat(self.corner - self.out * self.holds.set_back_mm, self.out)

    @property
    def own_joint(self) -> Flat:
        """The plane that cuts the return, looking out of it."""
        if self.holds.elbow is None:
            return Flat(self.corner, self.joint.normal * -1.0)
        return Flat(self.corner + self.to_wall * self.holds.set_back_mm, self.to_wall * -1.0)


def returned(
    holds: ReturnKit, rail: Bar, outer_mm: float, out: float, aside: float, wall_y_mm: float
) -> Returned:
    """A return from a rail.

    Args:
        holds: how the kit makes it.
        rail: the rail.
        outer_mm: the last post's outer face on the rail's line.
        out: 1 past an uphill end, -1 past a downhill one.
        aside: 1 where the wall stands to the left of one looking uphill, -1 to the right.
        wall_y_mm: where the wall's face stands, to the left of the rail's line.
    """
    plumb = plumb_flat(outer_mm + out * holds.past_mm)
    corner = plumb.met_by(rail.point(0.0, rail.middle_mm), rail.along)
    to_wall = cq.Vector(0, aside, 0)
    up = rail.plane.yDir
    # Its plane's x is its own way, as a rail's is; its y square up.
    plane = cq.Plane(
        origin=corner + up * (rail.high_mm - rail.middle_mm),
        xDir=to_wall * out,
        normal=(to_wall * out).cross(up),
    )
    bar = Bar(
        RailPlace.TOP,
        rail.kit,
        plane,
        rail.low_mm - rail.high_mm,
        0.0,
        rail.face_mm - rail.high_mm,
        rail.stop_mm - rail.high_mm,
    )
    wall = Flat(cq.Vector(0, wall_y_mm, 0), to_wall * -1.0)
    return Returned(holds, bar, corner, rail.along * out, to_wall, wall)


def return_parts(mark: str, rail_mark: str, piece: Returned, groove_mm: float) -> Iterator[Part]:
    """The return, its elbow where it has one, and the wall it comes to.

    Args:
        mark: the return's.
        rail_mark: the rail's that it goes on from.
        groove_mm: the width of the plough along its underside; 0 where it has none.
    """
    holds = piece.holds
    at_wall = Flat(piece.wall.at - piece.to_wall * holds.gap_mm, piece.to_wall)
    solid = cut_off(stock(piece.bar), [piece.own_joint, at_wall])
    if groove_mm:
        solid = whole(solid.cut(groove(piece.bar, groove_mm)))
    wall_mark = f"{mark} wall"
    carried = [rail_mark]
    if holds.elbow is not None:
        carried = [f"{mark} elbow"]
        yield Part(f"{mark} elbow", PartKind.FITTING, _elbow(piece), (rail_mark,))
    off = ((wall_mark, holds.gap_mm),) if holds.gap_mm else ()
    if not holds.gap_mm:
        carried.append(wall_mark)
    yield Part(mark, PartKind.RAIL, solid, tuple(carried), off, plane=piece.bar.plane)
    yield Part(wall_mark, PartKind.GROUND, _wall(piece), ())


def _elbow(piece: Returned) -> cq.Shape:
    """The rail's section round a quarter turn, a straight leg at either end."""
    elbow, bar = piece.holds.elbow, piece.bar
    assert elbow is not None
    up, wide = bar.plane.yDir, bar.kit.width_mm
    deep = bar.high_mm - bar.low_mm
    back, bend = piece.holds.set_back_mm, piece.holds.bend_mm

    def section(at: cq.Vector, way: cq.Vector) -> cq.Wire:
        side = up.cross(way)
        return cq.Wire.makePolygon(
            [
                at + side * (x * wide / 2) + up * (y * deep / 2)
                for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))
            ],
            close=True,
        )

    start, stop = piece.corner - piece.out * back, piece.corner + piece.to_wall * back
    pieces: list[cq.Shape] = []
    if elbow.leg_mm:
        leg = elbow.leg_mm
        pieces = [
            cq.Solid.extrudeLinear(section(start, piece.out), [], piece.out * leg),
            cq.Solid.extrudeLinear(section(stop, piece.to_wall), [], piece.to_wall * -leg),
        ]
    if bend > wide / 2:
        middle = piece.corner - piece.out * bend + piece.to_wall * bend
        turn = up if piece.out.cross(piece.to_wall).dot(up) > 0 else up * -1.0
        begin = section(piece.corner - piece.out * bend, piece.out)
        pieces.append(cq.Solid.revolve(begin, [], 90.0, middle, middle + turn))
    else:
        # Bent as sharp as its own width, it is a solid corner.
        flat = Flat(piece.corner, (piece.out + piece.to_wall).normalized())
        for at, way in ((start, piece.out), (stop, piece.to_wall * -1.0)):
            long = cq.Solid.extrudeLinear(section(at, way), [], way * (back + wide))
            normal = flat.normal if way is piece.out else flat.normal * -1.0
            pieces.append(cut_off(long, [Flat(flat.at, normal)]))
    return whole(pieces[0].fuse(*pieces[1:])) if len(pieces) > 1 else pieces[0]


def _wall(piece: Returned) -> cq.Shape:
    middle = piece.corner.x
    face = piece.wall.at.y
    far = face + piece.to_wall.y * _WALL_MM
    low = cq.Vector(middle - _WALL_LONG_MM, min(face, far), piece.corner.z - 2 * _WALL_LONG_MM)
    high = cq.Vector(middle + _WALL_LONG_MM, max(face, far), 0) + UP * (
        piece.corner.z + _WALL_LONG_MM
    )
    return box(low, high)

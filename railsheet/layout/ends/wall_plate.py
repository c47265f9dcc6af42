"""A rail that ends in a plate on a wall, where there is no post."""

from __future__ import annotations

import math

from railsheet.job.kit_ends import WallPlateKit
from railsheet.layout.ends.kind import EndKind, EndPlace, plumb_end, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.rail_ends import RailEnd, along


def _kit(at: EndPlace) -> WallPlateKit:
    assert at.kit.wall_plate is not None
    return at.kit.wall_plate


def _end(at: EndPlace) -> RailEnd:
    plate = _kit(at)
    half = plate.height_mm / 2

    def corner(stand_off_mm: float, up_mm: float) -> tuple[float, float]:
        """A corner of the upright plate: plumb over the axis where that meets the wall's face."""
        s = at.face_s_mm + at.end.inward * stand_off_mm
        # A point up_mm plumb over the axis at the wall, seen along and square to the rail.
        rise = at.axis_z(at.face_s_mm) + up_mm - at.axis_z(s)
        offset = rise * math.cos(at.rake_rad)
        return along(s, offset, at.rake_rad), offset

    body = tuple(
        corner(s, z)
        for s, z in (
            (plate.thickness_mm, -half),
            (plate.thickness_mm, half),
            (0.0, half),
            (0.0, -half),
        )
    )
    return plumb_end(
        at,
        plate.thickness_mm - plate.socket_mm,
        plate.thickness_mm,
        "plate",
        body,
        holder=plate.plate,
    )


def _mount(at: EndPlace) -> Mount:
    plate = _kit(at)
    return Mount(
        place=at.place,
        word="plate",
        centre_z_mm=at.axis_z(at.face_s_mm),
        height_mm=plate.height_mm,
        width_mm=plate.width_mm,
        across_mm=at.across_mm,
    )


def _parts(at: EndPlace) -> tuple[Part, ...]:
    plate = _kit(at)
    return Part("plate", plate.plate, 1), *screw_parts(plate.screws)


WALL_PLATE = EndKind(_end, _mount, _parts)

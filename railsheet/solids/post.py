"""Posts with their plates; and the walls that brackets and half posts stand against."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import cadquery as cq

from railsheet.job.kit import Kit, PlateKit
from railsheet.job.model import PostKind, Side
from railsheet.solids.bar import Bar
from railsheet.solids.part import Part, PartKind
from railsheet.solids.setting_out import SettingOut, Station
from railsheet.solids.space import FAR, UP, Flat, beyond, box, plumb_flat, whole

# A wall as it is drawn: thick enough to be seen, mm.
_WALL_MM = 100.0


def inward_of(station: Station) -> float:
    """From a post at a run's end into the run: 1 at its downhill end, -1 at its uphill end."""
    return 1.0 if station.holds_downhill_ends else -1.0


def faces_mm(kit: Kit, station: Station) -> tuple[float, float]:
    """Where a post's downhill and uphill faces stand, on the line of the rails.

    The faces are found on the post itself: a level line through it, where it goes in and out.
    """
    if station.kind is PostKind.WALL:
        return station.middle_mm, station.middle_mm
    shaft = _shaft(kit, station, -1.0, 1.0)
    line = cq.Edge.makeLine(cq.Vector(-FAR, 0, 0), cq.Vector(FAR, 0, 0))
    met = sorted(vertex.X for vertex in shaft.intersect(line).Vertices())
    return met[0], met[-1]


def height_mm(out: SettingOut, station: Station, bar: Bar) -> float:
    """From a post's foot to its top: the kit's reveal over the top rail where it meets a face."""
    low, high = faces_mm(out.kit, station)
    upper = bar.flat(bar.high_mm)
    met = [high] if station.holds_downhill_ends else []
    met += [low] if station.holds_uphill_ends else []
    over = max(upper.plumb_at(s).z for s in met)
    return over + out.kit.post.reveal_mm - station.foot_mm


def post_part(
    out: SettingOut,
    station: Station,
    height_mm: float,
    ground: str,
    bores: Sequence[cq.Shape] = (),
) -> Part:
    """A post and its plate as one solid, bored; a half post is what stands before its wall."""
    kit, plate = out.kit, out.kit.plate
    foot = station.foot_mm
    shaft = _shaft(kit, station, foot + plate.thickness_mm, foot + height_mm)
    solid: cq.Shape = shaft
    if plate.thickness_mm:
        half = cq.Vector(plate.along_mm / 2, plate.across_mm / 2, 0)
        flat = box(
            cq.Vector(0, 0, foot) - half,
            cq.Vector(0, 0, foot + plate.thickness_mm) + half,
        )
        solid = whole(shaft.fuse(_placed(flat, station)))
        if plate.holes:
            drills = _drills(plate, foot, 1.0 if out.side is Side.RIGHT else -1.0)
            solid = whole(solid.cut(*(_placed(drill, station) for drill in drills)))
    if station.kind is PostKind.HALF:
        solid = whole(solid.cut(beyond(_wall_face(station))))
    if bores:
        solid = whole(solid.cut(*bores))
    solid = solid.moved(cq.Location(cq.Vector(0, across_mm(out), 0)))
    wall = (wall_mark(station),) if station.kind is PostKind.HALF else ()
    return Part(station.mark, PartKind.POST, solid, (ground, *wall))


def _drills(plate: PlateKit, foot_z_mm: float, hand: float) -> list[cq.Solid]:
    """What the plate's holes take out, the plate's middle over the origin.

    The kit's holes are read from the plate's downhill corner on the step's side edge, which lies
    to the right of a rail on the right (``hand`` 1), to the left of one on the left (-1).
    """
    return [
        cq.Solid.makeCylinder(
            hole.size_mm / 2,
            plate.thickness_mm,
            cq.Vector(
                hole.along_mm - plate.along_mm / 2,
                hand * (hole.across_mm - plate.across_mm / 2),
                foot_z_mm,
            ),
        )
        for hole in plate.holes
    ]


def across_mm(out: SettingOut) -> float:
    """How far the post's middle stands off the rails', across: its mounts have their own place.

    A mount stands as near the post's middle as the kit lets it.
    """
    kit = out.kit
    least = max(kit.top_bracket.across_least_mm, kit.bottom_bracket.across_least_mm)
    most = min(kit.top_bracket.across_most_mm, kit.bottom_bracket.across_most_mm)
    middle = kit.post.width_mm / 2
    off = middle - min(max(middle, least), most)
    return off if out.side is Side.RIGHT else -off


def wall_mark(station: Station) -> str:
    """What the wall at a post is called."""
    return f"{station.mark} wall"


def wall_part(station: Station, top_mm: float) -> Part:
    """The wall that a wall plate or a half post stands against."""
    inward = inward_of(station)
    face = station.middle_mm
    low = cq.Vector(min(face, face - inward * _WALL_MM), -400, station.foot_mm - 100)
    high = cq.Vector(max(face, face - inward * _WALL_MM), 400, top_mm + 200)
    return Part(wall_mark(station), PartKind.GROUND, box(low, high), ())


def heights_mm(outs: Mapping[str, SettingOut], bars: Mapping[str, Bar]) -> dict[str, float]:
    """Every post's height, by mark: a post that runs share is cut for the highest rail."""
    heights: dict[str, float] = {}
    for run, out in outs.items():
        for station in out.stations:
            tall = height_mm(out, station, bars[run])
            heights[station.mark] = max(tall, heights.get(station.mark, -math.inf))
    return heights


def _wall_face(station: Station) -> Flat:
    return plumb_flat(station.middle_mm, -inward_of(station))


def _shaft(kit: Kit, station: Station, low_mm: float, high_mm: float) -> cq.Solid:
    half = kit.post.width_mm / 2
    shaft = box(cq.Vector(-half, -half, low_mm), cq.Vector(half, half, high_mm))
    return _placed(shaft, station)


def _placed(solid: cq.Solid, station: Station) -> cq.Solid:
    turned = solid.rotate(cq.Vector(0, 0, 0), UP, math.degrees(station.turned_rad))
    return turned.moved(cq.Location(cq.Vector(station.middle_mm, station.aside_mm, 0)))

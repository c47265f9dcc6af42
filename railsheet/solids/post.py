"""Posts with their plates; and the walls that brackets and half posts stand against."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit import Kit, PlateKit
from railsheet.job.kit_ends import HousedKit, OverKit
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


@dataclass(frozen=True)
class PostTop:
    """How a post is cut off. Lengths in mm.

    Attributes:
        height_mm: from its foot to its highest.
        flat: the plane that cuts it, run frame; None where it is cut square.
    """

    height_mm: float
    flat: Flat | None = None


def post_tops(
    outs: Mapping[str, SettingOut], bars: Mapping[str, Bar], eased_mm: Mapping[str, float]
) -> dict[tuple[str, str], PostTop]:
    """How every post is cut, by run and mark.

    Beside its rails a post stands the kit's reveal over the top one where that meets a face; one
    that runs share is cut for the highest. Under its rails it is cut to their rake, a saddle below
    them; one that runs share is cut level, under the lowest of them where they lie on it, or
    under the easing there.

    Args:
        eased_mm: how tall a post under an easing is, by its mark.
    """
    by_mark: dict[str, list[tuple[SettingOut, Station]]] = {}
    for out in outs.values():
        for station in out.stations:
            by_mark.setdefault(station.mark, []).append((out, station))
    tops: dict[tuple[str, str], PostTop] = {}
    for mark, met in by_mark.items():
        if mark in eased_mm:
            tops |= {(out.mark, mark): PostTop(eased_mm[mark]) for out, _ in met}
        elif met[0][0].kit.top_end.runs_over:
            tops |= _under(mark, met, bars)
        else:
            height = max(_beside_mm(out, station, bars[out.mark]) for out, station in met)
            tops |= {(out.mark, mark): PostTop(height) for out, _ in met}
    return tops


def _beside_mm(out: SettingOut, station: Station, bar: Bar) -> float:
    """The kit's reveal over the top rail where it meets a face, from the post's foot."""
    low, high = faces_mm(out.kit, station)
    upper = bar.flat(bar.high_mm)
    met = [high] if station.holds_downhill_ends else []
    met += [low] if station.holds_uphill_ends else []
    over = max(upper.plumb_at(s).z for s in met)
    return over + out.kit.post.reveal_mm - station.foot_mm


def _under(
    mark: str, met: Sequence[tuple[SettingOut, Station]], bars: Mapping[str, Bar]
) -> dict[tuple[str, str], PostTop]:
    found: list[tuple[SettingOut, Station, Flat]] = []
    for out, station in met:
        end, bar = out.kit.top_end, bars[out.mark]
        assert isinstance(end, OverKit), "runs that share a post are of one kit"
        found.append((out, station, bar.flat(bar.low_mm - end.saddle_mm)))
    if len(found) == 1:
        out, station, flat = found[0]
        height = max(flat.plumb_at(s).z for s in faces_mm(out.kit, station)) - station.foot_mm
        return {(out.mark, mark): PostTop(height, flat)}
    lowest = min(
        flat.plumb_at(s).z - station.foot_mm
        for out, station, flat in found
        for s in (station.middle_mm, faces_mm(out.kit, station)[1 if inward_of(station) > 0 else 0])
    )
    return {(out.mark, mark): PostTop(lowest) for out, *_ in found}


def post_part(
    out: SettingOut,
    station: Station,
    top: PostTop,
    ground: str,
    taken: Sequence[cq.Shape] = (),
) -> Part:
    """A post and its plate as one solid, with what is taken out of it for its rails and cables.

    A half post is what stands before its wall.
    """
    kit, plate = out.kit, out.kit.plate
    foot = station.foot_mm
    shaft = _shaft(kit, station, foot + plate.thickness_mm, foot + top.height_mm)
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
    if top.flat is not None:
        solid = whole(solid.cut(beyond(top.flat)))
    if taken:
        solid = whole(solid.cut(*taken))
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
    wide = kit.post.width_mm
    spans = kit.top_end.across_mm(wide), kit.bottom_end.across_mm(wide)
    least, most = max(span[0] for span in spans), min(span[1] for span in spans)
    middle = wide / 2
    off = middle - min(max(middle, least), most)
    return off if out.side is Side.RIGHT else -off


def housing(bar: Bar, housed: HousedKit, face_mm: float, inward: float) -> cq.Shape:
    """What a housing takes out of a post: plumb floor, cheeks along the rail, half the ease round.

    Args:
        face_mm: the post's face on the rails' line.
        inward: from the post into the bay, 1 or -1.
    """
    ease, floor = housed.ease_mm, face_mm - inward * housed.depth_mm
    low = cq.Vector(-FAR, bar.low_mm - ease / 2, -(bar.kit.width_mm + ease) / 2)
    long = cq.Solid.makeBox(
        2 * FAR, bar.high_mm - bar.low_mm + ease, bar.kit.width_mm + ease, low
    ).moved(bar.plane.location)
    return whole(long.cut(beyond(plumb_flat(face_mm, inward)), beyond(plumb_flat(floor, -inward))))


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


def _wall_face(station: Station) -> Flat:
    return plumb_flat(station.middle_mm, -inward_of(station))


def _shaft(kit: Kit, station: Station, low_mm: float, high_mm: float) -> cq.Solid:
    half = kit.post.width_mm / 2
    if kit.post.round:
        shaft = cq.Solid.makeCylinder(half, high_mm - low_mm, cq.Vector(0, 0, low_mm))
    else:
        shaft = box(cq.Vector(-half, -half, low_mm), cq.Vector(half, half, high_mm))
    return _placed(shaft, station)


def _placed(solid: cq.Solid, station: Station) -> cq.Solid:
    turned = solid.rotate(cq.Vector(0, 0, 0), UP, math.degrees(station.turned_rad))
    return turned.moved(cq.Location(cq.Vector(station.middle_mm, station.aside_mm, 0)))

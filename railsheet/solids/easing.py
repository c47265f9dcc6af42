"""Easings raised in space: where two rails' axes meet over a post, and the arc between them.

Nothing of the layout's is used but which of the kit's easings lies over a post. The arc's centre
is where the two axes, each moved in by the radius, cross; the arc ends at the feet of the squares
let fall from it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit import RailPlace
from railsheet.job.kit_easing import EasingKit
from railsheet.job.kit_ends import OverKit
from railsheet.solids.bar import Bar
from railsheet.solids.joint import Arm, arm_at, back_flat
from railsheet.solids.setting_out import SettingOut, Standing, Station
from railsheet.solids.space import FAR, Flat, box, whole

_ASIDE = cq.Vector(0, 1, 0)


@dataclass(frozen=True)
class EasedEnd:
    """One run's end at an easing, in its own frame.

    Attributes:
        post: the mark of its post.
        stop: what cuts the rail, looking out of its bay.
        mouth: where the easing begins.
        solid: the easing, its sockets cut out.
        post_mm: how tall its post is cut to lie under it, from its foot.
    """

    post: str
    stop: Flat
    mouth: Flat
    solid: cq.Shape
    post_mm: float


def eased_ends(
    outs: Mapping[str, SettingOut], standings: Mapping[str, Standing], bars: Mapping[str, Bar]
) -> dict[tuple[str, int], EasedEnd]:
    """By run and by the way into it from the post, 1 or -1: the easing there."""
    met: dict[str, list[tuple[SettingOut, Station, Arm]]] = defaultdict(list)
    for run, out in outs.items():
        for station in out.stations:
            for inward in {way for way, _ in station.ends}:
                if isinstance(station.ends[inward, RailPlace.TOP], EasingKit):
                    arm = arm_at(run, inward, bars[run], station.middle_mm, standings[run])
                    met[station.mark].append((out, station, arm))
    found = {}
    for mark, pair in met.items():
        for own, other in (pair, reversed(pair)):
            out, station, arm = own
            found[arm.run, arm.inward] = _eased(mark, out, station, (arm, other[2]))
    return found


@dataclass(frozen=True)
class _Leg:
    """One side of an easing, in the run's frame: its axis's way, its arc's and its own end."""

    way: cq.Vector
    arc: cq.Vector
    mouth: cq.Vector


def _eased(mark: str, out: SettingOut, station: Station, arms: tuple[Arm, Arm]) -> EasedEnd:
    own = arms[0]
    easing = station.ends[own.inward, RailPlace.TOP]
    over = out.kit.top_end
    assert isinstance(easing, EasingKit)
    assert isinstance(over, OverKit)
    flats = [back_flat(Flat(arm.point, arm.way), own.place) for arm in arms]
    meet = _crossing((flats[0].at, flats[0].normal), (flats[1].at, flats[1].normal))
    ways = flats[0].normal, flats[1].normal
    inner = (ways[0] + ways[1]).normalized()
    squares = [(inner - way * inner.dot(way)).normalized() for way in ways]
    moved = [
        (meet + square * easing.radius_mm, way) for square, way in zip(squares, ways, strict=True)
    ]
    centre = _crossing(*moved)
    legs = []
    for way in ways:
        foot = meet + way * (centre - meet).dot(way)
        legs.append(_Leg(way, foot, foot + way * easing.leg_mm))
    top = (meet - centre).normalized() * easing.radius_mm + centre
    rail = out.kit.top_rail
    half = rail.depth_mm / 2 + easing.wall_mm
    body = _ribbon(legs, centre, top, half, rail.width_mm + 2 * easing.wall_mm)
    stop = Flat(legs[0].mouth - ways[0] * easing.insertion_mm, ways[0] * -1.0)
    solid: cq.Shape = body
    for leg in legs if easing.insertion_mm else ():
        solid = whole(solid.cut(_socket(leg, rail.depth_mm, rail.width_mm, easing.insertion_mm)))
    under = _ribbon(legs, centre, top, half + over.saddle_mm, rail.width_mm)
    return EasedEnd(
        post=mark,
        stop=stop,
        mouth=Flat(legs[0].mouth, ways[0] * -1.0),
        solid=solid,
        post_mm=_lowest(under, out.kit.post.width_mm, station) - station.foot_mm,
    )


def _crossing(one: tuple[cq.Vector, cq.Vector], other: tuple[cq.Vector, cq.Vector]) -> cq.Vector:
    """Where two lines in one plumb plane cross, each a point and its way."""
    square = other[1].cross(_ASIDE)
    return Flat(other[0], square).met_by(one[0], one[1])


def _up(way: cq.Vector) -> cq.Vector:
    """Square to a way in the plane of the run, upward."""
    square = way.cross(_ASIDE)
    return square if square.z > 0 else square * -1.0


def _ribbon(
    legs: Sequence[_Leg], centre: cq.Vector, top: cq.Vector, half_mm: float, wide_mm: float
) -> cq.Solid:
    """The axis given its depth on both sides, and a width across: the section swept along it."""
    edges = []
    ends: list[list[cq.Vector]] = []
    middle = (top - centre).normalized()
    rise = 1.0 if middle.z > 0 else -1.0
    for side in (half_mm, -half_mm):
        arcs = [leg.arc + _up(leg.way) * side for leg in legs]
        mouths = [leg.mouth + _up(leg.way) * side for leg in legs]
        crown = top + middle * (side * rise)
        for mouth, arc in zip(mouths, arcs, strict=True):
            if (mouth - arc).Length > 0:
                edges.append(cq.Edge.makeLine(mouth, arc))
        edges.append(cq.Edge.makeThreePointArc(arcs[0], crown, arcs[1]))
        ends.append(mouths)
    for upper, lower in zip(*ends, strict=True):
        edges.append(cq.Edge.makeLine(upper, lower))
    wire = cq.Wire.assembleEdges(edges).translate(cq.Vector(0, -wide_mm / 2, 0))
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(0, wide_mm, 0))


def _socket(leg: _Leg, depth_mm: float, wide_mm: float, deep_mm: float) -> cq.Solid:
    """What a rail let into a leg takes out of it."""
    plane = cq.Plane(leg.mouth, xDir=_ASIDE, normal=leg.way * -1.0)
    start = cq.Vector(-wide_mm / 2, -depth_mm / 2, 0)
    return cq.Solid.makeBox(wide_mm, depth_mm, deep_mm, start).moved(plane.location)


def _lowest(ribbon: cq.Solid, post_mm: float, station: Station) -> float:
    """The least height of what lies over a post: how far it is from a floor far below."""
    half = post_mm / 2
    column = box(
        cq.Vector(station.middle_mm - half, -half, -FAR),
        cq.Vector(station.middle_mm + half, half, FAR),
    )
    floor = station.foot_mm
    level = cq.Face.makePlane(2 * FAR, 2 * FAR, cq.Vector(0, 0, floor), cq.Vector(0, 0, 1))
    return floor + float(ribbon.intersect(column).distance(level))

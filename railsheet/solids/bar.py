"""A rail as a bar in space: where it lies, how its ends are cut, its holes and grooves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit import Kit, RailKit, RailPlace
from railsheet.job.kit_infill import DrilledKit, PanelKit, PunchedKit
from railsheet.solids.space import FAR, UP, Flat, beyond, slab, whole


@dataclass(frozen=True)
class Bar:
    """An endless bar. Lengths in mm; heights square to it, from its own plane.

    Attributes:
        plane: x along it, uphill; y square up; its origin over s = 0.
        low_mm, high_mm: its underside and upper side.
        face_mm: the side toward the infill.
        stop_mm: what the infill's ends bear on, within it.
    """

    place: RailPlace
    kit: RailKit
    plane: cq.Plane
    low_mm: float
    high_mm: float
    face_mm: float
    stop_mm: float

    @property
    def along(self) -> cq.Vector:
        """Its own way, uphill."""
        return self.plane.xDir

    @property
    def middle_mm(self) -> float:
        """Height of its axis."""
        return (self.low_mm + self.high_mm) / 2

    def flat(self, height_mm: float) -> Flat:
        """The plane along it at a height, looking up."""
        return Flat(self.point(0.0, height_mm), self.plane.yDir)

    def point(self, along_mm: float, height_mm: float) -> cq.Vector:
        """A point of it in the run frame."""
        return self.plane.toWorldCoords((along_mm, height_mm, 0.0))

    def outline(self, start: Flat, stop: Flat, low_mm: float, high_mm: float) -> list[cq.Vector]:
        """Its corners between two planes that cut it and two heights."""
        return [
            flat.met_by(self.point(0.0, height), self.along)
            for flat, height in ((start, low_mm), (stop, low_mm), (stop, high_mm), (start, high_mm))
        ]


def top_bar(kit: Kit, start_mm: float, slope: float) -> Bar:
    """The top rail: its upper side is the rail's line."""
    rail = kit.top_rail
    plane = _raked_plane(cq.Vector(0, 0, start_mm), cq.Vector(1, 0, slope))
    low = -rail.depth_mm
    return Bar(RailPlace.TOP, rail, plane, low, 0.0, low, low + _seat_mm(kit, rail))


def bottom_bar(kit: Kit, top: Bar, height_mm: float | None) -> Bar:
    """The bottom rail, parallel to the top one, as far below it as what joins them asks.

    Balusters of a fixed length: one is stood plumb and pushed up until a corner meets the top
    rail's stop; the bottom rail's stop is raised until it meets a corner of its foot. A panel: its
    rails' axes stand apart along a plumb picket. Else the kit states the height over all, plumb.

    Args:
        kit: the rails and what joins them.
        top: the top rail.
        height_mm: what stands for the height over all where the kit states none, and its infill is
            of a kind that this room does not know.
    """
    rail, infill = kit.bottom_rail, kit.infill
    seat, depth = _seat_mm(kit, rail), rail.depth_mm
    if isinstance(infill, PunchedKit | DrilledKit):
        half = infill.baluster.width_mm / 2
        stop = top.flat(top.stop_mm)
        head = min(stop.plumb_at(s).z for s in (-half, half))
        feet = [cq.Vector(s, 0, head - infill.baluster.length_mm) for s in (-half, half)]
        # Of the planes through either corner of the foot, the one that passes below the other.
        at = min(feet, key=lambda foot: Flat(foot, stop.normal).plumb_at(0.0).z)
        plane = _raked_plane(at, top.along)
        return Bar(RailPlace.BOTTOM, rail, plane, seat - depth, seat, seat, 0.0)
    if isinstance(infill, PanelKit):
        at = top.point(0.0, top.middle_mm) - UP * infill.axes_apart_mm
        plane = _raked_plane(at, top.along)
        half = depth / 2
        return Bar(RailPlace.BOTTOM, rail, plane, -half, half, half, half - seat)
    over_all = height_mm if infill.over_all_mm is None else infill.over_all_mm
    assert over_all is not None, "what fixes no length states the height over all"
    at = top.point(0.0, top.high_mm) - UP * over_all
    plane = _raked_plane(at, top.along)
    return Bar(RailPlace.BOTTOM, rail, plane, 0.0, depth, depth, depth - seat)


def _seat_mm(kit: Kit, rail: RailKit) -> float:
    """How deep the infill goes in. A panel's pickets are pinned at the rails' axes."""
    return rail.depth_mm / 2 if isinstance(kit.infill, PanelKit) else rail.seat_mm


def _raked_plane(at: cq.Vector, along: cq.Vector) -> cq.Plane:
    return cq.Plane(origin=at, xDir=along, normal=cq.Vector(0, -1, 0))


def stock(bar: Bar) -> cq.Solid:
    """The endless bar, solid."""
    length, high = 2 * FAR, bar.high_mm - bar.low_mm
    # Local z looks to negative y; the middle lies on y = 0 either way.
    start = cq.Vector(-FAR, bar.low_mm, -bar.kit.width_mm / 2)
    return cq.Solid.makeBox(length, high, bar.kit.width_mm, start).moved(bar.plane.location)


def cut_off(bar: cq.Shape, stops: Sequence[Flat]) -> cq.Shape:
    """What is left of a bar between its two stops."""
    return whole(bar.cut(*(beyond(stop) for stop in stops)))


def pocket(bar: Bar, centre: cq.Vector, size_mm: float) -> cq.Solid:
    """A hole: so long along the face and so wide, plumb-sided, down to the stop."""
    face, stop = bar.flat(bar.face_mm), bar.flat(bar.stop_mm)
    mouth = [
        face.met_by(centre + bar.along * (way * size_mm / 2), bar.plane.yDir) for way in (-1, 1)
    ]
    floor = [stop.met_by(point, UP) for point in reversed(mouth)]
    return slab([*mouth, *floor], size_mm)


def groove(bar: Bar, width_mm: float) -> cq.Solid:
    """A plough along the whole face, down to the stop."""
    low, high = sorted((bar.face_mm, bar.stop_mm))
    start = cq.Vector(-FAR, low, -width_mm / 2)
    box = cq.Solid.makeBox(2 * FAR, high - low, width_mm, start)
    return box.moved(bar.plane.location)

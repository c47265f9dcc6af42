"""Top rails of two runs joined over the post they share: the plane that cuts both."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit import RailPlace
from railsheet.job.kit_ends import OverKit
from railsheet.solids.bar import Bar
from railsheet.solids.setting_out import SettingOut, Standing, location_of
from railsheet.solids.space import Flat, plumb_flat

_TINY = 1e-9


@dataclass(frozen=True)
class Arm:
    """One rail as it leaves the post, in the site's frame.

    Attributes:
        inward: the way from the post into the bay: 1 uphill, -1 downhill.
        point: its axis over the post's middle.
        way: into its bay, of length 1.
        place: from its run's frame to the site's.
    """

    run: str
    inward: int
    point: cq.Vector
    way: cq.Vector
    place: cq.Location


def joint_planes(
    outs: Mapping[str, SettingOut], standings: Mapping[str, Standing], bars: Mapping[str, Bar]
) -> dict[tuple[str, int], Flat]:
    """By run and by the way into it from the post, 1 or -1: the plane that cuts its top rail.

    It halves the angle of the two rails. In line it stands where their axes cross; round a corner
    of the plan, where they meet over the post's middle.
    """
    arms: dict[str, list[Arm]] = defaultdict(list)
    for run, out in outs.items():
        for station in out.stations:
            for inward in {way for way, _ in station.ends}:
                if isinstance(station.ends[inward, RailPlace.TOP], OverKit) and not station.through:
                    arm = arm_at(run, inward, bars[run], station.middle_mm, standings[run])
                    arms[station.mark].append(arm)
    planes = {}
    for pair in arms.values():
        if len(pair) != 2:
            continue
        for own, other in (pair, reversed(pair)):
            planes[own.run, own.inward] = back_flat(_plane(own, other), own.place)
    return planes


def arm_at(run: str, inward: int, bar: Bar, s_mm: float, standing: Standing) -> Arm:
    """A top rail as it leaves a post whose middle stands at a place on its run."""
    place = location_of(standing)
    point = plumb_flat(s_mm).met_by(bar.point(0.0, bar.middle_mm), bar.along)
    at = _moved(point, place)
    ahead = _moved(point + bar.along * float(inward), place)
    return Arm(run, inward, at, (ahead - at).normalized(), place)


def _plane(own: Arm, other: Arm) -> Flat:
    """Looking out of its own rail."""
    normal = (other.way - own.way).normalized()
    point = own.point
    across = own.way.cross(other.way)
    in_line = abs(across.z) < _TINY
    if in_line and across.Length > _TINY:
        # Both axes lie in one plumb plane and cross in it.
        lies_on = Flat(other.point, other.way.cross(across.normalized()))
        point = lies_on.met_by(own.point, own.way)
    return Flat(point, normal)


def back_flat(flat: Flat, place: cq.Location) -> Flat:
    """A plane of the site's frame in a run's."""
    at = _moved(flat.at, place.inverse)
    ahead = _moved(flat.at + flat.normal, place.inverse)
    return Flat(at, (ahead - at).normalized())


def _moved(point: cq.Vector, place: cq.Location) -> cq.Vector:
    return cq.Vertex.makeVertex(*point.toTuple()).moved(place).Center()


def shared_posts(outs: Mapping[str, SettingOut]) -> frozenset[str]:
    """Marks of the posts that more than one run comes to."""
    marks = [station.mark for out in outs.values() for station in out.stations]
    return frozenset(mark for mark in marks if marks.count(mark) > 1)

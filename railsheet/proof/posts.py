"""Posts measured on their solids: cut, faces, plates, and the mounts on them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import cadquery as cq

from railsheet.job.kit import RailPlace
from railsheet.job.kit_ends import HousedKit
from railsheet.proof.bays import BayTaken
from railsheet.proof.derived import Derived, angle
from railsheet.proof.easings import easing_figures, top_mm
from railsheet.proof.measure import angle_rad, end_side, outermost, reach_mm, sides, spread_mm
from railsheet.solids.part import Part, PartKind
from railsheet.solids.run import RaisedRun, askew, bracket_mark
from railsheet.solids.setting_out import Station
from railsheet.solids.space import RUN, UP

_SAME_MM = 1e-6
# How near the kernel puts a hole's mouth to its face, and what fills it to its axis.
_NEAR_MM = 1e-3


def post_figures(run: RaisedRun, bays: tuple[BayTaken, ...]) -> Iterator[Derived]:
    """Every figure of a run's posts; a wall plate has none but its rails' heights."""
    last = len(run.out.stations) - 1
    for number, station in enumerate(run.out.stations):
        key = f"{run.out.mark}.post.{station.key}"
        yield from _own(key, run, station)
        for bay, side in ((number - 1, "downhill"), (number, "uphill")):
            if not 0 <= bay < last:
                continue
            place = f"{key}.{side}" if station.through else key
            yield from _face(place, run, station, bay, bays[bay], side)


def _own(key: str, run: RaisedRun, station: Station) -> Iterator[Derived]:
    post = run.parts.get(station.mark)
    if post is None:
        return
    low, high = reach_mm(post.solid, UP)
    yield Derived(f"{key}.height", high - low)
    yield Derived(f"{key}.surface_z", low)
    top = end_side(post.solid, UP)
    yield angle(f"{key}.top_saw", angle_rad(top.flat.normal, UP), run.out.kit.post.width_mm)
    yield Derived(f"{key}.height_low", reach_mm(top.face, UP)[0] - low)
    if station.stands_mm is not None:
        yield Derived(f"{key}.cut_off", station.stands_mm - (high - low))
    yield from _plate(key, run, station, post)


def _plate(key: str, run: RaisedRun, station: Station, post: Part) -> Iterator[Derived]:
    """The plate's ends from the nose before it and the riser behind it."""
    stair = run.out.stair
    if not stair.noses or station.turned_rad:
        return
    low, high = reach_mm(post.solid, RUN)
    count = len(stair.noses)
    if station.surface:
        yield Derived(f"{key}.plate_from_nose", low - stair.noses[station.surface - 1].s_mm)
    if station.surface < count:
        riser = stair.face_s_mm(station.surface + 1)
        yield Derived(f"{key}.plate_to_riser", riser - high)


def _face(
    key: str, run: RaisedRun, station: Station, number: int, bay: BayTaken, side: str
) -> Iterator[Derived]:
    """One face, with the rails that meet it."""
    s = bay.faces_mm[0 if side == "uphill" else 1]
    inward = 1 if side == "uphill" else -1
    top, under = top_mm(run, station, inward, s, bay.top), bay.bottom.back.flat.plumb_at(s).z
    yield Derived(f"{key}.underside", under - station.foot_mm)
    yield Derived(f"{key}.rail_top", top - station.foot_mm)
    if not station.through or side == "downhill":
        whole = f"{run.out.mark}.post.{station.key}"
        yield Derived(f"{whole}.face_s", s)
        yield Derived(f"{whole}.from_nose", from_nose(run, station, s))
    yield from easing_figures(key, run, station, inward, bay.top, s)
    post = run.parts.get(station.mark)
    if post is None:
        return
    yield Derived(f"{key}.above_underside", reach_mm(post.solid, UP)[1] - under)
    if askew(station):
        return
    for name, rail in zip(("top", "bottom"), run.bays[number].rails, strict=True):
        bracket = run.parts.get(bracket_mark(rail, uphill=side == "downhill"))
        if bracket is None:
            continue
        middle = _mount_middle(bracket, s, 1.0 if side == "uphill" else -1.0)
        yield Derived(f"{key}.mount.{name}.height", middle - station.foot_mm)
        yield Derived(f"{key}.mount.{name}.above_underside", middle - under)
    fitted = [
        part.solid.Center()
        for part in run.parts.values()
        if part.kind is PartKind.FITTING and station.mark in part.carried_by
    ]
    at = s, 1.0 if side == "uphill" else -1.0
    yield from _bored(key, station.foot_mm, post, at, fitted)
    yield from _cut_in(key, station, post, (s, under), 1.0 if side == "uphill" else -1.0)


def _cut_in(
    key: str, station: Station, post: Part, at: tuple[float, float], inward: float
) -> Iterator[Derived]:
    """Housings, on the post: their mouths' heights and sizes, and how deep their floors lie.

    Args:
        at: s of the face, and the height of the bottom rail's underside there, mm.
    """
    face_s, under = at
    housed = [
        name
        for name, rail in (("top", RailPlace.TOP), ("bottom", RailPlace.BOTTOM))
        if isinstance(station.ends[int(inward), rail], HousedKit)
    ]
    if not housed:
        return
    face = outermost(post.solid, RUN * inward)
    mouths = sorted(face.face.innerWires(), key=lambda wire: -float(wire.Center().z))
    for name, mouth in zip(housed, mouths, strict=True):
        low, high = reach_mm(mouth, UP)
        where = f"{key}.mount.{name}"
        yield Derived(f"{where}.height", (low + high) / 2 - station.foot_mm)
        yield Derived(f"{where}.above_underside", (low + high) / 2 - under)
        yield Derived(f"{where}.tall", high - low)
        yield Derived(f"{where}.wide", spread_mm(mouth, cq.Vector(0, 1, 0)))
        floors = [
            each.flat.at
            for each in sides(post.solid)
            if each.flat.normal.dot(RUN) * inward > 1 - _SAME_MM
            and low - spread_mm(mouth, UP) < each.flat.at.z < high + spread_mm(mouth, UP)
            and abs(each.flat.at.x - face_s) > _SAME_MM
        ]
        nearest = min(floors, key=lambda floor: abs(float(floor.z) - (low + high) / 2))
        yield Derived(f"{where}.deep", abs(float(nearest.x) - face_s))


def _bored(
    key: str,
    foot_mm: float,
    post: Part,
    at: tuple[float, float],
    fitted: Sequence[cq.Vector],
) -> Iterator[Derived]:
    """Holes for cables, upward: each one's axis where it meets the face, and its width.

    Args:
        at: s of the face, and the way from the post into its bay.
        fitted: middles of the run's own fittings: a shared post has other runs' holes as well.
    """
    face_s, inward = at
    found: dict[float, float] = {}
    for face in post.solid.Faces():
        if face.geomType() != "CYLINDER":
            continue
        # A line post is bored from either face; the other one's holes do not come to this one.
        low, high = reach_mm(face, RUN)
        off = face_s - (high if inward > 0 else low)
        bore = face._geomAdaptor().Cylinder()
        axis, way = bore.Axis().Location(), bore.Axis().Direction()
        if abs(off) > _NEAR_MM or abs(way.X()) < _SAME_MM:
            continue
        line = cq.Vector(axis), cq.Vector(way)
        if all((middle - line[0]).cross(line[1]).Length > _NEAR_MM for middle in fitted):
            continue
        height = axis.Z() + way.Z() * (face_s - axis.X()) / way.X()
        found[round(height, 6)] = 2 * bore.Radius()
    for number, (height, across) in enumerate(sorted(found.items()), start=1):
        yield Derived(f"{key}.bore.{number}.height", height - foot_mm)
        yield Derived(f"{key}.bore.{number}.diameter", across)


def from_nose(run: RaisedRun, station: Station, s_mm: float) -> float:
    """As a tape reads it off the surface's own nose; at the bottom, downhill from nose 1."""
    noses = run.out.stair.noses
    if not noses:
        return s_mm
    if station.surface == 0:
        return noses[0].s_mm - s_mm
    return s_mm - noses[station.surface - 1].s_mm


def _mount_middle(bracket: Part, face_s_mm: float, inward: float) -> float:
    """The height of the middle of what stands on the post's face."""
    heights: list[float] = []
    for side in sides(bracket.solid):
        looks = side.flat.normal.dot(RUN) * inward < -1 + _SAME_MM
        if looks and abs(side.flat.at.x - face_s_mm) < 1e-3:
            heights += reach_mm(side.face, UP)
    return (min(heights) + max(heights)) / 2

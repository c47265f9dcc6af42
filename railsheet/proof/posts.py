"""Posts measured on their solids: cut, faces, plates, and the mounts on them."""

from __future__ import annotations

from collections.abc import Iterator

from railsheet.proof.bays import BayTaken
from railsheet.proof.derived import Derived
from railsheet.proof.measure import reach_mm, sides
from railsheet.solids.part import Part
from railsheet.solids.run import RaisedRun, askew, bracket_mark
from railsheet.solids.setting_out import Station
from railsheet.solids.space import RUN, UP

_SAME_MM = 1e-6


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
    top, under = bay.top.back.flat.plumb_at(s).z, bay.bottom.back.flat.plumb_at(s).z
    yield Derived(f"{key}.underside", under - station.foot_mm)
    yield Derived(f"{key}.rail_top", top - station.foot_mm)
    if not station.through or side == "downhill":
        whole = f"{run.out.mark}.post.{station.key}"
        yield Derived(f"{whole}.face_s", s)
        yield Derived(f"{whole}.from_nose", _from_nose(run, station, s))
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


def _from_nose(run: RaisedRun, station: Station, s_mm: float) -> float:
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

"""A run raised in space: posts where they are set out, and everything between them found there.

The top rail's line and the posts' middles are given; the rest follows by planes. The bottom rail
comes from what joins the rails. Each rail is an endless bar that the brackets' stops cut, the
stops standing off the posts' faces as they are found on the posts. Holes come by the bar's pitch.
Balusters are stood plumb and let down onto their stops. No cut figure of the layout is used.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import cadquery as cq

from railsheet.cuts.pieces import easing_mark
from railsheet.job.kit_bracket import BracketKit
from railsheet.job.kit_easing import EasingKit
from railsheet.job.kit_ends import HousedKit, OverKit, WallPlateKit
from railsheet.job.kit_return import ReturnKit
from railsheet.job.model import PostKind
from railsheet.solids.bar import Bar, bottom_bar, cut_off, stock, top_bar
from railsheet.solids.bracket import bracket_part, plate_part
from railsheet.solids.easing import EasedEnd, eased_ends
from railsheet.solids.end import EndAt, EndPlanes, MouthOn, end_planes, stands_off_mm
from railsheet.solids.fill import BayPlace, bores_through, fill, plough_mm
from railsheet.solids.joint import joint_planes, shared_posts
from railsheet.solids.part import Part, PartKind
from railsheet.solids.post import (
    PostTop,
    faces_mm,
    housing,
    post_part,
    post_tops,
    wall_mark,
    wall_part,
)
from railsheet.solids.returned import return_parts
from railsheet.solids.setting_out import BayCount, SettingOut, Standing, Station, location_of
from railsheet.solids.space import Flat, whole
from railsheet.solids.stair import ground_mark, ground_part
from railsheet.tolerance import SAME_RAD


@dataclass(frozen=True)
class RaisedRun:
    """A run in space, in its own frame.

    Attributes:
        parts: its parts, by mark: posts, then bay by bay; what it stands on last.
        bays: where each bay lies, uphill.
    """

    out: SettingOut
    parts: Mapping[str, Part]
    bays: tuple[BayPlace, ...]


@dataclass(frozen=True)
class _Met:
    """What runs have of each other.

    Attributes:
        tops: how every post is cut, by run and mark.
        joints: what cuts a top rail over a shared post, by run and the way into it.
        eased: likewise, the easing that carries it on.
        shared: marks of the posts that several runs come to.
        taken: by run and post that runs share, what the other runs' cables and rails take out
            of it.
    """

    tops: Mapping[tuple[str, str], PostTop]
    joints: Mapping[tuple[str, int], Flat]
    eased: Mapping[tuple[str, int], EasedEnd]
    shared: frozenset[str]
    taken: Mapping[tuple[str, str], Sequence[cq.Shape]]


def raise_runs(
    outs: Mapping[str, SettingOut], standings: Mapping[str, Standing]
) -> dict[str, RaisedRun]:
    """Every run of a job, each in its own frame; posts that runs share are cut once for all."""
    bars = {mark: top_bar(out.kit, out.line_start_mm, out.slope) for mark, out in outs.items()}
    eased = eased_ends(outs, standings, bars)
    under = {end.post: end.post_mm for end in eased.values()}
    joints = joint_planes(outs, standings, bars)
    met = _Met(post_tops(outs, bars, under), joints, eased, shared_posts(outs), {})
    met = replace(met, taken=_taken_by_others(outs, standings, bars, met))
    return {mark: _raise(out, bars[mark], met) for mark, out in outs.items()}


def _taken_by_others(
    outs: Mapping[str, SettingOut],
    standings: Mapping[str, Standing],
    bars: Mapping[str, Bar],
    met: _Met,
) -> dict[tuple[str, str], list[cq.Shape]]:
    """What each run takes out of posts that it shares, in the frames of the others."""
    found: dict[tuple[str, str], list[cq.Shape]] = {}
    if not met.shared:
        return found
    for mark, out in outs.items():
        pair = (bars[mark], bottom_bar(out.kit, bars[mark], out.height_mm))
        bays = _bay_places(out, pair, met)
        place = location_of(standings[mark])
        for station in (out.stations[0], out.stations[-1]):
            own = _taken(out, [station], [b for b in bays if station.mark in b.posts], pair)
            if station.mark not in met.shared or not own:
                continue
            for other, beyond in outs.items():
                if other != mark and station.mark in {each.mark for each in beyond.stations}:
                    back = location_of(standings[other]).inverse
                    moved = [shape.moved(place).moved(back) for shape in own]
                    found.setdefault((other, station.mark), []).extend(moved)
    return found


def _taken(
    out: SettingOut, stations: Sequence[Station], bays: Sequence[BayPlace], bars: tuple[Bar, Bar]
) -> list[cq.Shape]:
    """What bays' cables, and the rails let into these posts, take out of posts."""
    taken = [bore for bay in bays for bore in _bores(out, bay)]
    return taken + [hole for station in stations for hole in _housings(out, station, bars)]


def bracket_mark(rail: str, *, uphill: bool) -> str:
    """What the bracket at a rail's end is called."""
    return f"{rail}-{'UK' if uphill else 'DK'}"


def return_mark(bay: str, *, uphill: bool) -> str:
    """What a top rail's return past a bay's end is called."""
    return f"{bay}-{'UR' if uphill else 'DR'}"


def _raise(out: SettingOut, top: Bar, met: _Met) -> RaisedRun:
    bottom = bottom_bar(out.kit, top, out.height_mm)
    bays = _bay_places(out, (top, bottom), met)
    taken = _taken(out, out.stations, bays, (top, bottom))
    posts: list[Part] = []
    walls: list[Part] = []
    for station in out.stations:
        cut = met.tops[out.mark, station.mark]
        if station.kind in (PostKind.WALL, PostKind.HALF):
            walls.append(wall_part(station, station.foot_mm + cut.height_mm))
        if station.kind is not PostKind.WALL:
            others = met.taken.get((out.mark, station.mark), ())
            whole_of = [*taken, *others]
            posts.append(post_part(out, station, cut, ground_mark(out.mark), whole_of))
    holders = {part.mark: part for part in (*posts, *walls)}
    parts = [*posts]
    for bay in bays:
        parts += _bay_parts(bay, holders, met.shared)
    parts += [
        _easing(out, eased) for (run, _), eased in sorted(met.eased.items()) if run == out.mark
    ]
    parts += [*walls, ground_part(out)]
    return RaisedRun(out, {part.mark: part for part in parts}, bays)


def _bay_places(out: SettingOut, bars: tuple[Bar, Bar], met: _Met) -> tuple[BayPlace, ...]:
    return tuple(
        _bay_place(out, number, pair, count, bars, met)
        for number, (pair, count) in enumerate(
            zip(pairwise(out.stations), out.bays, strict=True), start=1
        )
    )


def _bay_place(
    out: SettingOut,
    number: int,
    stations: tuple[Station, Station],
    count: BayCount,
    bars: tuple[Bar, Bar],
    met: _Met,
) -> BayPlace:
    low, high = stations
    spans = faces_mm(out.kit, low), faces_mm(out.kit, high)
    faces = spans[0][1], spans[1][0]
    top, bottom = ((EndAt(low, bar, spans[0], 1), EndAt(high, bar, spans[1], -1)) for bar in bars)
    return BayPlace(
        mark=f"{out.mark}{number}",
        kit=out.kit,
        top=bars[0],
        bottom=bars[1],
        faces_mm=faces,
        posts=(_holder(low), _holder(high)),
        ends=(
            (_top_planes(out, top[0], met), _top_planes(out, top[1], met)),
            (end_planes(bottom[0], None), end_planes(bottom[1], None)),
        ),
        at=(top, bottom),
        count=count,
    )


def _top_planes(out: SettingOut, at: EndAt, met: _Met) -> EndPlanes:
    """A top rail's end: only top rails run over posts, and only at a run's own ends into others."""
    where = out.mark, at.inward
    if at.station.through:
        return end_planes(at, None)
    if where in met.eased:
        eased = met.eased[where]
        return EndPlanes(at.axis_at(at.face_mm), eased.stop, eased.mouth, MouthOn.EASING)
    return end_planes(at, met.joints.get(where))


def _bores(out: SettingOut, bay: BayPlace) -> list[cq.Shape]:
    """Through an end post; to the middle of a line post, which is bored from both its faces."""
    by_mark = {station.mark: station for station in out.stations}
    width = out.kit.post.width_mm
    low, high = (by_mark.get(mark) for mark in bay.posts)
    reach = [
        width / 2 if station is not None and station.through else 2 * width
        for station in (low, high)
    ]
    return bores_through(bay, (reach[0], reach[1]))


def _holder(station: Station) -> str:
    """What the brackets at a station stand on."""
    return wall_mark(station) if station.kind is PostKind.WALL else station.mark


def _housings(out: SettingOut, station: Station, bars: tuple[Bar, Bar]) -> Iterator[cq.Shape]:
    """What rails let into a post take out of it."""
    faces = faces_mm(out.kit, station)
    for bar in bars:
        for inward in (1, -1):
            holds = station.ends.get((inward, bar.place))
            if isinstance(holds, HousedKit) and station.kind is not PostKind.WALL:
                yield housing(bar, holds, faces[1 if inward > 0 else 0], inward)


def _bay_parts(
    bay: BayPlace,
    holders: Mapping[str, Part],
    shared: frozenset[str],
) -> list[Part]:
    filled = fill(bay)
    rails, brackets = [], []
    beyond: list[Part] = []
    for mark, bar, ends, places, taken in zip(
        bay.rails, bay.bars, bay.ends, bay.at, filled.taken, strict=True
    ):
        carried: list[str] = []
        off: list[tuple[str, float]] = []
        for end, at in zip(ends, places, strict=True):
            holder = _holder(at.station)
            if isinstance(at.holds, EasingKit):
                carried.append(easing_mark(holder))
                continue
            if isinstance(at.holds, BracketKit | WallPlateKit):
                name = bracket_mark(mark, uphill=at.inward < 0)
                held = _held(name, bar, end, at, holders[holder])
                if held is not None:
                    brackets.append(held)
                carried.append(holder if held is None else held.mark)
                continue
            gap = stands_off_mm(at, shared=at.station.mark in shared)
            if gap:
                off.append((holder, gap))
            elif gap is not None:
                carried.append(holder)
        solid = cut_off(stock(bar), [end.stop for end in ends])
        out_of_it = [*taken, *(end.hollow for end in ends if end.hollow is not None)]
        if out_of_it:
            solid = whole(solid.cut(*out_of_it))
        rails.append(Part(mark, PartKind.RAIL, solid, tuple(carried), tuple(off)))
        for at in places:
            if isinstance(at.holds, ReturnKit):
                piece = at.returned()
                own = return_mark(bay.mark, uphill=at.inward < 0)
                beyond += return_parts(own, mark, piece, plough_mm(bay.kit, bar))
    return [*rails, *brackets, *beyond, *filled.parts]


def _easing(out: SettingOut, eased: EasedEnd) -> Part:
    """An easing, a saddle over its post."""
    over = out.kit.top_end
    saddle = over.saddle_mm if isinstance(over, OverKit) else 0.0
    off = ((eased.post, saddle),) if saddle else ()
    carried = () if saddle else (eased.post,)
    return Part(easing_mark(eased.post), PartKind.FITTING, eased.solid, carried, off)


def _held(name: str, bar: Bar, end: EndPlanes, at: EndAt, post: Part) -> Part | None:
    """The bracket or the wall's plate at a rail's end."""
    if isinstance(at.holds, WallPlateKit):
        return plate_part(name, at.holds, bar, end, at.face_mm, post)
    assert isinstance(at.holds, BracketKit)
    turned = askew(at.station)
    return bracket_part(name, at.holds, bar, end, at.face_mm, at.inward, post, askew=turned)


def askew(station: Station) -> bool:
    """Whether the rails leave this post's face off square."""
    quarter = math.pi / 2
    off = station.turned_rad % quarter
    return min(off, quarter - off) > 1e3 * SAME_RAD

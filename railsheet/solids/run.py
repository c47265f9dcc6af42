"""A run raised in space: posts where they are set out, and everything between them found there.

The top rail's line and the posts' middles are given; the rest follows by planes. The bottom rail
comes from what joins the rails. Each rail is an endless bar that the brackets' stops cut, the
stops standing off the posts' faces as they are found on the posts. Holes come by the bar's pitch.
Balusters are stood plumb and let down onto their stops. No cut figure of the layout is used.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import cadquery as cq

from railsheet.job.kit_infill import CableKit
from railsheet.job.model import PostKind
from railsheet.solids.bar import Bar, bottom_bar, cut_off, end_planes, stock, top_bar
from railsheet.solids.bracket import bracket_part
from railsheet.solids.fill import BayPlace, cable_bores, fill
from railsheet.solids.part import Part, PartKind
from railsheet.solids.post import (
    faces_mm,
    heights_mm,
    post_part,
    wall_mark,
    wall_part,
)
from railsheet.solids.setting_out import BayCount, SettingOut, Station
from railsheet.solids.space import whole
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


def raise_runs(outs: Mapping[str, SettingOut]) -> dict[str, RaisedRun]:
    """Every run of a job, each in its own frame; posts that runs share have one height."""
    tops = {mark: top_bar(out.kit, out.line_start_mm, out.slope) for mark, out in outs.items()}
    heights = heights_mm(outs, tops)
    return {mark: _raise(out, tops[mark], heights) for mark, out in outs.items()}


def bracket_mark(rail: str, *, uphill: bool) -> str:
    """What the bracket at a rail's end is called."""
    return f"{rail}-{'UK' if uphill else 'DK'}"


def _raise(out: SettingOut, top: Bar, heights: Mapping[str, float]) -> RaisedRun:
    bottom = bottom_bar(out.kit, top)
    bays = tuple(
        _bay_place(out, number, pair, count, (top, bottom))
        for number, (pair, count) in enumerate(
            zip(pairwise(out.stations), out.bays, strict=True), start=1
        )
    )
    bores = [bore for bay in bays for bore in _bores(out, bay)]
    posts: list[Part] = []
    walls: list[Part] = []
    for station in out.stations:
        height = heights[station.mark]
        if station.kind in (PostKind.WALL, PostKind.HALF):
            walls.append(wall_part(station, station.foot_mm + height))
        if station.kind is not PostKind.WALL:
            posts.append(post_part(out, station, height, ground_mark(out.mark), bores))
    holders = {part.mark: part for part in (*posts, *walls)}
    parts = [*posts]
    for bay, pair in zip(bays, pairwise(out.stations), strict=True):
        parts += _bay_parts(bay, pair, holders)
    parts += [*walls, ground_part(out)]
    return RaisedRun(out, {part.mark: part for part in parts}, bays)


def _bay_place(
    out: SettingOut,
    number: int,
    stations: tuple[Station, Station],
    count: BayCount,
    bars: tuple[Bar, Bar],
) -> BayPlace:
    low, high = stations
    faces = faces_mm(out.kit, low)[1], faces_mm(out.kit, high)[0]
    ends = tuple(
        (
            end_planes(low.brackets[1, bar.place], bar, faces[0], 1.0),
            end_planes(high.brackets[-1, bar.place], bar, faces[1], -1.0),
        )
        for bar in bars
    )
    return BayPlace(
        mark=f"{out.mark}{number}",
        kit=out.kit,
        top=bars[0],
        bottom=bars[1],
        faces_mm=faces,
        posts=(_holder(low), _holder(high)),
        ends=(ends[0], ends[1]),
        count=count,
    )


def _bores(out: SettingOut, bay: BayPlace) -> list[cq.Shape]:
    """Through an end post; to the middle of a line post, which is bored from both its faces."""
    infill = out.kit.infill
    if not isinstance(infill, CableKit):
        return []
    by_mark = {station.mark: station for station in out.stations}
    width = out.kit.post.width_mm
    low, high = (by_mark.get(mark) for mark in bay.posts)
    reach = [
        width / 2 if station is not None and station.through else 2 * width
        for station in (low, high)
    ]
    return cable_bores(bay, infill, (reach[0], reach[1]))


def _holder(station: Station) -> str:
    """What the brackets at a station stand on."""
    return wall_mark(station) if station.kind is PostKind.WALL else station.mark


def _bay_parts(
    bay: BayPlace, stations: tuple[Station, Station], holders: Mapping[str, Part]
) -> list[Part]:
    filled = fill(bay)
    rails, brackets = [], []
    for mark, bar, ends, taken in zip(bay.rails, bay.bars, bay.ends, filled.taken, strict=True):
        carried = []
        for end, station, face, inward in zip(ends, stations, bay.faces_mm, (1, -1), strict=True):
            held = bracket_part(
                bracket_mark(mark, uphill=inward < 0),
                station.brackets[inward, bar.place],
                bar,
                end,
                face,
                inward,
                holders[_holder(station)],
                askew=askew(station),
            )
            if held is not None:
                brackets.append(held)
            carried.append(_holder(station) if held is None else held.mark)
        solid = cut_off(stock(bar), ends)
        if taken:
            solid = whole(solid.cut(*taken))
        rails.append(Part(mark, PartKind.RAIL, solid, tuple(carried)))
    return [*rails, *brackets, *filled.parts]


def askew(station: Station) -> bool:
    """Whether the rails leave this post's face off square."""
    quarter = math.pi / 2
    off = station.turned_rad % quarter
    return min(off, quarter - off) > 1e3 * SAME_RAD

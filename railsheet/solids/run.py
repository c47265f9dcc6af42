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

from railsheet.job.model import PostKind
from railsheet.solids.bar import Bar, bottom_bar, cut_off, end_planes, stock, top_bar
from railsheet.solids.bracket import bracket_part
from railsheet.solids.fill import BayPlace, fill
from railsheet.solids.part import Part, PartKind
from railsheet.solids.post import (
    faces_mm,
    heights_mm,
    post_part,
    wall_mark,
    wall_part,
)
from railsheet.solids.setting_out import SettingOut, Station
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
    posts: dict[str, Part] = {}
    walls: list[Part] = []
    for station in out.stations:
        height = heights[station.mark]
        if station.kind in (PostKind.WALL, PostKind.HALF):
            walls.append(wall_part(station, station.foot_mm + height))
        if station.kind is not PostKind.WALL:
            posts[station.mark] = post_part(out, station, height, ground_mark(out.mark))
    holders = {**posts, **{wall.mark: wall for wall in walls}}
    parts = list(posts.values())
    bays = []
    for number, ((low, high), count) in enumerate(
        zip(pairwise(out.stations), out.bays, strict=True), start=1
    ):
        faces = faces_mm(out.kit, low)[1], faces_mm(out.kit, high)[0]
        ends = tuple(
            (
                end_planes(out.kit.bracket(bar.place), bar, faces[0], 1.0),
                end_planes(out.kit.bracket(bar.place), bar, faces[1], -1.0),
            )
            for bar in (top, bottom)
        )
        bay = BayPlace(
            mark=f"{out.mark}{number}",
            kit=out.kit,
            top=top,
            bottom=bottom,
            faces_mm=faces,
            posts=(_holder(low), _holder(high)),
            ends=(ends[0], ends[1]),
            count=count,
        )
        bays.append(bay)
        parts += _bay_parts(bay, (low, high), holders)
    parts += [*walls, ground_part(out)]
    return RaisedRun(out, {part.mark: part for part in parts}, tuple(bays))


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
        for end, station, face, inward in zip(
            ends, stations, bay.faces_mm, (1.0, -1.0), strict=True
        ):
            held = bracket_part(
                bracket_mark(mark, uphill=inward < 0),
                bay.kit.bracket(bar.place),
                bar,
                end,
                face,
                inward,
                holders[_holder(station)],
                askew=_askew(station),
            )
            if held is not None:
                brackets.append(held)
            carried.append(_holder(station) if held is None else held.mark)
        solid = cut_off(stock(bar), ends)
        if taken:
            solid = whole(solid.cut(*taken))
        rails.append(Part(mark, PartKind.RAIL, solid, tuple(carried)))
    return [*rails, *brackets, *filled.parts]


def _askew(station: Station) -> bool:
    """Whether the rails leave this post's face off square."""
    quarter = math.pi / 2
    off = station.turned_rad % quarter
    return min(off, quarter - off) > 1e3 * SAME_RAD


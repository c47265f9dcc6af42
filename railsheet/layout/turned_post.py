"""A post turned in plan to suit runs that do not meet square: its brackets, face and plate.

In plan a skew bracket turns about an upright pin that stands square off the middle of the post's
face; the rail's line runs through the pin. So the post's middle lies off that line, and the lines
of two rails meet in a point beside it. Without such a bracket the rail's line is drawn through
the post's middle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_bracket import BracketKit
from railsheet.job.kit_ends import EndKit
from railsheet.job.model import PostKind, Skew
from railsheet.tolerance import SAME_MM, SAME_RAD

if TYPE_CHECKING:
    from railsheet.layout.plan import Point


def skew_pair(kit: Kit, skew_rad: float) -> tuple[BracketKit, BracketKit] | None:
    """The kit's top and bottom bracket for a rail that leaves askew; None where it has none.

    Both turn about one pin line, or the rails would not hang over one another. Of several the one
    made for the narrowest range, then the first by name.
    """
    pairs = [pair for pair in _pairs(kit) if all(bracket.reaches(skew_rad) for bracket in pair)]
    if not pairs:
        return None

    def range_of(pair: tuple[BracketKit, BracketKit]) -> tuple[float, str]:
        return sum(b.turns_rad[1] - b.turns_rad[0] for b in pair), pair[0].name

    return min(pairs, key=range_of)


def nearest_skew(kit: Kit, skew_rad: float) -> float | None:
    """The skew nearest to one asked for that the kit has brackets for; None where it has none."""
    found = []
    for pair in _pairs(kit):
        least = max(bracket.turns_rad[0] for bracket in pair)
        most = min(bracket.turns_rad[1] for bracket in pair)
        if least <= most:
            found.append(min(max(abs(skew_rad), least), most))
    return min(found, key=lambda near: abs(near - abs(skew_rad)), default=None)


def _pairs(kit: Kit) -> list[tuple[BracketKit, BracketKit]]:
    return [
        (top, bottom)
        for top, bottom in product(_skew_of(kit.top_end), _skew_of(kit.bottom_end))
        if abs(top.stand_off_mm - bottom.stand_off_mm) <= SAME_MM
    ]


def _skew_of(end: EndKit) -> tuple[BracketKit, ...]:
    return end.skew if isinstance(end, BracketKit) else ()


def end_bracket(kit: Kit, place: RailPlace, skew: Skew) -> BracketKit:
    """The bracket of a rail's end, its stand-off measured along the run and its parts by hand."""
    pair = skew_pair(kit, skew.angle_rad) if skew.angle_rad and skew.held else None
    if pair is None:
        end = kit.end(place)
        assert isinstance(end, BracketKit)
        return end
    bracket = pair[0] if place is RailPlace.TOP else pair[1]
    hand = ""
    if bracket.handed:
        hand = ", turning left" if skew.angle_rad > 0 else ", turning right"
    return replace(
        bracket,
        stand_off_mm=bracket.stand_off_mm / math.cos(skew.angle_rad),
        rising=bracket.rising + hand,
        falling=bracket.falling + hand,
    )


def middle_back_mm(kit: Kit, kind: PostKind, skew: Skew) -> float:
    """From where the rail's line meets the post's face back to the post's middle, along the run."""
    if kind is PostKind.WALL:
        return 0.0
    half, angle = kit.post.width_mm / 2, skew.angle_rad
    pin = _pin_mm(kit, skew)
    if pin is None:
        return half / math.cos(angle)
    return (half + pin) * math.cos(angle) - pin / math.cos(angle)


def aside_mm(kit: Kit, kind: PostKind, skew: Skew) -> float:
    """How far the post's middle lies to the left of the rail's line, seen walking from the post."""
    pin = None if kind is PostKind.WALL else _pin_mm(kit, skew)
    if pin is None:
        return 0.0
    return (kit.post.width_mm / 2 + pin) * math.sin(skew.angle_rad)


def _pin_mm(kit: Kit, skew: Skew) -> float | None:
    """How far a skew bracket's pin stands square off the face; None where the rail has none."""
    pair = skew_pair(kit, skew.angle_rad) if skew.angle_rad and skew.held else None
    return None if pair is None else pair[0].stand_off_mm


def turned_half_mm(along_mm: float, across_mm: float, angle_rad: float) -> tuple[float, float]:
    """Half the room a turned rectangle takes along and across a run."""
    c, s = abs(math.cos(angle_rad)), abs(math.sin(angle_rad))
    return (along_mm * c + across_mm * s) / 2, (along_mm * s + across_mm * c) / 2


def lines_meet(kit: Kit, ways_rad: Sequence[float], skews_rad: Sequence[float]) -> Point | None:
    """Where the lines of all rails that leave one post meet, from its middle.

    None where the kit has no bracket for one of them, or they do not meet in one point.
    """
    if not any(skews_rad):
        return 0.0, 0.0
    lines: list[tuple[Point, Point]] = []
    for way, skew in zip(ways_rad, skews_rad, strict=True):
        pin = _pin_mm(kit, Skew(skew)) if skew else 0.0
        if pin is None:
            return None
        out = kit.post.width_mm / 2 + pin
        # The face looks as far to the right of the rail's way as the rail leaves to its left.
        looks = way - skew
        lines.append(
            ((out * math.cos(looks), out * math.sin(looks)), (math.cos(way), math.sin(way)))
        )
    (p, u), (q, v) = next(
        (one, other)
        for one, other in product(lines, lines)
        if abs(one[1][0] * other[1][1] - one[1][1] * other[1][0]) > SAME_RAD
    )
    t = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / (u[0] * v[1] - u[1] * v[0])
    x, y = p[0] + t * u[0], p[1] + t * u[1]
    for (a, b), (c, d) in lines:
        if abs((x - a) * d - (y - b) * c) > SAME_MM:
            return None
    return x, y

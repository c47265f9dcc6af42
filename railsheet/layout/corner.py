"""A post that rails leave at plan angles: which way it is turned, and whether they have room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from railsheet.job.kit import Kit, RailPlace
from railsheet.tolerance import SAME_MM, SAME_RAD

_QUARTER = math.pi / 2


@dataclass(frozen=True)
class Corner:
    """How a square post stands among the rails that leave it.

    Attributes:
        turned_rad: the way one of its faces looks, counter-clockwise from x, 0 to a quarter turn.
        skew_rad: for each rail, how far its way stands off square to the face it leaves from;
            in the order of the ways given.
    """

    turned_rad: float
    skew_rad: tuple[float, ...]


def turn_post(ways_rad: Sequence[float]) -> Corner:
    """Turn a square post so that no rail leaves its face farther off square than need be.

    The ways, folded into a quarter turn, lie on a circle; the post faces the middle of the
    shortest arc that holds them all.

    Args:
        ways_rad: the way each rail leaves the post; at least one.
    """
    folded = sorted(way % _QUARTER for way in ways_rad)
    gaps = [b - a for a, b in pairwise((*folded, folded[0] + _QUARTER))]
    widest = max(range(len(gaps)), key=lambda i: gaps[i])
    first = folded[(widest + 1) % len(folded)]
    turned = (first + (_QUARTER - gaps[widest]) / 2) % _QUARTER
    skews = []
    for way in ways_rad:
        off = (way - turned) % _QUARTER
        off = off - _QUARTER if off > _QUARTER / 2 else off
        skews.append(off if abs(off) > SAME_RAD else 0.0)
    return Corner(turned, tuple(skews))


def half_way_mm(width_mm: float, skew_rad: float) -> float:
    """From a square post's middle to its face, along a rail that leaves it askew."""
    return width_mm / 2 / math.cos(skew_rad)


def room_short_mm(kit: Kit, first_rad: float, second_rad: float) -> float:
    """How much too near two rails' brackets come at their post; 0 where they clear each other.

    Two strips as wide as the widest of rail and mount leave the post's middle at a plan angle t;
    their near edges meet half the width over tan(t / 2) out, and each bracket begins half the
    post's width out.
    """
    angle = abs((second_rad - first_rad + math.pi) % math.tau - math.pi)
    half = max(
        max(kit.rail(place).width_mm, kit.end(place).mount_width_mm) / 2
        for place in RailPlace
        # Rails that run over their post join there: they need no room beside one another.
        if not kit.end(place).runs_over
    )
    starts = kit.post.width_mm / 2
    if angle < SAME_RAD:
        return math.inf
    meet = half / math.tan(angle / 2)
    return meet - starts if meet > starts + SAME_MM else 0.0

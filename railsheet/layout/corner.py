"""A post that rails leave at plan angles: which way it is turned, and whether they have room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import SQUARE, PostKind, Skew
from railsheet.layout.plan import Point
from railsheet.layout.turned_post import lines_meet, middle_back_mm
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
    shortest arc that holds them all. Of two arcs as short, as for two rails that meet at an eighth
    turn off straight, the one whose rails leave from faces turned farther from one another.

    Args:
        ways_rad: the way each rail leaves the post; at least one.
    """
    folded = sorted(way % _QUARTER for way in ways_rad)
    gaps = [b - a for a, b in pairwise((*folded, folded[0] + _QUARTER))]
    turns = [
        _stood(ways_rad, (folded[(i + 1) % len(folded)] + (_QUARTER - gap) / 2) % _QUARTER)
        for i, gap in enumerate(gaps)
        if gap > max(gaps) - SAME_RAD
    ]
    return max(turns, key=lambda corner: (round(_apart(ways_rad, corner), 6), corner.turned_rad))


def _stood(ways_rad: Sequence[float], turned: float) -> Corner:
    skews = []
    for way in ways_rad:
        off = (way - turned) % _QUARTER
        off = off - _QUARTER if off > _QUARTER / 2 else off
        skews.append(off if abs(off) > SAME_RAD else 0.0)
    return Corner(turned, tuple(skews))


def _apart(ways_rad: Sequence[float], corner: Corner) -> float:
    """The least angle between the ways that two of the rails' faces look."""
    looks = [way - skew for way, skew in zip(ways_rad, corner.skew_rad, strict=True)]
    return min(
        (abs((a - b + math.pi) % math.tau - math.pi) for a, b in combinations(looks, 2)),
        default=math.pi,
    )


@dataclass(frozen=True)
class Leaving:
    """How one run's rail leaves its post.

    Attributes:
        turned_rad: the way one of the post's faces looks.
        way_rad: the rail's way.
        skew: how far that is off square to the face.
        point_mm: where the post's rails' lines meet, from its middle.
    """

    turned_rad: float
    way_rad: float
    skew: Skew
    point_mm: Point

    def face_mm(self, kit: Kit, kind: PostKind) -> float:
        """From the plan point to where the rail's line meets the post's face."""
        x, y = self.point_mm
        out = x * math.cos(self.way_rad) + y * math.sin(self.way_rad)
        return middle_back_mm(kit, kind, self.skew) - out


def leave_post(kit: Kit, ways_rad: Sequence[float]) -> tuple[Leaving, ...]:
    """How every rail leaves a post, in the order of their ways."""
    if kit.post.round:
        # A round post is met square from anywhere; its plate goes with the first of its rails.
        return tuple(Leaving(ways_rad[0] % _QUARTER, way, SQUARE, (0.0, 0.0)) for way in ways_rad)
    corner = turn_post(ways_rad)
    point = lines_meet(kit, ways_rad, corner.skew_rad)
    held = point is not None
    return tuple(
        Leaving(corner.turned_rad, way, Skew(skew, held or not skew), point or (0.0, 0.0))
        for way, skew in zip(ways_rad, corner.skew_rad, strict=True)
    )


def room_short_mm(kit: Kit, first_rad: float, second_rad: float, starts_mm: float) -> float:
    """How much too near two rails' brackets come at their post; 0 where they clear each other.

    Two strips as wide as the widest of rail and mount leave the point where their lines meet at a
    plan angle t; their near edges meet half the width over tan(t / 2) out.

    Args:
        starts_mm: how far out the nearer bracket begins.
    """
    angle = abs((second_rad - first_rad + math.pi) % math.tau - math.pi)
    half = max(
        max(kit.rail(place).width_mm, kit.end(place).mount_width_mm) / 2
        for place in RailPlace
        # Rails that run over their post join there: they need no room beside one another.
        if not kit.end(place).runs_over
    )
    if angle < SAME_RAD:
        return math.inf
    meet = half / math.tan(angle / 2)
    return meet - starts_mm if meet > starts_mm + SAME_MM else 0.0

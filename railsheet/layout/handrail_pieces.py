"""The pieces of a handrail between its corners: what joins them, how each is cut, how it lies."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from railsheet.job.handrail import HandrailSpec
from railsheet.job.kit_handrail import Finish, HandrailSection
from railsheet.layout.handrail_model import Corner, HandrailPiece, Joint, PieceEnd, Vector
from railsheet.layout.handrail_path import turn_fitting
from railsheet.layout.handrail_splice import SPLICE

Array = NDArray[np.float64]

_UP = np.array([0.0, 0.0, 1.0])
# Directions nearer to each other than this are one direction.
_TINY = 1e-9
# A long point within this of a side is on that side.
_ON_SIDE_RAD = math.radians(1.0)


def ways_of(corners: Sequence[Corner]) -> tuple[Array, ...]:
    """The unit vector from each corner to the next."""
    places = [np.array(corner.at) for corner in corners]
    steps = [b - a for a, b in itertools.pairwise(places)]
    return tuple(step / np.linalg.norm(step) for step in steps)


def angle_between(one: Array, other: Array) -> float:
    """Between two directions, 0 to pi, exact near both ends."""
    return float(np.arctan2(np.linalg.norm(np.cross(one, other)), one @ other))


def joints_of(spec: HandrailSpec, corners: Sequence[Corner]) -> tuple[Joint, ...]:
    """What joins the pieces at each corner between two."""
    ways = ways_of(corners)
    found = []
    for number, (one, other) in enumerate(itertools.pairwise(ways), start=1):
        if corners[number].words == SPLICE and spec.kit.splice is not None:
            found.append(Joint(number, 0.0, spec.kit.splice.fitting, 0.0))
            continue
        turn = angle_between(one, other)
        fitting = turn_fitting(spec, turn)
        slip = 0.0
        if fitting is None and not spec.kit.section.round:
            slip = _slip(one, other)
        found.append(Joint(number, turn, fitting, slip))
    return tuple(found)


def section_up(way: Array) -> Array:
    """Out of the top of a section whose sides stand plumb; of an upright piece, along x."""
    up = _UP - (way @ _UP) * way
    size = float(np.linalg.norm(up))
    return up / size if size > _TINY else np.array([1.0, 0.0, 0.0])


def _slip(one: Array, other: Array) -> float:
    """How far the second section is rolled from the first one's mirror image in the cut.

    Sections that look alike turned half round count as alike.
    """
    normal = one + other
    normal = normal / np.linalg.norm(normal)
    up = section_up(one)
    mirrored = up - 2 * (up @ normal) * normal
    rolled = angle_between(mirrored, section_up(other))
    return min(rolled, math.pi - rolled)


def pieces_of(
    spec: HandrailSpec,
    corners: Sequence[Corner],
    joints: Sequence[Joint],
    side: int,
) -> tuple[HandrailPiece, ...]:
    """The pieces, without their brackets.

    Args:
        side: 1 where the walk is to the left going up, -1 where to the right.
    """
    ways = ways_of(corners)
    between = {joint.corner: joint for joint in joints}
    pieces = []
    for number, way in enumerate(ways):
        low = between.get(number)
        high = between.get(number + 1)
        lower = _end(spec, way, -way, low, ways[number - 1] if low else None, side, bottom=True)
        upper = _end(spec, way, way, high, ways[number + 1] if high else None, side, bottom=False)
        roll = 0.0
        if lower.lean_rad and upper.lean_rad:
            roll = _round(way, np.array(lower.long_way), np.array(upper.long_way))
        start, stop = (np.array(corners[n].at) for n in (number, number + 1))
        pieces.append(
            HandrailPiece(
                mark=f"{spec.mark}-{number + 1}",
                start=number,
                stop=number + 1,
                way=_vector(way),
                corner_to_corner_mm=float(np.linalg.norm(stop - start)),
                lower=lower,
                upper=upper,
                roll_rad=roll,
            )
        )
    return tuple(pieces)


def _round(way: Array, one: Array, other: Array) -> float:
    """From one direction to another about a way, clockwise seen along it; both square to it."""
    return float(np.arctan2(np.cross(one, other) @ way, one @ other))


def _end(
    spec: HandrailSpec,
    way: Array,
    outward: Array,
    joint: Joint | None,
    next_way: Array | None,
    side: int,
    *,
    bottom: bool,
) -> PieceEnd:
    if joint is not None and next_way is not None:
        words = "mitre" if joint.fitting is None else joint.fitting.name
        if not joint.lean_rad:
            return PieceEnd(words, joint.set_back_mm, 0.0, 0.0, "", (0.0, 0.0, 0.0))
        away = -next_way if bottom else next_way
        inward = away - (away @ outward) * outward
        return _leaning(spec.kit.section, words, way, -inward, joint.lean_rad, side)
    finish = (spec.bottom if bottom else spec.top).finish
    part = spec.kit.end(finish)
    # A gap is left at the surface that a piece ends against; a newel's was left by the path.
    gap = part.gap_mm if finish.turns else 0.0
    lean = abs(math.asin(float(way[2]))) if finish is Finish.NEWEL else 0.0
    if lean < _TINY:
        return PieceEnd(part.name, gap, 0.0, 0.0, "", (0.0, 0.0, 0.0))
    # Against a plumb face a rail that climbs to it is longest underneath, seen along its way.
    climbs = float(outward[2]) > 0
    long_way = -section_up(way) if climbs else section_up(way)
    return _leaning(spec.kit.section, f"{part.name}, plumb", way, long_way, lean, side)


def _leaning(
    section: HandrailSection, words: str, way: Array, long_way: Array, lean: float, side: int
) -> PieceEnd:
    long_way = long_way / np.linalg.norm(long_way)
    up = section_up(way)
    across = np.cross(up, way)
    if section.round:
        half = section.depth_mm / 2
    else:
        half = float(abs(long_way @ up)) * section.depth_mm / 2
        half += float(abs(long_way @ across)) * section.width_mm / 2
    reach = half * math.tan(lean)
    return PieceEnd(
        words, 0.0, lean, reach, _side_words(up, across, long_way, side), _vector(long_way)
    )


def _side_words(up: Array, across: Array, long_way: Array, side: int) -> str:
    """Where in place a long point is. ``across`` points to the left going up."""
    walking = across * side
    sides = {
        "top": up,
        "underside": -up,
        "walking side": walking,
        "wall side": -walking,
    }
    near = sorted(sides, key=lambda name: angle_between(long_way, sides[name]))
    if angle_between(long_way, sides[near[0]]) <= _ON_SIDE_RAD:
        return near[0]
    return f"between {near[0]} and {near[1]}"


def _vector(values: Array) -> Vector:
    return float(values[0]), float(values[1]), float(values[2])

"""Two neighbours on a bar: how much room the cuts between them take."""

from __future__ import annotations

import math

# Two leans this close are one saw setting and may share a cut: a hundredth of a degree moves a
# cut 0.01 mm across a 50 mm section, less than any saw holds.
SAME_LEAN_RAD = math.radians(0.01)


def same_lean(a_rad: float, b_rad: float) -> bool:
    """Whether two cuts lean alike, so that one saw setting makes both."""
    return abs(a_rad - b_rad) <= SAME_LEAN_RAD


def kerf_along_mm(kerf_mm: float, lean_rad: float, bevel_rad: float = 0.0) -> float:
    """A blade's width measured along the bar: kerf / (cos(lean) cos(bevel)). Lengths in mm.

    The cut's normal stands off the bar by the angle whose cosine is that product (compound.py).
    """
    return kerf_mm / (math.cos(lean_rad) * math.cos(bevel_rad))


def can_share(length_mm: float, left_rad: float, right_rad: float, depth_mm: float) -> bool:
    """Whether a piece is long enough beside its cuts to lie nested at both ends.

    Shorter pieces, whose leaning ends reach past one another, are laid long point to long point.
    """
    reach = depth_mm * (abs(math.tan(left_rad)) + abs(math.tan(right_rad)))
    return length_mm >= reach


def room_mm(
    end_rad: float,
    start_rad: float,
    kerf_mm: float,
    depth_mm: float,
    *,
    shared: bool,
    bevels_rad: tuple[float, float] = (0.0, 0.0),
) -> float:
    """From one piece's right long point to the next one's left long point, in mm, at the least.

    Shared: one cut ends the first and starts the second, so the long points pass each other by
    depth * tan(lean), less the kerf along the bar; the result is negative where the lean is
    steep. Not shared: the long points stand a kerf apart, measured along the bar at the steeper
    of the two cuts. Exact where the cuts lean apart or one is square; where they lean the same
    way at two angles it is on the safe side, for the wedge between is not used. Cuts with a bevel
    are never shared.
    """
    kerf = max(
        kerf_along_mm(kerf_mm, end_rad, bevels_rad[0]),
        kerf_along_mm(kerf_mm, start_rad, bevels_rad[1]),
    )
    if not shared:
        return kerf
    return kerf - depth_mm * min(abs(math.tan(end_rad)), abs(math.tan(start_rad)))

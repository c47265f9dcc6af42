"""A rail's end coped to a round post: the saddle, or fish mouth, where a bar meets a cylinder.

A bar whose axis crosses a plumb cylinder's at an angle b is cut where its surface meets the
cylinder: a point of it ``aside`` from the axis, and ``offset`` up square to it, is cut at

    w = (sqrt(R^2 - aside^2) - offset cos b) / sin b

along the bar from where the axes cross. That is the published development of a pipe saddle, there
with offset = r cos t and aside = r sin t for a round branch of radius r (Pipe Saddle Cut
Calculator, machinecalcs.com, "Method notes", read 2026-11-25); it holds for any section, whose
points are each cut alone. For a rail that climbs at a rake, sin b = cos(rake).
"""

from __future__ import annotations

import math


def hollow_mm(radius_mm: float, aside_mm: float, lean: float) -> float:
    """How far the cut at a distance aside stands out, along the bar, past the cut at its middle.

    Args:
        radius_mm: of the cylinder that the end is cut to.
        aside_mm: from the bar's axis, level.
        lean: how much the cut's place grows for each mm up: the rake's tangent. A plumb cylinder
            is met on the slope: along the bar its hollow is 1 / cos(rake) deeper.

    Raises:
        ValueError: the bar is wider than the cylinder.
    """
    if abs(aside_mm) > radius_mm:
        raise ValueError("the bar is wider than what it is coped to")
    return (radius_mm - math.sqrt(radius_mm**2 - aside_mm**2)) * math.hypot(1.0, lean)

"""A post's section as it is seen from above."""

from __future__ import annotations

import math

from railsheet.job.kit import Kit
from railsheet.layout.plan import Point


def post_in_plan(kit: Kit, middle_mm: Point, turned_rad: float) -> tuple[Point, ...]:
    """A post's outline from above.

    Args:
        middle_mm: its middle.
        turned_rad: the way one of its faces looks.
    """
    half = kit.post.width_mm / math.sqrt(2)
    ways = [turned_rad + math.pi / 4 + n * math.pi / 2 for n in range(4)]
    return tuple(
        (middle_mm[0] + half * math.cos(way), middle_mm[1] + half * math.sin(way)) for way in ways
    )

"""A post's section as it is seen from above: a square turned with the post, or a round."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from railsheet.job.kit import PostKit

if TYPE_CHECKING:
    from railsheet.layout.plan import Point

# A round in so many chords: they lie within it, so that what is measured to them is never too near;
# of a 150 mm post they are 0.02 mm off.
_ROUND = 128


def post_in_plan(post: PostKit, middle_mm: Point, turned_rad: float) -> tuple[Point, ...]:
    """A post's outline from above.

    Args:
        middle_mm: its middle.
        turned_rad: the way one of its faces looks.
    """
    if post.round:
        ways, out = [math.tau * number / _ROUND for number in range(_ROUND)], post.width_mm / 2
    else:
        ways = [turned_rad + math.pi / 4 + n * math.pi / 2 for n in range(4)]
        out = post.width_mm / math.sqrt(2)
    return tuple(
        (middle_mm[0] + out * math.cos(way), middle_mm[1] + out * math.sin(way)) for way in ways
    )

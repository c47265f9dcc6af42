"""The line of a cut round a rail's end, unfolded: what a paper wrapped round the bar shows.

The paper is laid out as it is read with its face outward and the end of the bar up the sheet. Seen
so, going right goes round the bar to the right of one who looks out of the end: over the top, down
the right side, back along the underside, up the left side. A face unfolds in its own true shape, so
each point keeps its distance along the bar and its distance across the face: plain geometry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail


class Face(Enum):
    """A face of a rail, as one sees it who looks out of its end, the top up."""

    TOP = "top"
    RIGHT = "right"
    UNDERSIDE = "underside"
    LEFT = "left"


@dataclass(frozen=True)
class Strip:
    """One face unfolded. Lengths in mm.

    Attributes:
        start_mm, stop_mm: its two arrises, round the bar from the first of them, top left.
        cut: the cut's line on it: (round the bar, back along it from the end's longest point).
    """

    face: Face
    start_mm: float
    stop_mm: float
    cut: tuple[tuple[float, float], ...]


# Paper behind the shortest point, to hold it by.
_BEHIND_MM = 20.0


def around_mm(rail: Rail) -> float:
    """Once round a rail."""
    return 2 * (rail.kit.depth_mm + rail.kit.width_mm)


def edge_mm(rail: Rail, end: End, step_mm: float) -> float:
    """From the longest point back to the paper's square edge: a whole number of steps."""
    short = rail.short_mm(end) + _BEHIND_MM
    return step_mm * math.ceil(short / step_mm)


def unfolded(rail: Rail, end: End) -> tuple[Strip, ...]:
    """A rail's end unfolded, face by face."""
    cut, out = rail.end(end), -end.inward
    deep, wide = rail.kit.depth_mm, rail.kit.width_mm
    longest = cut.long_u_mm(deep, wide)

    def back(offset_mm: float, right_mm: float) -> float:
        """How far back from the longest point, of a point so far right looking out of the end."""
        return out * (longest - cut.u_at(offset_mm, -out * right_mm))

    def across(offset_mm: float) -> tuple[tuple[float, float], ...]:
        """The edge on the top or the underside: (to the right, back)."""
        edge = [(-out * aside, out * (longest - u)) for u, aside in cut.edge(offset_mm, wide)]
        return tuple(sorted(edge))

    top = tuple((wide / 2 + right, far) for right, far in across(deep / 2))
    under = tuple(
        (wide + deep + wide / 2 - right, far) for right, far in reversed(across(-deep / 2))
    )
    sides = {
        Face.RIGHT: (wide, deep / 2, wide / 2, -1.0),
        Face.LEFT: (2 * wide + deep, -deep / 2, -wide / 2, 1.0),
    }
    strips = {
        Face.TOP: Strip(Face.TOP, 0.0, wide, top),
        Face.UNDERSIDE: Strip(Face.UNDERSIDE, wide + deep, 2 * wide + deep, under),
    }
    for face, (start, offset, right, way) in sides.items():
        # Plumb-sided or flat, a cut runs straight over a side.
        line = (start, back(offset, right)), (start + deep, back(offset + way * deep, right))
        strips[face] = Strip(face, start, start + deep, line)
    return tuple(strips[face] for face in Face)

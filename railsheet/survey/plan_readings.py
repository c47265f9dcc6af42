"""What is read of a site in plan, and the equation each reading puts to its posts.

Post ``m`` stands at (x_m, y_m) from the site's datum.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from railsheet.survey.readings import AngleReading, Equation, LengthReading, Unknown


@dataclass(frozen=True)
class PlanDistance(LengthReading):
    """A level distance from post to post: a run's length, or a check diagonal.

    Attributes:
        start, end: the posts' marks.
        apart_mm: how much farther along x and y the points it was read between stand apart than
            the posts' plan points.
    """

    start: str
    end: str
    apart_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def places(self) -> tuple[Unknown, ...]:
        """Both posts, both ways."""
        return _pair(self.start, self.end)

    def equation(self, at: Mapping[Unknown, float]) -> Equation:
        """√(Δx² + Δy²); its slopes are the direction cosines."""
        dx, dy = _way(at, self.start, self.end)
        dx, dy = dx + self.apart_mm[0], dy + self.apart_mm[1]
        length = math.hypot(dx, dy)
        c, s = (dx / length, dy / length) if length > 0.0 else (0.0, 0.0)
        return Equation(length, tuple(zip(self.places, (-c, -s, c, s), strict=True)))


@dataclass(frozen=True)
class PlanBearing(AngleReading):
    """The way from one post to another, counter-clockwise from x.

    Attributes:
        start, end: the posts' marks.
    """

    start: str
    end: str

    @property
    def places(self) -> tuple[Unknown, ...]:
        """Both posts, both ways."""
        return _pair(self.start, self.end)

    def equation(self, at: Mapping[Unknown, float]) -> Equation:
        """atan2(Δy, Δx), told within half a turn of what was read."""
        dx, dy = _way(at, self.start, self.end)
        square = dx * dx + dy * dy
        across, along = (dy / square, dx / square) if square > 0.0 else (0.0, 0.0)
        off = math.remainder(math.atan2(dy, dx) - self.read_rad, math.tau)
        slopes = (across, -along, -across, along)
        return Equation(self.read_rad + off, tuple(zip(self.places, slopes, strict=True)))


def _pair(start: str, end: str) -> tuple[Unknown, ...]:
    return ("x", start), ("y", start), ("x", end), ("y", end)


def _way(at: Mapping[Unknown, float], start: str, end: str) -> tuple[float, float]:
    return at["x", end] - at["x", start], at["y", end] - at["y", start]

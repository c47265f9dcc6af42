"""Punched rail between two post faces: which clear distances work, and what gaps they leave.

With balusters a level distance q apart, N of them of width w between faces C apart leave
``(C - (N - 1) q - w) / 2`` at each end when both gaps are equal. Unequal gaps cannot do better:
if both lie within the allowed range, so does their mean.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.job.kit_infill import GapKit
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class Punching:
    """What decides the gaps of a punched rail. Lengths in mm, level.

    Attributes:
        spacing_mm: baluster to baluster, centre to centre.
        width_mm: of one baluster.
        gap: the allowed clear gap at each post.
    """

    spacing_mm: float
    width_mm: float
    gap: GapKit

    @property
    def anywhere(self) -> bool:
        """Between the bands nothing works: a post must stand in one."""
        return False

    @property
    def gap_limits_mm(self) -> tuple[float, float]:
        """The kit's own."""
        return self.gap.least_mm, self.gap.most_mm

    def spacing_at(self, clear_mm: float, balusters: int) -> float:
        """The holes', whatever the clear distance."""
        return self.spacing_mm

    def filled_mm(self, balusters: int) -> float:
        """From the first baluster's outer face to the last one's."""
        return (balusters - 1) * self.spacing_mm + self.width_mm

    def gap_mm(self, clear_mm: float, balusters: int) -> float:
        """The gap at each end, both equal; negative where they do not fit."""
        return (clear_mm - self.filled_mm(balusters)) / 2

    def band_mm(self, balusters: int) -> tuple[float, float]:
        """The clear distances between post faces that this many balusters can fill."""
        filled = self.filled_mm(balusters)
        return filled + 2 * self.gap.least_mm, filled + 2 * self.gap.most_mm

    def outside_mm(self, clear_mm: float, balusters: int) -> float:
        """How far the equal gaps lie outside the allowed range; 0 inside it."""
        gap = self.gap_mm(clear_mm, balusters)
        outside = max(self.gap.least_mm - gap, gap - self.gap.most_mm, 0.0)
        return outside if outside > SAME_MM else 0.0

    def ease_mm(self, clear_mm: float, balusters: int) -> float:
        """How far the equal gaps stand inside the allowed range; negative outside it."""
        gap = self.gap_mm(clear_mm, balusters)
        return min(gap - self.gap.least_mm, self.gap.most_mm - gap)

    def best_count(self, clear_mm: float) -> int:
        """The number of balusters whose gaps stand deepest inside the range, or least outside.

        Two numbers that serve equally well go to the greater one: its gaps are the smaller.
        """
        middle = (clear_mm - self.width_mm - self.gap.least_mm - self.gap.most_mm) / self.spacing_mm
        near = math.floor(middle) + 1
        candidates = [count for count in (near, near + 1) if count >= 1] or [1]
        return max(
            candidates, key=lambda n: (round(self.ease_mm(clear_mm, n) / SAME_MM) * SAME_MM, n)
        )

    def bands_within(self, low_mm: float, high_mm: float) -> tuple[tuple[int, float, float], ...]:
        """Every band that touches a stretch of clear distances: count, least and most."""
        found: list[tuple[int, float, float]] = []
        count = 1
        while True:
            least, most = self.band_mm(count)
            if least > high_mm:
                return tuple(found)
            if most >= low_mm:
                found.append((count, least, most))
            count += 1

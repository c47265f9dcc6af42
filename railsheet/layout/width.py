"""The least vertical width of a crooked stair's noses, seen along a straight rail.

For a rail of slope m each nose asks for its own intercept c_i = z_i − m·s_i. The spread of these,
W(m) = max c − min c, is what the stair's crookedness costs a straight rail: every height rule with
a band needs W(m) to be no more than the band. W is convex and bends only at the slopes of the
convex hull's edges, so its least value is found by looking at those alone
(minimum-width argument of the convex hull; Preparata & Shamos, *Computational Geometry*, ch. 4,
from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

Nose: TypeAlias = tuple[float, float]
"""(s, z), mm."""

# Heights nearer than this are the same height: a millionth of a millimetre, far under any tape and
# far over float64 rounding of a 10 m stair, about 1e-12 mm.
SAME_HEIGHT_MM = 1e-6


@dataclass(frozen=True)
class Width:
    """The noses' intercepts at one slope.

    Attributes:
        slope: rise over run of the rail, no unit.
        top_mm: greatest intercept, max(z_i − slope·s_i), mm.
        bottom_mm: least intercept, mm.
    """

    slope: float
    top_mm: float
    bottom_mm: float

    @property
    def width_mm(self) -> float:
        """How far apart the greatest and least intercepts are, mm."""
        return self.top_mm - self.bottom_mm


def width_at(noses: Sequence[Nose], slope: float) -> Width:
    """The noses' intercepts at a slope."""
    intercepts = [z - slope * s for s, z in noses]
    return Width(slope, max(intercepts), min(intercepts))


def bends(noses: Sequence[Nose], slopes: tuple[float, float]) -> tuple[float, ...]:
    """Slopes at which W(m) may bend, within an interval, its ends included; ascending.

    Either end may be infinite; it is then left out.
    """
    low, high = slopes
    found = {m for upper in (True, False) for m in _edge_slopes(noses, upper) if low < m < high}
    found.update(m for m in slopes if math.isfinite(m))
    return tuple(sorted(found))


def least_width(noses: Sequence[Nose], slopes: tuple[float, float]) -> Width:
    """The least W(m) over an interval of slopes; the gentler slope of equals."""
    widths = [width_at(noses, m) for m in bends(noses, slopes)]
    return min(widths, key=lambda w: (w.width_mm, abs(w.slope)))


def slopes_within(
    noses: Sequence[Nose], slopes: tuple[float, float], band_mm: float
) -> tuple[float, float] | None:
    """The interval of slopes at which W(m) ≤ band, or None where there is none.

    W is convex, so it is one interval; its ends are where a straight piece of W meets the band.
    """
    least = least_width(noses, slopes)
    if least.width_mm > band_mm + SAME_HEIGHT_MM:
        return None
    corners = bends(noses, slopes)
    downhill = [m for m in reversed(corners) if m < least.slope]
    uphill = [m for m in corners if m > least.slope]
    return (
        _reach(noses, least, downhill, slopes[0], band_mm),
        _reach(noses, least, uphill, slopes[1], band_mm),
    )


def _reach(
    noses: Sequence[Nose], least: Width, outward: Sequence[float], limit: float, band_mm: float
) -> float:
    """The slope where W meets the band, going outward from its least; or the limit."""
    inside = least
    for slope in outward:
        here = width_at(noses, slope)
        if here.width_mm > band_mm:
            share = (band_mm - inside.width_mm) / (here.width_mm - inside.width_mm)
            return inside.slope + max(share, 0.0) * (slope - inside.slope)
        inside = here
    if math.isfinite(limit):
        return inside.slope
    # past the last edge of the hull the two ends of the flight are the extremes
    spread = noses[-1][0] - noses[0][0]
    return inside.slope + math.copysign(max(band_mm - inside.width_mm, 0.0) / spread, limit)


def _edge_slopes(noses: Sequence[Nose], upper: bool) -> list[float]:
    """Slopes of the upper or lower convex hull's edges; noses in ascending s.

    Andrew's monotone chain (Andrew 1979, Information Processing Letters 9(5); from memory).
    """
    sense = 1.0 if upper else -1.0
    hull: list[Nose] = []
    for nose in noses:
        while len(hull) > 1 and sense * _turn(hull[-2], hull[-1], nose) >= 0.0:
            hull.pop()
        hull.append(nose)
    return [(z1 - z0) / (s1 - s0) for (s0, z0), (s1, z1) in pairwise(hull)]


def _turn(a: Nose, b: Nose, c: Nose) -> float:
    """Twice the area of the triangle a, b, c; above zero where it turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

"""The best straight rail over a crooked stair.

Noses (s_i, z_i), rail z = m·s + b, height at a nose h_i = m·s_i + b − z_i, measured plumb.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from railsheet.job.rail_rule import Rule
from railsheet.layout.width import (
    SAME_HEIGHT_MM,
    Nose,
    Width,
    bends,
    least_width,
    slopes_within,
    width_at,
)


@dataclass(frozen=True)
class StraightRail:
    """A straight rail over the noses.

    Attributes:
        slope: m, rise over run, no unit.
        rake_rad: its angle from horizontal, atan m, rad.
        intercept_mm: b, height of the line at s = 0, mm.
        rule: the rule it is best by.
        wanted_mm: height wanted above each nose, mm.
        heights_mm: h_i at each nose, in order, mm.
        lowest: numbers of the noses where the rail is lowest over the stair.
        highest: numbers of the noses where it is highest.
    """

    slope: float
    rake_rad: float
    intercept_mm: float
    rule: Rule
    wanted_mm: float
    heights_mm: tuple[float, ...]
    lowest: tuple[int, ...]
    highest: tuple[int, ...]

    @property
    def greatest_deviation_mm(self) -> float:
        """max |h_i − wanted|, mm."""
        return max(abs(h - self.wanted_mm) for h in self.heights_mm)

    def z_mm(self, s_mm: float) -> float:
        """Height of the line at s, mm."""
        return self.slope * s_mm + self.intercept_mm


@dataclass(frozen=True)
class Break:
    """Two straight rails meeting at a post by one nose; both keep the band at that nose.

    Attributes:
        nose: number of the nose to break at.
        lower: the rail over the noses up to it, itself included.
        upper: the rail over it and the noses beyond.
        step_mm: how much higher the upper rail meets the post than the lower one, mm.
    """

    nose: int
    lower: StraightRail
    upper: StraightRail
    step_mm: float


@dataclass(frozen=True)
class Rebuild:
    """One nose moved plumb so that a straight rail works.

    Attributes:
        nose: number of the nose to move.
        by_mm: how far to move it, up positive, mm; the least that will do.
    """

    nose: int
    by_mm: float


@dataclass(frozen=True)
class NoStraightRail:
    """No straight rail keeps the band within the rake limit.

    Attributes:
        excess_mm: how much wider the band would have to be, mm.
        noses: numbers of the noses that stand in the way: these alone already leave no room.
        least_greatest_deviation_mm: the least max |h_i − wanted| of any straight rail within the
            rake limit, band aside, mm.
        rake_limited: a rail steeper than the limit would work.
        nearest: the best rail within the rake limit by the rule, band aside.
        wanted_mm: wanted heights (from, to) for which a rail works, mm; None where none does. Only
            `Rule.NEVER_BELOW` can gain by it: by the other rules the band alone decides.
        breaks: each nose at which a break makes two straight rails that work, the one with the
            least greatest deviation first; empty where one break isn't enough.
        rebuilds: each nose that would cure it by moving alone, the least move first.
    """

    excess_mm: float
    noses: tuple[int, ...]
    least_greatest_deviation_mm: float
    rake_limited: bool
    nearest: StraightRail
    wanted_mm: tuple[float, float] | None
    breaks: tuple[Break, ...]
    rebuilds: tuple[Rebuild, ...]


@dataclass(frozen=True)
class _Task:
    """What is asked of a rail: heights within (low, high), infinite where there is no band."""

    wanted_mm: float
    low_mm: float
    high_mm: float
    slopes: tuple[float, float]
    rule: Rule

    @property
    def floor_mm(self) -> float:
        """Least height the rule and the band allow."""
        if self.rule is Rule.NEVER_BELOW:
            return max(self.wanted_mm, self.low_mm)
        return self.low_mm

    @property
    def room_mm(self) -> float:
        """How far apart the heights may be."""
        return self.high_mm - self.floor_mm


def best_line(
    noses: Sequence[Nose],
    wanted_mm: float,
    band_mm: tuple[float, float] | None = None,
    rake_limit_rad: float | None = None,
    rule: Rule = Rule.LEAST_GREATEST_DEVIATION,
) -> StraightRail | NoStraightRail:
    """The best straight rail over the noses, exactly.

    Args:
        noses: (s, z) of nose 1, 2, ... in ascending s, mm; two or more.
        wanted_mm: height wanted above each nose, mm.
        band_mm: least and greatest height allowed at any nose, mm; None for no band.
        rake_limit_rad: steepest rake allowed, up or down, rad, below a quarter turn; None for none.
        rule: what makes a rail best.

    Returns:
        The rail; or, where none keeps the band (to a millionth of a millimetre), by how much it
        fails and what would cure it. Without a band there is always a rail.

    Raises:
        ValueError: fewer than two noses (one nose has no rake to find), noses not in ascending s,
            a band upside down, or a rake limit out of range.
    """
    noses = tuple((float(s), float(z)) for s, z in noses)
    if len(noses) < 2:
        raise ValueError(f"a rake needs two noses or more, not {len(noses)}")
    if any(here[0] >= beyond[0] for here, beyond in pairwise(noses)):
        raise ValueError("noses must stand in ascending order along the run")
    low, high = band_mm if band_mm is not None else (-math.inf, math.inf)
    if low > high:
        raise ValueError(f"the band {low}..{high} mm is upside down")
    steepest = math.inf
    if rake_limit_rad is not None:
        if not 0.0 <= rake_limit_rad < math.pi / 2.0:
            raise ValueError(f"a rake limit lies between level and plumb, not {rake_limit_rad} rad")
        steepest = math.tan(rake_limit_rad)
    task = _Task(float(wanted_mm), low, high, (-steepest, steepest), rule)
    least = least_width(noses, task.slopes)
    if least.width_mm <= task.room_mm + SAME_HEIGHT_MM:
        return _solved(noses, task, first=1)
    return _unsolved(noses, task, least)


def _solved(noses: Sequence[Nose], task: _Task, first: int) -> StraightRail:
    if task.rule is Rule.LEAST_SQUARES:
        slope, intercept = _least_squares(noses, task)
    else:
        # For one slope, the greatest deviation grows with the width and with nothing else, band or
        # no band; so the slope of least width is the best slope whatever the heights allowed.
        least = least_width(noses, task.slopes)
        slope = least.slope
        ideal = least.top_mm + task.wanted_mm
        if task.rule is Rule.LEAST_GREATEST_DEVIATION:
            ideal -= least.width_mm / 2.0
        intercept = _allowed(ideal, least, task)
    heights = tuple(slope * s + intercept - z for s, z in noses)
    return StraightRail(
        slope=slope,
        rake_rad=math.atan(slope),
        intercept_mm=intercept,
        rule=task.rule,
        wanted_mm=task.wanted_mm,
        heights_mm=heights,
        lowest=_numbers(heights, min(heights), first),
        highest=_numbers(heights, max(heights), first),
    )


def _allowed(ideal_mm: float, width: Width, task: _Task) -> float:
    """The intercept nearest the ideal that keeps the heights allowed at this slope."""
    low, high = task.floor_mm + width.top_mm, task.high_mm + width.bottom_mm
    if low > high:
        return (low + high) / 2.0
    return min(max(ideal_mm, low), high)


def _least_squares(noses: Sequence[Nose], task: _Task) -> tuple[float, float]:
    """Least squares within the band and the rake limit.

    The sum of squares is a bowl in (m, b), and what is allowed is a convex polygon there; its
    corners lie at the slopes where the width bends. The lowest point is the bowl's own if allowed;
    otherwise it lies on the polygon's rim, found edge by edge.
    """
    n = len(noses)
    s_mean = sum(s for s, _ in noses) / n
    z_mean = sum(z for _, z in noses) / n
    ss = sum((s - s_mean) ** 2 for s, _ in noses)
    free = sum((s - s_mean) * (z - z_mean) for s, z in noses) / ss

    def ideal(slope: float) -> float:
        return z_mean + task.wanted_mm - slope * s_mean

    def cost(slope: float, intercept: float) -> float:
        # less the part no line can take away, which would drown the difference
        return ss * (slope - free) ** 2 + n * (intercept - ideal(slope)) ** 2

    span = slopes_within(noses, task.slopes, task.room_mm)
    assert span is not None, "only asked where a rail works"
    if span[0] <= free <= span[1]:
        here = width_at(noses, free)
        if _allowed(ideal(free), here, task) == ideal(free):
            return free, ideal(free)
    corners = [width_at(noses, m) for m in bends(noses, span)]
    rim = [(w.slope, _allowed(ideal(w.slope), w, task)) for w in corners]
    for left, right in pairwise(corners):
        for near, far in (
            (task.floor_mm + left.top_mm, task.floor_mm + right.top_mm),
            (task.high_mm + left.bottom_mm, task.high_mm + right.bottom_mm),
        ):
            if math.isinf(near):
                continue
            # along b = near + g·(m − m0): the cost is a parabola in m
            gain = (far - near) / (right.slope - left.slope) + s_mean
            gap = near - ideal(left.slope)
            best = (ss * (free - left.slope) - n * gain * gap) / (ss + n * gain**2)
            m = min(max(left.slope + best, left.slope), right.slope)
            share = (m - left.slope) / (right.slope - left.slope)
            rim.append((m, near + share * (far - near)))
    return min(rim, key=lambda line: cost(*line))


def _numbers(heights: Sequence[float], height: float, first: int) -> tuple[int, ...]:
    return tuple(first + k for k, h in enumerate(heights) if abs(h - height) <= SAME_HEIGHT_MM)


def _unsolved(noses: Sequence[Nose], task: _Task, least: Width) -> NoStraightRail:
    free = _Task(task.wanted_mm, -math.inf, math.inf, task.slopes, task.rule)
    room = task.room_mm + SAME_HEIGHT_MM
    intercepts = [z - least.slope * s for s, z in noses]
    in_the_way = {
        *_numbers(intercepts, least.top_mm, first=1),
        *_numbers(intercepts, least.bottom_mm, first=1),
    }
    return NoStraightRail(
        excess_mm=least.width_mm - task.room_mm,
        noses=tuple(sorted(in_the_way)),
        least_greatest_deviation_mm=least.width_mm / 2.0,
        rake_limited=least_width(noses, (-math.inf, math.inf)).width_mm <= room,
        nearest=_solved(noses, free, first=1),
        wanted_mm=_other_wanted(task, least),
        breaks=_breaks(noses, task),
        rebuilds=_rebuilds(noses, task),
    )


def _other_wanted(task: _Task, least: Width) -> tuple[float, float] | None:
    if task.rule is not Rule.NEVER_BELOW or least.width_mm > task.high_mm - task.low_mm:
        return None
    return task.low_mm, task.high_mm - least.width_mm


def _breaks(noses: Sequence[Nose], task: _Task) -> tuple[Break, ...]:
    found = []
    for k in range(1, len(noses) - 1):
        parts = noses[: k + 1], noses[k:]
        widths = [least_width(part, task.slopes).width_mm for part in parts]
        if max(widths) > task.room_mm + SAME_HEIGHT_MM:
            continue
        lower, upper = _solved(parts[0], task, first=1), _solved(parts[1], task, first=k + 1)
        step = upper.z_mm(noses[k][0]) - lower.z_mm(noses[k][0])
        found.append(Break(k + 1, lower, upper, step))

    def greatest(b: Break) -> float:
        return max(b.lower.greatest_deviation_mm, b.upper.greatest_deviation_mm)

    return tuple(sorted(found, key=greatest))


def _rebuilds(noses: Sequence[Nose], task: _Task) -> tuple[Rebuild, ...]:
    found = []
    for k, (s, z) in enumerate(noses):
        others = [*noses[:k], *noses[k + 1 :]]
        span = slopes_within(others, task.slopes, task.room_mm)
        if span is None:
            continue
        # every rail that suits the others lets this nose stand within the room of it; the top and
        # bottom of what they let it, over all of them, lie where the others' width bends
        widths = [width_at(others, m) for m in bends(others, span)]
        highest = max(w.slope * s + w.bottom_mm for w in widths) + task.room_mm
        lowest = min(w.slope * s + w.top_mm for w in widths) - task.room_mm
        found.append(Rebuild(k + 1, min(max(z, lowest), highest) - z))
    return tuple(sorted(found, key=lambda rebuild: abs(rebuild.by_mm)))

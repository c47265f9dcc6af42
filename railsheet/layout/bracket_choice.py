"""Where a handrail's brackets go: the fewest within the limits, as evenly as what holds them lets.

A bracket may stand anywhere within some closed stretches of the rail; a stud is a stretch of no
length. Placing each bracket as far on as it can go shows how many are wanted, and whether a number
of them keeps a spacing. The least greatest spacing of n brackets is then found exactly: the chain
of spacings that keeps it from being less runs from the upper end of one stretch to the lower end
of another, so it is (lower end - upper end) / k for some k, one of a finite list. The brackets of
that chain are fixed; those between fixed ones are placed again by the same rule. On studs no
spacing could then be made less without making a greater one greater; where several chains over
stretches keep the least spacing, the most even of those through the stretches' ends is taken.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace

from railsheet.tolerance import SAME_MM

Stretch = tuple[float, float]


@dataclass(frozen=True)
class Choice:
    """Brackets placed. Lengths in mm, along the rail from its lower end.

    Attributes:
        places_mm: going up.
        spacing_mm: the limit on spacing that is kept: the one asked for, or where none can keep
            it, the least that can be kept.
        first_mm: likewise, at the lower and at the upper end, from the end to its bracket.
    """

    places_mm: tuple[float, ...]
    spacing_mm: float
    first_mm: tuple[float, float]


@dataclass(frozen=True)
class _Part:
    """``count`` brackets between two limits. Lengths in mm.

    Attributes:
        low_mm: the first stands no further on; from the bracket there, where ``low_held``.
        high_mm: the last stands no less far on; likewise.
    """

    allowed: tuple[Stretch, ...]
    count: int
    low_mm: float
    high_mm: float
    low_held: bool = False
    high_held: bool = False

    def forward(self, spacing_mm: float) -> list[float] | None:
        """Each as far on as it can go; None where that is not far enough."""
        limit = self.low_mm + spacing_mm * self.low_held
        places = []
        for _ in range(self.count):
            at = _last(self.allowed, limit)
            if at is None:
                return None
            places.append(at)
            limit = at + spacing_mm
        goal = self.high_mm - spacing_mm * self.high_held
        return places if places[-1] >= goal - SAME_MM else None

    def backward(self, spacing_mm: float) -> list[float]:
        """Each as far back as it can go, for a spacing that can be kept."""
        mirrored = tuple((-stop, -start) for start, stop in reversed(self.allowed))
        back = _Part(
            mirrored, self.count, -self.high_mm, -self.low_mm, self.high_held, self.low_held
        )
        places = back.forward(spacing_mm)
        assert places is not None, "what can be kept one way can be kept the other"
        return [-at for at in reversed(places)]

    def least_spacing_mm(self, kept_mm: float) -> float:
        """The least spacing that can be kept, no more than one that is known to be."""
        starts = {stop for _, stop in self.allowed} | {self.low_mm}
        stops = {start for start, _ in self.allowed} | {self.high_mm}
        # A limit at an end is met from the last place before it, not from the limit itself.
        if not self.low_held:
            starts.add(_last(self.allowed, self.low_mm) or self.low_mm)
        if not self.high_held:
            stops.add(_first(self.allowed, self.high_mm) or self.high_mm)
        steps = range(1, self.count + 2)
        found = {(b - a) / k for a in starts for b in stops if b > a for k in steps}
        wanted = sorted(step for step in found if step < kept_mm)
        at = bisect_left(wanted, True, key=lambda step: self.forward(step) is not None)
        return wanted[at] if at < len(wanted) else kept_mm


def choose_brackets(
    allowed: Sequence[Stretch], length_mm: float, spacing_mm: float, first_mm: float
) -> Choice | None:
    """Place the fewest brackets, as evenly as can be; None where there is nowhere to put one.

    Args:
        allowed: closed stretches where one may stand, in order, apart from one another.
        length_mm: the rail's length.
        spacing_mm: greatest distance from one bracket to the next.
        first_mm: greatest distance from each end to the nearest bracket. On a rail shorter than
            four times that, a quarter of its length: two brackets at least, well apart, or it
            could turn. common practice, no source
    """
    if not allowed:
        return None
    places = tuple(allowed)
    first = min(first_mm, length_mm / 4)
    low = max(first, places[0][0])
    high = min(length_mm - first, places[-1][1])
    # A gap with the first bracket before it and the last one past it has to be stepped over.
    over = [
        after[0] - before[1]
        for before, after in itertools.pairwise(places)
        if after[0] > low + SAME_MM and before[1] < high - SAME_MM
    ]
    spacing = max(spacing_mm, *over) if over else spacing_mm
    part = _Part(places, 1, low, high)
    while part.forward(spacing) is None:
        part = replace(part, count=part.count + 1)
    put = _evened(part, spacing)
    return Choice(tuple(put), spacing, (low, length_mm - high))


def _evened(part: _Part, kept_mm: float) -> list[float]:
    """The places whose greatest spacing is least, then the next greatest, and so on."""
    spacing = part.least_spacing_mm(kept_mm)
    on, back = part.forward(spacing), part.backward(spacing)
    assert on is not None, "the least spacing can be kept"
    fixed = [at for at in range(part.count) if on[at] - back[at] <= 10 * SAME_MM]
    if not fixed:
        ends = (end for stretch in part.allowed for end in stretch)
        return _among(part, sorted({*ends, *on, *back}), spacing)
    places = list(on)
    before = -1
    for at in (*fixed, part.count):
        between = at - before - 1
        if between:
            low = part.low_mm if before < 0 else places[before]
            high = part.high_mm if at == part.count else places[at]
            inner = _Part(
                part.allowed,
                between,
                low,
                high,
                part.low_held if before < 0 else True,
                part.high_held if at == part.count else True,
            )
            places[before + 1 : at] = _evened(inner, spacing)
        before = at
    return places


def _among(part: _Part, places: Sequence[float], spacing_mm: float) -> list[float]:
    """The most even of single places, where several chains keep the least spacing.

    Which of two sets of spacings is more even, the greatest compared first, does not change when
    both gain one spacing more: so the best way to each place goes on from the best way before it.
    """
    best: dict[float, tuple[list[float], list[float]]] = {}
    for number in range(part.count):
        reached: dict[float, tuple[list[float], list[float]]] = {}
        for at in places:
            if number == 0:
                step = at - part.low_mm
                if part.low_held and 0 < step <= spacing_mm + SAME_MM:
                    reached[at] = [step], [at]
                elif not part.low_held and step <= SAME_MM:
                    reached[at] = [], [at]
                continue
            ways = [
                (sorted((*steps, at - way[-1]), reverse=True), [*way, at])
                for before, (steps, way) in best.items()
                if 0 < at - before <= spacing_mm + SAME_MM
            ]
            if ways:
                reached[at] = min(ways)
        best = reached
    ended = []
    for at, (steps, way) in best.items():
        step = part.high_mm - at
        if part.high_held and 0 < step <= spacing_mm + SAME_MM:
            ended.append((sorted((*steps, step), reverse=True), way))
        elif not part.high_held and step <= SAME_MM:
            ended.append((steps, way))
    return min(ended)[1]


def _last(allowed: Sequence[Stretch], limit: float) -> float | None:
    """The furthest place that is not past a limit."""
    for start, stop in reversed(allowed):
        if start <= limit + SAME_MM:
            return min(stop, max(limit, start))
    return None


def _first(allowed: Sequence[Stretch], limit: float) -> float | None:
    """The nearest place that is not short of a limit."""
    for start, stop in allowed:
        if stop >= limit - SAME_MM:
            return max(start, min(limit, stop))
    return None

"""Laying pieces along one bar: each as far left as the piece before it and the holes allow.

A piece laid earlier never stands in the way of those after it, so the shortest way to carry a
set of pieces is found by the dynamic programme of Held and Karp (1962) over its subsets: for
each, the earliest end with each piece last.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import TypeAlias

from railsheet.cuts.effort import Effort
from railsheet.cuts.joint import kerf_along_mm
from railsheet.cuts.stock_problem import HOLE_SLACK, BarKind, Problem, up

Load: TypeAlias = tuple[int, ...]
"""The kinds on a bar, one number for each piece, ascending."""

Laying: TypeAlias = tuple[tuple[int, int], ...]
"""Ways from left to right, each with its start in nanometres."""

# Past this many sub-loads a load is laid by the nearest-next rule instead of exactly; eleven
# different pieces on one bar stay within it.
_SUB_LOADS = 2048

# What laying costs, in steps: a load looked at, and each way tried behind each other. Measured.
_STEPS_A_LOAD = 3


def place(problem: Problem, bar_hole: int, way: int, after: int, slack: int) -> int:
    """The first start at or past ``after`` where the way's holes fall on the bar's.

    Args:
        problem: the section's cutting.
        bar_hole: a hole's place on the bar within the first pitch, nanometres; -1 for none.
        way: which way.
        after: nanometres.
        slack: how far before ``after`` is still good enough, where holes decide.
    """
    hole = problem.ways[way].hole
    if hole < 0:
        return after
    from_here = after - slack
    return from_here + (bar_hole - hole - from_here) % problem.pitch


def next_start(problem: Problem, bar_hole: int, before: int, end: int, way: int) -> int:
    """Where ``way`` starts if it follows ``before``, whose right long point is at ``end``."""
    return place(problem, bar_hole, way, end + problem.room[before][way], HOLE_SLACK)


def last_kerf(problem: Problem, way: int) -> int:
    """What the cut behind a way takes along the bar, nanometres."""
    return up(
        kerf_along_mm(
            problem.saw.kerf_mm, problem.ways[way].right_rad, problem.ways[way].bevels_rad[1]
        )
    )


def laid_exactly(load: Load) -> bool:
    """Whether a load's least end is found exactly: it has not too many sub-loads."""
    return math.prod(count + 1 for count in Counter(load).values()) <= _SUB_LOADS


class Layer:
    """Shortest layings on bars that start alike; what it works out it remembers."""

    def __init__(
        self, problem: Problem, start: int, bar_hole: int, stop: int, effort: Effort
    ) -> None:
        self._problem = problem
        self._effort = effort
        self._start = start
        self._bar_hole = bar_hole
        self._stop = stop
        self._known: dict[Load, dict[int, tuple[int, int, int]]] = {}
        self.gave_up = 0

    def least(self, load: Load) -> tuple[int, Laying] | None:
        """The least right end of a load, with the laying that reaches it; None past the stop.

        A load of very many unlike pieces is laid by rule, and ``gave_up`` counts those that the
        rule could not fit, for another order might.
        """
        if not laid_exactly(load):
            return self._by_rule(load)
        ends = self._ends(load)
        if not ends:
            return None
        last = min(ends, key=lambda way: (ends[way][0], way))
        end = ends[last][0]
        laid: list[tuple[int, int]] = []
        rest, way = load, last
        while True:
            _, start, before = self._known[rest][way]
            laid.append((way, start))
            rest = _without(rest, self._problem.ways[way].kind)
            if not rest:
                return end, tuple(reversed(laid))
            way = before

    def _by_rule(self, load: Load) -> tuple[int, Laying] | None:
        problem = self._problem
        left, end, before = list(load), self._start, -1
        laid: list[tuple[int, int]] = []
        while left:
            options = []
            for kind in dict.fromkeys(left):
                for way in problem.ways_of[kind]:
                    if before < 0:
                        start = place(problem, self._bar_hole, way, end, 0)
                    else:
                        start = next_start(problem, self._bar_hole, before, end, way)
                    options.append((start - end, kind, way, start))
            self._effort.spend(len(options))
            _, kind, before, start = min(options)
            laid.append((before, start))
            left.remove(kind)
            end = start + problem.ways[before].length
        if end <= self._stop:
            return end, tuple(laid)
        self.gave_up += 1
        return None

    def _ends(self, load: Load) -> dict[int, tuple[int, int, int]]:
        """For each way that can lie last: the load's least end, that way's start, the one before.

        Ways with which the load runs past the stop are left out.
        """
        known = self._known.get(load)
        if known is not None:
            return known
        problem = self._problem
        found: dict[int, tuple[int, int, int]] = {}
        for kind in dict.fromkeys(load):
            rest = _without(load, kind)
            before = self._ends(rest) if rest else {}
            for way in problem.ways_of[kind]:
                if not rest:
                    choices = [(place(problem, self._bar_hole, way, self._start, 0), -1)]
                else:
                    choices = [
                        (next_start(problem, self._bar_hole, b, reach[0], way), b)
                        for b, reach in before.items()
                    ]
                self._effort.spend(1 + len(choices))
                if choices:
                    start, previous = min(choices)
                    end = start + problem.ways[way].length
                    if end <= self._stop:
                        found[way] = (end, start, previous)
        self._known[load] = found
        return found


class Layers:
    """Every bar of a problem, sharing what is worked out between bars that start alike.

    Attributes:
        effort: what the plan costs, and may; all that is sought with these layings is counted here.
    """

    def __init__(self, problem: Problem, effort: Effort) -> None:
        self._problem = problem
        self.effort = effort
        furthest: dict[tuple[int, int], int] = {}
        for bar in problem.bars:
            start = (bar.start, bar.hole)
            furthest[start] = max(bar.stop, furthest.get(start, bar.stop))
        self._layers = {
            (start, hole): Layer(problem, start, hole, stop, effort)
            for (start, hole), stop in furthest.items()
        }

    @property
    def gave_up(self) -> int:
        """How many loads were refused without proof that no order fits them."""
        return sum(layer.gave_up for layer in self._layers.values())

    def fit(self, bar: BarKind, load: Load) -> tuple[int, int] | None:
        """A load laid on a bar: its right end, and what is left behind the last cut.

        Both in nanometres; None where it does not fit.
        """
        self.effort.spend(_STEPS_A_LOAD)
        if self._problem.additive:
            kinds, gap = self._problem.kinds, self._problem.room[0][0]
            end = bar.start + sum(kinds[k].length for k in load) + gap * (len(load) - 1)
            last = self._problem.ways_of[load[-1]][0]
        else:
            least = self._layers[bar.start, bar.hole].least(load)
            if least is None:
                return None
            end, last = least[0], least[1][-1][0]
        if end > bar.stop:
            return None
        return end, max(0, bar.end - end - last_kerf(self._problem, last))

    def laid(self, bar: BarKind, load: Load) -> Laying:
        """A laying that reaches the least end. The load must fit."""
        if not self._problem.additive:
            least = self._layers[bar.start, bar.hole].least(load)
            if least is None:
                raise ValueError("the load does not fit the bar")
            return least[1]
        place_now, laid = bar.start, []
        for kind in load:
            way = self._problem.ways_of[kind][0]
            laid.append((way, place_now))
            place_now += self._problem.kinds[kind].length + self._problem.room[0][0]
        return tuple(laid)


def _without(load: Load, kind: int) -> Load:
    at = load.index(kind)
    return load[:at] + load[at + 1 :]

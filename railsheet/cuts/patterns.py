"""Loads worth putting on a bar: found by value, under a bound that never cuts off a better one.

Each kind is given the least length it can take up on any bar. Under those lengths a bar is a
knapsack, and its loads are built kind by kind as lists of (length, value) pairs (Nemhauser and
Ullmann, 1969), cut short by the fractional bound (Dantzig, 1957). Where holes or leaning cuts
make order matter, the least lengths are only a relaxation, and a load is then laid for real.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from railsheet.cuts.effort import Effort
from railsheet.cuts.laying import Load
from railsheet.cuts.stock_problem import HOLE_SLACK, BarKind, Problem

_VALUE_NOISE = 1e-9

# What finding loads costs, in steps: for each kind looked at, for so many partial loads of it, and
# for each load listed. Measured.
STEPS_A_KIND = 100
PARTIAL_LOADS_A_STEP = 11
_STEPS_A_LOAD = 10


@dataclass(frozen=True)
class LeastLengths:
    """The relaxation: what each kind takes up at least, and what a bar holds at most.

    Attributes:
        kinds: for each kind, nanometres.
        tail: what the last piece on a bar does not take, nanometres, at the most.
    """

    kinds: NDArray[np.int64]
    tail: int

    def room(self, bar: BarKind) -> int:
        """A bar's capacity under these lengths."""
        return bar.stop - bar.start + self.tail


def least_lengths(problem: Problem) -> LeastLengths:
    """The least length of each kind: its own, and the least room before any follower."""
    ways = problem.ways
    takes = np.zeros(len(problem.kinds), dtype=np.int64)
    for number, kind in enumerate(problem.kinds):
        least = None
        for mine in problem.ways_of[number]:
            for other, way in enumerate(ways):
                if way.kind == number and len(kind.marks) < 2:
                    continue
                step = kind.length + problem.room[mine][other]
                if ways[mine].hole >= 0 and way.hole >= 0:
                    step -= HOLE_SLACK
                    step += (ways[mine].hole - way.hole - step) % problem.pitch
                least = step if least is None else min(least, step)
        # A piece alone in its problem has no follower.
        takes[number] = kind.length if least is None else max(1, least)
    lengths = np.array([kind.length for kind in problem.kinds], dtype=np.int64)
    tail = int(max(0, (takes - lengths).max())) if len(takes) else 0
    return LeastLengths(takes, tail)


@dataclass(frozen=True)
class Found:
    """Loads found, best first.

    Attributes:
        loads: (value, load) pairs, by value falling.
        missed: no load that is not in the list is worth more than this.
    """

    loads: tuple[tuple[float, Load], ...]
    missed: float


def find_loads(
    lengths: NDArray[np.int64],
    values: NDArray[np.float64],
    limits: NDArray[np.int64],
    capacity: int,
    over: float,
    *,
    effort: Effort,
    only_best: bool,
    most: int,
    list_at_most: int,
) -> Found:
    """Loads within a capacity that are worth more than ``over``.

    Args:
        lengths: of each kind, nanometres.
        values: of each kind, zero or more.
        limits: how many of each kind at most.
        capacity: nanometres.
        over: loads worth this or less are left out.
        effort: what is done is counted here.
        only_best: of two loads, drop the one that is both longer and worth no more. The best
            load is still found; a list of all of them is not.
        most: how many partial loads to carry before the least promising are dropped.
        list_at_most: how many loads to list; ``missed`` counts those left off a list of all.

    Returns:
        The loads, with a bound on what was missed: ``over`` unless partial loads were dropped.
        With ``only_best`` the bound speaks only of loads better than the best one listed.
    """
    take = np.minimum(limits, capacity // np.maximum(lengths, 1))
    usable = np.flatnonzero((take > 0) & ((values > _VALUE_NOISE) | (not only_best)))
    density = values[usable] / lengths[usable]
    order = usable[np.lexsort((usable, -lengths[usable], -density))]
    w, v, m = lengths[order], values[order], take[order]
    # Sums of everything up to each kind: the fractional bound is then two look-ups.
    sum_w = np.concatenate(([0], np.cumsum(w * m)))
    sum_v = np.concatenate(([0.0], np.cumsum(v * m)))
    rate = np.concatenate((v / w, [0.0]))
    weight = np.zeros(1, dtype=np.int64)
    value = np.zeros(1)
    steps: list[tuple[NDArray[np.int64], NDArray[np.int64]]] = []
    missed = over
    for at in range(len(order)):
        copies = np.arange(m[at] + 1)
        new_w = (weight[None, :] + (copies * w[at])[:, None]).ravel()
        effort.spend(STEPS_A_KIND + len(new_w) // PARTIAL_LOADS_A_STEP)
        new_v = (value[None, :] + (copies * v[at])[:, None]).ravel()
        source = np.tile(np.arange(len(weight)), len(copies))
        count = np.repeat(copies, len(weight))
        target = sum_w[at + 1] + (capacity - new_w)
        reach = np.searchsorted(sum_w, target, side="right") - 1
        bound = new_v + sum_v[reach] - sum_v[at + 1] + (target - sum_w[reach]) * rate[reach]
        keep = np.flatnonzero((new_w <= capacity) & (bound > over + _VALUE_NOISE))
        if only_best and len(keep):
            keep = keep[np.lexsort((-new_v[keep], new_w[keep]))]
            best = np.maximum.accumulate(new_v[keep])
            keep = keep[np.concatenate(([True], new_v[keep][1:] > best[:-1] + _VALUE_NOISE))]
        if len(keep) > most:
            rank = np.argsort(-bound[keep], kind="stable")
            missed = max(missed, float(bound[keep][rank[most]]))
            keep = np.sort(keep[rank[:most]])
        weight, value = new_w[keep], new_v[keep]
        steps.append((source[keep], count[keep]))
        if not len(weight):
            return Found((), missed)
    final = np.flatnonzero(value > over + _VALUE_NOISE)
    final = final[np.lexsort((final, weight[final], -value[final]))]
    if len(final) > list_at_most:
        if not only_best:
            missed = max(missed, float(value[final[list_at_most]]))
        final = final[:list_at_most]
    effort.spend(_STEPS_A_LOAD * len(final))
    picks = _counts(steps, final)
    loads = []
    for row, chosen in enumerate(final.tolist()):
        load: list[int] = []
        for item in np.flatnonzero(picks[row]).tolist():
            load += [int(order[item])] * int(picks[row, item])
        loads.append((float(value[chosen]), tuple(sorted(load))))
    return Found(tuple(loads), missed)


def _counts(
    steps: list[tuple[NDArray[np.int64], NDArray[np.int64]]], final: NDArray[np.int64]
) -> NDArray[np.int32]:
    picks = np.zeros((len(final), len(steps)), dtype=np.int32)
    label = final
    for at in range(len(steps) - 1, -1, -1):
        source, count = steps[at]
        picks[:, at] = count[label]
        label = source[label]
    return picks

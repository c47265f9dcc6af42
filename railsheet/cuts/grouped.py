"""A plan for a very long list: pieces of about one length planned as if all were the longest.

Such a plan cuts the real pieces too, with a little to spare; its loads are a good start for the
bound of the real list.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from railsheet.cuts.close_gap import close_gap
from railsheet.cuts.column_lp import Pool, bound_from, generate, whole
from railsheet.cuts.first_plan import fill_bars
from railsheet.cuts.laying import Layers
from railsheet.cuts.patterns import LeastLengths, least_lengths
from railsheet.cuts.stock_problem import Kind, Problem, Way
from railsheet.cuts.whole_bars import Chosen, choose

GROUPS = 100
"""How many lengths a long list is reduced to: the programme over these is soon solved."""


def grouped_plan(pool: Pool, least: LeastLengths, until: int) -> tuple[Chosen, int]:
    """A plan for the pool's problem, made group by group, and a bound on its cost.

    The plan's loads are added to the pool. The bound holds for the real pieces: each is given
    the worth of its length between the lengths of the groups. Only where order is free.
    """
    problem = pool.problem
    if not problem.additive:
        raise ValueError("pieces that lean or keep to holes cannot be grouped by length")
    members = _groups(problem)
    coarse = _coarse(problem, members)
    effort = pool.effort
    rough = Pool(coarse, Layers(coarse, effort))
    rounded = least_lengths(coarse)
    best = choose(rough, fill_bars(rough, rounded, None))
    programme_until = effort.done + round(0.6 * (until - effort.done))
    relaxed = generate(rough, rounded, programme_until, best.rank(coarse))
    best, _ = close_gap(rough, rounded, best, relaxed, whole(relaxed.bound), until)
    queue = [[kind for kind in group for _ in problem.kinds[kind].marks] for group in members]
    plan = []
    for column, count in best.columns:
        for _ in range(count):
            load = tuple(sorted(queue[group].pop() for group in column.load))
            pool.add(column.bar, load)
            plan.append((column.bar, load))
    worth = np.interp(
        least.kinds, rounded.kinds[::-1], np.maximum.accumulate(relaxed.worth.kinds[::-1])
    )
    return choose(pool, plan), whole(bound_from(pool, least, worth))


def _groups(problem: Problem) -> list[list[int]]:
    """Kinds, longest first, in groups of about as many pieces each."""
    each = max(1, int(problem.demand.sum()) // GROUPS)
    groups: list[list[int]] = [[]]
    held = 0
    for number, kind in enumerate(problem.kinds):
        if held >= each:
            groups.append([])
            held = 0
        groups[-1].append(number)
        held += len(kind.marks)
    return groups


def _coarse(problem: Problem, members: list[list[int]]) -> Problem:
    kinds = []
    for group in members:
        longest = problem.kinds[group[0]]
        marks = tuple(mark for kind in group for mark in problem.kinds[kind].marks)
        kinds.append(Kind(longest.length, 0.0, 0.0, -1, longest.may, marks))
    ways = tuple(Way(n, kind.may[0], kind.length, 0.0, 0.0, -1) for n, kind in enumerate(kinds))
    gap, share = problem.room[0][0], problem.shared[0][0]
    return replace(
        problem,
        kinds=tuple(kinds),
        ways=ways,
        ways_of=tuple((n,) for n in range(len(kinds))),
        room=((gap,) * len(kinds),) * len(kinds),
        shared=((share,) * len(kinds),) * len(kinds),
    )

"""Whole bars out of the linear programme's parts of bars, for lists too long for the exact search.

The loads that the programme uses most are cut, it is solved again for the pieces left, with loads
sought anew for them, and so on down (diving; Sadykov, Vanderbeck, Pessoa, Tahiri and Uchoa, 2019,
from memory). What is left at the bottom is short enough to be searched for whole bars exactly.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from railsheet.cuts.close_gap import close_gap
from railsheet.cuts.column_lp import Column, Pool, generate, glance, whole
from railsheet.cuts.first_plan import fill_bars
from railsheet.cuts.laying import Load
from railsheet.cuts.patterns import LeastLengths
from railsheet.cuts.stock_problem import Problem
from railsheet.cuts.whole_bars import Chosen, choose

# Loads used at least so much of a bar are cut together; each further dive cuts other ones first.
_USED = (0.7, 0.95, 0.5, 0.85, 0.6)
_ROUNDS = 3
_SHORT = 40


def dive(pool: Pool, least: LeastLengths, best: Chosen, bound: int, until: int) -> Chosen:
    """The best plan that a few dives find, or ``best``; loads found are added to the pool."""
    problem = pool.problem
    for used in _USED:
        if best.rank(problem) <= bound or pool.effort.past(until):
            break
        plan = _down(pool, least, used, until)
        found = choose(pool, plan)
        best = min(best, found, key=lambda chosen: chosen.rank(problem))
    return best


def _down(pool: Pool, least: LeastLengths, used: float, until: int) -> list[tuple[int, Load]]:
    plan: list[tuple[int, Load]] = []
    rest = pool.problem
    while sum(len(kind.marks) for kind in rest.kinds) > _SHORT:
        part = _part(pool, rest)
        worth = glance(part, least, until, _ROUNDS)
        cut = _most_used(part, worth.use.tolist(), used)
        if not cut or pool.effort.past(until):
            break
        _remember(pool, part)
        plan += cut
        rest = _without(rest, cut)
    part = _part(pool, rest)
    start = choose(part, fill_bars(part, least, None))
    relaxed = generate(part, least, until, start.rank(rest))
    done, _ = close_gap(part, least, start, relaxed, whole(relaxed.bound), until)
    for column, count in done.columns:
        pool.add(column.bar, column.load)
        plan += [(column.bar, column.load)] * count
    return plan


def _part(pool: Pool, rest: Problem) -> Pool:
    """The pool's loads that the pieces left still fill."""
    part = Pool(rest, pool.layers)
    left = [len(kind.marks) for kind in rest.kinds]
    for column in pool.columns:
        if all(left[kind] >= n for kind, n in Counter(column.load).items()):
            part.add(column.bar, column.load)
    return part


def _remember(pool: Pool, part: Pool) -> None:
    for column in part.columns:
        pool.add(column.bar, column.load)


def _most_used(part: Pool, use: list[float], at_least: float) -> list[tuple[int, Load]]:
    """Loads to cut now: those used most first, as long as pieces and bars are left for them."""
    problem = part.problem
    left = [len(kind.marks) for kind in problem.kinds]
    bars = [bar.count for bar in problem.bars]
    cut: list[tuple[int, Load]] = []
    order = sorted(range(len(use)), key=lambda n: (-use[n], n))
    for n in order:
        column: Column = part.columns[n]
        if use[n] < at_least and cut:
            break
        if use[n] <= 0.0:
            break
        for _ in range(max(1, int(use[n] + 1e-6))):
            count = bars[column.bar]
            need = Counter(column.load)
            if count == 0 or any(left[kind] < n for kind, n in need.items()):
                break
            if count is not None:
                bars[column.bar] = count - 1
            for kind, n_ in need.items():
                left[kind] -= n_
            cut.append((column.bar, column.load))
    return cut


def _without(problem: Problem, cut: list[tuple[int, Load]]) -> Problem:
    gone = Counter(kind for _, load in cut for kind in load)
    bars = Counter(bar for bar, _ in cut)
    return replace(
        problem,
        kinds=tuple(
            replace(kind, marks=kind.marks[gone[n] :]) for n, kind in enumerate(problem.kinds)
        ),
        bars=tuple(
            bar if bar.count is None else replace(bar, count=bar.count - bars[n])
            for n, bar in enumerate(problem.bars)
        ),
    )

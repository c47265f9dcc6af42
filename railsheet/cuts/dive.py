"""Whole bars out of the linear programme's parts of bars, for lists too long for the exact search.

The loads that the programme uses most are cut, it is solved again for the pieces left, with loads
sought anew for them, and so on down (diving; Sadykov, Vanderbeck, Pessoa, Tahiri and Uchoa, 2019,
from memory). What is left at the bottom is short enough to be searched for whole bars exactly.

A list of very many unlike pieces is taken in stretches, each of the same mix of lengths as the
whole: what a stretch has left that fills no bar well goes into the next one.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from railsheet.cuts.close_gap import close_gap
from railsheet.cuts.column_lp import Column, Pool, generate, glance, whole
from railsheet.cuts.first_plan import fill_bars
from railsheet.cuts.laying import Load
from railsheet.cuts.patterns import LeastLengths, find_loads
from railsheet.cuts.stock_problem import Problem
from railsheet.cuts.whole_bars import Chosen, choose

LONG = 80
"""Pieces past which the exact search alone takes longer than diving first."""

# Each dive cuts, together, the loads that are used at least so much of a bar.
_USED = (0.6, 0.7, 0.5, 0.85)
_WHOLE = 1.0 - 1e-6
_FIRST_ROUNDS = 3
_ROUNDS = 1
_FULL = (0.995, 0.98, 0.95, 0.9)
_COMPANY = 20
_CLOSE = 0.8
_CARRY = 500
_LIST = 6
_TRY = 200
_STRETCH = 120
_BOTTOM = 30
_BOTTOM_STEPS = 1_500_000


def dive(pool: Pool, least: LeastLengths, best: Chosen, bound: int, until: int) -> Chosen:
    """The best plan that a few dives find, or ``best``; loads found are added to the pool.

    Args:
        pool: the loads known.
        least: the relaxation of lengths.
        best: a plan to do better than.
        bound: no plan costs less: a dive that comes to it is the last.
        until: a mark of the pool's effort.
    """
    problem = pool.problem
    for used in _USED:
        if best.rank(problem) <= bound or pool.effort.past(until):
            break
        found = choose(pool, _down(pool, least, used, until))
        best = min(best, found, key=lambda chosen: chosen.rank(problem))
    return best


@dataclass(frozen=True)
class _Pace:
    """How carefully to dive: rounds of new loads before the first cut, and how much of a bar's
    worth a load is used that is cut with others.
    """

    rounds: int
    used: float


def _down(pool: Pool, least: LeastLengths, used: float, until: int) -> list[tuple[int, Load]]:
    plan: list[tuple[int, Load]] = []
    rest = pool.problem
    every, began = _count(rest), pool.effort.done
    full = iter(_FULL)
    fill = next(full)
    while _count(rest) > _BOTTOM and not pool.effort.past(until):
        stretch = _stretch(rest)
        last = stretch is rest
        # Where the steps run out before the pieces do, what is left would be cut by rule of thumb.
        late = (pool.effort.done - began) * every > (until - began) * (every - _count(rest))
        pace = _Pace(1, min(_USED)) if late else _Pace(_FIRST_ROUNDS, used)
        cut = _most_of(pool, least, stretch, pace, 0.0 if last else fill, until)
        plan += cut
        rest = _without(rest, cut)
        if last:
            break
        if 2 * sum(len(load) for _, load in cut) < _count(stretch):
            fill = next(full, 0.0)
    return plan + _bottom(pool, least, rest, until)


def _count(problem: Problem) -> int:
    return sum(len(kind.marks) for kind in problem.kinds)


def _stretch(rest: Problem) -> Problem:
    """All that is left, or of very many kinds some, evenly from the longest to the shortest."""
    kinds = [number for number, kind in enumerate(rest.kinds) if kind.marks]
    if len(kinds) <= _STRETCH:
        return rest
    chosen = {kinds[n * len(kinds) // _STRETCH] for n in range(_STRETCH)}
    return replace(
        rest,
        kinds=tuple(
            kind if number in chosen else replace(kind, marks=())
            for number, kind in enumerate(rest.kinds)
        ),
    )


def _most_of(
    pool: Pool, least: LeastLengths, rest: Problem, pace: _Pace, fill: float, until: int
) -> list[tuple[int, Load]]:
    """Bars for most of the pieces: what is left of them is few, or fills no bar well."""
    plan: list[tuple[int, Load]] = []
    rounds = pace.rounds
    _close_loads(pool, least, rest)
    while _count(rest) > _BOTTOM and not pool.effort.past(until):
        part = _part(pool, rest)
        worth = glance(part, least, until, rounds)
        for column in part.columns:
            pool.add(column.bar, column.load)
        # Where the steps are spent, the last loads added have not been through the programme.
        use = [
            times if _filled(least, rest, column) >= fill else 0.0
            for times, column in zip(worth.use.tolist(), part.columns, strict=False)
        ]
        cut = _most_used(part, use, pace.used)
        if not cut:
            break
        plan += cut
        rest = _without(rest, cut)
        rounds = _ROUNDS
    return plan


def _close_loads(pool: Pool, least: LeastLengths, rest: Problem) -> None:
    """Add loads that fill a bar closely, some with each kind, for the programme to begin with."""
    kinds = np.array([number for number, kind in enumerate(rest.kinds) if kind.marks])
    demand = rest.demand
    for number, bar in enumerate(rest.bars):
        for turn, kind in enumerate(kinds.tolist()):
            room = least.room(bar) - int(least.kinds[kind])
            # Others from the longest to the shortest, for each kind other ones.
            step = max(1, len(kinds) // _COMPANY)
            others = kinds[turn % step :: step]
            limits = np.zeros_like(demand)
            limits[others] = demand[others]
            limits[kind] = max(0, limits[kind] - 1)
            found = find_loads(
                least.kinds,
                least.kinds.astype(float),
                limits,
                room,
                _CLOSE * room,
                effort=pool.effort,
                only_best=True,
                most=_CARRY,
                list_at_most=_LIST if pool.problem.additive else _TRY,
            )
            fit = 0
            for _, load in found.loads:
                fit += pool.add(number, tuple(sorted((*load, kind))))
                if fit >= _LIST:
                    break


def _filled(least: LeastLengths, problem: Problem, column: Column) -> float:
    """How much of its bar a load takes at the least."""
    return sum(int(least.kinds[kind]) for kind in column.load) / least.room(
        problem.bars[column.bar]
    )


def _part(pool: Pool, rest: Problem) -> Pool:
    """The pool's loads that the pieces left still fill."""
    part = Pool(rest, pool.layers)
    left = [len(kind.marks) for kind in rest.kinds]
    for column in pool.columns:
        if all(left[kind] >= n for kind, n in Counter(column.load).items()):
            part.add(column.bar, column.load)
    return part


def _most_used(part: Pool, use: list[float], at_least: float) -> list[tuple[int, Load]]:
    """Loads to cut now, those used most first: one at least, if pieces and bars are left for it."""
    left = part.problem.demand
    bars = [bar.count for bar in part.problem.bars]
    cut: list[tuple[int, Load]] = []
    for at in sorted(range(len(use)), key=lambda n: (-use[n], n)):
        if use[at] <= 0.0 or (use[at] < at_least and cut):
            break
        column = part.columns[at]
        need = Counter(column.load)
        for _ in range(max(1, int(use[at] / _WHOLE))):
            count = bars[column.bar]
            if count == 0 or any(left[kind] < n for kind, n in need.items()):
                break
            if count is not None:
                bars[column.bar] = count - 1
            left[list(need)] -= list(need.values())
            cut.append((column.bar, column.load))
    return cut


def _without(problem: Problem, cut: list[tuple[int, Load]]) -> Problem:
    """The problem less the pieces and the limited bars of what is cut."""
    gone = Counter(kind for _, load in cut for kind in load)
    taken = Counter(bar for bar, _ in cut)
    return replace(
        problem,
        kinds=tuple(
            replace(kind, marks=kind.marks[gone[n] :]) for n, kind in enumerate(problem.kinds)
        ),
        bars=tuple(
            bar if bar.count is None else replace(bar, count=bar.count - taken[n])
            for n, bar in enumerate(problem.bars)
        ),
    )


def _bottom(pool: Pool, least: LeastLengths, rest: Problem, until: int) -> list[tuple[int, Load]]:
    """The last pieces, searched for whole bars as a short list is."""
    part = _part(pool, rest)
    done = choose(part, fill_bars(part, least, None))
    until = min(until, pool.effort.done + _BOTTOM_STEPS)
    if _count(rest) and not pool.effort.past(until):
        relaxed = generate(part, least, until, done.rank(rest))
        done, _ = close_gap(part, least, done, relaxed, whole(relaxed.bound), until)
    plan = [(column.bar, column.load) for column, count in done.columns for _ in range(count)]
    for bar, load in plan:
        pool.add(bar, load)
    return plan

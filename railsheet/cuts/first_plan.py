"""A good plan at once, for the exact search to start from: bars filled one after another."""

from __future__ import annotations

import numpy as np

from railsheet.cuts.column_lp import Pool
from railsheet.cuts.laying import Load
from railsheet.cuts.patterns import LeastLengths, find_loads

# Enough unlike pieces to fill a bar closely, few enough to look at for every bar.
_LOOK_AT = 40
_PARTIAL_LOADS = 1500
_TRY = 30


def fill_bars(pool: Pool, least: LeastLengths, only: int | None) -> list[tuple[int, Load]]:
    """Fill bars in turn, each with the longest piece left and the best company for it.

    Args:
        pool: tells what fits; the loads are added to it.
        least: the relaxation of lengths.
        only: the one kind of bar without limit to use; None for the best of them each time.

    Returns:
        (bar kind, load) pairs; pieces that no bar takes any more are in none of them.
    """
    problem = pool.problem
    left = problem.demand.copy()
    counts = [bar.count for bar in problem.bars]
    plan: list[tuple[int, Load]] = []
    stuck: set[int] = set()
    while True:
        waiting = [k for k in range(len(left)) if left[k] and k not in stuck]
        if not waiting:
            return plan
        longest = waiting[0]
        best: tuple[float, float, int, Load] | None = None
        for number, bar in enumerate(problem.bars):
            if counts[number] == 0 or (bar.count is None and only not in (None, number)):
                continue
            load = _fill(pool, least, number, left, longest)
            if load is not None:
                used = float(sum(least.kinds[k] for k in load))
                rank = (bar.cost / used, -used, number, load)
                best = rank if best is None else min(best, rank)
        if best is None:
            stuck.add(longest)
            continue
        number, load = best[2], best[3]
        for kind in load:
            left[kind] -= 1
        count = counts[number]
        if count is not None:
            counts[number] = count - 1
        plan.append((number, load))


def _fill(
    pool: Pool, least: LeastLengths, number: int, left: np.ndarray, longest: int
) -> Load | None:
    if not pool.add(number, (longest,)):
        return None
    room = least.room(pool.problem.bars[number]) - int(least.kinds[longest])
    others = left.copy()
    others[longest] -= 1
    choice = np.flatnonzero(others)
    if len(choice) > _LOOK_AT:
        choice = choice[np.linspace(0, len(choice) - 1, _LOOK_AT).astype(int)]
    limits = np.zeros_like(others)
    limits[choice] = others[choice]
    found = find_loads(
        least.kinds,
        least.kinds.astype(float),
        limits,
        room,
        0.0,
        effort=pool.effort,
        only_best=True,
        most=_PARTIAL_LOADS,
        list_at_most=_TRY,
    )
    for _, load in found.loads:
        full = tuple(sorted((*load, longest)))
        if pool.add(number, full):
            return full
    return _grow(pool, number, others, longest)


def _grow(pool: Pool, number: int, others: np.ndarray, longest: int) -> Load:
    load: Load = (longest,)
    for kind in np.flatnonzero(others):
        for _ in range(int(others[kind])):
            more = tuple(sorted((*load, int(kind))))
            if not pool.add(number, more):
                break
            load = more
    return load

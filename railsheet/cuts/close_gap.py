"""From a bound and a plan to a proof: whole bars over enough loads to settle the matter."""

from __future__ import annotations

from railsheet.cuts.column_lp import Pool, Relaxed
from railsheet.cuts.patterns import LeastLengths
from railsheet.cuts.whole_bars import Chosen, all_loads

# How many loads the whole-bar search is handed at most: past it HiGHS spends its time reading.
_MOST_LOADS = 10_000
_MOST_FIRST_LOADS = 6_000


def close_gap(
    pool: Pool,
    least: LeastLengths,
    best: Chosen,
    relaxed: Relaxed,
    bound: int,
    until: int,
) -> tuple[Chosen, bool]:
    """Look for a plan cheaper than ``best``, down to ``bound``.

    First over the loads that made the bound, which is nearly always enough; then over every load
    that a cheaper plan could hold.

    Returns:
        The best plan known, and whether it is proven that there is no cheaper one.
    """
    from railsheet.cuts.whole_search import least_cost

    problem, effort = pool.problem, pool.effort
    if best.rank(problem) > bound and len(pool.columns) <= _MOST_FIRST_LOADS:
        share = round(0.6 * (until - effort.done))
        found = least_cost(pool, share, best.rank(problem) - 1)
        if found is not None and found.rank(problem) < best.rank(problem):
            best = found
    if best.rank(problem) <= bound:
        return best, True
    target = best.rank(problem) - 1
    if effort.past(until) or not all_loads(pool, least, relaxed, target, _MOST_LOADS, until):
        return best, False
    found = least_cost(pool, until - effort.done, target)
    if found is not None and found.rank(problem) < best.rank(problem):
        best = found
    return best, found is not None and found.proven

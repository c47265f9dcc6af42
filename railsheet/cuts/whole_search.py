"""The search for whole bars over a pool of loads: the least cost, and the fewest stop settings.

Imported only where a plan is not settled without it: scipy's optimizers take longer to load than
a short list takes to plan.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, hstack

from railsheet.cuts.column_lp import Pool, count_matrix, cover_matrix, penalty
from railsheet.cuts.effort import Effort
from railsheet.cuts.whole_bars import Chosen, settings, trimmed

# What the solver does cannot be counted while it runs, only limited in nodes of its tree. By its
# size a programme's first node is known to cost about so much, and each further one a part of
# that (measured from 20 to 190 rows); a programme whose first node is past its share is left alone.
_SIZES_A_STEP = 3
_NODES_FOR_THE_FIRST = 60
_LEAST_STEPS = 200_000
# One that is seen at once to have no answer costs little.
_IMPOSSIBLE_PART = 5

# What scipy's milp says of how it ended.
_SOLVED, _CLOCK, _IMPOSSIBLE = 0, 1, 2


def least_cost(pool: Pool, share: int, cap: float) -> Chosen | None:
    """The cheapest whole bars over the pool that cost no more than ``cap``; None if not found.

    ``share``: the steps it may cost.
    """
    problem, columns = pool.problem, pool.columns
    kinds = len(problem.kinds)
    cost = [float(problem.bars[c.bar].cost) for c in columns] + [penalty(problem)] * kinds
    cover = hstack([cover_matrix(columns, kinds), csr_array(np.eye(kinds))])
    rows = [LinearConstraint(csr_array(cover), problem.demand, np.inf)]
    rows += _counts(pool, kinds)
    rows.append(LinearConstraint(np.array([cost]), -np.inf, cap + 0.5))
    got = _solve(pool.effort, np.array(cost), rows, _most(pool, kinds), share)
    return None if got is None else trimmed(pool, got[0], got[1])


def fewest_settings(pool: Pool, best: Chosen, drop: int, share: int) -> Chosen | None:
    """At the best plan's cost and longest drop, the plan with the fewest stop settings.

    ``share``: the steps it may cost.
    """
    problem, columns = pool.problem, pool.columns
    kinds = len(problem.kinds)
    wanted = problem.demand - np.array(best.uncut)
    rows = [LinearConstraint(cover_matrix(columns, kinds), wanted, wanted)]
    rows += _counts(pool, 0)
    cost = np.array([[float(problem.bars[c.bar].cost) for c in columns]])
    rows.append(LinearConstraint(cost, -np.inf, best.cost(problem) + 0.5))
    if drop > 0:
        keeps = np.array(
            [[float(c.left >= drop and problem.bars[c.bar].cost > 0) for c in columns]]
        )
        rows.append(LinearConstraint(keeps, 1, np.inf))
    goal = np.array([float(settings(problem, c.load)) for c in columns])
    got = _solve(pool.effort, goal, rows, _most(pool, 0), share)
    if got is None or not len(got[0]):
        return None
    return trimmed(pool, got[0], got[1], uncut=best.uncut)


def _most(pool: Pool, extra: int) -> np.ndarray:
    demand = pool.problem.demand
    most = [max(int(demand[k]) for k in set(c.load)) for c in pool.columns]
    return np.array(most + [int(demand.max())] * extra, dtype=float)


def _counts(pool: Pool, extra: int) -> list[LinearConstraint]:
    matrix, counts = count_matrix(pool.columns, pool.problem)
    if not len(counts):
        return []
    wide = hstack([matrix, csr_array((len(counts), extra))]) if extra else matrix
    return [LinearConstraint(csr_array(wide), -np.inf, counts)]


def _solve(
    effort: Effort, goal: np.ndarray, rows: list[LinearConstraint], most: np.ndarray, share: int
) -> tuple[np.ndarray, bool] | None:
    """Minimise: the answer and whether it is proven; empty if impossible; None if unknown."""
    height = sum(max(len(row.lb), len(row.ub)) for row in rows)
    first = height**2 * len(goal) // _SIZES_A_STEP
    if first > max(_LEAST_STEPS, share):
        return None
    more = max(0, share - first) * _NODES_FOR_THE_FIRST // max(1, first)
    result = milp(
        goal,
        constraints=rows,
        integrality=np.ones(len(goal), dtype=np.int64),
        bounds=Bounds(0, most),
        options={
            "node_limit": 1 + more,
            "mip_rel_gap": 0.0,
            "time_limit": max(0.0, effort.clock_left_s()),
        },
    )
    if result.status == _CLOCK:
        effort.by_clock = True
    if result.status == _IMPOSSIBLE:
        effort.spend(first // _IMPOSSIBLE_PART)
        return np.zeros(0), True
    further = max(0, (result.mip_node_count or 0) - 1)
    effort.spend(first + first * further // _NODES_FOR_THE_FIRST)
    if result.x is None:
        return None
    return np.rint(result.x), result.status == _SOLVED

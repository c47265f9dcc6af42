"""The search for whole bars over a pool of loads: the least cost, and the fewest stop settings.

Imported only where a plan is not settled without it: scipy's optimizers take longer to load than
a short list takes to plan.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, hstack

from railsheet.cuts.column_lp import Pool, count_matrix, cover_matrix, penalty
from railsheet.cuts.whole_bars import Chosen, settings, trimmed

_LEAST_TIME_S = 0.2


def least_cost(pool: Pool, limit_s: float, cap: float) -> Chosen | None:
    """The cheapest whole bars over the pool that cost no more than ``cap``; None if not found."""
    problem, columns = pool.problem, pool.columns
    kinds = len(problem.kinds)
    cost = [float(problem.bars[c.bar].cost) for c in columns] + [penalty(problem)] * kinds
    cover = hstack([cover_matrix(columns, kinds), csr_array(np.eye(kinds))])
    rows = [LinearConstraint(csr_array(cover), problem.demand, np.inf)]
    rows += _counts(pool, kinds)
    rows.append(LinearConstraint(np.array([cost]), -np.inf, cap + 0.5))
    got = _solve(np.array(cost), rows, _most(pool, kinds), limit_s)
    return None if got is None else trimmed(pool, got[0], got[1])


def fewest_settings(pool: Pool, best: Chosen, drop: int, limit_s: float) -> Chosen | None:
    """At the best plan's cost and longest drop, the plan with the fewest stop settings."""
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
    got = _solve(goal, rows, _most(pool, 0), limit_s)
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
    goal: np.ndarray, rows: list[LinearConstraint], most: np.ndarray, limit_s: float
) -> tuple[np.ndarray, bool] | None:
    """Minimise: the answer and whether it is proven; empty if impossible; None if unknown."""
    result = milp(
        goal,
        constraints=rows,
        integrality=np.ones(len(goal), dtype=np.int64),
        bounds=Bounds(0, most),
        options={"time_limit": max(_LEAST_TIME_S, limit_s), "mip_rel_gap": 0.0},
    )
    if result.status == 2:
        return np.zeros(0), True
    if result.x is None:
        return None
    return np.rint(result.x), result.status == 0

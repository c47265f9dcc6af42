"""The plan in whole bars: the least cost over a pool of loads, and the fewest stop settings."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, hstack

from railsheet.cuts.column_lp import (
    LP_NOISE,
    Column,
    Pool,
    Relaxed,
    count_matrix,
    cover_matrix,
    penalty,
)
from railsheet.cuts.laying import Load
from railsheet.cuts.patterns import LeastLengths, find_loads
from railsheet.cuts.stock_problem import Problem, up

_LEAST_TIME_S = 0.2
_ALL_SUBSETS_OF = 7
_PARTIAL_LOADS = 200_000


@dataclass(frozen=True)
class Chosen:
    """Whole bars.

    Attributes:
        columns: each with how many bars are cut to it.
        uncut: how many of each kind are left over.
        proven: whether the solver proved its answer best over the loads it was given.
    """

    columns: tuple[tuple[Column, int], ...]
    uncut: tuple[int, ...]
    proven: bool

    def cost(self, problem: Problem) -> int:
        """What the bars cost."""
        return sum(problem.bars[column.bar].cost * n for column, n in self.columns)

    def rank(self, problem: Problem) -> float:
        """Cost with pieces left uncut at the penalty: less is better."""
        return self.cost(problem) + penalty(problem) * sum(self.uncut)


def settings(problem: Problem, load: Load) -> int:
    """How many different stop settings a load takes."""
    return len({problem.kinds[kind].setting for kind in load})


def all_loads(
    pool: Pool, least: LeastLengths, relaxed: Relaxed, cost: float, most: int, deadline: float
) -> bool:
    """Add every load that a plan of this cost or less could hold.

    With the worths of the linear programme, a plan costs its value plus what each of its loads
    falls short of its bar; a load that falls short by more than the gap is in no such plan.

    Returns:
        Whether they are all in the pool; not where there are more than ``most``, or time is up.
    """
    if not relaxed.exact:
        return False
    problem, worth = pool.problem, relaxed.worth
    gap = cost - worth.cost
    gave_up = pool.layers.gave_up
    for number in range(len(problem.bars)):
        over = worth.bars[number] - gap - LP_NOISE * max(1.0, cost)
        found = find_loads(
            least.kinds,
            worth.kinds,
            problem.demand,
            least.room(problem.bars[number]),
            over,
            only_best=False,
            most=_PARTIAL_LOADS,
            list_at_most=_PARTIAL_LOADS,
        )
        for at, (_, load) in enumerate(found.loads):
            pool.add(number, load)
            if len(pool.columns) > most or (at % 256 == 0 and time.monotonic() > deadline):
                return False
        if found.missed > over + LP_NOISE:
            return False
    return pool.layers.gave_up == gave_up


def add_parts(pool: Pool, chosen: Chosen) -> None:
    """Add every part of the chosen loads, for drops and settings to be sorted out among them."""
    for column, _ in chosen.columns:
        if len(column.load) <= _ALL_SUBSETS_OF:
            for size in range(1, len(column.load)):
                for part in set(combinations(column.load, size)):
                    pool.add(column.bar, part)


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
    return None if got is None else _trimmed(pool, got[0], got[1])


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
    return _trimmed(pool, got[0], got[1], uncut=best.uncut)


def drop_of(problem: Problem, chosen: Chosen) -> int:
    """The longest kept drop off a bought bar, nanometres."""
    longest = max((c.left for c, _ in chosen.columns if problem.bars[c.bar].cost), default=0)
    return longest if longest >= up(problem.saw.reusable_mm) else 0


def settings_of(problem: Problem, chosen: Chosen) -> int:
    """Stop settings, bar by bar, summed."""
    return sum(n * settings(problem, column.load) for column, n in chosen.columns)


def choose(pool: Pool, plan: list[tuple[int, Load]]) -> Chosen:
    """A plan given as loads, as a choice."""
    ends = {(c.bar, c.load): c for c in pool.columns}
    use = np.zeros(len(pool.columns))
    place = {id(c): n for n, c in enumerate(pool.columns)}
    for bar, load in plan:
        use[place[id(ends[bar, load])]] += 1
    return _trimmed(pool, use, proven=False)


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


def _trimmed(
    pool: Pool, use: np.ndarray, proven: bool, uncut: tuple[int, ...] | None = None
) -> Chosen:
    """Take off what is cut twice: a load less a piece is a load."""
    problem = pool.problem
    loads = [
        (column.bar, column.load)
        for column, n in zip(pool.columns, use, strict=False)
        for _ in range(int(n))
    ]
    wanted = Counter({k: int(n) for k, n in enumerate(problem.demand)})
    if uncut is not None:
        wanted.subtract(dict(enumerate(uncut)))
    # The least full bars give up their doubles first, so that they grow into drops.
    loads.sort(key=lambda bl: (sum(problem.kinds[k].length for k in bl[1]), bl), reverse=True)
    kept: Counter[tuple[int, Load]] = Counter()
    for bar, load in loads:
        mine = []
        for kind in load:
            if wanted[kind] > 0:
                wanted[kind] -= 1
                mine.append(kind)
        if mine:
            kept[bar, tuple(mine)] += 1
    columns = []
    for (bar, load), n in sorted(kept.items()):
        fit = pool.layers.fit(problem.bars[bar], load)
        if fit is None:
            raise RuntimeError("a part of a load that fits does not fit")
        columns.append((Column(bar, load, fit[1]), n))
    left = tuple(wanted[k] + (uncut[k] if uncut else 0) for k in range(len(problem.kinds)))
    return Chosen(tuple(columns), left, proven)

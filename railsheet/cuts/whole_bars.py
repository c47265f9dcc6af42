"""A plan in whole bars: what it costs, leaves and takes, and the loads another could hold."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from railsheet.cuts.column_lp import LP_NOISE, Column, Pool, Relaxed, penalty
from railsheet.cuts.laying import Load
from railsheet.cuts.patterns import LeastLengths, find_loads
from railsheet.cuts.stock_problem import Problem, up

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
    pool: Pool, least: LeastLengths, relaxed: Relaxed, cost: float, most: int, until: int
) -> bool:
    """Add every load that a plan of this cost or less could hold.

    With the worths of the linear programme, a plan costs its value plus what each of its loads
    falls short of its bar; a load that falls short by more than the gap is in no such plan.

    Returns:
        Whether they are all in the pool; not where there are more than ``most``, or the steps
        are spent.
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
            effort=pool.effort,
            only_best=False,
            most=_PARTIAL_LOADS,
            list_at_most=_PARTIAL_LOADS,
        )
        for at, (_, load) in enumerate(found.loads):
            pool.add(number, load)
            if len(pool.columns) > most or (at % 256 == 0 and pool.effort.past(until)):
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
    return trimmed(pool, use, proven=False)


def trimmed(
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

"""The least cost of a cutting list with parts of bars allowed: the bound every plan is held to.

Column generation (Gilmore and Gomory, 1961): a linear programme over loads already known gives
each kind a worth; a load worth more than its bar is added; when none is left the value is the
bound. Stopped early, the worths are scaled until no load beats its bar, which still gives a
bound (Farley, 1990).
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from railsheet.cuts.effort import Effort
from railsheet.cuts.laying import Layers, Load
from railsheet.cuts.patterns import (
    PARTIAL_LOADS_A_STEP,
    STEPS_A_KIND,
    LeastLengths,
    find_loads,
)
from railsheet.cuts.stock_problem import Problem

if TYPE_CHECKING:
    from scipy.sparse import csr_array

# A linear programme's answer is trusted to this, absolutely and relative to its size: a bound is
# rounded up to the next whole cost only past it.
LP_NOISE = 1e-6

# How many partial loads to carry: a glance finds good loads while they are plenty, a look finds
# the best one, and where order matters a list of all settles that there is none.
_GLANCE = 1_500
_PARTIAL_BEST = 20_000
_PARTIAL_ALL = 200_000
_ADD_PER_BAR = 40
_LIST = 800
_ALIKE = 3
_COMPANY = 8

# What a linear programme costs, in steps: at all, for each piece in its loads, and for so many
# rows gone through by the simplex method. Measured.
_STEPS_A_PROGRAMME = 3_000
_STEPS_A_PIECE = 4
_ROWS_A_STEP = 5


@dataclass(frozen=True)
class Column:
    """One load on one kind of bar; ``left`` is what remains behind its last cut, nanometres."""

    bar: int
    load: Load
    left: int


class Pool:
    """Loads known so far, each laid for real, without repeats.

    Attributes:
        priced: whether loads were sought by what the pieces are worth (`generate`).
    """

    def __init__(self, problem: Problem, layers: Layers) -> None:
        self.problem = problem
        self.layers = layers
        self.columns: list[Column] = []
        self.priced = False
        self._seen: set[tuple[int, Load]] = set()

    @property
    def effort(self) -> Effort:
        """What the plan has cost so far, and may."""
        return self.layers.effort

    def add(self, bar: int, load: Load) -> bool:
        """Add a load if it fits and is not there; says whether it is there now."""
        if not load:
            return False
        if (bar, load) in self._seen:
            return True
        fit = self.layers.fit(self.problem.bars[bar], load)
        if fit is None:
            return False
        self._seen.add((bar, load))
        self.columns.append(Column(bar, load, fit[1]))
        return True

    def has(self, bar: int, load: Load) -> bool:
        """Whether the load is in the pool."""
        return (bar, load) in self._seen


def cover_matrix(columns: list[Column], kinds: int) -> csr_array:
    """How many of each kind (rows) each column gives."""
    from scipy.sparse import coo_array, csr_array

    rows = [kind for column in columns for kind in column.load]
    cols = [number for number, column in enumerate(columns) for _ in column.load]
    return csr_array(coo_array((np.ones(len(rows)), (rows, cols)), shape=(kinds, len(columns))))


def count_matrix(columns: list[Column], problem: Problem) -> tuple[csr_array, NDArray[np.float64]]:
    """Rows that hold the limited bars to their counts, and the counts."""
    from scipy.sparse import coo_array, csr_array

    limited = [b for b, bar in enumerate(problem.bars) if bar.count is not None]
    row_of = {bar: row for row, bar in enumerate(limited)}
    at = [(row_of[c.bar], n) for n, c in enumerate(columns) if c.bar in row_of]
    rows, cols = [a for a, _ in at], [b for _, b in at]
    matrix = coo_array((np.ones(len(at)), (rows, cols)), shape=(len(limited), len(columns)))
    counts = np.array([float(problem.bars[b].count or 0) for b in limited])
    return csr_array(matrix), counts


def penalty(problem: Problem) -> float:
    """The cost of leaving one piece uncut: more than all the bars the whole list could take."""
    dearest = max((bar.cost for bar in problem.bars), default=0)
    return float(dearest * int(problem.demand.sum()) + 1)


@dataclass(frozen=True)
class Worth:
    """The linear programme's answer over a pool.

    Attributes:
        cost: its value.
        kinds: the worth of one piece of each kind.
        bars: what a bar costs, its scarcity included.
        use: how much of each column it uses.
    """

    cost: float
    kinds: NDArray[np.float64]
    bars: NDArray[np.float64]
    use: NDArray[np.float64]


def solve_relaxed(pool: Pool) -> Worth:
    """Solve the linear programme over the pool, pieces left uncut at the penalty."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array, hstack, vstack

    problem = pool.problem
    columns = pool.columns
    kinds = len(problem.kinds)
    uncut = csr_array(np.eye(kinds))
    counts, limits = count_matrix(columns, problem)
    cost = np.array([float(problem.bars[c.bar].cost) for c in columns])
    cost = np.concatenate((cost, np.full(kinds, penalty(problem))))
    needs = hstack([-cover_matrix(columns, kinds), -uncut])
    held = hstack([counts, csr_array((counts.shape[0], kinds))])
    matrix = csr_array(vstack([needs, held]) if counts.shape[0] else needs)
    right = np.concatenate((-problem.demand.astype(float), limits))
    # scipy takes a sparse matrix here, and says so; its stubs do not.
    result = linprog(cost, A_ub=matrix, b_ub=right, method="highs")  # type: ignore[call-overload]
    if result.status != 0:
        raise RuntimeError(f"the linear programme ended with: {result.message}")
    pool.effort.spend(
        _STEPS_A_PROGRAMME
        + _STEPS_A_PIECE * needs.nnz
        + result.nit * matrix.shape[0] // _ROWS_A_STEP
    )
    marginals = np.asarray(result.ineqlin.marginals)
    worth = np.maximum(0.0, -marginals[:kinds])
    bars = np.array([float(bar.cost) for bar in problem.bars])
    limited = [b for b, bar in enumerate(problem.bars) if bar.count is not None]
    bars[limited] += np.maximum(0.0, -marginals[kinds:])
    return Worth(float(result.fun), worth, bars, np.asarray(result.x)[: len(columns)])


@dataclass(frozen=True)
class Relaxed:
    """The bound.

    Attributes:
        bound: no plan costs less.
        exact: whether no load at all is worth more than its bar; then ``worth`` may be used to
            rule loads out.
        worth: the last answer.
    """

    bound: float
    exact: bool
    worth: Worth


def generate(pool: Pool, least: LeastLengths, until: int, enough: float) -> Relaxed:
    """Add loads to the pool until none is worth more than its bar, or the steps are spent.

    Args:
        pool: must cover every kind that any bar takes.
        least: the relaxation of lengths.
        until: a mark of the pool's effort.
        enough: stop when the bound, rounded up, reaches this cost.
    """
    bound = 0.0
    pool.priced = True
    while True:
        worth = solve_relaxed(pool)
        added, tops, clean = _price(pool, least, worth, until)
        bound = max(bound, _scaled_bound(pool.problem, worth, tops))
        if clean and not added:
            return Relaxed(max(bound, worth.cost), True, worth)
        if not added or whole(bound) >= enough or pool.effort.past(until):
            return Relaxed(bound, False, worth)


def glance(pool: Pool, least: LeastLengths, until: int, rounds: int) -> Worth:
    """Add the loads that are plainly worth more than their bar, a few rounds of them."""
    worth = solve_relaxed(pool)
    for _ in range(rounds):
        added, _, _ = _price(pool, least, worth, until, at_a_glance=True)
        if not added or pool.effort.past(until):
            break
        worth = solve_relaxed(pool)
    return worth


def bound_from(pool: Pool, least: LeastLengths, worth: NDArray[np.float64]) -> float:
    """A bound from any worths of the kinds, scaled until no load beats its bar."""
    problem, tops = pool.problem, []
    for bar in problem.bars:
        over = 0.9 * bar.cost
        found = find_loads(
            least.kinds,
            worth,
            problem.demand,
            least.room(bar),
            over,
            effort=pool.effort,
            only_best=True,
            most=_PARTIAL_BEST,
            list_at_most=1,
        )
        tops.append(max([found.missed, *(value for value, _ in found.loads)]))
    bars = np.array([float(bar.cost) for bar in problem.bars])
    return _scaled_bound(problem, Worth(0.0, worth, bars, np.zeros(0)), tops)


def whole(bound: float) -> int:
    """A bound as the least whole cost it allows."""
    return math.ceil(bound - LP_NOISE * max(1.0, abs(bound)))


def _price(
    pool: Pool, least: LeastLengths, worth: Worth, until: int, *, at_a_glance: bool = False
) -> tuple[int, list[float], bool]:
    """Add loads worth more than their bar; ``at_a_glance``, only those that are plain to see.

    Returns:
        How many were added; for each bar kind, a value no load on it passes; and whether every
        one of those values is within noise of its bar's cost.
    """
    problem = pool.problem
    added, tops, clean = 0, [], True
    for number, bar in enumerate(problem.bars):
        over = worth.bars[number] + LP_NOISE * max(1.0, worth.bars[number])
        top = over
        looks = [(_GLANCE, True)]
        if not at_a_glance:
            looks.append((_PARTIAL_BEST, True))
        if not at_a_glance and not problem.additive:
            looks.append((_PARTIAL_ALL, False))
        for most, only_best in looks:
            if most > _GLANCE and pool.effort.past(until - _steps_at_most(len(worth.kinds), most)):
                break
            found = find_loads(
                least.kinds,
                worth.kinds,
                problem.demand,
                least.room(bar),
                over,
                effort=pool.effort,
                only_best=only_best,
                most=most,
                list_at_most=_LIST if only_best else most,
            )
            best = max([found.missed, *(value for value, _ in found.loads[:1])])
            before, refused_for_sure = added, True
            first_fit = found.missed
            used: Counter[int] = Counter()
            for value, load in found.loads:
                # Loads much alike teach the programme little: some piece of it must be new.
                if all(used[kind] >= _ALIKE for kind in load):
                    continue
                gave_up = pool.layers.gave_up
                if pool.has(number, load):
                    first_fit = max(first_fit, value)
                    continue
                if pool.add(number, load):
                    first_fit = max(first_fit, value)
                    added += 1
                    used.update(load)
                    if added - before >= _ADD_PER_BAR:
                        break
                elif pool.layers.gave_up > gave_up:
                    refused_for_sure = False
                if pool.effort.past(until):
                    refused_for_sure = False
                    break
            # Loads come best first, so once every better one is refused for sure, the first that
            # fits is the most any load is worth.
            listed_all = not only_best or problem.additive
            top = first_fit if listed_all and refused_for_sure else best
            if added > before:
                if not at_a_glance:
                    added += _company(pool, least, worth, number, over, used)
                break
        tops.append(top)
        clean = clean and top <= over + LP_NOISE
    return added, tops, clean


def _steps_at_most(kinds: int, most: int) -> int:
    """About what a look costs that carries all the partial loads it may for every kind."""
    return kinds * (STEPS_A_KIND + most // PARTIAL_LOADS_A_STEP)


def _company(
    pool: Pool,
    least: LeastLengths,
    worth: Worth,
    number: int,
    over: float,
    used: Counter[int],
) -> int:
    """Add loads of the kinds not used yet: the programme learns more from unlike loads."""
    limits = pool.problem.demand.copy()
    added = 0
    for _ in range(_COMPANY):
        limits[list(used)] = 0
        found = find_loads(
            least.kinds,
            worth.kinds,
            limits,
            least.room(pool.problem.bars[number]),
            over,
            effort=pool.effort,
            only_best=True,
            most=_GLANCE,
            list_at_most=_ALIKE,
        )
        fresh = [load for _, load in found.loads if pool.add(number, load)]
        if not fresh:
            break
        added += len(fresh)
        used.update(kind for load in fresh for kind in load)
    return added


def _scaled_bound(problem: Problem, worth: Worth, tops: list[float]) -> float:
    scale = 1.0
    for bar, top in zip(problem.bars, tops, strict=True):
        if bar.count is None and top > 0:
            scale = min(scale, bar.cost / max(top, float(bar.cost)))
    bound = scale * float(worth.kinds @ problem.demand)
    for bar, top in zip(problem.bars, tops, strict=True):
        if bar.count is not None:
            bound -= bar.count * max(0.0, scale * top - bar.cost)
    return bound

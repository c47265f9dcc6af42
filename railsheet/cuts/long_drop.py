"""The longest drop that the least cost allows.

A bar whose remainder is to be R long is a bar R shorter. So one bought bar is paid for, shortened
by R and lent to the plan for nothing; a drop of R exists if the rest can then be had for what is
left of the cost. Halving the range of R between what a plan has shown and what the bound forbids
closes on the longest.
"""

from __future__ import annotations

from dataclasses import replace

from railsheet.cuts.close_gap import close_gap
from railsheet.cuts.column_lp import Column, Pool, generate, whole
from railsheet.cuts.first_plan import fill_bars
from railsheet.cuts.joint import kerf_along_mm
from railsheet.cuts.laying import laid_exactly
from railsheet.cuts.patterns import LeastLengths
from railsheet.cuts.stock_problem import PER_MM, BarKind, Problem, up
from railsheet.cuts.stock_result import DROP_STEP_MM
from railsheet.cuts.whole_bars import Chosen, choose, drop_of

_STEP = round(DROP_STEP_MM * PER_MM)
_ONE_TRY_SHARE = 0.3
_ONE_TRY_STEPS = 1_000_000
_MOST_LOADS = 3_000


def lengthen_drop(pool: Pool, least: LeastLengths, best: Chosen, until: int) -> tuple[Chosen, int]:
    """The plan of this cost with the longest drop, and a length no such drop passes.

    Args:
        pool: loads known; those found on the way are added.
        least: the relaxation of lengths.
        best: a plan of the cost that is to be kept.
        until: a mark of the pool's effort.

    Returns:
        The plan, and the bound in nanometres (0 where no drop long enough to keep is possible).
    """
    problem, effort = pool.problem, pool.effort
    floor = up(problem.saw.reusable_mm)
    on_one = _left_on_one(pool, best)
    if on_one is not None:
        return best, on_one if on_one >= floor else 0
    proven = 0
    bought = [n for n, bar in enumerate(problem.bars) if bar.cost]
    for number in sorted(bought, key=lambda n: -problem.bars[n].end):
        bar = problem.bars[number]
        high = min(bar.end - bar.start, _most(problem, least, best, bar))
        ceiling, low = high, max(drop_of(problem, best), floor - _STEP)
        # The first try is for the least drop worth keeping, the second near the top: between
        # them they often settle it.
        guess = floor if low < floor else high - _STEP
        while high - low > _STEP and not effort.past(until):
            share = max(_ONE_TRY_STEPS, round(_ONE_TRY_SHARE * (until - effort.done)))
            one_try = min(until, effort.done + share)
            found, settled = _with_drop(pool, least, best, number, guess, one_try)
            if found is not None:
                best = found
                low = max(guess, drop_of(problem, best))
            else:
                high = guess
                if settled:
                    ceiling = guess
            guess = (low + high) // 2
        proven = max(proven, ceiling if ceiling >= floor else 0)
    # A proof that R is impossible leaves drops just under R possible, hence no more than a step.
    return best, max(proven, drop_of(problem, best))


def _left_on_one(pool: Pool, best: Chosen) -> int | None:
    """What no drop passes where every plan of this cost puts all the pieces on one bar.

    So it is where no two bars are as cheap as the one that carries all. None where plans of other
    kinds could leave a longer drop, or nothing exact is known of the one bar.
    """
    problem = pool.problem
    cost = best.cost(problem)
    if any(best.uncut) or cost == 0 or any(2 * bar.cost <= cost for bar in problem.bars):
        return None
    ((column, _),) = best.columns
    fits = [pool.layers.fit(bar, column.load) for bar in problem.bars if bar.cost == cost]
    longest = max(fit[1] for fit in fits if fit is not None)
    # The least end may stand behind another cut than the one that takes least of the bar.
    kerfs = _kerfs(problem)
    unsure = max(kerfs) - min(kerfs)
    if longest > column.left or unsure > _STEP or not laid_exactly(column.load):
        return None
    return longest + unsure


def _with_drop(
    pool: Pool, least: LeastLengths, best: Chosen, number: int, drop: int, until: int
) -> tuple[Chosen | None, bool]:
    """A plan of the same cost with a drop this long, or whether there is proven to be none."""
    problem = pool.problem
    bar = problem.bars[number]
    short = replace(bar, stop=min(bar.stop, bar.end - drop - max(_kerfs(problem))), cost=0, count=1)
    rest = bar if bar.count is None else replace(bar, count=bar.count - 1)
    bars = (*problem.bars[:number], rest, *problem.bars[number + 1 :], short)
    lent = Pool(replace(problem, bars=bars), pool.layers)
    for column in pool.columns:
        lent.add(column.bar, column.load)
        if column.bar == number:
            lent.add(len(bars) - 1, column.load)
    known = len(lent.columns)
    target = best.rank(problem) - bar.cost
    plan = choose(lent, fill_bars(lent, least, None))
    if plan.rank(lent.problem) > target:
        relaxed = generate(lent, least, until, target + 1)
        # What this try has learnt, the next need not learn again.
        for column in lent.columns[known:]:
            if len(pool.columns) < _MOST_LOADS:
                pool.add(number if column.bar == len(bars) - 1 else column.bar, column.load)
        bound = whole(relaxed.bound)
        if bound > target:
            return None, True
        plan, closed = close_gap(lent, least, plan, relaxed, round(target), until)
        if plan.rank(lent.problem) > target:
            return None, closed
    columns = [
        (column if column.bar < len(bars) - 1 else _back(pool, number, column), count)
        for column, count in plan.columns
    ]
    return Chosen(tuple(columns), plan.uncut, plan.proven), True


def _back(pool: Pool, number: int, column: Column) -> Column:
    fit = pool.layers.fit(pool.problem.bars[number], column.load)
    if fit is None:
        raise RuntimeError("a load that fits a shortened bar does not fit the bar")
    return Column(number, column.load, fit[1])


def _kerfs(problem: Problem) -> set[int]:
    """What the cuts at either end of any piece take along the bar, nanometres."""
    return {
        up(kerf_along_mm(problem.saw.kerf_mm, lean, bevel))
        for kind in problem.kinds
        for lean, bevel in zip((kind.left_rad, kind.right_rad), kind.bevels_rad, strict=True)
    }


def _most(problem: Problem, least: LeastLengths, best: Chosen, bar: BarKind) -> int:
    """All that could be left at this cost, were it in one piece on one bar."""
    rate = max(least.room(b) / b.cost for b in problem.bars if b.cost)
    rooms = [max(0, least.room(b)) * (b.count or 0) for b in problem.bars if not b.cost]
    bought = max(0, best.cost(problem) - bar.cost) * max(0.0, rate)
    taken = [n - u for n, u in zip(problem.demand.tolist(), best.uncut, strict=True)]
    used = sum(int(w) * n for w, n in zip(least.kinds, taken, strict=True))
    most = int(bought) + sum(rooms) + least.room(bar) - used + (bar.end - bar.stop) + 1
    return max(0, most) if best.cost(problem) >= bar.cost else 0

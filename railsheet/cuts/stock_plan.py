"""The stock plan: which pieces from which bar, at the least cost, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

from railsheet.cuts.close_gap import close_gap
from railsheet.cuts.column_lp import Pool, generate, penalty, whole
from railsheet.cuts.dive import LONG, dive
from railsheet.cuts.effort import Effort
from railsheet.cuts.first_plan import fill_bars
from railsheet.cuts.grouped import GROUPS, grouped_plan
from railsheet.cuts.lay_out import lay_out
from railsheet.cuts.laying import Layers
from railsheet.cuts.long_drop import lengthen_drop
from railsheet.cuts.patterns import LeastLengths, least_lengths
from railsheet.cuts.rules_of_thumb import rule_plans
from railsheet.cuts.stock_model import CuttingList, check_list
from railsheet.cuts.stock_problem import PER_MM, Kind, Problem, problem_for
from railsheet.cuts.stock_result import SectionPlan, StockPlan, Uncut
from railsheet.cuts.whole_bars import (
    Chosen,
    add_parts,
    choose,
    drop_of,
    settings_of,
)

# Past this many loads the search for fewer settings costs more than it saves.
_MOST_LOADS = 4_000


def plan_stock(work: CuttingList, effort: float = 3.0) -> StockPlan:
    """Plan a whole job's cutting, section by section.

    In order: the most pieces cut, the least cost (see `SectionPlan`), the longest reusable drop
    off a bought bar, the fewest stop settings. Each answer says whether it is proven. Lengths are
    summed in whole nanometres, pieces rounded up and bars down.

    Args:
        work: the pieces, sections, bars, drops and saw.
        effort: how hard a better plan is sought, in the unit of `effort.STEPS`; shared among the
            sections. It is counted, not timed: the same list gives the same plan on any machine.
            When it is spent the best plan so far is given with its bound. Proven results do not
            depend on it.

    Raises:
        StockInputError: for figures that cannot be meant.
    """
    check_list(work)
    spent = Effort(effort)
    problems = [problem_for(work, section) for section in work.sections]
    busy = [p for p in problems if p.kinds]
    plans: list[SectionPlan] = []
    waiting = sum(len(p.kinds) for p in busy)
    for problem in problems:
        share = len(problem.kinds) / waiting if waiting else 0.0
        waiting -= len(problem.kinds)
        plans.append(_plan(problem, spent, share))
    return StockPlan(tuple(plans))


def _plan(problem: Problem, effort: Effort, share: float) -> SectionPlan:
    if not problem.kinds:
        return _empty(problem)
    began, mine = effort.done, share * max(0, effort.limit - effort.done)

    def mark(part: float) -> int:
        return began + round(part * mine)

    pool = Pool(problem, Layers(problem, effort))
    least = least_lengths(problem)
    best = _first(pool, least, mark(0.3))
    # On a long list the cost is still being settled when a short one is long done.
    cost_part = 0.9 if len(problem.kinds) > 2 * GROUPS else 0.6
    best, bound = _cheapest(pool, least, best, mark, cost_part)
    best, drop_bound = lengthen_drop(pool, least, best, mark(0.9))
    best, settings_proven = _tidied(pool, least, best, drop_of(problem, best), mark(1.0))
    return _result(problem, pool, best, bound, drop_bound, settings_proven)


def _first(pool: Pool, least: LeastLengths, until: int) -> Chosen:
    problem = pool.problem
    free = [n for n, bar in enumerate(problem.bars) if bar.count is None]
    plans = [fill_bars(pool, least, None)]
    for plan in rule_plans(problem):
        if all(pool.add(bar, load) for bar, load in plan):
            plans.append(plan)
    for only in free if len(free) > 1 else []:
        if pool.effort.past(until):
            break
        plans.append(fill_bars(pool, least, only))
    return min((choose(pool, plan) for plan in plans), key=lambda chosen: chosen.rank(problem))


def _cheapest(
    pool: Pool, least: LeastLengths, best: Chosen, mark: Callable[[float], int], part: float
) -> tuple[Chosen, int]:
    """Bring the plan and the bound together as far as the effort allows."""
    problem = pool.problem
    bound = max(_material_bound(problem, least), _dearest_need(pool))
    if best.rank(problem) > bound and problem.demand.sum() > LONG:
        best = dive(pool, least, best, bound, mark(0.8 * part))
    if best.rank(problem) > bound and problem.additive and len(problem.kinds) > 2 * GROUPS:
        grouped, grouped_bound = grouped_plan(pool, least, mark(0.9 * part))
        best = min(best, grouped, key=lambda chosen: chosen.rank(problem))
        bound = max(bound, grouped_bound)
    if best.rank(problem) > bound:
        relaxed = generate(pool, least, mark(0.95 * part), best.rank(problem))
        bound = max(bound, _in_bars(problem, whole(relaxed.bound)))
        best, closed = close_gap(pool, least, best, relaxed, bound, mark(part))
        if closed:
            bound = round(best.rank(problem))
    return best, min(bound, round(best.rank(problem)))


def _material_bound(problem: Problem, least: LeastLengths) -> int:
    """The cost of enough bar to hold the least lengths, cut anywhere, best value first."""
    need = float(least.kinds @ problem.demand)
    cost = 0.0
    for bar in sorted(problem.bars, key=lambda b: b.cost / max(1, least.room(b))):
        room = max(1, least.room(bar))
        bars = need / room if bar.count is None else min(bar.count, need / room)
        cost += bars * bar.cost
        need -= bars * room
    return _in_bars(problem, whole(cost))


def _dearest_need(pool: Pool) -> int:
    """What the cheapest bar costs that takes a piece, for the piece where that is most."""
    problem = pool.problem
    bars = [
        [bar.cost for bar in problem.bars if pool.layers.fit(bar, (kind,)) is not None]
        for kind in range(len(problem.kinds))
    ]
    return max((min(costs) for costs in bars if costs), default=0)


def _in_bars(problem: Problem, bound: int) -> int:
    """A bound on the cost raised to the next that whole bars can cost, pieces left uncut apart."""
    step = math.gcd(*(bar.cost for bar in problem.bars))
    return bound if step == 0 or bound >= penalty(problem) else -(-bound // step) * step


def _tidied(
    pool: Pool, least: LeastLengths, best: Chosen, drop: int, until: int
) -> tuple[Chosen, bool]:
    """Among plans of this cost and longest drop, the one with the fewest settings."""
    problem = pool.problem
    fewest = len({kind.setting for kind, u in _cut(problem, best) if u})
    if settings_of(problem, best) > fewest and len(pool.columns) <= _MOST_LOADS:
        from railsheet.cuts.whole_search import fewest_settings

        if not pool.priced:
            # The cost was settled at once; other loads of that cost may take fewer settings.
            generate(pool, least, until, math.inf)
        add_parts(pool, best)
        tidy = fewest_settings(pool, best, drop, until - pool.effort.done)
        if tidy is not None and settings_of(problem, tidy) < settings_of(problem, best):
            best = tidy
    return best, settings_of(problem, best) == fewest


def _cut(problem: Problem, best: Chosen) -> list[tuple[Kind, int]]:
    return [
        (kind, len(kind.marks) - uncut)
        for kind, uncut in zip(problem.kinds, best.uncut, strict=True)
    ]


def _result(
    problem: Problem,
    pool: Pool,
    best: Chosen,
    bound: int,
    drop_bound: int,
    settings_proven: bool,
) -> SectionPlan:
    bars = lay_out(problem, pool.layers, best)
    cost = best.cost(problem)
    short = round(best.rank(problem)) - cost
    kept = [b.leftover.length_mm for b in bars if b.leftover.kept and b.bought]
    costs = {bar.cost for bar in problem.bars if bar.cost}
    return SectionPlan(
        section=problem.section,
        bars=bars,
        uncut=_uncut(problem, pool, best),
        priced=problem.priced,
        cost=cost * problem.money,
        bound=max(0, bound - short) * problem.money,
        bar_cost=costs.pop() * problem.money if len(costs) == 1 else None,
        longest_drop_mm=max(kept, default=0.0),
        drop_bound_mm=max([drop_bound / PER_MM, *kept]),
        settings=settings_of(problem, best),
        settings_proven=settings_proven,
        by_clock=pool.effort.by_clock,
    )


def _uncut(problem: Problem, pool: Pool, best: Chosen) -> tuple[Uncut, ...]:
    out = []
    for number, (kind, count) in enumerate(zip(problem.kinds, best.uncut, strict=True)):
        if not count:
            continue
        if any(pool.layers.fit(bar, (number,)) for bar in problem.bars):
            why = "not enough bars on hand"
        else:
            longest = max((bar.source.length_mm for bar in problem.bars), default=0.0)
            why = (
                f"{kind.length / PER_MM:.1f} mm long, trims and holes besides: the longest bar "
                f"is {longest:.1f} mm"
                if longest
                else "no bar of this profile and finish"
            )
        out += [Uncut(mark, why) for mark in kind.marks[len(kind.marks) - count :]]
    return tuple(out)


def _empty(problem: Problem) -> SectionPlan:
    none = Fraction(0)
    return SectionPlan(
        problem.section, (), (), problem.priced, none, none, None, 0.0, 0.0, 0, True, False
    )

"""What cutting by rule of thumb would take, for the plan to be measured against.

Three rules, each laying pieces as drawn with the same kerf, trims and holes as the plan, drops on
hand first:

- list order: cut down the list, and open a new bar when the next piece does not fit;
- first fit: longest piece first, each on the first bar that still takes it;
- best fit: longest piece first, each on the bar that it fills closest.

With several lengths on offer a rule keeps to one of them, longer ones only for pieces that need
them, and is credited with the length that serves it best.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction

from railsheet.cuts.laying import Load, next_start, place
from railsheet.cuts.stock_model import CuttingList, Section, StockLength, check_list
from railsheet.cuts.stock_problem import BarKind, Problem, problem_for


class Rule(Enum):
    """A way of choosing the next bar."""

    LIST_ORDER = "list order"
    FIRST_FIT = "first fit, longest first"
    BEST_FIT = "best fit, longest first"


@dataclass(frozen=True)
class ByRule:
    """What a rule takes.

    Attributes:
        rule: the rule.
        bars: lengths bought.
        length_mm: lengths bought, end to end, in mm.
        cost: as in `SectionPlan`.
        uncut: how many pieces it could not place.
    """

    rule: Rule
    bars: int
    length_mm: float
    cost: Fraction
    uncut: int


@dataclass
class _Open:
    """A bar being cut: its kind, what is on it, the last way, and where that way ends."""

    number: int
    bar: BarKind
    load: list[int] = field(default_factory=list)
    before: int = -1
    end: int = 0

    def end_with(self, problem: Problem, way: int) -> int | None:
        if self.before < 0:
            start = place(problem, self.bar.hole, way, self.bar.start, 0)
        else:
            start = next_start(problem, self.bar.hole, self.before, self.end, way)
        end = start + problem.ways[way].length
        return end if end <= self.bar.stop else None


def by_rules(work: CuttingList, section: Section) -> tuple[ByRule, ...]:
    """What each rule takes for one section of a cutting list.

    Raises:
        StockInputError: for figures that cannot be meant.
    """
    check_list(work)
    problem = problem_for(work, section)
    kind_of = {mark: n for n, kind in enumerate(problem.kinds) for mark in kind.marks}
    in_order: list[int] = []
    for piece in work.pieces:
        if (piece.profile, piece.finish) == (section.profile, section.finish):
            mark = piece.mark if piece.quantity == 1 else f"{piece.mark}/1"
            in_order += [kind_of[mark]] * piece.quantity
    longest_first = sorted(in_order)
    return tuple(
        _best_length(problem, rule, in_order if rule is Rule.LIST_ORDER else longest_first)
        for rule in Rule
    )


def rule_plans(problem: Problem) -> list[list[tuple[int, Load]]]:
    """The plans of the two rules that do not go by the order of the list: bar kinds and loads."""
    kinds = [n for n, count in enumerate(problem.demand.tolist()) for _ in range(count)]
    return [
        [(bar.number, tuple(sorted(bar.load))) for bar in _cut(problem, rule, kinds, usual)]
        for rule in (Rule.FIRST_FIT, Rule.BEST_FIT)
        for usual in _usual(problem)
    ]


def _usual(problem: Problem) -> list[int | None]:
    return [n for n, bar in enumerate(problem.bars) if bar.cost] or [None]


def _best_length(problem: Problem, rule: Rule, kinds: list[int]) -> ByRule:
    tries = []
    for usual in _usual(problem):
        open_bars = _cut(problem, rule, kinds, usual)
        bought = [b.bar for b in open_bars if isinstance(b.bar.source, StockLength)]
        tries.append(
            ByRule(
                rule=rule,
                bars=len(bought),
                length_mm=sum(bar.source.length_mm for bar in bought),
                cost=sum(bar.cost for bar in bought) * problem.money,
                uncut=len(kinds) - sum(len(bar.load) for bar in open_bars),
            )
        )
    return min(tries, key=lambda t: (t.uncut, t.cost, t.length_mm))


def _cut(problem: Problem, rule: Rule, kinds: list[int], usual: int | None) -> list[_Open]:
    counts = [bar.count for bar in problem.bars]
    # Drops come out of the rack before anything is bought, shortest first.
    rack = [n for n, bar in enumerate(problem.bars) if not bar.cost]
    offer = [] if usual is None else [usual]
    offer += [
        n
        for n, bar in enumerate(problem.bars)
        if usual is not None and bar.cost and bar.end > problem.bars[usual].end
    ]
    open_bars: list[_Open] = []
    for kind in kinds:
        way = problem.ways_of[kind][0]
        candidates = open_bars[-1:] if rule is Rule.LIST_ORDER else open_bars
        fits = [(b, e) for b in candidates if (e := b.end_with(problem, way)) is not None]
        if fits:
            bar, end = fits[0]
            if rule is Rule.BEST_FIT:
                bar, end = min(fits, key=lambda fit: fit[0].bar.stop - fit[1])
        else:
            new = _new_bar(problem, rack + offer, counts, way)
            if new is None:
                continue
            bar, end = new
            open_bars.append(bar)
        bar.load.append(kind)
        bar.before, bar.end = way, end
    return open_bars


def _new_bar(
    problem: Problem, offer: list[int], counts: list[int | None], way: int
) -> tuple[_Open, int] | None:
    for number in offer:
        count = counts[number]
        if count == 0:
            continue
        bar = _Open(number, problem.bars[number])
        end = bar.end_with(problem, way)
        if end is not None:
            if count is not None:
                counts[number] = count - 1
            return bar, end
    return None

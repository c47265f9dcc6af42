"""How much the plan saves over rules of thumb, and how near long lists come to their bound."""

from __future__ import annotations

from dataclasses import replace

from plain_stock import SECTION, rails

from railsheet.cuts.rules_of_thumb import Rule, by_rules
from railsheet.cuts.stock_model import Section
from railsheet.cuts.stock_plan import plan_stock

PUNCHED = Section("rail", "black", 40.0, 112.7125)


def test_never_more_than_a_rule_and_clearly_less_than_list_order() -> None:
    bars = dict.fromkeys(Rule, 0)
    planned = 0
    for seed in range(4):
        section = PUNCHED if seed % 2 else SECTION
        work = rails(14, seed, section)
        plan = plan_stock(work, effort=1.5).sections[0]
        assert plan.proven
        planned += plan.bars_bought
        for result in by_rules(work, section):
            assert result.uncut == 0
            assert plan.cost <= result.cost
            bars[result.rule] += result.bars
    assert planned < 0.95 * bars[Rule.LIST_ORDER]
    assert planned <= bars[Rule.FIRST_FIT]
    assert planned <= bars[Rule.BEST_FIT]


def test_sixty_pieces_are_proven() -> None:
    work = rails(60, 7, SECTION)
    work = replace(work, saw=replace(work.saw, reusable_mm=10_000.0))  # no drop to look for
    plan = plan_stock(work, effort=6.0).sections[0]
    assert plan.proven


def test_a_long_list_comes_within_a_bar_of_its_bound() -> None:
    work = rails(240, 8, SECTION)
    plan = plan_stock(work, effort=0.3).sections[0]
    assert not plan.uncut
    assert plan.bar_cost is not None
    assert plan.cost <= plan.bound + plan.bar_cost
    for result in by_rules(work, SECTION):
        assert plan.cost <= result.cost

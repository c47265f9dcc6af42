"""The stock plan is sought by counted steps: the clock, the load and the machine change nothing."""

from __future__ import annotations

import random
import subprocess
import sys

import pytest

from railsheet.cuts import effort as counted
from railsheet.cuts.effort import Effort
from railsheet.cuts.stock_model import CuttingList, Piece, Saw, Section, StockLength
from railsheet.cuts.stock_plan import plan_stock
from railsheet.cuts.stock_result import StockPlan

PITCH = 112.7125


def rails(count: int, *, punched: bool) -> CuttingList:
    """More pieces than the effort these tests allow can settle."""
    pick = random.Random(5)
    pieces = tuple(
        Piece(
            f"P{number}",
            "rail",
            "black",
            float(pick.randint(700, 2600)),
            hole_mm=pick.uniform(0, PITCH) if punched else None,
        )
        for number in range(count)
    )
    bar = StockLength("rail", "black", 4876.8, first_hole_mm=57.15 if punched else None)
    section = Section("rail", "black", 40.0, PITCH if punched else None)
    return CuttingList((section,), pieces, (bar,), (), Saw(3.0, 5.0, 300.0))


WORKS = [rails(40, punched=True), rails(90, punched=False)]
EFFORT = 0.05


@pytest.fixture(scope="module")
def plans() -> list[StockPlan]:
    found = [plan_stock(work, EFFORT) for work in WORKS]
    # The effort is what ended the search, or these tests would show nothing.
    assert any(
        plan != plan_stock(work, 6 * EFFORT) for plan, work in zip(found, WORKS, strict=True)
    )
    return found


class Clock:
    """A clock that goes so much at every look."""

    def __init__(self, step_s: float) -> None:
        self.now_s, self.step_s = 1000.0, step_s

    def __call__(self) -> float:
        self.now_s += self.step_s
        return self.now_s


@pytest.mark.parametrize("step_s", [0.0, 0.01])
def test_a_slow_machine_plans_as_a_fast_one(
    plans: list[StockPlan], monkeypatch: pytest.MonkeyPatch, step_s: float
) -> None:
    monkeypatch.setattr(counted.time, "monotonic", Clock(step_s))
    monkeypatch.setattr(counted.time, "process_time", Clock(10 * step_s))
    assert [plan_stock(work, EFFORT) for work in WORKS] == plans


def test_a_loaded_machine_plans_as_an_idle_one(plans: list[StockPlan]) -> None:
    loads = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(3)]
    try:
        assert [plan_stock(work, EFFORT) for work in WORKS] == plans
    finally:
        for load in loads:
            load.kill()
            load.wait()


def test_the_clock_ends_a_search_at_last_and_is_told_of(
    plans: list[StockPlan], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not any(plan.sections[0].by_clock for plan in plans)
    monkeypatch.setattr(counted.time, "monotonic", Clock(1e6))
    for work, before in zip(WORKS, plans, strict=True):
        plan = plan_stock(work, EFFORT).sections[0]
        assert plan.by_clock
        assert not plan.uncut
        assert plan.cost >= before.sections[0].bound


def test_steps_spent_are_not_the_clocks_doing(monkeypatch: pytest.MonkeyPatch) -> None:
    effort = Effort(1.0)
    effort.spend(10)
    assert effort.past(10)
    assert not effort.past(11)
    monkeypatch.setattr(counted.time, "monotonic", Clock(1e6))
    assert effort.past(10)
    assert not effort.by_clock
    assert effort.past(11)
    assert effort.by_clock

"""A level run of a hundred bays solves in proportion to one of twenty-five."""

from __future__ import annotations

import time
from pathlib import Path

from railsheet.job.kit import find_kit, load_kit
from railsheet.job.model import LevelSpec, PlanPost, PostKind, Side
from railsheet.layout.level import LevelEnds, solve_level

KIT = load_kit(find_kit("whimbrel", Path(), "", ""))
BAY_MM = 1850.0


def seconds(bays: int) -> float:
    posts = [PlanPost(mark, PostKind.POST, None, None) for mark in ("P1", "P2")]
    length = bays * BAY_MM
    spec = LevelSpec("L", Side.LEFT, 1000.0, "P1", "P2", length, 0.0, 0.0, 30.0, 50.0)
    ends = LevelEnds(posts[0], posts[1], 25.0, 25.0, length)
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        railing = solve_level(spec, ends, KIT, "a test")
        best = min(best, time.perf_counter() - start)
    assert abs(len(railing.bays) - bays) <= bays // 10 + 1
    assert all(bay.clear_mm <= KIT.greatest_span_mm + 1e-6 for bay in railing.bays)
    assert len({len(bay.baluster_s_mm) for bay in railing.bays}) == 1
    return best


def test_time_grows_in_proportion_to_the_bays() -> None:
    # Four times the bays; twice in proportion leaves room for a busy machine.
    assert seconds(100) <= 8 * seconds(25)

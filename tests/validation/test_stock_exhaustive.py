"""The stock plan against plain exhaustive search on small lists, punched and leaning.

Source: none outside; the search below shares no code with the plan. It tries every order and
attitude of every set of pieces on a bar, in plain arithmetic, and every way to share the pieces
among bars.
"""

from __future__ import annotations

import math
import random
from itertools import permutations, product

import pytest

from railsheet.cuts.stock_model import (
    ANY_WAY,
    AS_DRAWN_ONLY,
    EITHER_END_FIRST,
    Attitude,
    CuttingList,
    Drop,
    Piece,
    Saw,
    Section,
    StockLength,
)
from railsheet.cuts.stock_plan import plan_stock

PITCH = 112.7125  # 4 7/16 in
DEPTH = 44.0
KERF = 3.2
TRIM = 6.0


def seen(piece: Piece, attitude: Attitude) -> tuple[float, float, float | None]:
    left, right, hole = piece.left_rad, piece.right_rad, piece.hole_mm
    table = {
        Attitude.AS_DRAWN: (left, right, False),
        Attitude.TURNED: (-right, -left, True),
        Attitude.OVER: (-left, -right, False),
        Attitude.TURNED_OVER: (right, left, True),
    }
    left, right, swapped = table[attitude]
    if hole is not None and swapped:
        hole = piece.length_mm - hole
    return left, right, hole


def end_of(order: list[tuple[Piece, Attitude]], bar: StockLength | Drop) -> float:
    at = TRIM
    before: float | None = None
    for piece, attitude in order:
        left, right, hole = seen(piece, attitude)
        if before is not None:
            kerf = KERF / min(math.cos(before), math.cos(left))
            if math.isclose(before, left, abs_tol=1e-9):
                at += kerf - DEPTH * math.tan(abs(left))
            else:
                at += kerf
        if hole is not None:
            assert bar.first_hole_mm is not None
            steps = (at + hole - bar.first_hole_mm) / PITCH
            at += (math.ceil(steps - 1e-6) - steps) * PITCH
        at += piece.length_mm
        before = right
    return at


def fits(pieces: list[Piece], bar: StockLength | Drop) -> bool:
    stop = bar.length_mm - TRIM
    if sum(p.length_mm for p in pieces) - len(pieces) * 2 * DEPTH > stop:
        return False
    return any(
        end_of(list(zip(order, ways, strict=True)), bar) <= stop + 1e-6
        for order in permutations(pieces)
        for ways in product(*(piece.may for piece in order))
    )


def least_cost(work: CuttingList) -> float | None:
    """The least length to buy, drops free; None where the pieces cannot all be cut."""
    pieces = list(work.pieces)
    full = (1 << len(pieces)) - 1
    sets = {
        mask: [pieces[i] for i in range(len(pieces)) if mask >> i & 1]
        for mask in range(1, full + 1)
    }
    best = {0: 0.0}
    for drop in work.drops:
        on_drop = [mask for mask, chosen in sets.items() if fits(chosen, drop)]
        for done, cost in list(best.items()):
            for mask in on_drop:
                if not mask & done:
                    best[mask | done] = min(cost, best.get(mask | done, math.inf))
    bars = {
        mask: min((b.length_mm for b in work.lengths if fits(chosen, b)), default=math.inf)
        for mask, chosen in sets.items()
    }
    for target in range(1, full + 1):
        part = target
        while part:
            if (target ^ part) in best and bars[part] < math.inf:
                cost = best[target ^ part] + bars[part]
                best[target] = min(cost, best.get(target, math.inf))
            part = (part - 1) & target
    return best.get(full)


def small_list(seed: int, *, punched: bool) -> CuttingList:
    pick = random.Random(seed)
    pitch = PITCH if punched else None
    leans = [0.0, 0.0, math.radians(33.0), math.radians(-33.0)]
    pieces = []
    for number in range(pick.randint(4, 6)):
        rake = pick.choice(leans)
        ends = pick.choice([(rake, rake), (0.0, rake), (rake, 0.0), (rake, -rake)])
        pieces.append(
            Piece(
                f"P{number}",
                "rail",
                "black",
                length_mm=pick.choice([600.0, 707.3, 812.8, 955.5, 1206.5]),
                left_rad=ends[0],
                right_rad=ends[1],
                hole_mm=round(pick.random() * PITCH, 3) if punched else None,
                may=pick.choice([AS_DRAWN_ONLY, EITHER_END_FIRST, ANY_WAY[:3]]),
            )
        )
    first = round(pick.random() * PITCH, 3) if punched else None
    lengths = tuple(
        StockLength("rail", "black", length, first_hole_mm=first)
        for length in pick.sample([1830.0, 2440.0, 3050.0], 2)
    )
    drops = ()
    if pick.random() < 0.5:
        drops = (
            Drop("D1", "rail", "black", 1500.0, None if first is None else round(first / 2, 3)),
        )
    section = Section("rail", "black", DEPTH, pitch)
    return CuttingList((section,), tuple(pieces), lengths, drops, Saw(KERF, TRIM, 300.0))


@pytest.mark.parametrize("punched", [True, False])
@pytest.mark.parametrize("seed", range(7))
def test_cost_is_the_least_of_all(seed: int, punched: bool) -> None:
    work = small_list(seed, punched=punched)
    plan = plan_stock(work, effort=2.0).sections[0]
    least = least_cost(work)
    assert least is not None
    assert not plan.uncut
    assert plan.proven
    assert float(plan.cost) == pytest.approx(least, abs=1e-6)


@pytest.mark.parametrize("seed", range(7))
def test_longest_drop_is_the_longest_of_all(seed: int) -> None:
    """One stock length, square pieces: every sharing among the least bars, by hand."""
    pick = random.Random(1000 + seed)
    section = Section("tube", "raw", 38.0)
    sizes = [float(pick.randint(500, 1900)) for _ in range(7)]
    work = CuttingList(
        (section,),
        tuple(Piece(f"P{n}", "tube", "raw", size) for n, size in enumerate(sizes)),
        (StockLength("tube", "raw", 3000.0),),
        (),
        Saw(KERF, TRIM, 200.0),
    )
    plan = plan_stock(work, effort=2.0).sections[0]
    bars = len(plan.bars)
    longest = [0.0]

    def share(at: int, loads: list[list[float]]) -> None:
        if at == len(sizes):
            ends = [TRIM + sum(load) + KERF * (len(load) - 1) for load in loads]
            if len(loads) == bars:
                longest[0] = max(longest[0], 3000.0 - min(ends) - KERF)
            assert len(loads) >= bars
            return
        for n in range(len(loads) + 1):
            if n == bars:
                break
            more = [list(load) for load in loads] + ([[]] if n == len(loads) else [])
            more[n].append(sizes[at])
            if TRIM + sum(more[n]) + KERF * (len(more[n]) - 1) <= 3000.0 - TRIM:
                share(at + 1, more)

    share(0, [])
    expected = longest[0] if longest[0] >= 200.0 else 0.0
    assert plan.proven
    assert plan.drop_bound_mm - plan.longest_drop_mm <= 1.0
    assert plan.longest_drop_mm == pytest.approx(expected, abs=1.0)
    assert plan.longest_drop_mm <= expected + 1e-6

from __future__ import annotations

import math
import random
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from railsheet.cuts.dive import LONG
from railsheet.cuts.drops import drops_after
from railsheet.cuts.stock_model import (
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
from railsheet.cuts.stock_result import SectionPlan, StockPlan

PITCH = 112.7125
DEPTH = 40.0
SAW = Saw(3.0, 5.0, 300.0)
quiet = settings(
    max_examples=8, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)


@st.composite
def cutting_lists(draw: st.DrawFn) -> CuttingList:
    punched = draw(st.booleans())
    rakes = [*draw(st.lists(st.floats(-0.7, 0.7), min_size=1, max_size=2)), 0.0]
    pieces = []
    for number in range(draw(st.integers(1, 5))):
        pieces.append(
            Piece(
                f"P{number}",
                "rail",
                "black",
                length_mm=draw(st.floats(200, 1800)),
                left_rad=draw(st.sampled_from(rakes)),
                right_rad=draw(st.sampled_from(rakes)),
                hole_mm=draw(st.floats(0, PITCH)) if punched and draw(st.booleans()) else None,
                may=draw(st.sampled_from([AS_DRAWN_ONLY, EITHER_END_FIRST])),
                quantity=draw(st.integers(1, 2)),
            )
        )
    hole = draw(st.floats(10, 200)) if punched else None
    lengths = [
        StockLength(
            "rail",
            "black",
            2438.4,
            first_hole_mm=hole,
            damaged_right_mm=draw(st.sampled_from([0.0, 12.0])),
        )
    ]
    drops = [
        Drop(f"K{n}", "rail", "black", draw(st.floats(300, 1500)), hole)
        for n in range(draw(st.integers(0, 2)))
    ]
    section = Section("rail", "black", DEPTH, PITCH if punched else None)
    saw = Saw(draw(st.floats(0, 5)), draw(st.floats(0, 10)), 300.0)
    return CuttingList((section,), tuple(pieces), tuple(lengths), tuple(drops), saw)


def marks(work: CuttingList) -> list[str]:
    names: list[str] = []
    for piece in work.pieces:
        if piece.quantity == 1:
            names.append(piece.mark)
        else:
            names += [f"{piece.mark}/{n}" for n in range(1, piece.quantity + 1)]
    return sorted(names)


def edges(start: float, end: float, left: float, right: float) -> list[tuple[float, float]]:
    """A laid piece's extent along the bar at the section's bottom edge and at its top edge."""
    out = []
    for up in (-1.0, 1.0):
        lean_left, lean_right = math.tan(left), math.tan(right)
        out.append(
            (
                start + DEPTH / 2 * (abs(lean_left) + up * lean_left),
                end - DEPTH / 2 * (abs(lean_right) - up * lean_right),
            )
        )
    return out


def holds_together(work: CuttingList, plan: SectionPlan) -> None:
    """Every piece once, each whole on its bar: end trim, kerf, holes, drop."""
    placed = [piece for bar in plan.bars for piece in bar.pieces]
    assert sorted([p.mark for p in placed] + [u.mark for u in plan.uncut]) == marks(work)
    by_mark = {piece.mark: piece for piece in work.pieces}
    drops = [bar.source for bar in plan.bars if isinstance(bar.source, Drop)]
    assert len({drop.mark for drop in drops}) == len(drops)
    saw = work.saw
    for bar in plan.bars:
        damage = bar.source.damaged_right_mm if isinstance(bar.source, StockLength) else 0.0
        stop = bar.source.length_mm - damage - saw.end_trim_mm
        assert bar.pieces[0].start_mm >= saw.end_trim_mm - 1e-6
        before = None
        for piece in bar.pieces:
            wanted = by_mark[piece.mark.split("/")[0]]
            assert piece.length_mm == pytest.approx(wanted.length_mm, abs=2e-6)
            assert piece.length_mm >= wanted.length_mm - 1e-7
            assert piece.attitude in wanted.may
            assert piece.end_mm <= stop + 1e-6
            if wanted.hole_mm is not None:
                assert piece.hole_mm is not None
                assert bar.source.first_hole_mm is not None
                steps = (piece.hole_mm - bar.source.first_hole_mm) / PITCH
                assert abs(steps - round(steps)) * PITCH < 1e-5
                along = (piece.hole_mm - piece.start_mm) % PITCH
                from_end = wanted.hole_mm
                if piece.attitude.swaps_ends:
                    from_end = wanted.length_mm - wanted.hole_mm
                off = (along - from_end) % PITCH
                assert min(off, PITCH - off) < 1e-5
                # Its first hole is one the bar has.
                assert piece.start_mm + along >= bar.source.first_hole_mm - 1e-5
            if before is not None:
                kerf = saw.kerf_mm / math.cos(piece.left_rad)
                here = edges(piece.start_mm, piece.end_mm, piece.left_rad, piece.right_rad)
                there = edges(before.start_mm, before.end_mm, before.left_rad, before.right_rad)
                for (start, _), (_, end) in zip(here, there, strict=True):
                    # A micrometre of kerf may be given up for a hole to fall right.
                    assert start - end >= kerf - 1.1e-3
            before = piece
        assert before is not None
        kerf = saw.kerf_mm / math.cos(before.right_rad)
        left = bar.source.length_mm - damage - before.end_mm - kerf
        assert bar.leftover.length_mm == pytest.approx(max(0.0, left), abs=1e-5)
        assert bar.leftover.kept == (bar.leftover.length_mm >= saw.reusable_mm)
    if not plan.uncut:
        assert float(plan.cost) == pytest.approx(plan.length_bought_mm, abs=1e-3)
    assert plan.bound <= plan.cost


@quiet
@given(cutting_lists())
def test_every_plan_holds_together(work: CuttingList) -> None:
    holds_together(work, plan_stock(work, 1.0).sections[0])


@pytest.mark.parametrize("punched", [False, True])
def test_a_plan_of_a_long_list_holds_together(punched: bool) -> None:
    pick = random.Random(17)
    pieces = tuple(
        Piece(
            f"P{number}",
            "rail",
            "black",
            length_mm=pick.uniform(500, 1500),
            left_rad=pick.choice([0.0, 0.5]),
            right_rad=pick.choice([0.0, 0.5]),
            hole_mm=pick.uniform(0, PITCH) if punched else None,
        )
        for number in range(LONG + 1)
    )
    hole = 40.0 if punched else None
    lengths = (
        StockLength("rail", "black", 2438.4, first_hole_mm=hole),
        StockLength("rail", "black", 3657.6, on_hand=5, first_hole_mm=hole),
    )
    drops = (Drop("K1", "rail", "black", 1400.0, hole), Drop("K2", "rail", "black", 900.0, hole))
    section = Section("rail", "black", DEPTH, PITCH if punched else None)
    work = CuttingList((section,), pieces, lengths, drops, SAW)
    plan = plan_stock(work, 0.15).sections[0]
    holds_together(work, plan)
    assert not plan.uncut
    assert sum(bar.source.length_mm == 3657.6 for bar in plan.bars) <= 5


@quiet
@given(cutting_lists(), st.randoms(use_true_random=False))
def test_order_of_the_list_changes_nothing(work: CuttingList, pick: object) -> None:
    pieces = list(work.pieces)
    pick.shuffle(pieces)  # type: ignore[attr-defined]
    again = CuttingList(
        work.sections, tuple(pieces), work.lengths[::-1], work.drops[::-1], work.saw
    )
    assert plan_stock(work, 2.0) == plan_stock(again, 2.0)


@quiet
@given(cutting_lists(), st.floats(1000, 4000))
def test_another_length_on_offer_never_costs_more(work: CuttingList, length: float) -> None:
    more = StockLength("rail", "black", round(length), first_hole_mm=work.lengths[0].first_hole_mm)
    wider = CuttingList(work.sections, work.pieces, (*work.lengths, more), work.drops, work.saw)
    before, after = (plan_stock(each, 2.0).sections[0] for each in (work, wider))
    assert before.proven
    assert after.proven
    assert len(after.uncut) <= len(before.uncut)
    if len(after.uncut) == len(before.uncut):
        assert after.cost <= before.cost


@quiet
@given(cutting_lists())
def test_what_is_left_can_be_cut_again(work: CuttingList) -> None:
    """The drops after a job are a sound list to start the next one from."""
    plan = plan_stock(work, 1.0)
    left = drops_after(work.drops, plan)
    assert len({drop.mark for drop in left}) == len(left)
    used = sum(bar.source.length_mm for bar in plan.sections[0].bars if not bar.bought)
    fresh = [bar.leftover for bar in plan.sections[0].bars if bar.leftover.kept]
    assert len(left) <= len(work.drops) + len(fresh)
    total = sum(d.length_mm for d in work.drops) - used
    assert sum(d.length_mm for d in left) <= total + sum(f.length_mm for f in fresh) + 1e-6
    again = CuttingList(work.sections, work.pieces, work.lengths, left, work.saw)
    second = plan_stock(again, 1.0).sections[0]
    assert second.bound <= second.cost


def plain(
    pieces: tuple[Piece, ...],
    lengths: tuple[StockLength, ...],
    drops: tuple[Drop, ...] = (),
    saw: Saw = SAW,
) -> SectionPlan:
    section = Section("rail", "black", DEPTH)
    work = CuttingList((section,), pieces, lengths, drops, saw)
    plan = plan_stock(work)
    assert isinstance(plan, StockPlan)
    return plan.sections[0]


def test_prices_choose_the_bars() -> None:
    pieces = (Piece("A", "rail", "black", 900.0, quantity=4),)
    short = StockLength("rail", "black", 2000.0, price=19.95)
    long = StockLength("rail", "black", 4000.0, price=40.10)
    plan = plain(pieces, (short, long))
    assert [bar.source.length_mm for bar in plan.bars] == [2000.0, 2000.0]
    assert plan.cost == Fraction("39.90")
    assert plan.proven
    dear = StockLength("rail", "black", 2000.0, price=20.10)
    assert [bar.source.length_mm for bar in plain(pieces, (dear, long)).bars] == [4000.0]


def test_drops_are_cut_before_anything_is_bought() -> None:
    pieces = (Piece("A", "rail", "black", 900.0, quantity=3),)
    drop = Drop("K1", "rail", "black", 950.0)
    plan = plain(pieces, (StockLength("rail", "black", 2000.0),), (drop,))
    assert sorted(bar.source.length_mm for bar in plan.bars) == [950.0, 2000.0]
    assert plan.cost == 2000


def test_two_parallel_plumb_cuts_are_one() -> None:
    rake = math.radians(35)
    # Two rails of 1000 mm, plumb cut, pass each other by depth * tan(rake) less a kerf along the
    # bar: laid long point to long point they would not fit this bar.
    nested = 2000.0 - DEPTH * math.tan(rake) + 3.0 / math.cos(rake)
    stock = StockLength("rail", "black", 5.0 + nested + 5.0 + 1e-3)
    pieces = (Piece("A", "rail", "black", 1000.0, rake, rake, quantity=2),)
    plan = plain(pieces, (stock,))
    assert len(plan.bars) == 1
    assert [piece.shares_left for piece in plan.bars[0].pieces] == [False, True]
    shorter = StockLength("rail", "black", 5.0 + nested + 5.0 - 1e-3)
    assert len(plain(pieces, (shorter,)).bars) == 2


def test_what_cannot_be_cut_is_named() -> None:
    pieces = (Piece("A", "rail", "black", 2500.0), Piece("B", "rail", "black", 900.0, quantity=3))
    few = StockLength("rail", "black", 2000.0, on_hand=1)
    plan = plain(pieces, (few,))
    assert [uncut.mark for uncut in plan.uncut] == ["A", "B/3"]
    assert "2000.0 mm" in plan.uncut[0].why
    assert plan.uncut[1].why == "not enough bars on hand"
    assert plan.proven
    nothing = plain(pieces, ())
    assert len(nothing.uncut) == 4
    assert nothing.uncut[0].why == "no bar of this profile and finish"


def test_blank_ends_of_a_punched_bar_are_kept_clear() -> None:
    # First and last holes 150 mm in, more than a pitch: a piece of six holes must have all six.
    section = Section("rail", "black", DEPTH, PITCH)
    piece = Piece("A", "rail", "black", 6 * PITCH - 20, hole_mm=46.0)
    stock = StockLength("rail", "black", 300 + 5 * PITCH, first_hole_mm=150, last_hole_mm=150)
    work = CuttingList((section,), (piece,), (stock,), (), Saw(3.0, 5.0, 300.0))
    plan = plan_stock(work).sections[0]
    assert plan.bars[0].pieces[0].hole_mm == pytest.approx(150.0)
    one_less = StockLength("rail", "black", 300 + 4 * PITCH, first_hole_mm=150, last_hole_mm=150)
    work = CuttingList((section,), (piece,), (one_less,), (), Saw(3.0, 5.0, 300.0))
    assert [uncut.mark for uncut in plan_stock(work).sections[0].uncut] == ["A"]


def test_a_turned_piece_shows_its_other_end_to_the_bar() -> None:
    # Turned end for end, a 950 mm piece with a hole 30 mm from its downhill end begins with one
    # at (950 - 30) mod 100 = 20 mm; bar holes stand at 55, 155 ...
    section = Section("rail", "black", DEPTH, 100.0)
    piece = Piece("A", "rail", "black", 950.0, 0.5, 0.2, hole_mm=30.0, may=(Attitude.TURNED,))
    stock = StockLength("rail", "black", 2000.0, first_hole_mm=55.0)
    work = CuttingList((section,), (piece,), (stock,), (), SAW)
    (laid,) = plan_stock(work).sections[0].bars[0].pieces
    assert laid.start_mm == pytest.approx(35.0)
    assert laid.hole_mm == pytest.approx(55.0)
    assert (laid.left_rad, laid.right_rad) == (-0.2, -0.5)

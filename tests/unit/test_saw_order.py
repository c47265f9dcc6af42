from __future__ import annotations

import math
from itertools import pairwise

import pytest

from railsheet.cuts.saw_order import saw_order
from railsheet.cuts.stock_model import CuttingList, Piece, Saw, Section, StockLength
from railsheet.cuts.stock_plan import plan_stock
from railsheet.cuts.stock_result import SectionPlan

DEPTH = 40.0
SAW = Saw(3.0, 5.0, 300.0)
RAKE = math.radians(30)


def planned(*pieces: Piece, length: float = 6000.0, saw: Saw = SAW) -> SectionPlan:
    section = Section("rail", "black", DEPTH)
    work = CuttingList((section,), pieces, (StockLength("rail", "black", length),), (), saw)
    return plan_stock(work).sections[0]


def test_square_pieces_by_hand() -> None:
    plan = planned(Piece("A", "rail", "black", 1000.0, quantity=3))
    order = saw_order(plan, SAW)
    (bar,) = order.bars
    assert [cut.number for cut in bar.cuts] == [1, 2, 3, 4]
    assert [cut.at_mm for cut in bar.cuts] == pytest.approx([5.0, 1005.0, 2008.0, 3011.0])
    assert [(cut.ends, cut.starts) for cut in bar.cuts] == [
        (None, "A/1"), ("A/1", "A/2"), ("A/2", "A/3"), ("A/3", None),
    ]  # fmt: skip
    assert [cut.swings for cut in bar.cuts] == [True, False, False, False]
    assert [cut.check_mm for cut in bar.cuts] == [None, 1000.0, None, None]
    assert bar.leftover.length_mm == pytest.approx(6000 - 3011 - 3)
    assert bar.leftover.kept
    assert (order.swings, order.stops) == (1, 1)


def test_kerf_and_distances_of_plumb_cuts() -> None:
    plan = planned(Piece("A", "rail", "black", 1000.0, RAKE, RAKE, quantity=2))
    (bar,) = saw_order(plan, SAW).bars
    along = 3.0 / math.cos(RAKE)
    assert [cut.kerf_mm for cut in bar.cuts] == pytest.approx([along] * 3)
    second = 1005.0 - DEPTH * math.tan(RAKE) + along
    assert [cut.at_mm for cut in bar.cuts] == pytest.approx(
        [5.0, 1005.0, second + 1000.0], abs=1e-5
    )


def test_bar_adds_up() -> None:
    """Metal, kerfs, slices between cuts and the drop make the bar, on its lower edge."""
    plan = planned(
        Piece("A", "rail", "black", 1000.0, RAKE, RAKE, quantity=2),
        Piece("B", "rail", "black", 800.0, 0.0, RAKE, quantity=2),
        Piece("C", "rail", "black", 700.0),
    )
    for item in saw_order(plan, SAW).bars:
        at = 0.0
        for piece in item.bar.pieces:
            lean = DEPTH / 2 * (abs(math.tan(piece.left_rad)) - math.tan(piece.left_rad))
            start = piece.start_mm + lean
            assert start >= at - 1e-6
            end = piece.end_mm - DEPTH / 2 * (
                abs(math.tan(piece.right_rad)) + math.tan(piece.right_rad)
            )
            at = end + SAW.kerf_mm / math.cos(piece.right_rad)
        assert at + item.leftover.length_mm <= item.bar.source.length_mm + 1e-6


def test_swings_are_counted_and_mirrors_flagged() -> None:
    plan = planned(
        Piece("L", "rail", "black", 1000.0, RAKE, 0.0),
        Piece("R", "rail", "black", 1000.0, 0.0, -RAKE),
    )
    order = saw_order(plan, SAW)
    assert order.mirrored == (("L", "R"),)
    cuts = [cut for bar in order.bars for cut in bar.cuts]
    leans = [cut.lean_rad for cut in cuts]
    changes = 1 + sum(a != b for a, b in pairwise(leans))
    assert order.swings == changes == sum(cut.swings for cut in cuts)
    flagged = [cut.number for cut in cuts if cut.mirrors]
    expected = [
        b.number for a, b in pairwise(cuts)
        if a.lean_rad == -b.lean_rad and b.lean_rad
    ]  # fmt: skip
    assert flagged == expected
    # Every setting is checked on the first piece it frees.
    assert sum(cut.check_mm is not None for cut in cuts) >= 2


def test_a_symmetrical_piece_is_nobodys_mirror() -> None:
    plan = planned(Piece("A", "rail", "black", 1000.0, RAKE, -RAKE, quantity=2))
    assert saw_order(plan, SAW).mirrored == ()


def test_a_slice_thinner_than_the_blade_is_flagged() -> None:
    # Holes 1 mm out of step with a shared cut: the second cut takes a 1 mm slice.
    section = Section("rail", "black", DEPTH, 100.0)
    pieces = (
        Piece("A", "rail", "black", 996.0, hole_mm=50.0),
        Piece("B", "rail", "black", 996.0, hole_mm=50.0, quantity=1),
    )
    stock = StockLength("rail", "black", 3000.0, first_hole_mm=55.0)
    work = CuttingList((section,), pieces, (stock,), (), SAW)
    (bar,) = saw_order(plan_stock(work).sections[0], SAW).bars
    assert bar.bar.pieces[1].start_mm - bar.bar.pieces[0].end_mm == pytest.approx(4.0)
    assert [cut.skims for cut in bar.cuts] == [False, False, True, False]


@pytest.mark.parametrize(("more", "thin"), [(-0.2, True), (0.2, False)])
def test_slices_between_leaning_cuts_are_measured_along_the_bar(more: float, thin: bool) -> None:
    # Two parallel cuts whose faces stand so far apart along the bar: their long points, on
    # opposite edges, pass each other by depth x tan(rake) less that.
    between = 2 * 3.0 / math.cos(RAKE) + more
    section = Section("rail", "black", DEPTH, 100.0)
    length = 1000.0 + DEPTH * math.tan(RAKE) - between
    pieces = tuple(
        Piece(mark, "rail", "black", length, RAKE, RAKE, hole_mm=50.0) for mark in ("A", "B")
    )
    stock = StockLength("rail", "black", 3000.0, first_hole_mm=55.0)
    work = CuttingList((section,), pieces, (stock,), (), SAW)
    (bar,) = saw_order(plan_stock(work).sections[0], SAW).bars
    first, second = bar.bar.pieces
    assert second.start_mm - first.start_mm == pytest.approx(1000.0)
    assert [cut.skims for cut in bar.cuts] == [False, False, thin, False]


def test_a_trusted_end_needs_no_cut() -> None:
    saw = Saw(3.0, 0.0, 300.0)
    plan = planned(Piece("A", "rail", "black", 1000.0), length=1000.0, saw=saw)
    (bar,) = saw_order(plan, saw).bars
    assert bar.cuts == ()
    assert bar.leftover.length_mm == 0
    assert not bar.leftover.kept

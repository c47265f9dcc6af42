from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from railsheet.cuts.drops import name_remainders, read_drops
from railsheet.cuts.joint import can_share, kerf_along_mm, room_mm, same_lean
from railsheet.cuts.patterns import least_lengths
from railsheet.cuts.rules_of_thumb import Rule, by_rules
from railsheet.cuts.stock_model import (
    Attitude,
    CuttingList,
    Drop,
    Piece,
    Saw,
    Section,
    StockInputError,
    StockLength,
)
from railsheet.cuts.stock_plan import _material_bound, plan_stock
from railsheet.cuts.stock_problem import problem_for
from railsheet.errors import BadInput

SECTION = Section("rail", "black", 40.0)
PUNCHED = replace(SECTION, pitch_mm=100.0)
PIECE = Piece("A", "rail", "black", 1000.0)
BAR = StockLength("rail", "black", 3000.0)
SAW = Saw(3.0, 5.0, 300.0)
WORK = CuttingList((SECTION,), (PIECE,), (BAR,), (), SAW)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"saw": replace(SAW, kerf_mm=-1.0)}, "kerf"),
        ({"sections": (SECTION, SECTION)}, "twice"),
        ({"sections": (replace(SECTION, depth_mm=0.0),)}, "depth"),
        ({"pieces": (replace(PIECE, length_mm=math.nan),)}, "A: its length"),
        ({"pieces": (PIECE, PIECE)}, "two pieces"),
        ({"pieces": (replace(PIECE, quantity=0),)}, "quantity"),
        ({"pieces": (replace(PIECE, finish="red"),)}, "no section rail in red"),
        ({"pieces": (replace(PIECE, left_rad=1.5),)}, "80°"),
        ({"pieces": (replace(PIECE, length_mm=30.0, left_rad=0.9, right_rad=-0.9),)}, "cross"),
        ({"pieces": (replace(PIECE, hole_mm=10.0),)}, "no pitch"),
        ({"lengths": (replace(BAR, price=0.0),)}, "price"),
        ({"lengths": (BAR, replace(BAR, length_mm=2000.0, price=9.0))}, "has a price or none"),
        ({"lengths": (replace(BAR, on_hand=-1),)}, "on hand"),
        ({"lengths": (replace(BAR, first_hole_mm=50.0),)}, "first hole"),
        ({"sections": (PUNCHED,)}, "first hole"),
        ({"drops": (Drop("K1", "rail", "black", -5.0),)}, "drop K1: its length"),
        ({"drops": (Drop("K1", "post", "black", 500.0),)}, "no section post"),
        (
            {
                "sections": (PUNCHED,),
                "lengths": (replace(BAR, first_hole_mm=50.0),),
                "drops": (Drop("K1", "rail", "black", 500.0, first_hole_mm=600.0),),
            },
            "must lie on it",
        ),
    ],
)
def test_figures_that_cannot_be_meant(change: dict[str, object], says: str) -> None:
    with pytest.raises(StockInputError, match=says):
        plan_stock(replace(WORK, **change))  # type: ignore[arg-type]


def test_an_empty_list_is_a_plan() -> None:
    plan = plan_stock(replace(WORK, pieces=()))
    assert plan.proven
    assert plan.sections[0].bars == ()


def test_room_between_cuts() -> None:
    lean = math.radians(30)
    assert kerf_along_mm(3.0, lean) == pytest.approx(3.0 * 2 / math.sqrt(3))
    # Square cuts: one kerf, shared or not.
    assert room_mm(0, 0, 3.0, 40.0, shared=True) == 3.0
    assert room_mm(0, 0, 3.0, 40.0, shared=False) == 3.0
    # A shared plumb cut at 30°: tan 30° = 1/√3.
    assert room_mm(lean, lean, 3.0, 40.0, shared=True) == pytest.approx(
        6.0 / math.sqrt(3) - 40.0 / math.sqrt(3)
    )
    # Leaning apart, the long points stand a kerf apart.
    assert room_mm(lean, -lean, 3.0, 40.0, shared=False) == pytest.approx(6.0 / math.sqrt(3))
    assert same_lean(lean, lean + math.radians(0.009))
    assert not same_lean(lean, lean + math.radians(0.011))
    assert not can_share(40.0, lean, lean, 40.0)
    assert can_share(47.0, lean, lean, 40.0)


def test_half_a_turn_in_its_own_plane_keeps_the_lean() -> None:
    assert Attitude.TURNED_OVER.swaps_ends
    assert not Attitude.TURNED_OVER.mirrors_angles
    assert Attitude.TURNED.swaps_ends
    assert Attitude.TURNED.mirrors_angles
    assert not Attitude.OVER.swaps_ends


def test_rules_of_thumb_by_hand() -> None:
    saw = Saw(0.0, 0.0, 300.0)
    sizes = [400.0, 700.0, 600.0, 500.0, 300.0, 500.0]
    pieces = tuple(Piece(f"P{n}", "rail", "black", size) for n, size in enumerate(sizes))
    work = CuttingList((SECTION,), pieces, (StockLength("rail", "black", 1000.0),), (), saw)
    found = {result.rule: result.bars for result in by_rules(work, SECTION)}
    # In list order: 400 | 700 | 600 | 500 300 | 500. Longest first: 700 300 | 600 400 | 500 500.
    assert found == {Rule.LIST_ORDER: 5, Rule.FIRST_FIT: 3, Rule.BEST_FIT: 3}


def test_best_fit_differs_from_first_fit() -> None:
    saw = Saw(0.0, 0.0, 300.0)
    # By hand, on bars of 1000: 670 | 410 350, then 230 goes to the first bar (900) or the closest
    # (990); 210 to the other (970, 880); 120 then needs a third bar, or closes the first.
    sizes = [670.0, 410.0, 350.0, 230.0, 210.0, 120.0]
    pieces = tuple(Piece(f"P{n}", "rail", "black", size) for n, size in enumerate(sizes))
    work = CuttingList((SECTION,), pieces, (StockLength("rail", "black", 1000.0),), (), saw)
    found = {result.rule: result.bars for result in by_rules(work, SECTION)}
    assert found[Rule.FIRST_FIT] == 3
    assert found[Rule.BEST_FIT] == 2


def test_rules_cut_drops_first_and_say_what_they_cannot() -> None:
    pieces = (Piece("A", "rail", "black", 900.0, quantity=2), Piece("B", "rail", "black", 4000.0))
    drop = Drop("K1", "rail", "black", 950.0)
    work = CuttingList((SECTION,), pieces, (StockLength("rail", "black", 1000.0),), (drop,), SAW)
    for result in by_rules(work, SECTION):
        assert (result.bars, result.length_mm, result.uncut) == (1, 1000.0, 1)


@pytest.mark.parametrize("end", [0, 1])
def test_pieces_that_differ_in_one_bevel_alone_are_not_alike(end: int) -> None:
    bevels = (0.2, 0.0) if end == 0 else (0.0, 0.2)
    plain, bevelled = PIECE, replace(PIECE, mark="B", bevels_rad=bevels)
    plan = plan_stock(replace(WORK, pieces=(plain, bevelled)))
    laid = {piece.mark: piece for bar in plan.sections[0].bars for piece in bar.pieces}
    assert laid["A"].bevels_rad == (0.0, 0.0)
    assert sorted(map(abs, laid["B"].bevels_rad)) == [0.0, 0.2]
    assert plan.sections[0].settings == 2


@pytest.mark.parametrize("lean", [0.5, -0.5])
def test_shared_cuts_pass_each_other_by_the_depth_of_the_lean(lean: float) -> None:
    # A cut at angle a through depth d reaches d·tan a along the bar, its kerf k / cos a.
    room = room_mm(lean, lean, 3.0, 40.0, shared=True)
    assert room == pytest.approx(3.0 / math.cos(0.5) - 40.0 * math.tan(0.5))
    assert room_mm(lean, lean, 3.0, 40.0, shared=False) == pytest.approx(3.0 / math.cos(0.5))


def test_damage_is_left_off_the_end_it_is_at() -> None:
    bar = replace(BAR, length_mm=1140.0, damaged_left_mm=100.0, damaged_right_mm=20.0)
    plan = plan_stock(replace(WORK, lengths=(bar,))).sections[0]
    (laid,) = plan.bars[0].pieces
    # The saw's end trim comes on top.
    assert laid.start_mm == pytest.approx(100.0 + SAW.end_trim_mm)
    assert laid.end_mm <= 1140.0 - 20.0 - SAW.end_trim_mm + 1e-6


@pytest.mark.parametrize(
    ("length", "holes"),
    # Punched at 50, 150 ... 2750: past that a drop is blank.
    [(2000.0, True), (2600.0, True), (2760.0, False)],
)
def test_where_the_holes_of_a_drop_lie(length: float, holes: bool) -> None:
    bar = replace(BAR, first_hole_mm=50.0, last_hole_mm=250.0)
    piece = replace(PIECE, length_mm=length, hole_mm=44.0)
    saw = replace(SAW, end_trim_mm=0.0)
    work = replace(WORK, sections=(PUNCHED,), pieces=(piece,), lengths=(bar,), saw=saw)
    (cut,) = plan_stock(work).sections[0].bars
    (laid,) = cut.pieces
    assert (laid.start_mm + 44.0 - 50.0) % 100.0 == pytest.approx(0.0)
    starts = laid.end_mm + saw.kerf_mm
    left = cut.leftover
    assert left.length_mm == pytest.approx(3000.0 - starts)
    if not holes:
        assert (left.first_hole_mm, left.last_hole_mm) == (None, None)
        return
    ahead = next(hole for hole in range(50, 2751, 100) if hole >= starts)
    assert left.first_hole_mm == pytest.approx(ahead - starts)
    assert left.last_hole_mm == 250.0


def test_a_punched_piece_keeps_its_phase_beside_one_whose_holes_do_not_matter() -> None:
    plain = replace(PIECE, length_mm=1010.0)
    held = replace(PIECE, mark="B", length_mm=990.0, hole_mm=44.0)
    bar = replace(BAR, first_hole_mm=50.0)
    work = replace(WORK, sections=(PUNCHED,), pieces=(plain, held), lengths=(bar,))
    plan = plan_stock(work).sections[0]
    assert plan.bars_bought == 1
    laid = {piece.mark: piece for piece in plan.bars[0].pieces}
    assert laid["B"].hole_mm == pytest.approx(laid["B"].start_mm + 44.0)
    assert (laid["B"].start_mm + 44.0 - 50.0) % 100.0 == pytest.approx(0.0)
    assert not (laid["A"].start_mm < laid["B"].end_mm and laid["B"].start_mm < laid["A"].end_mm)


@pytest.mark.parametrize("on_hand", [None, 5, 2])
def test_no_bound_passes_what_bars_enough_to_hold_the_pieces_cost(on_hand: int | None) -> None:
    # Three pieces of a metre in bars of three: one bar and its end losses, two at the most,
    # however many more lie there; a drop that would hold one costs nothing.
    lengths = (replace(BAR, on_hand=on_hand),)
    for drops in ((), (Drop("D1", "rail", "black", 1200.0),)):
        work = replace(WORK, pieces=(replace(PIECE, quantity=3),), lengths=lengths, drops=drops)
        problem = problem_for(work, SECTION)
        bound = _material_bound(problem, least_lengths(problem))
        (plan,) = plan_stock(work).sections
        assert bound * problem.money <= plan.cost
        assert plan.bound == plan.cost
        assert plan.bars_bought == (1 if drops else 2)


def test_the_last_hole_of_a_drop_is_measured_from_its_sound_end() -> None:
    # Punched at 50, 150 ... 2750, the last 20 mm crushed: 250 - 20 from where sound metal ends.
    bar = replace(BAR, first_hole_mm=50.0, last_hole_mm=250.0, damaged_right_mm=20.0)
    work = replace(
        WORK, sections=(PUNCHED,), pieces=(replace(PIECE, hole_mm=44.0),), lengths=(bar,)
    )
    (cut,) = plan_stock(work).sections[0].bars
    (laid,) = cut.pieces
    assert cut.leftover.length_mm == pytest.approx(3000.0 - 20.0 - laid.end_mm - SAW.kerf_mm)
    assert cut.leftover.last_hole_mm == pytest.approx(230.0)


@pytest.mark.parametrize(("damaged", "holes"), [(240.0, True), (260.0, False)])
def test_no_hole_is_told_of_that_lies_in_the_damaged_end(damaged: float, holes: bool) -> None:
    # The bar's last hole is at 2750. A piece to 2650 or so leaves that one, if it is sound.
    bar = replace(BAR, first_hole_mm=50.0, damaged_right_mm=damaged)
    piece = replace(PIECE, length_mm=2660.0, hole_mm=44.0)
    saw = replace(SAW, end_trim_mm=0.0, reusable_mm=1.0)
    work = replace(WORK, sections=(PUNCHED,), pieces=(piece,), lengths=(bar,), saw=saw)
    (cut,) = plan_stock(work).sections[0].bars
    ends = cut.pieces[0].end_mm + saw.kerf_mm
    assert 2650.0 < ends < 2750.0
    wanted = pytest.approx(2750.0 - ends) if holes else None
    assert cut.leftover.first_hole_mm == wanted


def test_remainders_are_named_and_those_without_holes_are_not_kept() -> None:
    """A drop's remainder keeps its mark; a new bar's takes the next that nobody has."""
    drop = Drop("D1", "rail", "black", 1500.0)
    pieces = (PIECE, replace(PIECE, mark="B", length_mm=2000.0))
    work = replace(WORK, pieces=pieces, drops=(drop,), saw=replace(SAW, reusable_mm=100.0))
    named = {kept.mark: kept.length_mm for _, kept in name_remainders(work.drops, plan_stock(work))}
    # Trim, piece, kerf: 1500 - 5 - 1000 - 3 and 3000 - 5 - 2000 - 3.
    assert named == {"D1": pytest.approx(492.0), "D2": pytest.approx(992.0)}
    blank = replace(BAR, first_hole_mm=50.0, last_hole_mm=250.0)
    punched = replace(PIECE, length_mm=2760.0, hole_mm=44.0)
    saw = replace(SAW, end_trim_mm=0.0, reusable_mm=10.0)
    work = replace(WORK, sections=(PUNCHED,), pieces=(punched,), lengths=(blank,), saw=saw)
    plan = plan_stock(work)
    assert plan.sections[0].bars[0].leftover.kept
    assert name_remainders((), plan) == ()


def test_two_drops_of_one_mark_are_refused(tmp_path: Path) -> None:
    rack = tmp_path / "rack.toml"
    one = '[[drop]]\nmark = "D1"\nprofile = "rail"\nfinish = "black"\nlength = 900\n'
    rack.write_text('units = "mm"\n' + one, encoding="utf-8")
    assert [drop.length_mm for drop in read_drops(rack)] == [900.0]
    rack.write_text('units = "mm"\n' + one + one, encoding="utf-8")
    with pytest.raises(BadInput, match="two drops carry this mark"):
        read_drops(rack)


@pytest.mark.parametrize("leans", [(0.7, 0.7001), (0.7001, 0.7)])
def test_two_leans_of_one_setting_pass_each_other_by_the_lesser(leans: tuple[float, float]) -> None:
    # 0.0057° apart: one setting. The long points pass by no more than the squarer cut allows.
    assert same_lean(*leans)
    room = room_mm(*leans, 3.0, 40.0, shared=True)
    assert room == pytest.approx(3.0 / math.cos(0.7001) - 40.0 * math.tan(0.7), abs=1e-9)

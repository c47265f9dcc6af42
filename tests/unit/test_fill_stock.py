"""Balusters cut to fit, and fillets, in the job's one stock plan."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import pytest

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.cuts.alike_bars import CutBar, alike_bars, bars_words, numbered
from railsheet.cuts.saw_order import saw_order
from railsheet.cuts.stock_model import CuttingList, Drop, Piece, Saw, Section, StockLength
from railsheet.cuts.stock_plan import plan_stock
from railsheet.errors import BadInput
from railsheet.job.kit import find_kit
from railsheet.job.load import load_job
from railsheet.sheets.schedule import cut_table

SAMPLES = Path(__file__).parent.parent.parent / "samples"


@pytest.fixture
def solved(tmp_path):
    """A sample job, its kit changed, solved."""

    def solve(sample: str, kit: str, *changes: tuple[str, str]) -> SolvedJob:
        text = find_kit(kit, Path(), "", "").read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
        job = (SAMPLES / sample).read_text(encoding="utf-8")
        (tmp_path / "job.toml").write_text(job.replace(f'"{kit}"', '"mine.toml"'), encoding="utf-8")
        return solve_job(load_job(tmp_path / "job.toml"))

    return solve


@pytest.mark.parametrize(
    ("sample", "kit"), [("cut-to-fit.toml", "ouzel"), ("wood-guard.toml", "linnet")]
)
def test_every_piece_cut_from_a_bar_is_in_the_plan(solved, sample: str, kit: str) -> None:
    whole = solved(sample, kit)
    pieces = [work.pieces for work in whole.works]
    wanted = {rail.mark: 1 for one in pieces for rail in one.rails}
    wanted |= {fill.mark: fill.piece.count for one in pieces for fill in one.fills}
    assert whole.stock.cut == wanted
    assert not whole.stock.uncut
    assert all(section.plan.proven for section in whole.stock.sections)


@pytest.mark.parametrize(
    ("sample", "kit"), [("cut-to-fit.toml", "ouzel"), ("wood-guard.toml", "linnet")]
)
def test_filling_is_freed_one_kerf_apart_within_its_trims(solved, sample: str, kit: str) -> None:
    whole = solved(sample, kit)
    saw = whole.job.saw
    fills = {fill.mark: fill.piece for work in whole.works for fill in work.pieces.fills}
    seen = 0
    for bar in (bar for section in whole.stock.sections for bar in section.bars):
        if bar.pieces[0].mark not in fills:
            continue
        # Along one edge of a bar cut all at one lean: trim, kerf, piece, kerf, piece ... trim.
        lean = fills[bar.pieces[0].mark].saw_rad
        kerf = saw.kerf_mm / math.cos(lean)
        for left, right in itertools.pairwise(bar.pieces):
            along = right.start_mm - left.start_mm
            assert along == pytest.approx(fills[left.mark].edge_mm + kerf, abs=1e-4)
        for laid in bar.pieces:
            assert laid.length_mm == pytest.approx(fills[laid.mark].length_mm, abs=1e-4)
            assert laid.left_rad == laid.right_rad == pytest.approx(lean)
        assert bar.pieces[0].start_mm >= saw.end_trim_mm - 1e-6
        assert bar.pieces[-1].end_mm <= bar.cuts.bar.source.length_mm - saw.end_trim_mm + 1e-6
        seen += len(bar.pieces)
    assert seen == sum(piece.count for piece in fills.values()) > 10


def test_as_many_bars_as_equal_pieces_take(solved) -> None:
    whole = solved("cut-to-fit.toml", "ouzel")
    (fill,) = whole.works[0].pieces.fills
    saw, piece = whole.job.saw, fill.piece
    kerf = saw.kerf_mm / math.cos(piece.saw_rad)
    room = 6000.0 - 2 * saw.end_trim_mm - piece.length_mm
    each = 1 + math.floor(room / (piece.edge_mm + kerf))
    section = whole.stock.sections[-1]
    assert section.plan.section.profile == piece.name
    assert section.plan.bars_bought == -(-piece.count // each) == 2


def test_bars_are_bought_once_and_spares_where_the_kit_asks(solved) -> None:
    whole = solved("wood-guard.toml", "linnet")
    bars = {(p.item, p.length_mm): p for p in whole.buying if p.group == "bar"}
    balusters = bars["1 1/4 in square baluster, as supplied", 42 * 25.4]
    # 9, and one in twenty over, rounded up.
    assert (balusters.needed, balusters.buy) == (9, 10)
    fillets = [p for (item, _), p in bars.items() if item.startswith("1/4 in fillet")]
    assert sum(p.buy for p in fillets) == whole.stock.sections[-1].plan.bars_bought
    assert not [p for p in whole.buying if p.group in ("baluster", "fillet")]
    (row,) = [row for row in cut_table(whole.works, whole.book).rows if row[0] == "H1-BL"]
    assert row[6] == '42"'
    assert row[-1].endswith("; bars 3 to 11")


def test_bars_cut_alike_are_told_once(solved) -> None:
    whole = solved("wood-guard.toml", "linnet")
    for section in whole.stock.sections:
        assert [bar for group in section.alike for bar in group.bars] == list(section.bars)
        numbers = [cut.number for group in section.alike for cut in group.first.cuts.cuts]
        assert numbers == list(range(1, len(numbers) + 1))
    balusters = whole.stock.sections[2]
    (group,) = balusters.alike
    assert group.words == "bars 3 to 11, alike"
    assert [bar.pieces[0].mark for bar in group.bars] == ["H1-BL"] * 9
    assert "stock.bar.3.cut.2.at" in whole.book
    assert "stock.bar.4.cut.2.at" not in whole.book


def pairs(kept: tuple[int, ...]) -> tuple[CutBar, ...]:
    """Four bars of one piece each, whose ends lean against one another; drops named by number."""
    section = Section("tube", "raw", 40.0)
    cutting = CuttingList(
        (section,),
        (Piece("P", "tube", "raw", 1000.0, 0.5, -0.5, quantity=4),),
        (StockLength("tube", "raw", 1500.0),),
        (),
        Saw(3.0, 3.0, 300.0),
    )
    order = saw_order(plan_stock(cutting).sections[0], cutting.saw)
    bars = []
    for number, (cuts, drop) in enumerate(zip(order.bars, kept, strict=True), start=1):
        pieces = tuple(replace(piece, mark="P") for piece in cuts.bar.pieces)
        marked = tuple(
            replace(cut, ends=cut.ends and "P", starts=cut.starts and "P") for cut in cuts.cuts
        )
        cuts = replace(cuts, bar=replace(cuts.bar, pieces=pieces), cuts=marked)
        bars.append(CutBar(number, cuts, Drop(f"D{drop}", "tube", "raw", 490.0)))
    return tuple(bars)


def test_what_differs_at_the_saw_is_not_told_as_alike() -> None:
    groups = alike_bars(pairs((1, 2, 3, 4)))
    # The first bar sets the saw; each later one swings it back to the other side.
    assert [group.numbers for group in groups] == ["1", "2 to 4"]
    assert groups[1].drops == "D2 to D4"
    # A drop whose name does not follow the one before cannot be told as a span.
    groups = alike_bars(pairs((1, 2, 3, 5)))
    assert [group.numbers for group in groups] == ["1", "2 to 3", "4"]
    counted = [[cut.number for cut in bar.cuts.cuts] for bar in numbered(pairs((1, 2, 3, 5)))]
    assert counted == [[1, 2], [3, 4], [3, 4], [5, 6]]


def test_bars_in_words() -> None:
    bars = pairs((1, 2, 3, 4))
    assert bars_words(bars[:1]) == "bar 1"
    assert bars_words((bars[3], *bars[:2])) == "bars 1 to 2, 4"


def test_a_baluster_that_fits_only_untrimmed_is_stopped(solved) -> None:
    # 32 3/16 in over all goes into 32 1/4 in, but not once an eighth comes off either end.
    whole = solved("wood-guard.toml", "linnet", ('length = "42"', 'length = "32 1/4"'))
    assert whole.stock.uncut == {"H1-BL"}
    stops = [n.text(whole.job.tape) for n in whole.notices if n.topic == "baluster stock"]
    (said,) = stops
    assert said.startswith('H1-BL, 1 1/4 in square baluster, 32 3/16" long, fits no bar')
    (missing,) = [line for line in whole.buying if line.group == "baluster"]
    assert missing.item.endswith("no stock bar is long enough")
    assert missing.needed == 9


@pytest.mark.parametrize("name", ["top rail, ploughed below", "1 1/4 in square baluster"])
def test_two_sections_of_one_name_cannot_share_bars(solved, name: str) -> None:
    with pytest.raises(BadInput) as caught:
        solved("wood-guard.toml", "linnet", ('name = "1/4 in fillet"', f'name = "{name}"'))
    assert (caught.value.place, caught.value.value) == ("fillet > name", name)

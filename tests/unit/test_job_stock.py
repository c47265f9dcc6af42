"""A job's rails as a cutting list, and what its kit and saw say of buying and cutting."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from railsheet.cuts.job_stock import Rack, plan_job
from railsheet.cuts.pieces import cut_pieces
from railsheet.cuts.purchase import purchases
from railsheet.cuts.rail_stock import cutting_piece
from railsheet.cuts.stock_model import Attitude, CuttingList, Drop
from railsheet.cuts.stock_plan import plan_stock
from railsheet.cuts.stock_result import StockPlan, Uncut
from railsheet.cuts.take_off import TakeOffLine, take_off
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook
from railsheet.figures.stock import enter_stock, proof_text
from railsheet.job.kit import find_kit
from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.survey.stair import stair_from_readings

DUNLIN = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
STOCK = 'stock = ["8\'", "10\'", "16\'"]'


@pytest.fixture
def laid(job_file, tmp_path):
    """The porch sample with its kit changed, laid out: the job, and its flight with its pieces."""

    def lay(*kit_changes: tuple[str, str], flights: int = 1, job_changes=()):
        text = DUNLIN
        for old, new in kit_changes:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
        path = job_file(('kit = "dunlin"', 'kit = "mine.toml"'), *job_changes)
        whole = path.read_text(encoding="utf-8")
        head, flight = whole.split("[[flight]]")
        more = [
            flight.replace('mark = "A"', f'mark = "{chr(ord("A") + n)}"') for n in range(flights)
        ]
        path.write_text("[[flight]]".join([head, *more]), encoding="utf-8")
        job = load_job(path)
        work = []
        for spec in job.flights:
            stair = stair_from_readings(spec.readings)
            work.append((spec, cut_pieces(solve_flight(stair, spec, job.kit, job.file))))
        return job, work

    return lay


def rails(work):
    return [(spec, pieces.rails) for spec, pieces in work]


def test_several_flights_share_bars_and_the_plan_says_so(laid) -> None:
    job, work = laid(flights=3)
    stock = plan_job(job, rails(work))
    placed = stock.placed
    assert sorted(placed) == sorted(p.mark for _, pieces in work for p in pieces.rails)
    for section in stock.sections:
        assert section.plan.proven
        # Three rails of 55 7/8 in: one 16 ft bar, where a bar each would be three of 8 ft.
        assert (section.plan.bars_bought, section.plan.length_bought_mm) == (1, 16 * 304.8)
        assert {laid.attitude for bar in section.bars for laid in bar.pieces} == {Attitude.TURNED}
    assert stock.notices(work[0][1].rails) == ()


def test_prices_decide_which_bars_are_bought(laid) -> None:
    dear = 'stock = [{ length = "8\'", price = 10 }, { length = "16\'", price = 45.5 }]'
    job, work = laid((STOCK, dear), flights=3)
    stock = plan_job(job, rails(work))
    for section in stock.sections:
        assert section.plan.priced
        assert float(section.plan.cost) == 30
        assert section.plan.bars_bought == 3


@pytest.mark.parametrize(
    ("stock", "says"),
    [
        ('stock = ["8\'", { length = "10\'", price = 3 }]', "price or none"),
        ('stock = ["8\'", "96"]', "twice"),
        ('stock = [{ length = "8\'", price = 0 }]', "price of one bar"),
        ('stock = [{ length = "8\'", cost = 3 }]', "price of one bar"),
        ("stock = []", "empty"),
    ],
)
def test_stock_that_cannot_be_meant(laid, stock: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        laid((STOCK, stock))
    assert says in caught.value.allowed
    assert "stock" in caught.value.place


def test_a_rail_that_fits_only_without_its_trims_is_stopped(laid) -> None:
    # 55 7/8 in of rail fits a bar an eighth longer, but not once both of its ends are trimmed.
    job, work = laid((STOCK, 'stock = ["60"]'), job_changes=(("[building]", SAW_LONG),))
    (_, pieces) = work[0]
    assert all(piece.on_bar.stock_mm is not None for piece in pieces.rails)
    stock = plan_job(job, rails(work))
    assert stock.placed == {}
    assert stock.uncut == {piece.mark for piece in pieces.rails}
    (spec, _) = work[0]
    railing = solve_flight(stair_from_readings(spec.readings), spec, job.kit, job.file)
    bought = purchases([take_off(railing, pieces, stock.cut)], stock, (), 0.0)
    missing = [line for line in bought if line.group == "rail"]
    assert len(missing) == 2
    assert all("no stock bar is long enough" in line.item for line in missing)
    assert all(line.length_mm is None for line in missing)
    assert not [line for line in bought if line.group == "bar"]
    notices = stock.notices(pieces.rails)
    assert len(notices) == 2
    assert all(notice.weight.value == "stop" for notice in notices)
    assert 'A1-TR, 55 7/8" long' in notices[0].text(job.tape)


SAW_LONG = '[saw]\nend_trim = "4"\n\n[building]'


def test_the_saw_a_job_states(laid) -> None:
    job, _ = laid(job_changes=(("[building]", '[saw]\nkerf = "3/32"\n\n[building]'),))
    assert job.saw.kerf_mm == pytest.approx(3 / 32 * 25.4)
    assert job.saw.assumed == ("end trim", "shortest drop kept")
    with pytest.raises(BadInput) as caught:
        laid(job_changes=(("[building]", '[saw]\nkerf = "3"\n\n[building]'),))
    assert caught.value.place == "saw > kerf"


def test_faces_that_differ_fix_which_way_a_piece_lies(laid) -> None:
    differ = (
        'name = "top rail, punched below"',
        'name = "top rail, punched below"\nfaces_alike = false',
    )
    for side, attitude in (("left", Attitude.AS_DRAWN), ("right", Attitude.TURNED)):
        job, work = laid(differ, job_changes=(('side = "left"', f'side = "{side}"'),))
        spec, pieces = work[0]
        piece = cutting_piece(spec, pieces.rails[0], job.kit, punched_down=True)
        assert piece.may == (attitude,)
        # The bottom rail's faces are alike: it may lie either way, uphill end left for choice.
        other = cutting_piece(spec, pieces.rails[1], job.kit, punched_down=False)
        assert other.may == (Attitude.TURNED, Attitude.AS_DRAWN)
        # On bars that lie punched face down a bottom rail is rolled over.
        rolled = cutting_piece(spec, pieces.rails[1], job.kit, punched_down=True)
        assert rolled.may == (Attitude.TURNED_OVER, Attitude.OVER)


def test_two_sections_of_one_name_are_refused(laid) -> None:
    job, work = laid(('"bottom rail, punched above"', '"top rail, punched below"'))
    with pytest.raises(BadInput) as caught:
        plan_job(job, rails(work))
    assert caught.value.place == "bottom_rail > name"


def test_packs_and_flights_are_counted_together(laid) -> None:
    job, work = laid()
    stock = plan_job(job, rails(work))
    parts = [
        (
            TakeOffLine("screw", "long screw, mount to post", 10, 11),
            TakeOffLine("screw", "long screw, bracket to rail", 8, 9),
            TakeOffLine("post", "post", 1, 1),
        ),
        (
            TakeOffLine("screw", "long screw, mount to post", 10, 11),
            TakeOffLine("post", "post", 1, 1),
        ),
    ]
    lines = {line.item: line for line in purchases(parts, stock, (("long screw", 15),), 0.05)}
    screws = lines["long screw"]
    # 28 and one in twenty over: 30 in the whole job, though flight by flight it comes to 31.
    assert (screws.needed, screws.buy, screws.pack, screws.packs) == (28, 30, 15, 2)
    assert (lines["post"].buy, lines["post"].packs) == (2, None)
    bars = [line for line in lines.values() if line.group == "bar"]
    assert [(line.buy, line.length_mm) for line in bars] == [(1, 8 * 304.8)] * 2


def test_take_off_leaves_planned_rails_to_the_plan(laid) -> None:
    job, work = laid()
    spec, pieces = work[0]
    railing = solve_flight(stair_from_readings(spec.readings), spec, job.kit, job.file)
    marks = dict.fromkeys((piece.mark for piece in pieces.rails), 1)
    assert [line.group for line in take_off(railing, pieces)].count("rail") == 2
    assert "rail" not in {line.group for line in take_off(railing, pieces, marks)}


@pytest.mark.parametrize("which", [0, 1])
def test_a_job_says_so_where_the_clock_stopped_either_plan(
    laid, monkeypatch: pytest.MonkeyPatch, which: int
) -> None:
    """One plan has the pieces any way about, the other all alike: the better of both is taken."""
    job, work = laid()
    made = []

    def plan_one(cutting: CuttingList, effort: float) -> StockPlan:
        made.append(plan_stock(cutting, effort))
        stopped = len(made) - 1 == which
        sections = tuple(replace(s, by_clock=stopped) for s in made[-1].sections)
        return StockPlan(sections)

    monkeypatch.setattr("railsheet.cuts.job_stock.plan_stock", plan_one)
    assert all(section.plan.by_clock for section in plan_job(job, rails(work)).sections)
    assert len(made) == 2


def test_how_good_a_plan_is_known_to_be(laid) -> None:
    job, work = laid(flights=2)
    stock = plan_job(job, rails(work))
    (section, _) = stock.sections
    plan = section.plan
    loose = replace(plan, bound=plan.cost - Fraction(1), bar_cost=Fraction(10))
    dear = replace(loose, bar_cost=None, priced=True)
    mixed = replace(loose, bar_cost=None, bound=plan.cost - Fraction(254, 10))
    short = replace(plan, uncut=(Uncut("A1-TR", "too long"),))
    for changed, says in (
        (plan, "proven least"),
        (
            replace(plan, by_clock=True),
            "proven least; stopped by the clock: another run may plan otherwise",
        ),
        (loose, "within 1 bar of the bound"),
        (dear, "within 1.00 in price of the bound"),
        (mixed, 'within 1" of bought length of the bound'),
        (short, "on no bar: 1"),
    ):
        cuts = replace(section, plan=changed)
        book = FigureBook(job.tape)
        enter_stock(book, replace(stock, sections=(cuts,)), job.saw)
        assert proof_text(book, 1, cuts) == says


def test_a_drop_on_the_rack_is_cut_before_a_bar_is_bought(laid) -> None:
    job, work = laid()
    section = plan_job(job, rails(work)).sections[0]
    source = section.plan.bars[0].source
    drop = Drop("D1", source.profile, source.finish, source.length_mm, source.first_hole_mm)
    again = plan_job(job, rails(work), Rack("rack", (drop,))).sections[0]
    assert "D1" in [b.source.mark for b in again.plan.bars if not b.bought]
    assert again.plan.bars_bought == section.plan.bars_bought - 1
    other = replace(drop, finish="another")
    without = plan_job(job, rails(work), Rack("rack", (other,))).sections[0]
    assert without.plan.bars_bought == section.plan.bars_bought

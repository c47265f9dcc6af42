"""A kind of infill that only this test knows: it reaches every list and sheet through the door."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import ClassVar

import cadquery as cq
import pytest
from pdf_lines import read_lines
from shapely import Polygon

from railsheet.cli.draw import draw_job, raised_job
from railsheet.cli.prove import prove_job
from railsheet.cli.solve import solve_job
from railsheet.job import kit_infill
from railsheet.job.kit import Kit
from railsheet.job.kit_infill import InfillKit
from railsheet.job.load import load_job
from railsheet.layout.infill import door
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind, Supply
from railsheet.layout.infill.parts import Bore, Corner, Fact, Infill, InfillPiece, Member, Part
from railsheet.layout.infill.row_rule import WholeBay
from railsheet.layout.infill.seating import depths_mm
from railsheet.layout.notice import look
from railsheet.layout.section import Section, section_from_over_all
from railsheet.solids.given import given_words
from railsheet.solids.step import run_assembly

DATA = Path(door.__file__).parents[2] / "data" / "kits"


@dataclass(frozen=True)
class SlatKit:
    """One broad slat along the rails, on rods through the posts."""

    word: ClassVar[str] = "slat"
    # What the kit beside it weighs, whose other tables it keeps.
    weighed: ClassVar[tuple[str, ...]] = ("cable", "brace")
    name: ClassVar[str] = "broad slat"
    from_punched_bar: ClassVar[bool] = False
    baluster: ClassVar[None] = None

    deep_mm: float
    over_all_mm: float

    def clash(self, seat_top_mm: float, seat_bottom_mm: float) -> None:
        """Nothing contradicts the rails."""


def _read(_: object, __: object, table: kit_infill.Table) -> SlatKit:
    return SlatKit(table.length("deep", 10, 900), table.length("over_all", 300, 1500))


def _slat(kit: Kit) -> SlatKit:
    assert isinstance(kit.infill, SlatKit)
    return kit.infill


def _section(kit: Kit, rake_rad: float) -> Section:
    return section_from_over_all(rake_rad, _slat(kit).over_all_mm, depths_mm(kit))


# Clear of the brackets on the posts, mm.
_OFF = 90.0


def _strip(frame: BayFrame, into_top_mm: float = 0.0) -> tuple[Corner, ...]:
    low, high = frame.faces_mm
    return frame.plumb_strip(low + _OFF, high - _OFF, 0.0, into_top_mm)


def _one_slat(frame: BayFrame) -> tuple[Member, ...]:
    return (Member(1, _strip(frame), _strip(frame), 20.0, aside_mm=5.0),)


def _fill(members: Callable[[BayFrame], tuple[Member, ...]], frame: BayFrame, _: int) -> Filled:
    long = frame.clear_mm - 2 * _OFF
    piece = InfillPiece(
        "SL", "slat", "broad slat", 1, long, long, 0.0, _slat(frame.kit).deep_mm, (3600.0,),
        spared=False, how="square both ends",
    )  # fmt: skip
    infill = Infill(
        word="slat", noun="slat", count=1, members=members(frame), row=None,
        pieces=(piece,), parts=(Part("rod", "slat rod", 2),),
        facts=(Fact("slat.deep", "Slat's depth:", _slat(frame.kit).deep_mm),),
        bores=(Bore(1, "rod", 300.0, 12.0),),
    )  # fmt: skip
    return Filled(infill, frame.top, frame.bottom)


SLAT = Kind(
    section=_section,
    rule=lambda kit, _: WholeBay(kit.greatest_span_mm),
    fill=partial(_fill, _one_slat),
    notices=lambda _, __, ___: [look("slat", "a slat wants its grain along the rail")],
    supply=lambda _: Supply(),
    facts=lambda kit: (Fact("slat.deep", "slat's depth as supplied", _slat(kit).deep_mm),),
)


_SHIPPED = door._kind


def register(monkeypatch: pytest.MonkeyPatch, kind: Kind) -> None:
    """A case of its own in the door."""

    def found(infill: InfillKit | SlatKit) -> Kind:
        return kind if isinstance(infill, SlatKit) else _SHIPPED(infill)

    monkeypatch.setattr(door, "_kind", found)


@pytest.fixture
def slat_job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    register(monkeypatch, SLAT)
    monkeypatch.setitem(kit_infill._READERS, "slat", _read)  # type: ignore[arg-type]
    cable = (DATA / "wheatear.toml").read_text(encoding="utf-8")
    before, _, rest = cable.partition("[infill]")
    after = rest[rest.index("[top_bracket]") :]
    slat = '[infill]\nkind = "slat"\ndeep = "20"\nover_all = "35 5/8"\n\n'
    (tmp_path / "slat.toml").write_text(before + slat + after, encoding="utf-8")
    sample = Path(__file__).parents[2] / "samples" / "cable-rail.toml"
    job = tmp_path / "job.toml"
    text = sample.read_text(encoding="utf-8").replace('kit = "wheatear"', 'kit = "slat.toml"')
    job.write_text(text, encoding="utf-8")
    return job


def test_a_kind_registered_here_is_on_every_list_and_sheet(slat_job: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    draw_job(slat_job, out)
    with (out / "cuts.csv").open(encoding="utf-8-sig", newline="") as stream:
        cuts = {row["Mark"]: row for row in csv.DictReader(stream)}
    assert cuts["F1-SL"]["Piece"] == "broad slat"
    assert "slat rod" in (out / "parts.csv").read_text(encoding="utf-8-sig")
    figures = json.loads((out / "figures.json").read_text(encoding="utf-8"))["figures"]
    assert figures["kit.slat.deep"]["value"] == pytest.approx(20)
    assert figures["F.bay.1.slat.deep"]["shown"] == '20"'
    above = figures["F.post.bottom.bore.1.height"]["value"]
    assert above - figures["F.post.bottom.underside"]["value"] == pytest.approx(300 / 25.4)
    lines, _ = read_lines(out / "sheets.pdf")
    words = " ".join(line.text for line in lines)
    for told in ("A slat wants its grain", "Bore 1 hole", "rod 1", "F1-SL", "Slat's depth: 20"):
        assert told in words, told


def filled_with(
    monkeypatch: pytest.MonkeyPatch, members: Callable[[BayFrame], tuple[Member, ...]]
) -> None:
    kind = replace(SLAT, fill=partial(_fill, members))
    register(monkeypatch, kind)


def proven(job: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """How ``prove`` ends, and what it prints."""
    capsys.readouterr()
    return prove_job(job, None, every=False), capsys.readouterr().out


def clashes(words: str) -> list[str]:
    return [line for line in words.splitlines() if "in one place (" in line]


def test_its_members_and_its_bores_stand_in_the_step(
    slat_job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    draw_job(slat_job, out, solids=True)
    assert "'F1-M1'" in (out / "F.step").read_text(encoding="ascii")
    assert "each slat is raised where the layout places it" in capsys.readouterr().out
    (bay,) = solve_job(load_job(slat_job)).runs[0].railing.bays
    outline = Polygon(bay.infill.members[0].body)
    solid = cq.importers.importStep(str(out / "F1-M1.step")).val()
    assert solid.Volume() == pytest.approx(outline.area * 20.0, rel=1e-9)
    whole = cq.importers.importStep(str(out / "F.step"))
    held = [s for s in whole.solids().vals() if abs(s.Volume() / solid.Volume() - 1) < 1e-9]
    box = held[0].BoundingBox(tolerance=1e-6)
    low_s, low_z, high_s, high_z = outline.bounds
    found = (box.xmin, box.zmin, box.xmax, box.zmax, box.ymin, box.ymax)
    assert found == pytest.approx((low_s, low_z, high_s, high_z, -5.0, 15.0), abs=1e-4)
    # Each post is bored 12 mm across.
    for mark in ("F-P1", "F-P2"):
        post = cq.importers.importStep(str(out / f"{mark}.step"))
        round_ = post.faces("%CYLINDER").vals()
        assert any(f._geomAdaptor().Cylinder().Radius() == pytest.approx(6.0) for f in round_)


def test_prove_tries_its_members_and_says_what_is_not_proven(
    slat_job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ended, words = proven(slat_job, capsys)
    assert ended == 0, words
    assert "Run F: each slat is raised where the layout places it" in words
    assert "Run F: no solids of what is bought: slat rod." in words
    assert "its holes in posts, and what carries it, are not proven." in words
    assert "F.post.top.bore.1.height" not in words


def test_two_of_its_members_in_one_place_are_found(
    slat_job: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shared: list[float] = []

    def crossed(apart_mm: float, frame: BayFrame) -> tuple[Member, ...]:
        low, high = frame.faces_mm
        middle = (low + high) / 2
        one = frame.plumb_strip(low + _OFF, middle + 30)
        other = frame.plumb_strip(middle, high - _OFF)
        shared.append(Polygon(one).intersection(Polygon(other)).area)
        return Member(1, one, one, 20.0), Member(2, other, other, 20.0, aside_mm=apart_mm)

    filled_with(monkeypatch, partial(crossed, 15.0))
    ended, words = proven(slat_job, capsys)
    assert ended == 1
    (told,) = clashes(words)
    assert "FAILS: F: F1-M1 and F1-M2 stand in one place" in told
    # Both 20 mm thick, their middles 15 mm apart: 5 mm of each stands in the other.
    assert float(told.rsplit("(", 1)[1].rstrip(")")) == pytest.approx(shared[0] * 5.0, rel=1e-3)
    filled_with(monkeypatch, partial(crossed, 20.0))
    assert proven(slat_job, capsys)[0] == 0


def test_a_member_deeper_than_its_seat_meets_the_rail(
    slat_job: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    kit = slat_job.parent / "slat.toml"
    seat = 12.0
    text = kit.read_text(encoding="utf-8")
    assert text.count('seat = "0"') == 2
    kit.write_text(text.replace('seat = "0"', 'seat = "12 mm"', 1), encoding="utf-8")

    def deep(into_mm: float, frame: BayFrame) -> tuple[Member, ...]:
        return (Member(1, _strip(frame), _strip(frame, into_mm), 20.0),)

    filled_with(monkeypatch, partial(deep, seat))
    ended, words = proven(slat_job, capsys)
    assert ended == 0, words
    filled_with(monkeypatch, partial(deep, seat + 1.0))
    ended, words = proven(slat_job, capsys)
    assert ended == 1
    assert "F1-TR and F1-M1 stand in one place" in "".join(clashes(words))


def test_a_kind_that_gives_no_bodies_is_named_never_passed_over(
    slat_job: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = "Run F, bay 1: the infill (slat) is NOT in the solids: its kind gives no body of it."
    none: list[Callable[[BayFrame], tuple[Member, ...]]] = [
        lambda frame: (Member(1, _strip(frame), (), 20.0),),
        lambda frame: (Member(1, _strip(frame), _strip(frame), 0.0),),
        # Its corners in an order that crosses itself: no body.
        lambda frame: (Member(1, _strip(frame), crossing(_strip(frame)), 20.0),),
    ]
    for members in none:
        filled_with(monkeypatch, members)
        runs = raised_job(solve_job(load_job(slat_job)), "test").runs
        assert given_words({mark: run.out for mark, run in runs.items()})[0] == told
    assert told in proven(slat_job, capsys)[1]
    out = tmp_path / "out"
    draw_job(slat_job, out, solids=True)
    assert told in capsys.readouterr().out
    step = (out / "F.step").read_text(encoding="ascii")
    assert "'run F, infill missing in bay 1'" in step
    assert "F1-M1" not in step

    def half(frame: BayFrame) -> tuple[Member, ...]:
        return (*_one_slat(frame), Member(2, _strip(frame), (), 20.0))

    filled_with(monkeypatch, half)
    raised = raised_job(solve_job(load_job(slat_job)), "test")
    assert run_assembly(raised, "F").name == "run F, infill missing in bay 1"
    some = "Run F, bay 1: 1 of 2 members of the infill (slat) are NOT in the solids"
    assert some in proven(slat_job, capsys)[1]


def crossing(outline: tuple[Corner, ...]) -> tuple[Corner, ...]:
    one, two, three, four = outline
    return one, three, two, four

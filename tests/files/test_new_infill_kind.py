"""A kind of infill that only this test knows: it reaches every list and sheet through the door."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job
from railsheet.job import kit_infill
from railsheet.job.kit import Kit
from railsheet.layout.infill import door
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind, Supply
from railsheet.layout.infill.parts import Bore, Fact, Infill, InfillPiece, Member, Part
from railsheet.layout.infill.row_rule import WholeBay
from railsheet.layout.infill.seating import depths_mm
from railsheet.layout.notice import look
from railsheet.layout.section import Section, section_from_over_all

DATA = Path(door.__file__).parents[2] / "data" / "kits"


@dataclass(frozen=True)
class SlatKit:
    """One broad slat along the rails, on rods through the posts."""

    word: ClassVar[str] = "slat"
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


def _fill(frame: BayFrame, _: int) -> Filled:
    strip = frame.plumb_strip(frame.faces_mm[0] + 40, frame.faces_mm[1] - 40)
    long = frame.clear_mm - 80
    piece = InfillPiece(
        "SL", "slat", "broad slat", 1, long, long, 0.0, _slat(frame.kit).deep_mm, (3600.0,),
        spared=False, how="square both ends",
    )  # fmt: skip
    infill = Infill(
        word="slat", noun="slat", count=1, members=(Member(1, strip, strip, 20.0),), row=None,
        pieces=(piece,), parts=(Part("rod", "slat rod", 2),),
        facts=(Fact("slat.deep", "Slat's depth:", _slat(frame.kit).deep_mm),),
        bores=(Bore(1, "rod", 300.0, 12.0),),
    )  # fmt: skip
    return Filled(infill, frame.top, frame.bottom)


SLAT = Kind(
    section=_section,
    rule=lambda kit, _: WholeBay(kit.greatest_span_mm),
    fill=_fill,
    notices=lambda _, __, ___: [look("slat", "a slat wants its grain along the rail")],
    supply=lambda _: Supply(),
    facts=lambda kit: (Fact("slat.deep", "slat's depth as supplied", _slat(kit).deep_mm),),
)


@pytest.fixture
def slat_job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setitem(door._KINDS, SlatKit, SLAT)  # type: ignore[arg-type]
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

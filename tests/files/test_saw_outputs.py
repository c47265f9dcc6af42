"""The saw sheet, the buying list, labels and the rack of drops, read back from their files."""

from __future__ import annotations

import csv
import json
import math
import subprocess
import sys
from pathlib import Path

import ezdxf
import pdfplumber
import pytest
import zxingcpp

from railsheet.cli.draw import Stocked, draw_job
from railsheet.cuts.alike_bars import CutBar
from railsheet.cuts.drops import read_drops
from railsheet.cuts.job_stock import JobStock, SectionCuts
from railsheet.cuts.rules_of_thumb import by_rules
from railsheet.cuts.saw_order import saw_order
from railsheet.cuts.stock_model import CuttingList, Piece, Saw, Section, StockLength
from railsheet.cuts.stock_plan import plan_stock
from railsheet.errors import BadInput
from railsheet.export.label_pdf import write_labels
from railsheet.export.sheet_pdf import write_sheets
from railsheet.figures.book import FigureBook
from railsheet.figures.stock import enter_stock
from railsheet.job.load import load_job
from railsheet.sheets.dimensions import measured
from railsheet.sheets.drawing import figure_key, new_document
from railsheet.sheets.labels import GRIDS, Label, grid_named
from railsheet.sheets.paper import sheet_layouts
from railsheet.sheets.saw_sheet import draw_saw, saw_page_count
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.sheet_set import SheetPage
from railsheet.sheets.stock_tables import order_of_cuts, saving_table

SAMPLES = Path(__file__).parent.parent.parent / "samples"
MM = 25.4 / 72.0
RACK = """
units = "mm"
[[drop]]
mark = "D7"
profile = "top rail, punched below"
finish = "as supplied"
length = "1800"
first_hole = "20"
[[drop]]
mark = "D9"
profile = "top rail, punched below"
finish = "black"
length = "3000"
first_hole = "20"
"""


@pytest.fixture(scope="module")
def cut(tmp_path_factory) -> tuple[Path, Path, bytes]:
    """Plumb-cut rails drawn with a rack that is kept: the folder, the rack, the rack before."""
    folder = tmp_path_factory.mktemp("cut")
    rack = folder / "rack.toml"
    rack.write_text(RACK, encoding="utf-8")
    before = rack.read_bytes()
    stocked = Stocked(drops=rack, keep_drops=True, labels="a4-3x7")
    draw_job(SAMPLES / "garden-steps.toml", folder / "out", which="saw", stocked=stocked)
    return folder / "out", rack, before


def figures_of(folder: Path) -> dict:
    return json.loads((folder / "figures.json").read_text(encoding="utf-8"))["figures"]


def test_every_distance_on_the_saw_sheet_measures_its_figure(cut) -> None:
    out, _, _ = cut
    figures = figures_of(out)
    doc = ezdxf.readfile(out / "saw-sheet.dxf")
    assert not doc.audit().has_errors
    dimensions = doc.modelspace().query("DIMENSION")
    keys = {figure_key(dimension) for dimension in dimensions}
    assert {"stock.bar.1.cut.1.at", "stock.bar.1.cut.2.at", "stock.bar.1.piece.1.length"} <= keys
    for dimension in dimensions:
        figure = figures[figure_key(dimension)]
        assert measured(dimension) == pytest.approx(figure["value"], abs=1e-6)
        shown = dimension.get_geometry_block().query("MTEXT").first.plain_text()
        assert shown.startswith(figure["shown"] + " ")


def test_a_cut_piece_is_drawn_as_the_rail_is(cut) -> None:
    """The drawn outline has the rail's length, depth and lean, and starts and ends at its cuts."""
    out, _, _ = cut
    figures = figures_of(out)
    doc = ezdxf.readfile(out / "saw-sheet.dxf")
    rails = [
        [(x, y) for x, y, *_ in line.get_points()]
        for line in doc.modelspace().query("LWPOLYLINE")
        if line.dxf.layer == "RAIL"
    ]
    assert len(rails) == 2
    for rail, place, bar in zip(rails, ("top", "bottom"), (1, 2), strict=True):
        key = f"B.bay.1.rail.{place}"
        xs, ys = [x for x, _ in rail], [y for _, y in rail]
        assert max(xs) - min(xs) == pytest.approx(figures[f"{key}.length"]["value"], abs=1e-4)
        depth = max(ys) - min(ys)
        assert depth == pytest.approx(figures[f"kit.{place}_rail.depth"]["value"], abs=1e-6)
        rake = math.radians(figures["B.rake"]["value"])
        (low_left, high_left), (high_right, low_right) = rail[:2], rail[2:]
        # With its uphill end left, a plumb cut's top lies further left, by depth x tan(rake).
        lean = depth * math.tan(rake)
        assert low_left[0] - high_left[0] == pytest.approx(lean, abs=1e-6)
        assert low_right[0] - high_right[0] == pytest.approx(lean, abs=1e-6)
        cuts = [figures[f"stock.bar.{bar}.cut.{n}.at"]["value"] for n in (1, 2)]
        assert [min(xs), max(xs)] == pytest.approx(cuts, abs=1e-6)


def test_the_uphill_balusters_hole_is_a_hole_of_the_bar(cut) -> None:
    out, _, _ = cut
    figures = figures_of(out)
    pitch = figures["kit.holes.pitch"]["value"]
    for place, first in (("top", 20.0), ("bottom", 60.0)):
        key = f"B.bay.1.rail.{place}"
        hole = figures[f"{key}.bar.from_left"]["value"] + figures[f"{key}.hole.1"]["value"]
        number = figures[f"{key}.bar.hole"]["value"]
        assert hole == pytest.approx(first + (number - 1) * pitch, abs=1e-4)


def test_drops_are_cut_first_and_not_bought(cut) -> None:
    out, _, _ = cut
    with (out / "parts.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.DictReader(stream))
    (drop,) = [row for row in rows if row["Kind"] == "drop on hand"]
    assert drop["Part"].endswith("drop D7")
    assert (drop["Length (mm)"], drop["Needed"], drop["To buy"]) == ("1800", "1", "0")
    bars = [row for row in rows if row["Kind"] == "bar"]
    assert [row["Part"] for row in bars] == ["bottom rail, punched above, as supplied"]
    assert figures_of(out)["stock.1.bars"]["value"] == 0
    # Other parts keep the take-off's counts.
    balusters = next(row for row in rows if row["Kind"] == "baluster")
    assert int(balusters["To buy"]) > int(balusters["Needed"]) == 14


def test_the_rack_is_rewritten_and_its_old_list_kept(cut) -> None:
    _, rack, before = cut
    after = {drop.mark: drop for drop in read_drops(rack)}
    # D7 is cut and what is left of it is scrap; D9 is of another finish; D1 comes off a new bar.
    assert set(after) == {"D9", "D1"}
    assert after["D1"].profile == "bottom rail, punched above"
    assert rack.with_name("rack.toml.bak").read_bytes() == before


def test_the_rack_is_left_alone_unless_asked(tmp_path, capsys) -> None:
    rack = tmp_path / "rack.toml"
    rack.write_text(RACK, encoding="utf-8")
    job = SAMPLES / "garden-steps.toml"
    draw_job(job, tmp_path / "out", which="saw", stocked=Stocked(drops=rack))
    assert rack.read_text(encoding="utf-8") == RACK
    said = capsys.readouterr().out
    assert "left as it is" in said
    assert "no profile and finish that this job cuts: D9" in said
    assert "Drops cut first: D7" in said
    # Sheets that cannot be written take the rack's new list back with them.
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    kept = Stocked(drops=rack, keep_drops=True)
    with pytest.raises(BadInput):
        draw_job(job, tmp_path / "taken", which="saw", stocked=kept)
    assert rack.read_text(encoding="utf-8") == RACK


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('first_hole = "20"\n[[drop]]', "[[drop]]", "drop D7 > first_hole"),
        ('length = "1800"', 'length = "-1"', "drop 1 > length"),
    ],
)
def test_a_rack_that_cannot_be_used_is_named(tmp_path, old, new, place) -> None:
    rack = tmp_path / "rack.toml"
    assert old in RACK
    rack.write_text(RACK.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        draw_job(
            SAMPLES / "garden-steps.toml",
            tmp_path / "out",
            which="saw",
            stocked=Stocked(drops=rack),
        )
    assert (caught.value.file, caught.value.place) == (str(rack), place)
    assert not (tmp_path / "out").exists()


def test_labels_read_back_by_eye_and_by_machine(cut) -> None:
    # Source: ZXing-C++, a general-purpose barcode reader.
    out, _, _ = cut
    figures = figures_of(out)
    grid = grid_named("a4-3x7")
    with pdfplumber.open(out / "labels.pdf") as pdf:
        (page,) = pdf.pages
        assert (page.width * MM, page.height * MM) == pytest.approx((210, 297), abs=0.01)
        words = page.extract_words(keep_blank_chars=True)
        image = page.to_image(resolution=300).original
    read = zxingcpp.read_barcodes(image)
    expected = {
        "B1-TR": "B.bay.1.rail.top.length",
        "B1-BR": "B.bay.1.rail.bottom.length",
        "B-P1": "B.post.bottom.height",
        "B-P2": "B.post.top.height",
    }
    assert {code.text for code in read} == {
        f"{mark} {figures[key]['shown']} mm" for mark, key in expected.items()
    }
    for number, mark in enumerate(expected):
        left, bottom = grid.corner(number)
        (word,) = [word for word in words if word["text"] == mark]
        assert left < word["x0"] * MM < left + grid.label[0]
        assert bottom < 297 - word["bottom"] * MM < bottom + grid.label[1]


@pytest.mark.parametrize("grid", GRIDS, ids=lambda grid: grid.name)
def test_labels_stay_on_the_paper_and_off_each_other(grid, tmp_path) -> None:
    corners = [grid.corner(n) for n in range(grid.to_a_sheet)]
    wide, high = grid.label
    for left, bottom in corners:
        assert left > 0
        assert left + wide < grid.paper[0]
        assert bottom > 0
        assert bottom + high < grid.paper[1]
    for one in range(len(corners)):
        for other in range(one):
            (x1, y1), (x2, y2) = corners[one], corners[other]
            assert abs(x1 - x2) >= wide - 1e-9 or abs(y1 - y2) >= high - 1e-9
    label = Label(
        "A12-TR", "flight A, bay 12, a rail of some long name", '101 15/16"',
        "uphill cut 35.5°, downhill 35.5°", True, 'A12-TR 101 15/16"',
    )  # fmt: skip
    path = tmp_path / "labels.pdf"
    write_labels([label] * (grid.to_a_sheet + 1), grid, path, "x")
    with pdfplumber.open(path) as pdf:
        assert len(pdf.pages) == 2
        (left, bottom), page = corners[0], pdf.pages[1]
        for char in page.chars:
            assert left < char["x0"] * MM
            assert char["x1"] * MM < left + wide * 0.7
            assert bottom < char["y0"] * MM
            assert char["y1"] * MM < bottom + high


def crowded(pieces: int, lean_rad: float) -> JobStock:
    """One bar with many short pieces whose cuts lean to either side in turn."""
    section = Section("tube", "raw", 40.0)
    cutting = CuttingList(
        (section,),
        tuple(Piece(f"P{n}-TR", "tube", "raw", 250.0, lean_rad, -lean_rad) for n in range(pieces)),
        (StockLength("tube", "raw", 6000.0),),
        (),
        Saw(3.0, 3.0, 300.0),
    )
    plan = plan_stock(cutting).sections[0]
    order = saw_order(plan, cutting.saw)
    bars = tuple(CutBar(n, bar, None) for n, bar in enumerate(order.bars, start=1))
    cuts = SectionCuts(plan, order, bars, by_rules(cutting, section), None, True)
    return JobStock(cutting.saw, (cuts,), (), ())


def test_a_crowded_bar_stays_on_its_sheet(tmp_path) -> None:
    job = load_job(SAMPLES / "garden-steps.toml")
    stock = crowded(20, 0.5)
    book = FigureBook(job.tape)
    enter_stock(book, stock, job.saw)
    doc = new_document("mm", 1.0)
    count = saw_page_count(stock, book, SheetFrame(job, 0), "mm")
    draw_saw(doc, stock, book, SheetFrame(job, count), 1)
    assert len(sheet_layouts(doc)) == count == 1
    pages = [SheetPage(layout, ()) for layout in sheet_layouts(doc)]
    (report,) = write_sheets(pages, tmp_path / "saw.pdf", "x")
    assert report.overhanging == ()
    with pdfplumber.open(tmp_path / "saw.pdf") as pdf:
        text = pdf.pages[0].extract_text()
    assert "see the table of cuts" in text
    # Every cut is in the table, with its angle and side.
    (table,) = order_of_cuts(stock, book)
    assert len(table.rows) == len(stock.sections[0].bars[0].cuts.cuts) == 40
    assert {row[2] for row in table.rows} == {"28.6° right", "28.6° left"}
    (saving,) = saving_table(stock, book)
    assert [row[2] for row in saving.rows] == ["1", "1", "1", "1"]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--keep-drops"], "--keep-drops: --drops: name the file"),
        (["--drops", "nowhere.toml"], "nowhere.toml: the file: there is no such file"),
        (["--labels", "a5-1x1"], "'a5-1x1' is not one of"),
        (["--stock-effort", "0"], "0.0 is not in the range"),
        (["--stock-effort", "nan"], "nan is not a number"),
    ],
)
def test_options_that_cannot_be_meant_are_told_plainly(tmp_path, options, says) -> None:
    job = SAMPLES / "garden-steps.toml"
    done = subprocess.run(
        [sys.executable, "-m", "railsheet", "draw", job, "--out", tmp_path / "out", *options],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()

"""The handrail samples drawn whole and read back by the checks of the other sheets."""

from __future__ import annotations

import csv
import itertools
import json
import math
import re
from collections import Counter
from pathlib import Path

import ezdxf
import pytest
import test_flight_sheets as sheets
from pdf_lines import read_lines
from pypdf import PdfReader

from railsheet.cli.draw import draw_job
from railsheet.sheets.dimensions import measured
from railsheet.sheets.drawing import figure_key

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module", params=["wall-handrail", "landing-handrail"])
def drawn(request, tmp_path_factory) -> tuple[str, Path, str]:
    """A sample drawn into a folder: its name, the folder and what was said."""
    out = tmp_path_factory.mktemp(request.param)
    draw_job(SAMPLES / f"{request.param}.toml", out)
    return request.param, out, ""


def figures_of(out: Path) -> dict:
    return json.loads((out / "figures.json").read_text(encoding="utf-8"))["figures"]


def test_every_dimension_measures_its_figure(drawn) -> None:
    figures = figures_of(drawn[1])
    doc = ezdxf.readfile(drawn[1] / "H.dxf")
    assert not doc.audit().has_errors
    dimensions = doc.modelspace().query("DIMENSION")
    assert len(dimensions) > 20
    seen = Counter()
    for dimension in dimensions:
        key = figure_key(dimension)
        assert key is not None
        figure = figures[key]
        assert measured(dimension) == pytest.approx(abs(figure["value"]), abs=1e-6), key
        shown = dimension.get_geometry_block().query("MTEXT").first.plain_text()
        assert shown == figure["shown"] or shown.startswith(figure["shown"] + " "), key
        seen[key.split(".")[1]] += 1
    # Every bracket's place and height, every piece's length and marks.
    brackets = {key.split(".")[2] for key in figures if key.startswith("H.bracket.")}
    for number in brackets:
        for name in ("along", "height"):
            assert any(figure_key(d) == f"H.bracket.{number}.{name}" for d in dimensions)
    assert set(seen) >= {"bracket", "piece", "over", "start"}


def test_pages_figures_schema_and_strip(drawn) -> None:
    pair = drawn[0], drawn[1]
    sheets.test_figures_follow_the_schema_that_ships_with_the_package(pair)
    sheets.test_no_text_lies_over_another_or_off_the_page(pair)
    sheets.test_no_long_decimals_and_no_words_of_approval(pair)
    sheets.test_every_sheet_has_its_strip(pair)


def test_every_inch_length_on_its_sheets_is_a_figure(drawn) -> None:
    name, out, _ = drawn
    if name != "wall-handrail":
        return
    shown = {figure["shown"] for figure in figures_of(out).values()}
    lines, _ = read_lines(out / "sheets.pdf")
    titled = {line.page for line in lines if line.text.startswith("Handrail H: ")}
    found = 0
    for before, line in itertools.pairwise(lines):
        if line.page not in titled:
            continue
        text = sheets.SCALE_NAME.sub("", line.text)
        whole = re.search(r"(?:^| )(\d+)$", before.text)
        if re.match(r"\d+/\d+\"", text) and whole:
            text = f"{whole[1]} {text}"
        for length in sheets.INCH_LENGTH.findall(text):
            assert f'{length}"' in shown, line
            found += 1
    assert found > 40


def test_no_figure_is_lost_over_an_edge(drawn, tmp_path, capsys) -> None:
    if drawn[0] != "landing-handrail":
        return
    draw_job(SAMPLES / "landing-handrail.toml", tmp_path)
    said = capsys.readouterr().out
    assert "no room" not in said
    assert "Handrail H: 7 pieces, 7 brackets" in said
    for name in ("H.dxf", "sheets.pdf", "figures.json", "cuts.csv"):
        assert (tmp_path / name).read_bytes() == (drawn[1] / name).read_bytes()


def test_the_drawn_rail_is_the_cut_list(drawn) -> None:
    """Pieces measured on the drawing, in place, against figures and cut list."""
    name, out, _ = drawn
    figures = figures_of(out)
    with (out / "cuts.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = {row["Mark"]: row for row in csv.DictReader(stream)}
    doc = ezdxf.readfile(out / "H.dxf")
    sides = []
    for outline in doc.modelspace().query("LWPOLYLINE[layer=='RAIL']"):
        points = [(x, y) for x, y, *_ in outline.get_points()]
        sides += [math.dist(a, b) for a, b in itertools.pairwise([*points, points[0]])]
    pieces = [key for key in figures if re.fullmatch(r"H\.piece\.\d+\.length", key)]
    assert len(pieces) == {"wall-handrail": 4, "landing-handrail": 7}[name]
    for key in pieces:
        value = figures[key]["value"]
        # Two long sides on the bench; on the wall two more, but for what is seen end on.
        returns = key in (pieces[0], pieces[-1])
        assert sum(abs(side - value) < 1e-6 for side in sides) >= (2 if returns else 4), key
        mark = f"H-{key.split('.')[2]}"
        length = next(v for head, v in rows[mark].items() if head.startswith("Length"))
        assert length == figures[key]["shown"]


def test_parts_are_counted_off_the_drawing(drawn) -> None:
    _, out, _ = drawn
    figures = figures_of(out)
    with (out / "parts.csv").open(encoding="utf-8-sig", newline="") as stream:
        parts = {row["Part"]: row for row in csv.DictReader(stream)}
    brackets = {key.split(".")[2] for key in figures if key.startswith("H.bracket.")}
    assert int(parts["handrail bracket"]["Needed"]) == len(brackets)
    turns = [key for key in figures if re.fullmatch(r"H\.corner\.\d+\.turn", key)]
    elbows = sum(int(row["Needed"]) for part, row in parts.items() if "elbow" in part)
    assert elbows == len(turns)
    square = sum(abs(figures[key]["value"] - 90) < 0.5 for key in turns)
    assert int(parts["90° elbow"]["Needed"]) == square
    # Screws: three to a bracket and three to each end plate, in packs of fifty.
    screws = parts["#10 x 2 1/2 in structural screw"]
    ends = 2
    assert int(screws["Needed"]) == 3 * len(brackets) + 3 * ends
    assert screws["Packs"] == "1 of 50"


def test_labels_and_solids_of_a_handrail(tmp_path) -> None:
    draw_job(SAMPLES / "wall-handrail.toml", tmp_path, solids=True)
    names = (tmp_path / "H.step").read_text(encoding="utf-8")
    assert "'H-2'" in names
    lines, _ = read_lines(tmp_path / "labels.pdf")
    assert sum(line.text.startswith("H-") for line in lines) >= 4


@pytest.mark.parametrize("which", ["saw", "fabricator", "inspection"])
def test_each_set_is_numbered_through(which: str, tmp_path) -> None:
    draw_job(SAMPLES / "wall-handrail.toml", tmp_path, which=which)
    lines, sizes = read_lines(tmp_path / "sheets.pdf")
    for number in range(1, len(sizes) + 1):
        assert any(
            line.page == number and line.text == f"{number} of {len(sizes)}" for line in lines
        )
    titles = {line.text for line in lines if line.text.startswith("Handrail H: ")}
    # An inspector is shown it in place, and not its pieces on the bench.
    assert {"Handrail H: elevation"} <= titles
    assert ("Handrail H: pieces" in titles) == (which != "inspection")


@pytest.mark.parametrize("which", ["all", "inspection"])
def test_the_inspectors_cover_lists_where_each_sheet_is(which: str, tmp_path) -> None:
    draw_job(SAMPLES / "wall-handrail.toml", tmp_path, which=which)
    texts = [page.extract_text() for page in PdfReader(tmp_path / "sheets.pdf").pages]
    cover = next(text for text in texts if "Inspector's stamp" in text)
    if which == "inspection":
        assert cover is texts[0]
    rows = re.findall(r"^(\d+)\n((?:Flight A|Findings|Load statement|Handrail H).*)$", cover, re.M)
    assert len(rows) == 5
    for number, title in rows:
        named = re.split(r"[:,]", title)[0]
        assert named in texts[int(number) - 1]
    shown = (n for n, text in enumerate(texts, 1) if "Handrail H: elevation\n" in text)
    first = next(shown)
    assert (str(first), "Handrail H: elevations and plan") in rows

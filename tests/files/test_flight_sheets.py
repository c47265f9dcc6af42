"""What draw writes, read back from the files themselves."""

from __future__ import annotations

import csv
import itertools
import json
import math
import re
from importlib.resources import files
from pathlib import Path

import ezdxf
import jsonschema
import pyogrio
import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job
from railsheet.sheets.dimensions import measured
from railsheet.sheets.drawing import figure_key

SAMPLES = Path(__file__).parent.parent.parent / "samples"
MARKS = {"porch-flight": "A", "garden-steps": "B", "crooked-garden-stair": "A"}
INCH_LENGTH = re.compile(r"(?<![\d/])(-?\d+ \d+/\d+|-?\d+/\d+|-?\d+)\"")
SCALE_NAME = re.compile(r"[\d /]+\" = 1'-0\"")


@pytest.fixture(scope="module", params=sorted(MARKS))
def drawn(request, tmp_path_factory) -> tuple[str, Path]:
    """A sample drawn into a folder: its name and the folder."""
    out = tmp_path_factory.mktemp(request.param)
    draw_job(SAMPLES / f"{request.param}.toml", out)
    return request.param, out


def record_of(folder: Path) -> dict:
    return json.loads((folder / "figures.json").read_text(encoding="utf-8"))


def test_the_files_are_all_there_and_nothing_else(drawn) -> None:
    name, out = drawn
    expected = {"sheets.pdf", f"{MARKS[name]}.dxf", "cuts.csv", "figures.json"}
    assert expected <= {path.name for path in out.iterdir()}
    assert not [path for path in out.iterdir() if path.name.startswith(".")]


def test_figures_follow_the_schema_that_ships_with_the_package(drawn) -> None:
    schema = json.loads((files("railsheet") / "data" / "figures.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(record_of(drawn[1]))


def test_every_dimension_measures_the_figure_it_shows(drawn) -> None:
    name, out = drawn
    figures = record_of(out)["figures"]
    doc = ezdxf.readfile(out / f"{MARKS[name]}.dxf")
    assert not doc.audit().has_errors
    dimensions = doc.modelspace().query("DIMENSION")
    assert len(dimensions) > 60
    for dimension in dimensions:
        key = figure_key(dimension)
        assert key is not None
        figure = figures[key]
        value = math.radians(figure["value"]) if figure["unit"] == "deg" else figure["value"]
        assert measured(dimension) == pytest.approx(abs(value), abs=1e-6), key
        shown = dimension.get_geometry_block().query("MTEXT").first.plain_text()
        assert shown == figure["shown"] or shown.startswith(figure["shown"] + " "), key
        assert dimension.dxf.text in ("", "<>") or dimension.dxf.text.startswith("<> "), key


def test_every_length_in_the_pdf_is_a_figure_of_the_book(drawn) -> None:
    name, out = drawn
    shown = {figure["shown"] for figure in record_of(out)["figures"].values()}
    lines, _ = read_lines(out / "sheets.pdf")
    assert len(lines) > 150
    found = 0
    if name != "garden-steps":
        for before, line in itertools.pairwise(lines):
            text = SCALE_NAME.sub("", line.text)
            # A fraction that begins a line may belong to a whole number that ended the last one.
            # A place's number (nose 4) in the cell beside does not.
            place = r"(?<!nose)(?<!step)(?<!riser)(?<!tread)"
            whole = re.search(rf"(?:^|{place} )(\d+)$", before.text)
            if re.match(r"\d+/\d+\"", text) and whole:
                text = f"{whole[1]} {text}"
            for length in INCH_LENGTH.findall(text):
                assert f'{length}"' in shown, line
                found += 1
    else:
        # A notice also cites clauses, places and limits, which are no figures of the book.
        notices = " ".join(notice["text"] for notice in record_of(out)["notices"]).lower()
        drawings = [
            line
            for line in lines
            if line.page <= 3
            and line.box[3] < 470
            and line.text.removeprefix("STOP: ").rstrip(".").lower() not in notices
        ]
        for line in drawings:
            text = re.sub(r"B\d?-\w+|Scale 1:\d+|(nose|tread|hole|Bay|Flight) \d+", "", line.text)
            for number in re.findall(r"(?<![\d.])-?\d+(?![\d.°])", text):
                counts = re.fullmatch(rf"{number}(, used)?|.*{number} balusters.*", text.strip())
                assert number in shown or counts, line
                found += 1
    assert found > 80


def test_no_text_lies_over_another_or_off_the_page(drawn) -> None:
    lines, sizes = read_lines(drawn[1] / "sheets.pdf")
    for line in lines:
        wide, high = sizes[line.page - 1]
        assert 0 < line.box[0] < line.box[2] < wide, line
        assert 0 < line.box[1] < line.box[3] < high, line
    for first, second in itertools.combinations(lines, 2):
        # Boxes hold the face's full height; what they may share is the blank over the capitals.
        assert first.page != second.page or not first.overlaps(second, 2.2), (first, second)


def test_no_figure_is_lost_over_a_views_edge(drawn, capsys, tmp_path) -> None:
    draw_job(SAMPLES / f"{drawn[0]}.toml", tmp_path / "again")
    assert "no room" not in capsys.readouterr().out


def test_no_long_decimals_and_no_words_of_approval(drawn) -> None:
    lines, _ = read_lines(drawn[1] / "sheets.pdf")
    for line in lines:
        assert not re.search(r"\d\.\d{3,}", line.text), line
        text = line.text.replace("Approved Document", "")  # a title
        assert not re.search(r"\b(complies|compliant|approved|legal)\b", text, re.I), line


def test_every_sheet_has_its_strip(drawn) -> None:
    lines, sizes = read_lines(drawn[1] / "sheets.pdf")
    for number in range(1, len(sizes) + 1):
        page = [line.text for line in lines if line.page == number]
        assert f"{number} of {len(sizes)}" in page
        assert any("licensed engineer" in text for text in page)
        assert any("each rounded once to" in text for text in page)


def test_cuts_csv_says_what_the_figures_say(drawn) -> None:
    name, out = drawn
    figures = record_of(out)["figures"]
    with (out / "cuts.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = {row["Mark"]: row for row in csv.DictReader(stream)}
    mark = MARKS[name]
    for piece, key in (
        (f"{mark}1-TR", f"{mark}.bay.1.rail.top.length"),
        (f"{mark}1-BR", f"{mark}.bay.1.rail.bottom.length"),
        (f"{mark}-P1", f"{mark}.post.bottom.height"),
        (f"{mark}-P2", f"{mark}.post.top.height"),
    ):
        length = next(value for head, value in rows[piece].items() if head.startswith("Length"))
        assert length == figures[key]["shown"]


def test_a_second_reader_finds_the_rails_at_full_size(drawn) -> None:
    # Source: GDAL's DXF driver through pyogrio, a general-purpose reference library.
    name, out = drawn
    figures = record_of(out)["figures"]
    mark = MARKS[name]
    meta, _, shapes, (layers, *_) = pyogrio.raw.read(
        out / f"{mark}.dxf", columns=["Layer"], datasource_options=None
    )
    import shapely

    rails = [
        shapely.from_wkb(shape)
        for shape, layer in zip(shapes, layers, strict=True)
        if layer == "RAIL"
    ]
    assert "Layer" in meta["fields"]
    # In place, a rail's longest side is its edge along the rake.
    edges = []
    for rail in rails:
        points = list(rail.coords)
        edges.append(max(math.dist(a, b) for a, b in itertools.pairwise(points)))
    for place in ("top", "bottom"):
        edge = figures[f"{mark}.bay.1.rail.{place}.edge_length"]["value"]
        assert any(abs(edge - found) < 1e-6 for found in edges), (edge, edges)


def test_the_dxf_is_in_the_jobs_units_with_paper_layouts(drawn) -> None:
    name, out = drawn
    doc = ezdxf.readfile(out / f"{MARKS[name]}.dxf")
    assert doc.units == (ezdxf.units.MM if name == "garden-steps" else ezdxf.units.IN)
    sheets = [layout for layout in doc.layouts if layout.name != "Model"]
    assert len(sheets) >= 3
    for layout in sheets:
        if layout.name.endswith("heights"):
            # A picture without a scale: it is drawn on the paper itself.
            assert len(layout.query("CIRCLE")) > 10
            continue
        assert [view for view in layout.query("VIEWPORT") if view.dxf.id > 1]


def test_drawing_twice_gives_the_same_bytes(tmp_path) -> None:
    for folder in ("one", "two"):
        draw_job(SAMPLES / "porch-flight.toml", tmp_path / folder)
    for name in (
        "sheets.pdf", "A.dxf", "saw-sheet.dxf", "cuts.csv", "parts.csv", "labels.pdf",
        "figures.json",
    ):  # fmt: skip
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()

"""What draw writes of a whole site, read back from the files themselves."""

from __future__ import annotations

import itertools
import json
import math
from pathlib import Path

import ezdxf
import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job
from railsheet.sheets.dimensions import measured
from railsheet.sheets.drawing import figure_key

SAMPLES = Path(__file__).parent.parent.parent / "samples"


@pytest.fixture(scope="module", params=["deck-two-flights"])
def drawn(request, tmp_path_factory) -> Path:
    out = tmp_path_factory.mktemp(request.param)
    draw_job(SAMPLES / f"{request.param}.toml", out)
    return out


def test_every_dimension_of_every_run_measures_the_figure_it_shows(drawn: Path) -> None:
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    count = 0
    for path in sorted(drawn.glob("*.dxf")):
        doc = ezdxf.readfile(path)
        assert not doc.audit().has_errors
        for dimension in doc.modelspace().query("DIMENSION"):
            key = figure_key(dimension)
            figure = figures[key]
            value = math.radians(figure["value"]) if figure["unit"] == "deg" else figure["value"]
            assert measured(dimension) == pytest.approx(abs(value), abs=1e-6), key
            shown = dimension.get_geometry_block().query("MTEXT").first.plain_text()
            assert shown == figure["shown"] or shown.startswith(figure["shown"] + " "), key
            count += 1
    assert count > 300


def test_no_text_lies_over_another_or_off_the_page(drawn: Path) -> None:
    lines, sizes = read_lines(drawn / "sheets.pdf")
    for line in lines:
        wide, high = sizes[line.page - 1]
        assert 0 < line.box[0] < line.box[2] < wide, line
        assert 0 < line.box[1] < line.box[3] < high, line
    for _, page in itertools.groupby(lines, key=lambda line: line.page):
        for first, second in itertools.combinations(page, 2):
            assert not first.overlaps(second, 2.2), (first, second)


def test_the_plan_points_to_each_runs_first_sheet(drawn: Path) -> None:
    lines, _ = read_lines(drawn / "sheets.pdf")
    runs = {p.stem for p in drawn.glob("?.dxf")}
    assert len(runs) >= 4
    for run in runs:
        pointed = next(t.text for t in lines if t.page == 1 and t.text.startswith(f"{run}: sheet"))
        sheet = int(pointed.split()[-1])
        titles = [t.text for t in lines if t.page == sheet]
        assert any(f"{run}: elevation" in text for text in titles), (run, sheet)

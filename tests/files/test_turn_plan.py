"""A turn between two posts as it is drawn: its circle, its diameter, on both plans."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import ezdxf
import pytest
from deck_job import BARE_DECK
from pdf_lines import read_lines
from turn_job import TURN

from railsheet.cli.check import check_job
from railsheet.cli.draw import draw_job
from railsheet.job.load import load_job
from railsheet.sheets.drawing import figure_key

IN = 25.4


def drawn(text: str, folder: Path, which: str) -> Path:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    draw_job(path, folder / "out", which=which)
    return folder / "out"


@pytest.mark.parametrize(("gap", "layer"), [(3.5, "DIM"), (4.25, "FINDING")])
@pytest.mark.parametrize("which", ["fabricator", "inspection"])
def test_the_sphere_stands_in_place_with_its_diameter(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], gap: float, layer: str, which: str
) -> None:
    text = TURN.replace("UNITS", "ft-in").replace("P2X", f"{gap + 2} in")
    out = drawn(text, tmp_path, which)
    assert "no room" not in capsys.readouterr().out
    record = json.loads((out / "figures.json").read_text(encoding="utf-8"))
    figure = record["figures"]["site.turn.1.clear"]
    assert figure["value"] == pytest.approx(gap)
    doc = ezdxf.readfile(out / "site.dxf")
    (circle,) = doc.modelspace().query("CIRCLE")
    assert circle.dxf.layer == layer
    assert 2 * circle.dxf.radius == pytest.approx(gap)
    posts = [e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "POST"]
    edges = sorted(x for post in posts if len(post) == 4 for x, *_ in post.get_points())
    # Between the two nearest faces, touching both.
    west = max(x for x in edges if x < circle.dxf.center.x)
    east = min(x for x in edges if x > circle.dxf.center.x)
    assert (west + gap / 2, east - gap / 2) == pytest.approx(2 * (circle.dxf.center.x,))
    (label,) = [
        note for note in doc.modelspace().query("MTEXT") if figure_key(note) == "site.turn.1.clear"
    ]
    assert label.plain_text() == figure["shown"]
    lines, sizes = read_lines(out / "sheets.pdf")
    plans = {line.page for line in lines if line.text == "Plan of the site"}
    assert any(line.text == figure["shown"] for line in lines if line.page in plans)
    for line in lines:
        wide, high = sizes[line.page - 1]
        assert 0 < line.box[0] < line.box[2] < wide, line
        assert 0 < line.box[1] < line.box[3] < high, line
    for first, second in itertools.combinations(lines, 2):
        assert first.page != second.page or not first.overlaps(second, 2.2), (first, second)


def test_the_index_of_the_inspection_set_has_the_plan(tmp_path: Path) -> None:
    text = TURN.replace("UNITS", "mm").replace("P2X", "152 mm")
    out = drawn(text, tmp_path, "inspection")
    lines, _ = read_lines(out / "sheets.pdf")
    cover = [line.text for line in lines if line.page == 1]
    number = int(cover[cover.index("Plan of the site") - 1])
    said = [line.text for line in lines if line.page == number]
    assert "Plan of the site" in said
    # The plan sends a reader to each run's checked elevation.
    for run in ("A", "B"):
        (word,) = [text for text in said if text.startswith(f"{run}: sheet ")]
        page = int(word.rpartition(" ")[2])
        title = f"Level run {run}: heights and openings"
        assert any(line.text == title for line in lines if line.page == page)


def test_check_prints_the_turn_as_a_row(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "job.toml"
    path.write_text(TURN.replace("UNITS", "mm").replace("P2X", "152.4 mm"), encoding="utf-8")
    assert check_job(load_job(path)) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "guard opening" in said
    assert "OUTSIDE (1)" in said
    within = TURN.replace("UNITS", "mm").replace("P2X", "150 mm")
    path.write_text(within, encoding="utf-8")
    assert check_job(load_job(path)) == 0
    assert "OUTSIDE" not in capsys.readouterr().out


def test_the_way_onto_a_flight_is_dimensioned_and_named(tmp_path: Path) -> None:
    out = drawn(BARE_DECK, tmp_path, "fabricator")
    figures = json.loads((out / "figures.json").read_text(encoding="utf-8"))["figures"]
    doc = ezdxf.readfile(out / "site.dxf")
    (way,) = [
        d for d in doc.modelspace().query("DIMENSION") if figure_key(d) == "site.turn.1.clear"
    ]
    assert way.get_measurement() == pytest.approx(figures["site.turn.1.clear"]["value"])
    assert way.dxf.text == "<> way onto A"
    (circle,) = doc.modelspace().query("CIRCLE")
    assert 2 * circle.dxf.radius == pytest.approx(figures["site.turn.2.clear"]["value"])

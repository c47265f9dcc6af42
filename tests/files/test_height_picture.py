"""The picture of heights and steps, as an image file and on its sheet."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import ezdxf
import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job
from railsheet.sheets.drawing import figure_key

SAMPLES = Path(__file__).parent.parent.parent / "samples"


@pytest.fixture(scope="module")
def crooked(tmp_path_factory) -> Path:
    """The crooked stair, checked against a code that allows the steps some variation."""
    folder = tmp_path_factory.mktemp("crooked")
    text = (SAMPLES / "crooked-garden-stair.toml").read_text(encoding="utf-8")
    job = folder / "job.toml"
    job.write_text(text.replace('kit = "dunlin"', 'kit = "dunlin"\ncode = "irc-2021"'), "utf-8")
    draw_job(job, folder / "out")
    return folder / "out"


def figures_of(folder: Path) -> dict:
    return json.loads((folder / "figures.json").read_text(encoding="utf-8"))["figures"]


def test_the_image_is_whole_and_shows_every_height(crooked) -> None:
    figures = figures_of(crooked)
    root = ET.parse(crooked / "A-heights.svg").getroot()
    texts = [e.text for e in root.iter("{http://www.w3.org/2000/svg}text")]
    for number in range(1, 7):
        assert figures[f"A.nose.{number}.rail_height"]["shown"] in texts
    assert '38" most' in texts
    assert '34" least' in texts
    assert '36" wanted' in texts


def test_the_codes_allowed_variation_is_the_profiles(crooked) -> None:
    # Source: IRC 2021 R311.7.5.1 and R311.7.5.2, 3/8 in, as the profile cites them.
    figures = figures_of(crooked)
    assert figures["A.risers.allowed"]["value"] == pytest.approx(3 / 8)
    assert figures["A.runs.allowed"]["value"] == pytest.approx(3 / 8)
    texts = {line.text for line in read_lines(crooked / "sheets.pdf")[0]}
    assert any("the code named allows 3/8" in text for text in texts)


def test_dots_and_bars_stand_where_their_figures_say(crooked) -> None:
    figures = figures_of(crooked)
    layout = ezdxf.readfile(crooked / "A.dxf").layouts.get("A heights")
    dots = list(layout.query("CIRCLE"))
    assert len(dots) == 6 + 6 + 5
    notes = {figure_key(note): note for note in layout.query("MTEXT") if figure_key(note)}
    heights = [figures[f"A.nose.{n}.rail_height"]["value"] for n in range(1, 7)]
    places = []
    for number in range(1, 7):
        x = notes[f"A.nose.{number}.rail_height"].dxf.insert.x
        (dot,) = (d for d in dots if abs(d.dxf.center.x - x) < 1e-6 and d.dxf.center.y > 130)
        places.append(dot.dxf.center.y)
    per_inch = (places[0] - places[2]) / (heights[0] - heights[2])
    assert per_inch > 0
    for place, height in zip(places, heights, strict=True):
        assert place - places[0] == pytest.approx(per_inch * (height - heights[0]), abs=1e-6)
    x = notes["A.nose.6.rail_height"].dxf.insert.x
    bars = [
        line
        for line in layout.query("LINE")
        if abs(line.dxf.start.x - x) < 1e-6 and abs(line.dxf.end.x - x) < 1e-6
    ]
    lengths = [abs(line.dxf.end.y - line.dxf.start.y) for line in bars]
    sigma = figures["A.nose.6.rail_height"]["sigma"]
    assert any(length == pytest.approx(4 * sigma * per_inch, rel=1e-6) for length in lengths)


def test_no_code_no_allowed_variation(tmp_path) -> None:
    draw_job(SAMPLES / "crooked-garden-stair.toml", tmp_path / "out")
    assert "A.risers.allowed" not in figures_of(tmp_path / "out")
    texts = [line.text for line in read_lines(tmp_path / "out" / "sheets.pdf")[0]]
    assert any("no allowed variation known" in text for text in texts)


@pytest.mark.parametrize("sample", ["garden-steps", "porch-flight"])
def test_what_the_first_sheet_cannot_hold_it_points_at(sample, tmp_path) -> None:
    draw_job(SAMPLES / f"{sample}.toml", tmp_path / "out")
    lines, _ = read_lines(tmp_path / "out" / "sheets.pdf")
    first = [line.text for line in lines if line.page == 1]
    assert "Set out by" in first or any(text.startswith("MORE on the schedule") for text in first)

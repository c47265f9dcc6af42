"""A sample of every other kind of rail, drawn whole and read back by the checks of the first."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
import test_flight_sheets as sheets
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job

KINDS = {
    "drilled-rail": "D",
    "cut-to-fit": "C",
    "racking-panel": "E",
    "cable-rail": "F",
    "solid-pane": "G",
    "wood-guard": "H",
}
METRIC = {"cut-to-fit", "solid-pane"}


@pytest.mark.parametrize("name", sorted(KINDS))
def test_a_kind_drawn_whole(name: str, tmp_path: Path, capsys, monkeypatch) -> None:
    monkeypatch.setitem(sheets.MARKS, name, KINDS[name])
    draw_job(sheets.SAMPLES / f"{name}.toml", tmp_path)
    said = capsys.readouterr().out
    assert "no room" not in said
    drawn = name, tmp_path
    sheets.test_figures_follow_the_schema_that_ships_with_the_package(drawn)
    dimensions_measure_their_figures(drawn)
    sheets.test_no_text_lies_over_another_or_off_the_page(drawn)
    sheets.test_no_long_decimals_and_no_words_of_approval(drawn)
    sheets.test_every_sheet_has_its_strip(drawn)
    sheets.test_cuts_csv_says_what_the_figures_say(drawn)
    sheets.test_a_second_reader_finds_the_rails_at_full_size(drawn)
    if name not in METRIC:
        lengths_are_figures(drawn)
    counts_are_of_the_drawing(drawn)
    every_sphere_is_told(drawn)
    every_finding_is_printed(drawn)


def every_sphere_is_told(drawn: tuple[str, Path]) -> None:
    """A circle has its diameter beside it, or a number that the sheet's list gives one for."""
    name, out = drawn
    figures = sheets.record_of(out)["figures"]
    msp = sheets.ezdxf.readfile(out / f"{KINDS[name]}.dxf").modelspace()
    circles = {
        key: c for c in msp.query("CIRCLE") if ".opening." in (key := sheets.figure_key(c) or "")
    }
    assert len(circles) >= 8
    for key, circle in circles.items():
        assert 2 * circle.dxf.radius == pytest.approx(figures[key]["value"], abs=1e-6)
    labelled = {key for note in msp.query("MTEXT") if (key := sheets.figure_key(note)) in circles}
    left = sorted(figures[key]["shown"] for key in circles.keys() - labelled)
    lines, _ = read_lines(out / "sheets.pdf")
    listed = []
    for line in lines:
        if match := re.fullmatch(r"(.+): no\. ([\d, to]+)", line.text):
            for part in match[2].split(", "):
                first, _, last = part.partition(" to ")
                listed += [match[1]] * (int(last or first) - int(first) + 1)
    assert sorted(listed) == left
    # Cables stand too near each other for figures; balusters do not.
    assert bool(left) == (name in ("cable-rail", "solid-pane"))


def every_finding_is_printed(drawn: tuple[str, Path]) -> None:
    name, out = drawn
    findings = sheets.record_of(out)["findings"]
    assert len(findings) > 25
    assert not [f for f in findings if f["status"] == "outside"]
    lines, _ = read_lines(out / "sheets.pdf")
    said = {line.text for line in lines}
    assert f"Flight {KINDS[name]}: heights and openings" in said
    assert "Inspection request" in said
    whole = " ".join(line.text for line in lines)
    for finding in findings:
        if finding["figure"] is not None:
            assert finding["figure_shown"] in whole, finding
            assert finding["margin_shown"] in whole, finding


def dimensions_measure_their_figures(drawn: tuple[str, Path]) -> None:
    name, out = drawn
    figures = sheets.record_of(out)["figures"]
    dimensions = sheets.ezdxf.readfile(out / f"{KINDS[name]}.dxf").modelspace().query("DIMENSION")
    assert len(dimensions) > 25
    for dimension in dimensions:
        key = sheets.figure_key(dimension)
        figure = figures[key]
        value = figure["value"]
        if figure["unit"] == "deg":
            value = sheets.math.radians(value)
        assert sheets.measured(dimension) == pytest.approx(abs(value), abs=1e-6), key


def lengths_are_figures(drawn: tuple[str, Path]) -> None:
    shown = {figure["shown"] for figure in sheets.record_of(drawn[1])["figures"].values()}
    lines, _ = read_lines(drawn[1] / "sheets.pdf")
    found = 0
    for before, line in sheets.itertools.pairwise(lines):
        text = sheets.SCALE_NAME.sub("", line.text)
        # A place's number (riser 6) in the cell beside is no whole number of a length.
        place = r"(?<!nose)(?<!step)(?<!riser)(?<!tread)"
        whole = re.search(rf"(?:^|{place} )(\d+)$", before.text)
        if re.match(r"\d+/\d+\"", text) and whole:
            text = f"{whole[1]} {text}"
        for length in sheets.INCH_LENGTH.findall(text):
            assert f'{length}"' in shown, line
            found += 1
    assert found > 60


def counts_are_of_the_drawing(drawn: tuple[str, Path]) -> None:
    """Parts on the take-off against parts in the drawing and the cut list."""
    name, out = drawn
    figures = sheets.record_of(out)["figures"]
    at = f"{KINDS[name]}.bay.1"
    count = figures.get(f"{at}.balusters", figures.get(f"{at}.members"))["value"]
    doc = sheets.ezdxf.readfile(out / f"{KINDS[name]}.dxf")
    members = [e for e in doc.modelspace().query("INSERT") if e.dxf.layer == "BALUSTER"]
    # On two elevations, shop and inspection; a cable rail's braces are drawn with its cables.
    assert len(members) == 2 * (count + (1 if name == "cable-rail" else 0))
    if name in ("cut-to-fit", "cable-rail", "wood-guard"):
        suffix = "CB" if name == "cable-rail" else "BL"
        with (out / "cuts.csv").open(encoding="utf-8-sig", newline="") as stream:
            rows = {row["Mark"]: row for row in csv.DictReader(stream)}
        assert int(rows[f"{KINDS[name]}1-{suffix}"]["No."]) == count

"""A flight too long for a readable scale is drawn in parts between match lines."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import ezdxf
import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job
from railsheet.sheets.dimensions import measured
from railsheet.sheets.drawing import figure_key

RISERS = 20
JOB = f"""
[job]
name = "Alder Steps, long flight"
place = "an invented quay"
date = 2026-11-20
measured_by = "survey team"
units = "mm"
tape = "1"
kit = "dunlin"
paper = "a4"

[[flight]]
mark = "A"
side = "left"
rail_height = "950"

[flight.readings]
R = {[160] * RISERS}
T = {[300] * (RISERS - 1)}
N = "15"
K = "60"
W = "1800"
open_risers = false

[flight.bottom_post]
stands_on = "landing"
place = "free"
E = "90"
I = "46"

[flight.top_post]
stands_on = "deck"
place = "set"
E = "140"
I = "46"
"""


@pytest.fixture(scope="module")
def drawn(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("long")
    (folder / "long.toml").write_text(JOB, encoding="utf-8")
    draw_job(folder / "long.toml", folder / "out", which="fabricator")
    return folder / "out"


def parts(out: Path) -> dict[int, int]:
    """Which sheet each part of the elevation stands on."""
    found = {}
    for line in read_lines(out / "sheets.pdf")[0]:
        if title := re.fullmatch(r"Flight A: elevation, part (\d+) of (\d+)", line.text):
            found[int(title[1])] = line.page
            assert int(title[2]) >= 2
    return found


def test_each_match_line_names_the_sheet_of_the_next_part(drawn: Path) -> None:
    where = parts(drawn)
    assert len(where) >= 2
    doc = ezdxf.readfile(drawn / "A.dxf")
    pointed = []
    for layout in doc.layouts:
        for text in layout.query("TEXT"):
            if found := re.fullmatch(r"match line, sheet (\d+)", text.dxf.text):
                pointed.append((layout.name, int(found[1])))
    names = {part: "A elevation" + (f" {part}" if part > 1 else "") for part in where}
    # Each inner break is named from both sides.
    assert sorted(pointed) == sorted(
        (names[here], where[there])
        for here in where
        for there in (here - 1, here + 1)
        if there in where
    )


def test_every_bay_post_and_nose_is_dimensioned_on_some_part(drawn: Path) -> None:
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    doc = ezdxf.readfile(drawn / "A.dxf")
    shown = set()
    for dimension in doc.modelspace().query("DIMENSION"):
        key = figure_key(dimension)
        assert key is not None
        figure = figures[key]
        if figure["unit"] == "mm":
            assert measured(dimension) == pytest.approx(abs(figure["value"]), abs=1e-6), key
        shown.add(key)
    wanted = {key for key in figures if re.fullmatch(r"A\.bay\.\d+\.(clear|gap|spacing)", key)}
    wanted |= {f"A.nose.{number}.{axis}" for number in range(1, RISERS + 1) for axis in "sz"}
    assert wanted <= shown


def test_no_text_of_a_part_lies_over_another_or_off_the_page(drawn: Path) -> None:
    lines, sizes = read_lines(drawn / "sheets.pdf")
    sheets = set(parts(drawn).values())
    for _, page in itertools.groupby(lines, key=lambda line: line.page):
        here = list(page)
        if here[0].page not in sheets:
            continue
        wide, high = sizes[here[0].page - 1]
        for line in here:
            assert 0 < line.box[0] < line.box[2] < wide, line
            assert 0 < line.box[1] < line.box[3] < high, line
        for first, second in itertools.combinations(here, 2):
            assert not first.overlaps(second, 2.2), (first, second)

"""Full-size templates measured on the printed page: a point of a PDF is 1/72 in (ISO 32000-1)."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pdfplumber
import pytest

from railsheet.cli.draw import draw_job
from railsheet.job.load import load_job
from railsheet.sheets.full_size import CHECK, templates

SAMPLES = Path(__file__).parent.parent.parent / "samples"
PT = {"in": 72.0, "mm": 72.0 / 25.4}
Drawn = tuple[list, dict, str]


@pytest.fixture(scope="module")
def drawn(tmp_path_factory) -> Callable[[str], Drawn]:
    """A sample's full-size pages, its figures and its unit."""

    @cache
    def made(name: str) -> Drawn:
        out = tmp_path_factory.mktemp(name)
        draw_job(SAMPLES / f"{name}.toml", out, which="fabricator")
        record = json.loads((out / "figures.json").read_text())
        with pdfplumber.open(out / "sheets.pdf") as pdf:
            assert b"/PrintScaling /None" in (out / "sheets.pdf").read_bytes()
            pages = [p for p in pdf.pages if "Full-size templates" in p.extract_text()]
            for page in pages:
                _ = page.objects
        return pages, record["figures"], "mm" if record["job"]["units"] == "mm" else "in"

    return made


@pytest.mark.parametrize("name", ["porch-flight", "solid-pane", "station-steps"])
def test_both_check_bars_are_as_long_as_they_say_on_every_sheet(drawn, name: str) -> None:
    pages, figures, unit = drawn(name)
    length = figures[CHECK]["value"] * PT[unit]
    # What the brief of a check length asks for: 4 in, or 100 mm.
    assert figures[CHECK]["value"] == (4.0 if unit == "in" else 100.0)
    assert pages
    for page in pages:
        bars = {
            "level" if box["width"] > box["height"] else "upright"
            for box in closed_boxes(page)
            if max(box["width"], box["height"]) == pytest.approx(length, abs=0.02)
            and min(box["width"], box["height"]) == pytest.approx(2.0 * PT["mm"], abs=0.02)
        }
        assert bars == {"level", "upright"}
        assert page.extract_text().count(figures[CHECK]["shown"]) >= 2
        assert "100 %" in page.extract_text()


def closed_boxes(page) -> list[dict]:
    return [*page.rects, *page.curves]


@pytest.mark.parametrize("name", ["porch-flight", "solid-pane"])
def test_the_plate_and_its_holes_are_at_their_true_size(drawn, name: str) -> None:
    pages, figures, unit = drawn(name)
    page = pages[0]
    wide, deep = (figures[f"kit.plate.{way}"]["value"] * PT[unit] for way in ("along", "across"))
    (plate,) = [
        box
        for box in closed_boxes(page)
        if (box["width"], box["height"]) == pytest.approx((wide, deep), abs=0.02)
    ]
    circles = []
    for number in range(1, 5):
        key = f"kit.plate.hole.{number}"
        along, across, size = (
            figures[f"{key}.{way}"]["value"] * PT[unit] for way in ("along", "across", "size")
        )
        middle = plate["x0"] + along, plate["bottom"] - across
        circles += [
            curve
            for curve in page.curves
            if curve["width"] == pytest.approx(size, abs=0.05)
            and curve["height"] == pytest.approx(size, abs=0.05)
            and math.dist(
                ((curve["x0"] + curve["x1"]) / 2, (curve["top"] + curve["bottom"]) / 2), middle
            )
            < 0.05
        ]
    assert len(circles) == 4


@pytest.mark.parametrize("name", ["solid-pane", "wood-guard", "cut-to-fit"])
def test_a_rails_end_is_drawn_at_its_angle_and_depth(drawn, name: str) -> None:
    pages, figures, unit = drawn(name)
    mark = next(key for key in figures if key.endswith(".bay.1.clear")).split(".")[0]
    strokes = [polyline(curve) for page in pages for curve in [*page.curves, *page.lines]]
    for place in ("top", "bottom"):
        depth = figures[f"kit.{place}_rail.depth"]["value"] * PT[unit]
        saw = math.radians(figures[f"{mark}.bay.1.rail.{place}.uphill.saw"]["value"])
        assert saw > 0.3
        # The open outline of a bar's end: two edges and the cut between them.
        found = [
            points
            for points in strokes
            if len(points) == 4
            and abs(points[1][1] - points[2][1]) == pytest.approx(depth, abs=0.03)
            and abs(points[1][0] - points[2][0]) == pytest.approx(depth * math.tan(saw), abs=0.03)
        ]
        assert found, place


@pytest.mark.parametrize("name", ["porch-flight", "wood-guard"])
def test_the_rail_beside_the_post_rises_at_the_rake(drawn, name: str) -> None:
    pages, figures, _ = drawn(name)
    mark = next(key for key in figures if key.endswith(".bay.1.clear")).split(".")[0]
    rake = figures[f"{mark}.rake"]["value"]
    sloping = [
        math.degrees(math.atan2(abs(line["height"]), line["width"]))
        for page in pages
        for line in page.lines
        if line["width"] > 60 and line["height"] > 10
    ]
    assert sum(angle == pytest.approx(rake, abs=0.02) for angle in sloping) >= 2


def polyline(curve: dict) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in curve["pts"]]


def test_a_plate_larger_than_the_paper_goes_in_tiles_that_cover_it(job_file, tmp_path) -> None:
    kit = (Path(load_job(SAMPLES / "porch-flight.toml").kit.file)).read_text(encoding="utf-8")
    kit = kit.replace('along = "4"\nacross = "4"', 'along = "14"\nacross = "9"')
    (tmp_path / "big.toml").write_text(kit, encoding="utf-8")
    job = job_file(('kit = "dunlin"', 'kit = "big.toml"'))
    plate = templates((), load_job(job).kit)[0]
    assert plate.body.size == pytest.approx((14 * 25.4, 9 * 25.4), abs=1e-9)
    draw_job(job, tmp_path / "out", which="fabricator")
    with pdfplumber.open(tmp_path / "out" / "sheets.pdf") as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
    count = int(text.split("holes to drill, part 1 of ")[1].split()[0])
    assert count >= 4
    assert all(f"part {n} of {count}" in text for n in range(1, count + 1))

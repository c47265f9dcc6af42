"""The job in view: what of it is visible, the sheet read back, and no trace of it unasked.

Sources: a convex solid seen from one corner shows three faces, nine edges (plain geometry); Open
CASCADE through cadquery, a general-purpose solid modelling library.
"""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
from pathlib import Path

import cadquery as cq
import ezdxf
import pdfplumber
import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job, raised_job
from railsheet.cli.solve import solve_job
from railsheet.job.load import load_job
from railsheet.sheets.drawing import new_document
from railsheet.sheets.layers import INKS
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.view_sheet import LAYER, TITLE, draw_view
from railsheet.solids.handrail import handrail_solids
from railsheet.solids.in_view import _frame, _visible, job_in_view
from railsheet.solids.part import PartKind
from railsheet.solids.view_lines import PartsInView, ViewLine

SAMPLES = Path(__file__).parent.parent.parent / "samples"


@pytest.fixture(scope="module")
def porch(tmp_path_factory) -> Path:
    out = tmp_path_factory.mktemp("porch") / "out"
    draw_job(SAMPLES / "porch-flight.toml", out, solids=True, which="saw")
    return out


def boxes_seen(*boxes: tuple[cq.Vector, float]) -> list[float]:
    shown = [
        (PartKind.POST, cq.Workplane().box(size, size, size).translate(at).val())
        for at, size in boxes
    ]
    return [math.dist(line.points[0], line.points[-1]) for line in _visible(shown, _frame(1, 0.3))]


def test_a_cube_shows_nine_edges_and_hides_a_lesser_one_behind_it() -> None:
    alone = boxes_seen((cq.Vector(0, 0, 0), 100.0))
    assert len(alone) == 9
    away = _frame(1, 0.3).zDir * -400.0
    assert boxes_seen((cq.Vector(0, 0, 0), 100.0), (away, 50.0)) == alone
    assert len(boxes_seen((cq.Vector(0, 0, 0), 100.0), (away * -1.0, 50.0))) > 9
    # An edge of length a square to the eye's own way by w is seen as a * sqrt(1 - w * w).
    eye = _frame(1, 0.3).zDir
    seen = {round(100.0 * math.sqrt(1 - w * w), 3) for w in eye.toTuple()}
    assert {round(length, 3) for length in alone} == seen


def test_every_kind_of_part_has_a_layer() -> None:
    assert set(LAYER) == {kind.value for kind in PartKind}
    assert set(LAYER.values()) <= set(INKS)


def test_the_sheet_is_the_first_and_keeps_within_its_frame(porch) -> None:
    lines, sizes = read_lines(porch / "sheets.pdf")
    first = [line for line in lines if line.page == 1]
    texts = [line.text for line in first]
    assert TITLE in texts
    assert {"A-P1", "A-P2", "Not to scale"} <= set(texts)
    assert f"1 of {len(sizes)}" in texts
    assert any(text.startswith("Seen from above, not to scale") for text in texts)
    wide, high = sizes[0]
    for line in first:
        assert 0 < line.box[0] < line.box[2] < wide, line
        assert 0 < line.box[1] < line.box[3] < high, line
    for one, other in itertools.combinations(first, 2):
        assert not one.overlaps(other, 2.2), (one, other)
    with pdfplumber.open(porch / "sheets.pdf") as pdf:
        assert len(pdf.pages[0].lines) > 250


def test_the_drawing_read_back(porch) -> None:
    doc = ezdxf.readfile(porch / "in-view.dxf")
    assert not doc.audit().errors
    layout = doc.layouts.get("in view")
    assert not len(doc.modelspace())
    drawn = [e for e in layout if e.dxf.layer in set(LAYER.values())]
    assert {e.dxf.layer for e in drawn} >= {"STAIR", "POST", "RAIL", "BALUSTER", "BRACKET"}
    assert not layout.query("DIMENSION")
    marks = [e for e in layout.query("MTEXT") if e.text in ("A-P1", "A-P2")]
    assert len(marks) == 2
    places = []
    for entity in drawn:
        if entity.dxftype() == "LINE":
            ends = (entity.dxf.start, entity.dxf.end)
        else:
            ends = tuple(entity.vertices_in_wcs())
        places.append(tuple((p.x, p.y) for p in ends))
        for x, y in places[-1]:
            # Letter, its margins 8 mm.
            assert 8.0 < x < 279.4 - 8.0
            assert 30.0 < y < 215.9 - 8.0
            assert x == round(x, 3)
    assert len(set(places)) == len(places)


def test_the_same_bytes_whatever_the_seed(porch, tmp_path) -> None:
    asked = ["draw", str(SAMPLES / "porch-flight.toml"), "--solids", "--set", "saw"]
    subprocess.run(
        [sys.executable, "-m", "railsheet", *asked, "--out", str(tmp_path / "again")],
        check=True,
        capture_output=True,
        timeout=600,
        env={**os.environ, "PYTHONHASHSEED": "77"},
    )
    for name in ("in-view.dxf", "sheets.pdf", "A.dxf"):
        assert (tmp_path / "again" / name).read_bytes() == (porch / name).read_bytes(), name


def test_what_no_plan_joins_is_shown_by_itself() -> None:
    solved = solve_job(load_job(SAMPLES / "landing-handrail.toml"))
    handrails = {work.mark: handrail_solids(work.handrail) for work in solved.handrails}
    view = job_in_view(raised_job(solved, "test"), handrails, planned=False)
    assert [parts.title for parts in view] == ["Run A", "Run B", "Handrail H"]
    assert [[post.mark for post in parts.posts] for parts in view] == [
        ["A-P1", "A-P2"],
        ["B-P1", "B-P2"],
        [],
    ]
    for parts in view:
        for post in parts.posts:
            assert post.top[1] > post.foot[1]
            assert post.top[0] == pytest.approx(post.foot[0], abs=1e-6)


def test_the_sheet_says_where_infill_is_missing() -> None:
    edge = ViewLine("rail", ((0.0, 0.0), (100.0, 40.0)))
    job = load_job(SAMPLES / "porch-flight.toml")
    doc = new_document("in", 1 / 16)
    view = (PartsInView("Run F", (edge,), (), ("run F, bay 1",)),)
    layout = draw_view(doc, view, SheetFrame(job, 1), 1)
    notes = " ".join(note.plain_text() for note in layout.query("MTEXT"))
    said = "Infill is missing from this view: run F, bay 1."
    assert said in " ".join(notes.split())

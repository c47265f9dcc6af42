"""A site of many bays is solved, composed and printed in proportion to its bays."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from railsheet.cli.solve import solve_job
from railsheet.export.sheet_pdf import write_sheets
from railsheet.job.load import load_job
from railsheet.sheets.sheet_set import compose

# A bay of the kit's rail, post to post, near its greatest span, mm.
BAY_MM = 1830
JOB = """
[job]
name = "Long deck"
place = "an invented yard"
date = 2026-11-21
measured_by = "lead hand"
units = "mm"
tape = "1"
kit = "dunlin"
paper = "a3"

[[level]]
mark = "D"
side = "left"
rail_height = "1000"
from = "P1"
to = "P2"
bearing = 0
L = "{length}"
I = "22"
K = "30"
"""


def seconds(bays: int, folder: Path) -> float:
    """Processor time for a run of so many bays, from its file to its PDF."""
    path = folder / f"{bays}.toml"
    path.write_text(JOB.format(length=bays * BAY_MM), encoding="utf-8")
    start = time.process_time()
    job = load_job(path)
    # The stock plan has a limit of its own, whatever the bays.
    solved = solve_job(job, stock_time_s=1.0)
    (level,) = solved.levels
    assert abs(len(level.railing.bays) - bays) <= 1 + bays // 20
    sheets = compose(
        job, solved.works, solved.book, buying=solved.buying, levels=solved.levels, site=solved.site
    )
    reports = write_sheets(sheets.pages, folder / f"{bays}.pdf", job.name)
    assert not any(report.overhanging for report in reports)
    return time.process_time() - start


def test_drawing_time_grows_in_proportion_to_the_bays(tmp_path: Path) -> None:
    seconds(1, tmp_path)  # what is loaded once is loaded now
    # Four times the bays; twice in proportion leaves room for a busy machine.
    assert seconds(24, tmp_path) <= 8 * seconds(6, tmp_path)


@pytest.mark.skipif("RAILSHEET_LONG" not in os.environ, reason="long: set RAILSHEET_LONG to run")
def test_a_hundred_bays_draw_in_proportion_to_ten_and_one(tmp_path: Path) -> None:
    seconds(1, tmp_path)
    one, ten, hundred = (seconds(bays, tmp_path) for bays in (1, 10, 100))
    assert ten <= 20 * one
    assert hundred <= 20 * ten

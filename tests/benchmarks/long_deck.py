"""A level run of so many bays, solved, and drawn to its PDF; processor time, seconds."""

from __future__ import annotations

import time
from pathlib import Path

from railsheet.cli.solve import solve_job
from railsheet.export.sheet_pdf import write_sheets
from railsheet.job.kit import find_kit, load_kit
from railsheet.job.load import load_job
from railsheet.job.model import LevelSpec, PlanPost, PostKind, Side
from railsheet.layout.level import LevelEnds, solve_level
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
KIT = load_kit(find_kit("whimbrel", Path(), "", ""))
SOLVED_BAY_MM = 1850.0


def drawing_s(bays: int, folder: Path) -> float:
    """From its file to its PDF."""
    path = folder / f"{bays}.toml"
    path.write_text(JOB.format(length=bays * BAY_MM), encoding="utf-8")
    start = time.process_time()
    job = load_job(path)
    # The stock plan has a limit of its own, whatever the bays.
    solved = solve_job(job, stock_effort=0.1)
    (level,) = solved.levels
    assert abs(len(level.railing.bays) - bays) <= 1 + bays // 20
    sheets = compose(
        job, solved.works, solved.book, buying=solved.buying, levels=solved.levels, site=solved.site
    )
    reports = write_sheets(sheets.pages, folder / f"{bays}.pdf", job.name)
    assert not any(report.overhanging for report in reports)
    return time.process_time() - start


def solving_s(bays: int, times: int = 3) -> float:
    """The layout alone: posts, bays, infill, rails; the best of several."""
    posts = [PlanPost(mark, PostKind.POST, None, None) for mark in ("P1", "P2")]
    length = bays * SOLVED_BAY_MM
    spec = LevelSpec("L", Side.LEFT, 1000.0, "P1", "P2", length, 0.0, 0.0, 30.0, 50.0)
    ends = LevelEnds(posts[0], posts[1], 25.0, 25.0, length)
    best = float("inf")
    for _ in range(times):
        start = time.process_time()
        railing = solve_level(spec, ends, KIT, "a test")
        best = min(best, time.process_time() - start)
    assert abs(len(railing.bays) - bays) <= bays // 10 + 1
    assert all(bay.clear_mm <= KIT.greatest_span_mm + 1e-6 for bay in railing.bays)
    assert len({len(bay.baluster_s_mm) for bay in railing.bays}) == 1
    return best

"""Cables of two runs bored through one post: which holes run into each other.

Source: Open CASCADE through cadquery, a general-purpose solid modelling library: two rods cut with
each other and the post's own square, and whether anything is left.
"""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import pytest

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.load import load_job
from railsheet.layout.notice import Notice, Weight
from railsheet.proof.bays import take_bay
from railsheet.proof.contacts import contacts_between
from railsheet.proof.posts import post_figures
from railsheet.solids.fill import cable_starts

SAMPLES = Path(__file__).parents[2] / "samples"

LEVEL = """
[[level]]
mark = "L"
side = "left"
rail_height = "{height}"
from = "P1"
to = "P2"
bearing = {bearing}
L = "60"
I = "1"
K = "1 1/4"
"""


def solved(tmp_path: Path, bearing: float, height: str) -> SolvedJob:
    text = (SAMPLES / "cable-rail.toml").read_text()
    text = text.replace('mark = "F"\n', 'mark = "F"\nbearing = 0\n')
    text = text.replace("[flight.top_post]\n", '[flight.top_post]\nmark = "P1"\n')
    path = tmp_path / "job.toml"
    path.write_text(text + LEVEL.format(bearing=bearing, height=height))
    return solve_job(load_job(path))


def told(job: SolvedJob) -> list[Notice]:
    return [notice for notice in job.notices if notice.topic == "bores"]


def met_in_space(job: SolvedJob) -> set[tuple[int, int]]:
    """Pairs of cables, the flight's and the level run's, whose holes share any of the post."""
    raised = raised_job(job, "test")
    width = job.job.kit.post.width_mm
    rods: dict[str, list[cq.Shape]] = {}
    for run in ("F", "L"):
        bay = raised.runs[run].bays[-1 if run == "F" else 0]
        infill = bay.kit.infill
        rods[run] = [
            cq.Solid.makeCylinder(
                infill.bore_mm / 2, 6000, start - bay.bottom.along * 3000, bay.bottom.along
            ).moved(raised.location(run))
            for start in cable_starts(bay, infill)
        ]
    assert job.site is not None
    post = job.site.posts["P1"]
    shaft = cq.Solid.makeBox(width, width, 9000, cq.Vector(-width / 2, -width / 2, -1000))
    shaft = shaft.rotate(cq.Vector(), cq.Vector(0, 0, 1), math.degrees(post.turned_rad))
    shaft = shaft.moved(cq.Location(cq.Vector(*post.middle_mm, 0)))
    rods = {run: [rod.intersect(shaft) for rod in each] for run, each in rods.items()}
    return {
        (i, j)
        for i, one in enumerate(rods["F"], start=1)
        for j, other in enumerate(rods["L"], start=1)
        if one.intersect(other).Volume() > 1e-6
    }


@pytest.mark.parametrize(
    ("bearing", "height"), [(90, "36 1/8"), (-90, "39"), (0, "36 1/8"), (45, "38"), (90, "37 1/2")]
)
def test_holes_that_meet_are_told(bearing: float, height: str, tmp_path: Path) -> None:
    job = solved(tmp_path, bearing, height)
    met = met_in_space(job)
    notices = told(job)
    assert len(notices) == bool(met)
    for notice in notices:
        assert notice.weight is Weight.STOP
        assert "post P1" in notice.words
        pairs = {
            tuple(int(part.split(" at ")[0]) for part in each.split("cable ")[1:])
            for each in notice.words.split(": ", 1)[1].split("; ")
        }
        assert pairs == met
        heights = dict(notice.lengths_mm)
        for number, (one, other) in enumerate(sorted(met)):
            assert heights[f"one{number}"] == job.book.value(f"F.post.top.bore.{one}.height")
            assert heights[f"other{number}"] == job.book.value(f"L.post.start.bore.{other}.height")


@pytest.mark.parametrize("bearing", [90, 0])
def test_a_shared_post_has_both_runs_holes(bearing: float, tmp_path: Path) -> None:
    """No fitting stands in the post's steel, and each run's own holes are found at its heights."""
    job = solved(tmp_path, bearing, "36 1/8")
    raised = raised_job(job, "test")
    assert not contacts_between(raised).clashes
    for run, post, count in (("F", "top", 8), ("L", "start", 10)):
        bays = tuple(take_bay(raised.runs[run], bay) for bay in raised.runs[run].bays)
        key = f"{run}.post.{post}.bore."
        found = {d.key: d.value for d in post_figures(raised.runs[run], bays) if key in d.key}
        assert len(found) == 2 * count
        for name, value in found.items():
            assert value == pytest.approx(job.book.value(name), abs=1e-6)

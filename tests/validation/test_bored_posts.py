"""Cable holes in posts: measured in the solid, and against the cables that pass them.

Source: OCCT through cadquery, a general-purpose solid modelling library; the volume of a skew
hole through a plate is its section times the plate's thickness over the cosine of the skew
(Cavalieri's principle).
"""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import pytest

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.load import load_job
from railsheet.layout.railing import Railing

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def solved() -> SolvedJob:
    return solve_job(load_job(SAMPLES / "cable-rail.toml"))


@pytest.fixture(scope="module")
def railing(solved: SolvedJob) -> Railing:
    return solved.works[0].railing


@pytest.fixture(scope="module")
def posts(solved: SolvedJob) -> list[cq.Shape]:
    parts = raised_job(solved, "test").runs["F"].parts
    return [parts[mark].solid for mark in ("F-P1", "F-P2")]


def test_what_is_bored_out_of_a_post(railing: Railing, posts: list[cq.Shape]) -> None:
    rake, width = railing.line.rake_rad, railing.kit.post.width_mm
    plate = railing.kit.plate
    for post, solid in zip(railing.posts, posts, strict=True):
        bores = post.faces[0].bores
        assert len(bores) == 8
        whole = width**2 * (post.height_mm - plate.thickness_mm)
        whole += plate.along_mm * plate.across_mm * plate.thickness_mm
        whole -= sum(math.pi / 4 * h.size_mm**2 * plate.thickness_mm for h in plate.holes)
        out = sum(math.pi / 4 * bore.diameter_mm**2 * width / math.cos(rake) for bore in bores)
        assert solid.Volume() == pytest.approx(whole - out, rel=1e-6)


def test_a_straight_wire_passes_both_posts(railing: Railing, posts: list[cq.Shape]) -> None:
    """Each cable run on past both posts touches neither: the holes lie on one line."""
    rake = railing.line.rake_rad
    along = cq.Vector(math.cos(rake), 0, math.sin(rake))
    for member in railing.bays[0].infill.members[:8]:
        (s, low), *_, (_, high) = member.outline
        middle = cq.Vector(s, 0, (low + high) / 2)
        # A hair thinner than the hole, so that a line out of place by more would touch.
        radius = railing.posts[0].faces[0].bores[0].diameter_mm / 2 - 1e-3
        wire = cq.Solid.makeCylinder(radius, 4000, middle - along * 1000, along)
        for post in posts:
            assert post.intersect(wire).Volume() == pytest.approx(0.0, abs=1e-6)
            fat = cq.Solid.makeCylinder(radius + 0.01, 4000, middle - along * 1000, along)
            assert post.intersect(fat).Volume() > 0.1

"""STEP solids read back and measured by the CAD kernel.

Source: OCCT through cadquery, a general-purpose solid modelling library.
"""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import pytest

from railsheet.cli.draw import draw_job
from railsheet.cli.solve import solve_job
from railsheet.job.load import load_job
from railsheet.layout.rail_ends import End
from railsheet.solids.flight import member_solid, rail_solid

SHORT = (
    (
        '"7 1/4", "7 1/2", "7 7/16", "7 9/16", "7 3/8", "7 1/2"',
        '"7 1/4", "7 1/2", "7 7/16"',
    ),
    ('"10 1/2", "10 3/8", "10 5/8", "10 1/2", "10 7/16"', '"10 1/2", "10 3/8"'),
)


@pytest.fixture(params=["dunlin", "whimbrel"])
def short_job(job_file, request):
    return job_file(*SHORT, ('kit = "dunlin"', f'kit = "{request.param}"'))


def test_rails_measured_in_the_solid(short_job) -> None:
    railing = solve_job(load_job(short_job)).works[0].railing
    bay = railing.bays[0]
    rake = math.degrees(bay.line.rake_rad)
    for rail in bay.rails:
        solid = rail_solid(bay, rail)
        level = solid.rotate((0, 0, 0), (0, 1, 0), rake)
        box = level.val().BoundingBox()
        assert box.xmax - box.xmin == pytest.approx(rail.length_mm, abs=1e-4)
        assert box.zmax - box.zmin == pytest.approx(rail.kit.depth_mm, abs=1e-4)
        assert box.ymax - box.ymin == pytest.approx(rail.kit.width_mm, abs=1e-4)
        whole = rail.kit.depth_mm * rail.kit.width_mm * rail.edge_length_mm
        pocket = rail.hole_mm**2 * rail.kit.seat_mm
        assert solid.val().Volume() == pytest.approx(whole - len(rail.holes) * pocket, rel=1e-6)


def test_balusters_bear_on_both_stops_and_touch_nothing_else(short_job) -> None:
    railing = solve_job(load_job(short_job)).works[0].railing
    bay = railing.bays[0]
    rails = [rail_solid(bay, rail) for rail in bay.rails]
    for member in (bay.infill.members[0], bay.infill.members[-1]):
        baluster = member_solid(member)
        for rail in rails:
            shared = rail.intersect(baluster)
            volume = shared.val().Volume() if shared.vals() else 0.0
            assert volume == pytest.approx(0.0, abs=1e-3)
            assert rail.val().distance(baluster.val()) == pytest.approx(0.0, abs=1e-6)


def test_no_rail_stands_within_a_post(short_job) -> None:
    railing = solve_job(load_job(short_job)).works[0].railing
    bay = railing.bays[0]
    for rail in bay.rails:
        box = rail_solid(bay, rail).val().BoundingBox()
        assert box.xmin > bay.downhill_face_mm
        assert box.xmax < bay.uphill_face_mm


def test_the_step_file_holds_every_part(job_file, tmp_path: Path) -> None:
    path = job_file(*SHORT)
    draw_job(path, tmp_path / "out", solids=True)
    railing = solve_job(load_job(path)).works[0].railing
    bay = railing.bays[0]
    read = cq.importers.importStep(str(tmp_path / "out" / "A.step"))
    solids = read.solids().vals()
    assert len(solids) == 2 + 2 + len(bay.baluster_s_mm)
    box = cq.Compound.makeCompound(solids).BoundingBox()
    low, high = railing.posts
    half = railing.kit.plate.along_mm / 2
    assert box.xmin == pytest.approx(low.centre_s_mm - half, abs=1e-4)
    assert box.xmax == pytest.approx(high.centre_s_mm + half, abs=1e-4)
    assert box.zmax == pytest.approx(high.top_z_mm, abs=1e-4)
    assert box.zmin == pytest.approx(low.surface_z_mm, abs=1e-4)
    assert {post.end for post in railing.posts} == set(End)

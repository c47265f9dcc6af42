"""STEP solids written, read back and measured by the CAD kernel.

Source: Open CASCADE through cadquery, a general-purpose solid modelling library. The solids are
raised from the setting-out by planes (`railsheet/solids`); what is held against them here is what
the layout solved by formulas.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterator
from pathlib import Path

import cadquery as cq
import pytest

import railsheet
from railsheet.cli.draw import draw_job, raised_job
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.load import load_job
from railsheet.solids.part import COLOURS, PartKind
from railsheet.solids.raised import RaisedJob

SAMPLES = Path(__file__).parents[2] / "samples"
SHORT = (
    (
        '"7 1/4", "7 1/2", "7 7/16", "7 9/16", "7 3/8", "7 1/2"',
        '"7 1/4", "7 1/2", "7 7/16"',
    ),
    ('"10 1/2", "10 3/8", "10 5/8", "10 1/2", "10 7/16"', '"10 1/2", "10 3/8"'),
)


@pytest.fixture(params=["dunlin", "whimbrel"])
def short(job_file, request) -> tuple[SolvedJob, RaisedJob]:
    solved = solve_job(load_job(job_file(*SHORT, ('kit = "dunlin"', f'kit = "{request.param}"'))))
    return solved, raised_job(solved, "test")


def test_rails_measured_in_the_solid(short) -> None:
    solved, raised = short
    bay = solved.works[0].railing.bays[0]
    rake = math.degrees(bay.line.rake_rad)
    for rail, mark in zip(bay.rails, ("A1-TR", "A1-BR"), strict=True):
        solid = raised.runs["A"].parts[mark].solid
        box = solid.rotate((0, 0, 0), (0, 1, 0), rake).BoundingBox()
        assert box.xmax - box.xmin == pytest.approx(rail.length_mm, abs=1e-4)
        assert box.zmax - box.zmin == pytest.approx(rail.kit.depth_mm, abs=1e-4)
        assert box.ymax - box.ymin == pytest.approx(rail.kit.width_mm, abs=1e-4)
        whole = rail.kit.depth_mm * rail.kit.width_mm * rail.edge_length_mm
        pocket = rail.hole_mm**2 * rail.kit.seat_mm
        assert solid.Volume() == pytest.approx(whole - len(rail.holes) * pocket, rel=1e-6)


def test_balusters_bear_on_both_stops_and_touch_nothing_else(short) -> None:
    solved, raised = short
    parts = raised.runs["A"].parts
    count = len(solved.works[0].railing.bays[0].baluster_s_mm)
    for number in (1, count):
        baluster = parts[f"A1-B{number}"].solid
        for mark in ("A1-TR", "A1-BR"):
            rail = parts[mark].solid
            assert rail.intersect(baluster).Volume() == pytest.approx(0.0, abs=1e-3)
            assert rail.distance(baluster) == pytest.approx(0.0, abs=1e-6)


def test_no_rail_stands_within_a_post(short) -> None:
    solved, raised = short
    bay = solved.works[0].railing.bays[0]
    for mark in ("A1-TR", "A1-BR"):
        box = raised.runs["A"].parts[mark].solid.BoundingBox()
        assert box.xmin > bay.downhill_face_mm
        assert box.xmax < bay.uphill_face_mm


def leaves(branch: cq.Assembly) -> Iterator[cq.Assembly]:
    for child in branch.children:
        if child.children:
            yield from leaves(child)
        else:
            yield child


def test_the_step_file_holds_every_part_by_name_and_colour(job_file, tmp_path: Path) -> None:
    path = job_file(*SHORT)
    draw_job(path, tmp_path / "out", solids=True)
    solved = solve_job(load_job(path))
    railing = solved.works[0].railing
    raised = raised_job(solved, "test").runs["A"].parts
    made = {mark: part for mark, part in raised.items() if part.kind is not PartKind.GROUND}
    read = {leaf.name: leaf for leaf in leaves(cq.Assembly.importStep(_out(tmp_path, "A.step")))}
    assert set(read) == set(made)
    assert len([m for m in read if m.startswith("A1-B") and m[4].isdigit()]) == len(
        railing.bays[0].baluster_s_mm
    )
    for mark, part in made.items():
        volume = sum(shape.Volume() for shape in read[mark].shapes)
        assert volume == pytest.approx(part.solid.Volume(), rel=1e-7)
        assert read[mark].color.toTuple() == pytest.approx(COLOURS[part.kind], abs=1e-6)
    solids = cq.importers.importStep(_out(tmp_path, "A.step")).solids().vals()
    box = cq.Compound.makeCompound(solids).BoundingBox()
    low, high = railing.posts
    half = railing.kit.plate.along_mm / 2
    assert box.xmin == pytest.approx(low.centre_s_mm - half, abs=1e-4)
    assert box.xmax == pytest.approx(high.centre_s_mm + half, abs=1e-4)
    assert box.zmax == pytest.approx(high.top_z_mm, abs=1e-4)
    assert box.zmin == pytest.approx(low.surface_z_mm, abs=1e-4)
    text = Path(_out(tmp_path, "A.step")).read_text(encoding="ascii")
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert "T00:00:00" in text
    piece = cq.importers.importStep(_out(tmp_path, "A1-TR.step")).val().BoundingBox()
    # Level on the bench, its uphill end's long point at 0.
    assert piece.xmax == pytest.approx(0.0, abs=1e-4)
    assert -piece.xmin == pytest.approx(railing.bays[0].top_rail.length_mm, abs=1e-4)


def _out(tmp_path: Path, name: str) -> str:
    return str(tmp_path / "out" / name)


def test_a_site_is_placed_in_plan_with_each_shared_post_once() -> None:
    solved = solve_job(load_job(SAMPLES / "deck-two-flights.toml"))
    raised = raised_job(solved, "test")
    assert solved.site is not None
    seen = [part.mark for run in raised.runs for part in raised.parts(run)]
    assert len(seen) == len(set(seen))
    for run in raised.runs:
        place = raised.location(run)
        for part in raised.parts(run):
            post = solved.site.posts.get(part.mark)
            if post is None or part.kind is not PartKind.POST:
                continue
            box = part.solid.moved(place).BoundingBox()
            if "half" not in post.kind.value:
                assert box.center.x == pytest.approx(post.at_mm[0], abs=1e-3)
                assert box.center.y == pytest.approx(post.at_mm[1], abs=1e-3)
            assert box.zmin == pytest.approx(post.foot_mm, abs=1e-3)
            assert box.zmax - box.zmin == pytest.approx(post.height_mm, abs=1e-3)


def test_both_hands_of_a_flight_stand_on_one_stair(job_file) -> None:
    solved = solve_job(load_job(job_file(('side = "left"', 'side = "both"'))))
    raised = raised_job(solved, "test")
    grounds = [
        part.solid.moved(raised.location(run)).BoundingBox()
        for run in raised.runs
        for part in raised.parts(run)
        if part.kind is PartKind.GROUND
    ]
    assert len(grounds) == 2
    assert grounds[0].ymin == pytest.approx(grounds[1].ymin, abs=1e-6)
    assert grounds[0].ymax == pytest.approx(grounds[1].ymax, abs=1e-6)
    rails = [
        part.solid.moved(raised.location(run)).Center().y
        for run in raised.runs
        for part in raised.parts(run)
        if part.mark.endswith("1-TR")
    ]
    width = solved.works[0].railing.stair.width_mm
    assert abs(rails[0] - rails[1]) < width
    assert abs(rails[0] - rails[1]) > width / 2


def test_the_same_job_gives_the_same_bytes(job_file, tmp_path: Path) -> None:
    path = job_file(*SHORT)
    for out in ("one", "two"):
        draw_job(path, tmp_path / out, solids=True)
    for file in sorted((tmp_path / "one").glob("*.step")):
        assert file.read_bytes() == (tmp_path / "two" / file.name).read_bytes(), file.name


def test_solids_are_raised_without_the_layout() -> None:
    """Only the setting-out reads the solved layout: the rest of the room shares none of it."""
    room = Path(railsheet.__file__).parent / "solids"
    for path in room.glob("*.py"):
        # A handrail of its own is drawn from the layout's pieces; nothing is proven by it.
        if path.name in ("setting_out.py", "handrail.py", "handrail_out.py"):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                assert not node.module.startswith("railsheet.layout"), path.name
                assert not node.module.startswith("railsheet.figures"), path.name

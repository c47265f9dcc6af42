"""Cables bored through a post: which holes run into each other, or come out under a mount.

Source: Open CASCADE through cadquery, a general-purpose solid modelling library: rods cut with
each other, with the post's own square and with the brackets, and whether anything is left.
"""

from __future__ import annotations

import math
import re
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
from railsheet.solids.part import PartKind

SAMPLES = Path(__file__).parents[2] / "samples"
DATA = Path(__file__).parents[2] / "railsheet" / "data" / "kits"

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


def rods_in_post(job: SolvedJob, beyond_mm: float = 0.0) -> dict[str, list[cq.Shape]]:
    """Each run's holes, within the shared post and so far past its faces."""
    raised = raised_job(job, "test")
    width = job.job.kit.post.width_mm + 2 * beyond_mm
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
    return {run: [rod.intersect(shaft) for rod in each] for run, each in rods.items()}


def met_in_space(job: SolvedJob) -> set[tuple[int, int]]:
    """Pairs of cables, the flight's and the level run's, whose holes share any of the post."""
    rods = rods_in_post(job)
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
    notices = [notice for notice in told(job) if "run into one another" in notice.words]
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


def covered_in_space(job: SolvedJob) -> set[tuple[str, int]]:
    """Holes, by run and number, that touch another run's bracket just past the post's face."""
    raised = raised_job(job, "test")
    rods = rods_in_post(job, beyond_mm=0.5)
    found = set()
    for run, other in (("F", "L"), ("L", "F")):
        brackets = [
            part.solid.moved(raised.location(other))
            for part in raised.runs[other].parts.values()
            if part.kind is PartKind.BRACKET
        ]
        found |= {
            (run, number)
            for number, rod in enumerate(rods[run], start=1)
            if any(rod.intersect(bracket).Volume() > 1e-6 for bracket in brackets)
        }
    return found


@pytest.mark.parametrize(
    ("bearing", "height"),
    [(0, "30"), (0, "33"), (0, "36"), (0, "39"), (0, "42"), (0, "34 5/8"), (90, "36")],
)
def test_holes_under_the_other_runs_mounts_are_told(
    bearing: float, height: str, tmp_path: Path
) -> None:
    job = solved(tmp_path, bearing, height)
    found = set()
    for notice in told(job):
        if "come out under" not in notice.words:
            continue
        assert notice.weight is Weight.STOP
        for place, each in re.findall(r"run (\w)'s cable (\d+) at \{at\d+\}", notice.words):
            found.add((place, int(each)))
    assert found == covered_in_space(job)


def test_each_height_told_is_where_the_hole_comes_out(tmp_path: Path) -> None:
    """The flight's seventh hole, over the post's foot on the level run's face, from the solids."""
    job = solved(tmp_path, 0, "33")
    notice = next(n for n in told(job) if "run L's top mount" in n.words)
    assert "run F's cable 7 at {at0}" in notice.words
    rod = rods_in_post(job)["F"][6]
    assert job.site is not None
    post, half = job.site.posts["P1"], job.job.kit.post.width_mm / 2
    face_mm, hair_mm = post.middle_mm[0] + half, 0.001
    assert rod.BoundingBox().xmax == pytest.approx(face_mm, abs=1e-6)
    slice_at = cq.Vector(face_mm - hair_mm, post.middle_mm[1] - 250, 0)
    face = rod.intersect(cq.Solid.makeBox(hair_mm, 500, 9000, slice_at))
    # The section is symmetrical about its middle.
    box = face.BoundingBox()
    told_mm = dict(notice.lengths_mm)["at0"]
    assert told_mm == pytest.approx((box.zmin + box.zmax) / 2 - post.foot_mm, abs=0.01)


IN_LINE = """
[job]
name = "Test"
place = "an invented deck"
date = 2026-11-20
measured_by = "lead hand"
units = "ft-in"
tape = "1/16"
kit = "wheatear"
paper = "letter"

[[level]]
mark = "L"
side = "left"
rail_height = "36"
from = "P1"
to = "P2"
bearing = 0
L = "60"
I = "1"
K = "1 1/4"

[[level]]
mark = "M"
side = "left"
rail_height = "36"
from = "P2"
to = "P3"
bearing = 0
L = "60"
I = "1"
K = "1 1/4"
"""


def test_one_straight_hole_of_two_runs_is_told_without_a_stop(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(IN_LINE)
    notices = told(solve_job(load_job(path)))
    assert [notice.weight for notice in notices] == [Weight.LOOK]
    assert "in post P2 one hole through it takes both" in notices[0].words
    lengths = dict(notices[0].lengths_mm)
    assert len(lengths) % 2 == 0
    assert lengths
    for number in range(len(lengths) // 2):
        assert f"run L's cable {number + 1}" in notices[0].words
        assert lengths[f"one{number}"] == pytest.approx(lengths[f"other{number}"], abs=1e-9)


LONG = """
R = ["7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2"]
T = ["10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2"]
"""


def long_flight(tmp_path: Path, change: tuple[str, str] = ("", "")) -> SolvedJob:
    """A flight over ten risers: two bays of unlike length, of which the shorter asks for fewer."""
    text = (SAMPLES / "cable-rail.toml").read_text()
    lines = [line for line in text.splitlines() if not line.startswith(("R = ", "T = "))]
    at = lines.index("[flight.readings]")
    path = tmp_path / "job.toml"
    lines[at + 1 : at + 1] = LONG.strip().splitlines()
    if change[0]:
        kit = (DATA / "wheatear.toml").read_text()
        assert change[0] in kit
        (tmp_path / "own.toml").write_text(kit.replace(*change))
        lines = [line.replace('kit = "wheatear"', 'kit = "own.toml"') for line in lines]
    path.write_text("\n".join(lines))
    return solve_job(load_job(path))


def test_cables_go_on_in_line_past_a_line_post(tmp_path: Path) -> None:
    """Every bay has as many, so that a line post is bored once for both: the rods are one line."""
    job = long_flight(tmp_path)
    raised = raised_job(job, "test")
    bays = raised.runs["F"].bays
    assert len(bays) == 2
    starts = [cable_starts(bay, bay.kit.infill) for bay in bays]
    assert len(starts[0]) == len(starts[1])
    along = bays[0].bottom.along
    for one, other in zip(*starts, strict=True):
        assert (other - one).cross(along).Length == pytest.approx(0.0, abs=1e-6)
    assert [n.words for n in told(job) if n.weight is Weight.STOP] == []
    assert "in line post 1 each hole takes the cable of either bay" in told(job)[0].words


def test_a_tall_mount_over_its_own_runs_hole_is_told(tmp_path: Path) -> None:
    """The bottom mount reaches past the first hole where it is made so tall."""
    plain = long_flight(tmp_path)
    assert not [n for n in told(plain) if n.weight is Weight.STOP]
    # How far the first cable lies over the bottom mount's middle, on each face of each post.
    faces = [(post, face) for post in plain.works[0].railing.posts for face in post.faces]
    apart = [
        f.underside_z_mm + f.bores[0].over_underside_mm - f.mounts[1].centre_z_mm for _, f in faces
    ]
    bore = faces[0][1].bores[0].diameter_mm / 2 * math.hypot(1, plain.works[0].railing.line.slope)
    for tall in (2 * (reach - bore + by) for reach in set(apart) for by in (-0.2, 0.2)):
        job = long_flight(tmp_path, ('mount_height = "1 3/4"', f'mount_height = "{tall:.4f} mm"'))
        covered = [n for n in told(job) if "come out under its bottom mount" in n.words]
        expected = {
            post.words
            for (post, _), reach in zip(faces, apart, strict=True)
            if reach - bore < tall / 2
        }
        assert len(covered) == len(expected)
        assert all(any(words in n.words for n in covered) for words in expected)
        assert all(n.weight is Weight.STOP and "cable 1 at {at0}" in n.words for n in covered)

"""Rail ends of every kind, set in place and measured by a CAD kernel.

Source: OCCT through cadquery, a general-purpose solid modelling library.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import cadquery as cq
import pytest

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.kit import RailPlace
from railsheet.job.load import load_job
from railsheet.layout.joined_rail import with_end
from railsheet.layout.post import Post
from railsheet.layout.railing import Rail, Railing
from railsheet.solids.raised import RaisedJob

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def solved(name: str) -> SolvedJob:
    return solve_job(load_job(SAMPLES / f"{name}.toml"))


def railing_of(name: str, run: str) -> Railing:
    return next(work.railing for work in solved(name).runs if work.mark == run)


@cache
def raised(name: str) -> RaisedJob:
    """The job's parts, raised from its setting-out by planes."""
    return raised_job(solved(name), "test")


def rail_solid(name: str, run: str, rail: Rail, bay: int = 1) -> cq.Shape:
    letters = "TR" if rail.place is RailPlace.TOP else "BR"
    return raised(name).runs[run].parts[f"{run}{bay}-{letters}"].solid


def post_solid(name: str, run: str, post: Post) -> cq.Shape:
    number = railing_of(name, run).posts.index(post)
    stations = raised(name).runs[run].out.stations
    return raised(name).runs[run].parts[stations[number].mark].solid


def in_the_world(name: str, run: str, solid: cq.Shape) -> cq.Shape:
    """A run's solid where the site has it."""
    return solid.moved(raised(name).location(run))


def shared_mm3(one: cq.Shape, other: cq.Shape) -> float:
    return one.intersect(other).Volume()


def contact_mm2(one: cq.Shape, other: cq.Shape) -> float:
    """The area in which two solids touch."""
    return sum(
        common.Area()
        for face in one.Faces()
        for mate in other.Faces()
        if (common := face.intersect(mate)).Faces()
    )


@pytest.mark.parametrize(("first", "second"), [("A", "B"), ("B", "C")])
def test_top_rails_join_flush_over_their_post(first: str, second: str) -> None:
    """In line at a change of rake, and at a square corner: one face against the other, all of it.

    The cut's area is the section's over the cosine of the cut's angle from square.
    """
    name = "rail-over-posts"
    rails = []
    for run in (first, second):
        railing = railing_of(name, run)
        bay = railing.bays[0]
        rails.append((in_the_world(name, run, rail_solid(name, run, bay.top_rail)), bay.top_rail))
    (one, rail), (other, mate) = rails
    assert shared_mm3(one, other) == pytest.approx(0.0, abs=1.0)
    section = rail.kit.depth_mm * rail.kit.width_mm - rail.groove_mm * rail.kit.seat_mm
    off_square = math.hypot(1.0, rail.uphill.lean, rail.uphill.slant)
    assert contact_mm2(one, other) == pytest.approx(section * off_square, rel=1e-3)
    assert math.hypot(1.0, mate.downhill.lean, mate.downhill.slant) == pytest.approx(off_square)


def test_a_post_cut_to_the_rake_bears_its_rail_all_over() -> None:
    railing = railing_of("rail-over-posts", "A")
    post, bay = railing.downhill_post, railing.bays[0]
    name = "rail-over-posts"
    stands, rail = post_solid(name, "A", post), rail_solid(name, "A", bay.top_rail)
    assert shared_mm3(stands, rail) == pytest.approx(0.0, abs=1e-3)
    width = railing.kit.post.width_mm
    # The rail is narrower than the newel and passes right over it, its plough open below.
    bears = bay.top_rail.kit.width_mm - bay.top_rail.groove_mm
    expected = width / math.cos(railing.line.rake_rad) * bears
    assert contact_mm2(stands, rail) == pytest.approx(expected, rel=1e-3)
    assert math.degrees(math.atan(post.top_slope)) == pytest.approx(
        math.degrees(railing.line.rake_rad)
    )


def test_a_shared_post_stands_under_both_rails() -> None:
    site = solved("rail-over-posts").site
    assert site is not None
    name = "rail-over-posts"
    for mark, runs in (("P1", "AB"), ("P2", "BC")):
        first = railing_of(name, runs[0])
        post = in_the_world(name, runs[0], post_solid(name, runs[0], first.uphill_post))
        for run in runs:
            bay = railing_of(name, run).bays[0]
            rail = in_the_world(name, run, rail_solid(name, run, bay.top_rail))
            assert shared_mm3(post, rail) == pytest.approx(0.0, abs=1.0), (mark, run)
            assert post.distance(rail) < 1e-3 or run == "B", (mark, run)


def test_a_butted_rail_stands_its_clearance_off_a_turned_face() -> None:
    """A face as the post's turn has it, every corner of the compound cut as far from it."""
    name = "butted-rails"
    site = solved(name).site
    assert site is not None
    post = site.posts["P1"]
    half = railing_of(name, "A").kit.post.width_mm / 2
    section = (
        cq.Workplane()
        .box(2 * half, 2 * half, 4000)
        .rotate((0, 0, 0), (0, 0, 1), math.degrees(post.turned_rad))
        .translate((*post.middle_mm, 0))
        .val()
    )
    clearance = 25.4 / 32
    for run in "AB":
        bay = railing_of(name, run).bays[0]
        for rail in bay.rails:
            solid = in_the_world(name, run, rail_solid(name, run, rail))
            assert section.distance(solid) == pytest.approx(clearance, abs=1e-4)
            ends = [[section.distance(v) for v in face.Vertices()] for face in solid.Faces()]
            corners = min(ends, key=max)
            assert len(corners) >= 4
            assert corners == pytest.approx([clearance] * len(corners), abs=1e-4)


def test_the_length_printed_is_the_solids_own() -> None:
    for name, runs in (("butted-rails", "AB"), ("rail-over-posts", "ABC"), ("housed-rails", "J")):
        for run in runs:
            railing = railing_of(name, run)
            for bay in railing.bays:
                for rail in bay.rails:
                    level = rail_solid(name, run, rail, bay.number).rotate(
                        cq.Vector(0, 0, 0), cq.Vector(0, 1, 0), math.degrees(bay.line.rake_rad)
                    )
                    box = level.BoundingBox()
                    assert box.xmax - box.xmin == pytest.approx(rail.length_mm, abs=1e-3)


def test_a_housed_rail_stands_clear_in_its_housing() -> None:
    railing = railing_of("housed-rails", "J")
    bay, end = railing.bays[0], railing.kit.top_end
    for post in railing.posts:
        solid = post_solid("housed-rails", "J", post)
        for rail in bay.rails:
            stands = rail_solid("housed-rails", "J", rail)
            assert shared_mm3(solid, stands) == pytest.approx(0.0, abs=1e-3)
            # Half the ease on every side, square to the rail; the floor is no nearer.
            least = min(end.ease_mm / 2, end.short_mm)
            assert solid.distance(stands) == pytest.approx(least, abs=1e-4)
    box = rail_solid("housed-rails", "J", bay.top_rail).BoundingBox()
    into = end.depth_mm - end.short_mm
    assert bay.downhill_face_mm - box.xmin == pytest.approx(into, abs=1e-4)
    assert box.xmax - bay.uphill_face_mm == pytest.approx(into, abs=1e-4)


def test_a_rail_ends_in_its_wall_plates_socket() -> None:
    railing = railing_of("butted-rails", "B")
    plate = railing.kit.wall_plate
    assert plate is not None
    bay = railing.bays[-1]
    for rail in bay.rails:
        box = rail_solid("butted-rails", "B", rail, bay.number).BoundingBox()
        assert bay.uphill_face_mm - box.xmax == pytest.approx(plate.thickness_mm - plate.socket_mm)
    parts = [part.item for part in railing.uphill_post.faces[0].parts]
    assert parts.count(plate.plate) == 2


def test_an_end_cut_otherwise_leaves_every_mark_in_place() -> None:
    railing = railing_of("rail-over-posts", "A")
    rail = railing.bays[0].top_rail
    moved = with_end(rail, railing.bays[0].bottom_rail.uphill)
    places = [rail.uphill_point_u_mm - hole.from_uphill_mm for hole in rail.holes]
    again = [moved.uphill_point_u_mm - hole.from_uphill_mm for hole in moved.holes]
    assert again == pytest.approx(places)
    assert rail.place is RailPlace.TOP

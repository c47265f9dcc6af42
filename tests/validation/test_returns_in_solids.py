"""A top rail's return to a wall, set in place and measured by a CAD kernel.

Source: OCCT through cadquery, a general-purpose solid modelling library; and plane geometry written
out beside each check.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import cadquery as cq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.load import load_job
from railsheet.layout.compound import Bar, cut_slopes, meet, raked_bar
from railsheet.layout.rail_ends import End
from railsheet.proof.contacts import contacts
from railsheet.solids.part import Part

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("returned-rail", "elbow-return")


@cache
def solved(name: str) -> SolvedJob:
    return solve_job(load_job(SAMPLES / f"{name}.toml"))


@cache
def parts_of(name: str) -> dict[str, Part]:
    return dict(raised_job(solved(name), "test").runs["A"].parts)


def contact_mm2(one: cq.Shape, other: cq.Shape) -> float:
    return sum(
        common.Area()
        for face in one.Faces()
        for mate in other.Faces()
        if (common := face.intersect(mate)).Faces()
    )


@pytest.mark.parametrize("letters", ["UR", "DR"])
def test_a_mitred_return_meets_its_rail_all_over_the_cut(letters: str) -> None:
    """The cut's area is the section's over cos 45 degrees: one face against the other, all of it.

    The plough along the underside is cut through both, at the same place.
    """
    parts = parts_of("returned-rail")
    rail, own = parts["A1-TR"].solid, parts[f"A1-{letters}"].solid
    assert rail.intersect(own).Volume() == pytest.approx(0.0, abs=1e-3)
    kit = solved("returned-rail").works[0].railing.kit.top_rail
    plough = 1.25 * 25.4 * kit.seat_mm
    section = kit.depth_mm * kit.width_mm - plough
    assert contact_mm2(rail, own) == pytest.approx(section * math.sqrt(2), rel=1e-3)


@pytest.mark.parametrize("letters", ["UR", "DR"])
def test_an_elbow_takes_rail_and_return_over_their_whole_sections(letters: str) -> None:
    parts = parts_of("elbow-return")
    elbow = parts[f"A1-{letters} elbow"].solid
    for mark in ("A1-TR", f"A1-{letters}"):
        solid = parts[mark].solid
        assert solid.intersect(elbow).Volume() == pytest.approx(0.0, abs=1e-3)
        assert contact_mm2(solid, elbow) == pytest.approx(60.0 * 40.0, rel=1e-6)
    # A quarter ring of the section about a pin 50 mm from its middle, and two legs of 20 mm: by
    # Pappus, the section's area times the way its middle goes.
    way = math.pi / 2 * 50.0 + 2 * 20.0
    assert elbow.Volume() == pytest.approx(60.0 * 40.0 * way, rel=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_no_part_stands_in_another_and_each_touches_what_carries_it(name: str) -> None:
    assert contacts(parts_of(name)).clashes == ()


@pytest.mark.parametrize("name", NAMES)
def test_the_return_ends_at_the_wall(name: str) -> None:
    """The middles' own way from the corner to the wall, added up another way than the layout."""
    railing = solved(name).works[0].railing
    kit = railing.kit.top_return
    assert kit is not None
    for each in railing.bays[0].returns:
        piece = each.rail
        middle = piece.length_mm - sum(piece.short_mm(end) for end in End) / 2
        back = 0.0 if kit.elbow is None else kit.elbow.radius_mm + kit.elbow.leg_mm
        wall = each.clear_mm + railing.kit.post.width_mm / 2
        assert middle + back + kit.gap_mm == pytest.approx(wall, abs=1e-9)


@given(
    rake=st.floats(0.0, 0.8),
    way=st.sampled_from([1.0, -1.0]),
    out=st.sampled_from([1.0, -1.0]),
)
def test_a_return_rolled_with_its_rail_is_mitred_at_45_on_any_rake(rake, way, out) -> None:
    """Square to the rail on any rake, both cut at half a right angle, flush all round.

    By vectors: the return's way is level and square to the run, and so square to the rail's axis
    whatever its climb; the plane between them holds the rail's own square up.
    """
    up = raked_bar(0.0, rake)
    leaving = Bar((out * up.axis[0], 0.0, out * up.axis[2]), up.up)
    joint = meet(leaving, Bar((0.0, way, 0.0), up.up), 60.0, 40.0)
    assert joint.lip_mm == 0.0
    lean, slant = cut_slopes(up, joint.cut_normal)
    assert lean == 0.0
    assert slant == pytest.approx(-out * way)

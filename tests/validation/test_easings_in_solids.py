"""Easings raised in space and measured by a CAD kernel, beside the layout's own figures.

Source: OCCT through cadquery, a general-purpose solid modelling library.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.figures.record import figure_record
from railsheet.job.load import load_job
from railsheet.proof.prove import Proof, prove
from railsheet.solids.raised import RaisedJob

SAMPLE = Path(__file__).parents[2] / "samples" / "eased-rails.toml"
JOINTS = (("P1", "A", "B"), ("P2", "B", "C"))


@cache
def solved() -> SolvedJob:
    return solve_job(load_job(SAMPLE))


@cache
def raised() -> RaisedJob:
    return raised_job(solved(), "test")


@cache
def proof() -> Proof:
    record = figure_record(solved().book, solved().job, solved().notices, {})
    return prove(raised(), record["figures"])


def test_every_figure_of_every_easing_is_found_on_the_solids() -> None:
    assert proof().holds
    held = {figure.key for figure in proof().compared}
    printed = {
        figure.key
        for figure in solved().book
        if ".easing." in figure.key and "plus_minus" not in figure.key
    }
    assert len(printed) == 4 * 14
    assert printed <= held


@pytest.mark.parametrize(("mark", "low", "high"), JOINTS)
def test_both_runs_have_the_one_fitting_in_one_place(mark: str, low: str, high: str) -> None:
    """Each run finds it in its own frame; on the site the two are one solid."""
    one, other = (
        raised().runs[run].parts[f"{mark}-EZ"].solid.moved(raised().location(run))
        for run in (low, high)
    )
    assert one.isValid()
    shared = one.intersect(other).Volume()
    assert shared == pytest.approx(one.Volume(), rel=1e-6)
    assert shared == pytest.approx(other.Volume(), rel=1e-6)


@pytest.mark.parametrize(("mark", "low", "high"), JOINTS)
def test_its_volume_is_its_section_swept_along_its_axis(mark: str, low: str, high: str) -> None:
    """Pappus: a section's area times the way its middle goes; less the two sockets."""
    site = solved().site
    assert site is not None
    easing = site.railings[low].uphill_post.easing
    assert easing is not None
    kit = easing.kit
    wide, deep = easing.width_mm + 2 * kit.wall_mm, easing.depth_mm + 2 * kit.wall_mm
    whole = wide * deep * (kit.radius_mm * easing.turn_rad + 2 * kit.leg_mm)
    sockets = 2 * easing.width_mm * easing.depth_mm * kit.insertion_mm
    solid = raised().runs[low].parts[f"{mark}-EZ"].solid
    assert solid.Volume() == pytest.approx(whole - sockets, rel=1e-9)
    assert high in site.railings


@pytest.mark.parametrize(("mark", "low", "high"), JOINTS)
def test_rails_go_home_in_their_sockets(mark: str, low: str, high: str) -> None:
    for run, letters in ((low, f"{low}1-TR"), (high, f"{high}1-TR")):
        parts = raised().runs[run].parts
        rail, easing, post = parts[letters].solid, parts[f"{mark}-EZ"].solid, parts[mark].solid
        assert rail.distance(easing) < 1e-6
        assert rail.intersect(easing).Volume() < 1e-3
        # The post is cut a saddle under it, and stands nowhere nearer.
        assert post.distance(easing) == pytest.approx(25.4 / 8, abs=1e-4)
        assert post.intersect(rail).Volume() < 1e-3


def test_the_whole_top_rail_is_one_line_of_parts() -> None:
    """Lengths of rails and easings along the axis add up to the way from end to end."""
    site = solved().site
    assert site is not None
    total = sum(run.bays[0].top_rail.length_mm for run in site.railings.values())
    for mark, low, _ in JOINTS:
        easing = site.railings[low].uphill_post.easing
        assert easing is not None, mark
        total += easing.over_all_mm - 2 * easing.kit.insertion_mm
    level = [site.railings[run] for run in "AC"]
    flight = site.railings["B"]
    points = []
    for railing, end in zip(level, ("downhill", "uphill"), strict=True):
        rail = railing.bays[0].top_rail
        points.append(getattr(rail, end).u_axis_mm)
    eased = [site.railings[run].uphill_post.easing for run in "AB"]
    own = [site.railings[run].downhill_post.easing for run in "BC"]
    assert all(eased)
    assert all(own)
    tangents = [2 * e.tangent_mm - e.arc_mm for e in eased]
    straight = (
        (eased[0].meet[0] - points[0])
        + (eased[1].meet[0] - own[0].meet[0]) / math.cos(flight.line.rake_rad)
        + (points[1] - own[1].meet[0])
    )
    assert total == pytest.approx(straight - sum(tangents), abs=1e-6)

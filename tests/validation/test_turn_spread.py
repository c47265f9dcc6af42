"""The gap at a rail's end: along the adjusted bearings, and what the plan's readings leave of it.

Reference: shapely (GEOS) distances between outlines built here from the adjusted places.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon
from turn_job import TURN

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.load import load_job
from railsheet.layout.site_model import Site
from railsheet.layout.turn import TurnKind
from railsheet.layout.turn_spread import turn_sigma_mm

SIDE = 50.8


def solved(tmp_path: Path, *changes: tuple[str, str], more: str = "") -> SolvedJob:
    text = TURN.replace("UNITS", "mm").replace("P2X", "140.8 mm")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = tmp_path / "turn.toml"
    path.write_text(text + more, encoding="utf-8")
    return solve_job(load_job(path))


def square(at: tuple[float, float], turned: float) -> Polygon:
    half = SIDE / math.sqrt(2)
    ways = [turned + math.pi / 4 + n * math.pi / 2 for n in range(4)]
    return Polygon([(at[0] + half * math.cos(w), at[1] + half * math.sin(w)) for w in ways])


def clear_mm(site: Site, places: Mapping[str, tuple[float, float]]) -> float:
    """Between posts P1 and P2, each turned with its own run through the places given."""

    def way(start: str, end: str) -> float:
        (x0, y0), (x1, y1) = places[start], places[end]
        return math.atan2(y1 - y0, x1 - x0)

    assert site.turns[0].kind is TurnKind.OPENING
    one, other = square(places["P1"], way("W1", "P1")), square(places["P2"], way("P2", "W2"))
    return float(one.distance(other))


DISAGREES = """
[plan]
bearings_good_to = 1

[[diagonal]]
from = "P1"
to = "W2"
D = "1790 mm"

[[diagonal]]
from = "W1"
to = "W2"
D = "2372 mm"
"""


def test_the_gap_follows_the_bearings_as_adjusted(tmp_path: Path) -> None:
    """A diagonal that disagrees with the stated bearings turns the runs, and their posts."""
    job = solved(tmp_path, ("bearing = 90", "bearing = 92"), more=DISAGREES)
    site = job.site
    assert site is not None
    assert site.survey is not None
    assert site.survey.redundancy == 2
    for mark, run in (("P1", "A"), ("P2", "B")):
        stated = math.radians(92.0 if run == "A" else 0.0)
        adjusted = site.legs[run].bearing_rad
        assert abs(math.remainder(adjusted - stated, math.tau)) > 1e-3
        off = math.remainder(site.posts[mark].turned_rad - adjusted, math.pi / 2)
        assert off == pytest.approx(0.0, abs=1e-9)
    places = {mark: post.at_mm for mark, post in site.posts.items()}
    assert all(places[m] == pytest.approx(at) for m, at in site.survey.places_mm.items())
    assert site.turns[0].clear_mm == pytest.approx(clear_mm(site, places), abs=1e-6)


def test_a_stated_bearing_alone_moves_no_post_off_it(tmp_path: Path) -> None:
    site = solved(tmp_path).site
    assert site is not None
    assert all(m.lies_rad == m.way_rad for post in site.posts.values() for m in post.meetings)


def test_parallel_faces_scatter_as_the_bearing_swings_the_post(tmp_path: Path) -> None:
    """By hand: the post stands 1600 mm out, and the gap is square to the way there."""
    job = solved(tmp_path, more="\n[plan]\nbearings_good_to = 0.2\n")
    site = job.site
    assert site is not None
    sigma = turn_sigma_mm(site, site.turns[0])
    assert sigma == pytest.approx(1600.0 * math.radians(0.2), rel=1e-6)
    assert job.book.sigma("site.turn.1.clear") == pytest.approx(sigma)
    findings = [
        finding
        for work in job.runs
        if work.checks is not None
        for turn in work.checks.turns
        for finding in turn.findings
    ]
    assert findings
    assert all(finding.sigma == pytest.approx(sigma) for finding in findings)


@pytest.mark.parametrize("bearing", [90, 92, 100])
def test_the_spread_is_the_covariance_seen_along_the_gap(tmp_path: Path, bearing: int) -> None:
    """Slopes by moving one place at a time and measuring with shapely, then propagation."""
    more = DISAGREES if bearing == 92 else "\n[plan]\nbearings_good_to = 0.3\n"
    job = solved(tmp_path, ("bearing = 90", f"bearing = {bearing}"), more=more)
    site = job.site
    assert site is not None
    survey = site.survey
    assert survey is not None
    at = dict(survey.places_mm)
    step, slopes = 1e-3, []
    for axis, mark in survey.unknowns:
        sides = []
        for by in (step, -step):
            x, y = at[mark]
            moved = {**at, mark: (x + by, y) if axis == "x" else (x, y + by)}
            sides.append(clear_mm(site, moved))
        slopes.append((sides[0] - sides[1]) / (2 * step))
    row = np.array(slopes)
    expected = math.sqrt(float(row @ survey.covariance_mm2 @ row))
    assert expected > 0.1
    assert turn_sigma_mm(site, site.turns[0]) == pytest.approx(expected, rel=1e-4)

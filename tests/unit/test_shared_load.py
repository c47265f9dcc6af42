"""The load at a post that runs share: vectors added by complex numbers, and known corners."""

from __future__ import annotations

import cmath
import math
from pathlib import Path

import pytest
from deck_job import BARE_DECK
from hypothesis import given
from hypothesis import strategies as st

from railsheet.checks.amount import Kind
from railsheet.checks.choose import limits_for
from railsheet.checks.demand import loads_among
from railsheet.checks.load_statement import load_statement
from railsheet.checks.measured import level_situation
from railsheet.checks.profile import load_profile
from railsheet.checks.shared_load import Lean, leans_of, shared_demands
from railsheet.checks.statics import post_demands
from railsheet.cli.solve import job_profile
from railsheet.job.load import load_job
from railsheet.job.site import Building, FlightSite
from railsheet.layout.flight import solve_flight
from railsheet.layout.site import solve_site
from railsheet.survey.flight import survey_flight

ROOT = Path(__file__).parent.parent.parent
PROFILE = load_profile(ROOT / "railsheet" / "data" / "codes" / "ibc-2024.toml")


SITUATION = level_situation(
    Building(dwelling=False, outdoors=True), FlightSite(edge="open", drop_mm=1600.0)
)
LOADS = loads_among(limits_for(PROFILE, SITUATION).applying)
assert LOADS.uniform is not None
W = LOADS.uniform.bounds[0].value
lean = st.builds(
    Lean,
    run=st.just("A"),
    along_mm=st.floats(100, 1500),
    height_mm=st.floats(800, 1200),
    out_rad=st.floats(0, math.tau),
)


def by_name(demands):
    return {demand.what: demand.value for demand in demands}


SQUARE = "load all along, square to each rail"
ONE_WAY = "load all along, all one way"


@given(st.lists(lean, min_size=2, max_size=4))
def test_vectors_add_and_no_direction_exceeds_all_one_way(leans: list[Lean]) -> None:
    # Source: complex numbers as plane vectors.
    found = by_name(shared_demands(leans, LOADS))
    force = abs(sum(W * x.along_mm * cmath.exp(1j * x.out_rad) for x in leans))
    turn = abs(sum(W * x.along_mm * x.height_mm * cmath.exp(1j * x.out_rad) for x in leans))
    assert found[f"post base shear, {SQUARE}"] == pytest.approx(force, abs=1e-6)
    assert found[f"post base moment, {SQUARE}"] == pytest.approx(turn, rel=1e-9, abs=1e-3)
    assert found[f"post base shear, {ONE_WAY}"] >= force - 1e-9
    assert found[f"post base moment, {ONE_WAY}"] >= turn - 1e-6


def test_a_straight_joint_is_one_rail_and_a_square_corner_is_pythagoras() -> None:
    half, high = 700.0, 1000.0
    straight = by_name(
        shared_demands([Lean("A", half, high, 1.0), Lean("B", half, high, 1.0)], LOADS)
    )
    plain = by_name(post_demands(high, 2 * half, LOADS))
    for what in ("moment", "shear"):
        whole = plain[f"post base {what}, load all along"]
        assert straight[f"post base {what}, {SQUARE}"] == pytest.approx(whole)
        assert straight[f"post base {what}, {ONE_WAY}"] == pytest.approx(whole)
        one = plain[f"post base {what}, one load at the post"]
        assert straight[f"post base {what}, one load at the post"] == pytest.approx(one)
    corner = by_name(
        shared_demands([Lean("A", 300.0, high, 0.0), Lean("B", 400.0, high, math.pi / 2)], LOADS)
    )
    # Source: 3, 4, 5.
    assert corner[f"post base shear, {SQUARE}"] == pytest.approx(W * 500.0)
    assert corner[f"post base moment, {SQUARE}"] == pytest.approx(W * 500.0 * high)
    assert corner[f"post base shear, {ONE_WAY}"] == pytest.approx(W * 700.0)


def test_the_rails_of_a_corner_lean_out_square_to_both(tmp_path: Path) -> None:
    path = tmp_path / "deck.toml"
    head = 'kit = "dunlin"'
    path.write_text(BARE_DECK.replace(head, f'{head}\ncode = "ibc-2024"'), encoding="utf-8")
    job = load_job(path)
    site = solve_site(
        job,
        lambda spec: solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file),
    )
    leans = leans_of(site)
    first, second = leans["P1"]
    # Runs D (away from the house) and E (along x), both railed on the left: the deck's left corner.
    assert (first.run, second.run) == ("D", "E")
    assert first.out_rad == pytest.approx(math.pi)
    assert second.out_rad == pytest.approx(math.pi / 2)
    end = site.railings["D"].bays[-1]
    assert first.along_mm == pytest.approx(end.clear_mm / 2)
    assert first.height_mm == pytest.approx(36.25 * 25.4)
    assert "W1" not in leans, "one run alone"
    profile = job_profile(job)
    assert profile is not None
    for mark in ("D", "E"):
        stated = load_statement(profile, site.railings[mark], SITUATION, leans)
        rows = [row for row in stated.rows if row.part == "post P1, runs D and E"]
        assert len(rows) == 6
        worst = max(row.demand.value for row in rows if row.demand.kind is Kind.FORCE)
        assert worst >= W * (first.along_mm + second.along_mm) - 1e-9
        for row in rows:
            left, right = row.demand.formula.split(" = ")
            assert left in "MV"
            assert all(term.symbol in right for term in row.demand.terms)


def test_half_the_span_that_leans_on_a_post_lies_along_the_rake(station) -> None:
    site = station()
    for leans in leans_of(site).values():
        for one in leans:
            bays = site.railings[one.run].bays
            # The end of the bay's rail lines, by Pythagoras: its clear distance and its rise.
            spans = [
                math.hypot(bay.clear_mm, bay.line.z_at(bay.clear_mm) - bay.line.z_at(0.0))
                for bay in (bays[0], bays[-1])
            ]
            assert any(one.along_mm == pytest.approx(span / 2) for span in spans), one.run
    raked = [x for leans in leans_of(site).values() for x in leans if x.run in ("A", "B")]
    assert raked


def test_each_demands_formula_names_what_it_is_summed_from() -> None:
    leans = [Lean("A", 300.0, 1000.0, 0.0), Lean("B", 400.0, 900.0, math.pi / 2)]
    said = {demand.what: demand.formula for demand in shared_demands(leans, LOADS)}
    assert said[f"post base moment, {ONE_WAY}"] == "M = w·(t1·h1 + t2·h2)"
    assert said[f"post base shear, {ONE_WAY}"] == "V = w·(t1 + t2)"

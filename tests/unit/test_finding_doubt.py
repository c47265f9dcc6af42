"""The spreads of checked figures: by hand where the figure is a plain sum of readings."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest

from railsheet.checks.flight_checks import check_flight
from railsheet.checks.limit import Quantity
from railsheet.cli.solve import job_profile
from railsheet.figures.finding_doubt import finding_sigmas
from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.layout.flight_again import FlightAgain
from railsheet.survey.flight import survey_flight
from railsheet.survey.spreads import tape_sigma_mm


@pytest.fixture
def findings(job_file):
    job = load_job(job_file(('rail_height = "36"', 'rail_height = "36 1/4"')))
    spec, profile = job.flights[0], job_profile(job)
    assert profile is not None
    survey = survey_flight(spec.readings)
    railing = solve_flight(survey.stair, spec, job.kit, job.file)

    again = FlightAgain(railing, job.file)
    doubting = partial(finding_sigmas, job, survey, spec, profile, again, railing)
    return spec, check_flight(railing, job.building, profile, doubting).findings


# With no reading more than needed a riser is its own reading, so its sigma is the tape's.
def test_a_riser_scatters_as_its_reading_does(findings) -> None:
    spec, found = findings
    (riser,) = [f for f in found if f.where == "riser 4" and f.limit.key == "riser_height"]
    read = 7.5625 * 25.4
    step = spec.readings.instruments.read_to_mm
    assert riser.sigma == pytest.approx(tape_sigma_mm(read, step), rel=1e-6)


def test_what_does_not_rest_on_the_survey_has_no_spread(findings) -> None:
    _, found = findings
    heights = [f for f in found if f.limit.quantity is Quantity.HANDRAIL_HEIGHT]
    assert heights
    assert all(f.sigma is None for f in heights)
    assert any(f.sigma for f in found if f.limit.quantity is Quantity.GUARD_HEIGHT)


# Openings near a limit have a spread, openings far from every limit are not asked for one.
def test_openings_have_a_spread_where_it_could_matter(findings) -> None:
    _, found = findings
    openings = [f for f in found if f.limit.quantity is Quantity.TRIANGLE_OPENING]
    near = [f for f in openings if f.margin is not None and abs(f.margin) < 3.9]
    far = [f for f in openings if f.margin is not None and abs(f.margin) > 4.1]
    assert near
    assert far
    assert all(f.sigma is not None and 0.1 < f.sigma < 2.0 for f in near)
    assert all(f.sigma is None for f in far)


def test_unsure_is_a_margin_under_two_sigmas(findings) -> None:
    _, found = findings
    one = next(f for f in found if f.sigma is not None and f.margin is not None)
    assert replace(one, margin=1.99 * one.sigma).unsure
    assert replace(one, margin=-1.99 * one.sigma).unsure
    assert not replace(one, margin=2.01 * one.sigma).unsure

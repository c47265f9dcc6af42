"""Doubts with the rail's line taken apart, against the whole solve differentiated.

``flight_doubts`` over the whole solve, line and all, is the reference: what was done before.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from railsheet.cuts.pieces import cut_pieces
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook, Kind
from railsheet.figures.doubt import AlongLine, Doubt, doubts_along, flight_doubts
from railsheet.figures.flight import deviation_key, deviation_mm, enter_flight
from railsheet.figures.moved_figures import MovedFigures
from railsheet.job.load import load_job
from railsheet.job.model import FlightSpec, Job
from railsheet.job.rail_rule import Rule
from railsheet.layout.flight import solve_flight
from railsheet.layout.flight_again import FlightAgain
from railsheet.layout.rail_line import RailLine, least_squares_line
from railsheet.survey.flight import Survey, survey_flight
from railsheet.survey.stair import Stair

SAMPLES = sorted((Path(__file__).parent.parent.parent / "samples").glob("*.toml"))


def entered(job: Job, stair: Stair, spec: FlightSpec) -> dict[str, float]:
    """A flight's lengths and angles, solved and entered from the start."""
    railing = solve_flight(stair, spec, job.kit, job.file)
    book = FigureBook(job.tape)
    enter_flight(book, railing, cut_pieces(railing), (), ())
    return {each.key: each.value for each in book if each.kind in (Kind.LENGTH, Kind.ANGLE)}


def apart(job: Job, survey: Survey, spec: FlightSpec, *, told: bool = True) -> tuple[Doubt, ...]:
    again = FlightAgain(solve_flight(survey.stair, spec, job.kit, job.file), job.file)
    moved = MovedFigures(job.tape)

    def figures(stair: Stair, wishes: FlightSpec, line: RailLine) -> dict[str, float]:
        return moved.of(again.along(stair, wishes, line))

    def greatest(stair: Stair, wishes: FlightSpec, line: RailLine) -> dict[str, float]:
        if not told:
            return {}
        return {deviation_key(spec.mark): deviation_mm(line, stair, wishes.rail_height_mm)}

    return doubts_along(survey, spec, AlongLine(again.line, figures, greatest))


def whole(job: Job, survey: Survey, spec: FlightSpec) -> tuple[Doubt, ...]:
    return flight_doubts(survey, spec, lambda stair, wishes: entered(job, stair, wishes))


def alike(found: tuple[Doubt, ...], expected: tuple[Doubt, ...]) -> None:
    """Key by key and in order; a sigma to a millionth of a mm or rad and of itself."""
    assert expected
    assert [each.key for each in found] == [each.key for each in expected]
    for one, other in zip(found, expected, strict=True):
        assert one.sigma == pytest.approx(other.sigma, rel=1e-6, abs=1e-6), one.key
        if one.take == other.take:
            then = pytest.approx(other.sigma_then, rel=1e-6, abs=1e-6)
            assert one.sigma_then == then, one.key


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_doubts_are_those_of_the_whole_solve_in_every_sample(sample: Path) -> None:
    job = load_job(sample)
    for spec in job.flights:
        survey = survey_flight(spec.readings)
        alike(apart(job, survey, spec), whole(job, survey, spec))


# The best straight rail leaves three noses equally far off: their greatest miss has no slope by
# the line and a nose apart, only by both together.
@pytest.mark.parametrize("told", [True, False])
def test_the_greatest_of_equals_is_moved_with_the_line(job_file, told: bool) -> None:
    job = load_job(job_file())
    spec = replace(job.flights[0], rail_rule=Rule.LEAST_GREATEST_DEVIATION)
    survey = survey_flight(spec.readings)
    expected = whole(job, survey, spec)
    assert any(d.key == "A.deviation" and d.sigma > 0.1 for d in expected)
    alike(apart(job, survey, spec, told=told), expected)


@pytest.fixture
def porch(job_file) -> tuple[Survey, FlightSpec, RailLine]:
    spec = load_job(job_file()).flights[0]
    survey = survey_flight(spec.readings)
    return survey, spec, least_squares_line(survey.stair.noses, spec.rail_height_mm)


def along(figures) -> AlongLine:
    return AlongLine(
        lambda stair, wishes: least_squares_line(stair.noses, wishes.rail_height_mm),
        figures,
        lambda _stair, _wishes, _line: {},
    )


def test_a_choice_that_turns_on_one_side_leaves_the_others_slope(porch) -> None:
    survey, spec, nominal = porch
    plain = doubts_along(survey, spec, along(lambda s, w, line: {"start": line.start_mm}))

    def turns_where_lower(_stair, _wishes, line: RailLine) -> dict[str, float]:
        if line.start_mm < nominal.start_mm - 1e-9:
            return {"another": 0.0}
        return {"start": line.start_mm}

    def refuses_what_is_steeper(_stair, _wishes, line: RailLine) -> dict[str, float]:
        if line.slope > nominal.slope + 1e-12:
            raise BadInput("a test", "a place", "", "too steep")
        return {"start": line.start_mm}

    for figures in (turns_where_lower, refuses_what_is_steeper):
        (doubt,) = doubts_along(survey, spec, along(figures))
        assert doubt.sigma == pytest.approx(plain[0].sigma, rel=1e-6)


def test_where_any_change_of_the_line_or_below_it_turns_a_choice_there_is_no_slope(porch) -> None:
    survey, spec, nominal = porch

    def by_line(_stair, _wishes, line: RailLine) -> dict[str, float]:
        return {"one": 1.0} if line == nominal else {"other": 1.0}

    def below(stair: Stair, _wishes, _line) -> dict[str, float]:
        return {"one": 1.0} if stair.noses[2] == survey.stair.noses[2] else {"other": 1.0}

    for figures in (by_line, below):
        assert doubts_along(survey, spec, along(figures)) == ()


def test_line_posts_stay_on_the_treads_they_were_put_on() -> None:
    job = load_job(SAMPLES[[path.stem for path in SAMPLES].index("long-handrail")])
    spec = job.flights[0]
    survey = survey_flight(spec.readings)
    railing = solve_flight(survey.stair, spec, job.kit, job.file)
    assert any(post.through for post in railing.posts)
    again = FlightAgain(railing, job.file)
    line = again.line(survey.stair, spec)
    same = again.along(survey.stair, spec, line)
    assert replace(same, notices=railing.notices) == railing
    # Below the line as it stands a nose that no post stands by moves nothing but itself.
    stood_by = {n for post in railing.posts for n in (post.spec.surface, post.spec.surface + 1)}
    number = next(n for n in range(2, len(survey.stair.noses)) if n not in stood_by)
    nose = survey.stair.nose(number)
    noses = list(survey.stair.noses)
    noses[number - 1] = replace(nose, z_mm=nose.z_mm + 0.01)
    other = again.along(replace(survey.stair, noses=tuple(noses)), spec, line)
    assert other.posts is same.posts
    assert all(one is two for one, two in zip(other.bays, same.bays, strict=True))

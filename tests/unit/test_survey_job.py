"""Readings that check each other, from the job file to the notices."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.errors import BadInput
from railsheet.job.load import load_job
from railsheet.job.rail_rule import Rule
from railsheet.layout.notice import Weight
from railsheet.survey.flight import survey_flight
from railsheet.survey.stair import stair_from_readings

CROOKED = Path(__file__).parent.parent.parent / "samples" / "crooked-garden-stair.toml"
RISERS = 'R = ["7 1/4", "7 1/2", "7 7/16", "7 9/16", "7 3/8", "7 1/2"]'
RUNS = 'T = ["10 1/2", "10 3/8", "10 5/8", "10 1/2", "10 7/16"]'
BLANK_RUN = 'T = ["10 1/2", "10 3/8", "", "10 1/2", "10 7/16"]'
HEIGHT = 'rail_height = "36"'


def told(solved: SolvedJob) -> list[str]:
    return [notice.text(solved.job.tape) for notice in solved.notices]


def test_single_readings_come_back_bit_for_bit_and_unchecked(job_file) -> None:
    job = load_job(job_file())
    readings = job.flights[0].readings
    survey = survey_flight(readings)
    assert survey.stair == stair_from_readings(readings)
    assert survey.adjustment.s_mm == tuple(nose.s_mm for nose in survey.stair.noses)
    assert survey.adjustment.z_mm == tuple(nose.z_mm for nose in survey.stair.noses)
    assert not survey.adjustment.checked
    notices = solve_job(job).notices
    unchecked = [notice for notice in notices if notice.topic == "unchecked"]
    assert [notice.weight for notice in unchecked] == [Weight.LOOK]
    assert "nothing could be checked" in unchecked[0].words


def test_the_planted_misreading_is_named_in_words() -> None:
    solved = solve_job(load_job(CROOKED))
    suspects = [n for n in solved.notices if n.topic == "suspect reading"]
    assert [n.weight for n in suspects] == [Weight.STOP]
    text = suspects[0].text(solved.job.tape)
    assert text == 'riser 4 reads 7 1/4"; the rest imply 7 3/4": measure again'


def test_the_reading_put_right_is_no_longer_suspect(tmp_path) -> None:
    text = CROOKED.read_text(encoding="utf-8")
    wrong = '"7 7/16", "7 1/4", "7 3/8", "7 1/2"]'
    assert wrong in text
    path = tmp_path / "right.toml"
    path.write_text(text.replace(wrong, '"7 7/16", "7 3/4", "7 3/8", "7 1/2"]'), encoding="utf-8")
    solved = solve_job(load_job(path))
    assert not [n for n in solved.notices if n.topic in ("suspect reading", "readings disagree")]
    test = solved.works[0].survey.adjustment.test
    assert test is not None
    assert test.passes


def test_a_run_not_taken_comes_from_the_total_run(job_file) -> None:
    solved = solve_job(load_job(job_file((RUNS, BLANK_RUN + '\nL = "52 7/16"'))))
    runs = solved.works[0].railing.stair.runs_mm
    assert runs[2] == pytest.approx(10.625 * 25.4, abs=1e-9)
    assert any("nothing could be checked" in text for text in told(solved))


def test_an_underdetermined_flight_says_what_to_take(job_file) -> None:
    with pytest.raises(BadInput) as caught:
        solve_job(load_job(job_file((RUNS, BLANK_RUN))))
    assert "take run 3 or total run" in str(caught.value)
    assert "flight A > readings" in str(caught.value)


@pytest.mark.parametrize(
    ("extra", "place", "says"),
    [
        ('U = ["7 1/4"]', "readings > U", "noses 1 to 6"),
        ('A = ["", "", "", "", "", ""]', "readings > A", "noses 2 to 6"),
        ('D = { "6-1" = "64" }', "readings > D > 6-1", "the lower first"),
        ('D = { "1-9" = "64" }', "readings > D > 1-9", "two noses of this flight"),
        ('P = { "1-6" = 95 }', "readings > P > 1-6", "from 1 to 80"),
        ('Z = { wall = ["60"] }', "readings > Z > wall", "so 7"),
        ('H = "1"', "readings > H", "allowed is"),
        ('spread = { "D 1-6" = "1/8" }', "spread > D 1-6", "no such reading"),
        ('spread = { R = "12" }', "spread > R", "allowed is"),
        ('levelled_by = "eye"', "levelled_by", "laser line, water level"),
    ],
)
def test_a_wrong_extra_reading_has_its_message(job_file, extra, place, says) -> None:
    with pytest.raises(BadInput) as caught:
        load_job(job_file((RUNS, f"{RUNS}\n{extra}")))
    assert place in str(caught.value)
    assert says in str(caught.value)


def test_stated_spreads_reach_their_readings(job_file) -> None:
    extra = 'D = { "1-6" = "64 5/16" }\nspread = { R = "1/8", "R 2" = "1/4", D = "3/8" }'
    survey = survey_flight(load_job(job_file((RUNS, f"{RUNS}\n{extra}"))).flights[0].readings)
    spreads = {reading.key: reading.sigma / 25.4 for reading in survey.readings}
    assert spreads["R 1"] == pytest.approx(1 / 8)
    assert spreads["R 2"] == pytest.approx(1 / 4)
    assert spreads["D 1-6"] == pytest.approx(3 / 8)
    assert spreads["T 1"] < 1 / 16


def test_the_rule_is_least_squares_unless_a_band_or_a_rule_is_given(job_file) -> None:
    plain, banded, named = (
        load_job(job_file((HEIGHT, HEIGHT + extra))).flights[0]
        for extra in ("", '\nband = ["34", "38"]', '\nrail_line = "never below"')
    )
    assert (plain.rail_rule, plain.band_mm) == (Rule.LEAST_SQUARES, None)
    assert banded.rail_rule is Rule.LEAST_GREATEST_DEVIATION
    assert named.rail_rule is Rule.NEVER_BELOW


def test_the_least_greatest_deviation_of_the_first_flight(job_file) -> None:
    # Source: the figures stated with the task: 0.046875 in, slope 0.7113095, rake 35.4246 degrees.
    job = load_job(job_file((HEIGHT, HEIGHT + '\nband = ["34", "38"]')))
    solved = solve_job(job)
    line = solved.works[0].railing.line
    assert line.slope == pytest.approx(0.7113095, abs=5e-8)
    assert math.degrees(line.rake_rad) == pytest.approx(35.4246, abs=5e-5)
    assert solved.book.value("A.deviation") / 25.4 == pytest.approx(0.046875, abs=1e-9)


def test_never_below_is_never_below(job_file) -> None:
    job = load_job(job_file((HEIGHT, HEIGHT + '\nrail_line = "never below"')))
    railing = solve_job(job).works[0].railing
    heights = [railing.line.height_over(nose) / 25.4 for nose in railing.stair.noses]
    assert min(heights) == pytest.approx(36.0, abs=1e-9)
    # Twice the least greatest deviation: the noses' width does not depend on the wanted height.
    assert max(heights) == pytest.approx(36.0 + 2 * 0.046875, abs=1e-9)


def test_a_band_no_straight_rail_keeps_stops_and_still_draws(job_file) -> None:
    solved = solve_job(load_job(job_file((HEIGHT, HEIGHT + '\nband = ["36", "36 1/16"]'))))
    (notice,) = (n for n in solved.notices if n.topic == "band")
    assert notice.weight is Weight.STOP
    # 0.09375 in wide against a band of 0.0625 in; shown to the nearest sixteenth.
    lengths = dict(notice.lengths_mm)
    assert lengths["excess"] / 25.4 == pytest.approx(0.03125, abs=1e-9)
    assert lengths["deviation"] / 25.4 == pytest.approx(0.046875, abs=1e-9)
    assert "Cures, the easiest first" in notice.words
    assert solved.works[0].railing.line.slope == pytest.approx(0.7113095, abs=5e-8)


def test_an_upside_down_band_is_refused(job_file) -> None:
    with pytest.raises(BadInput, match="the least first"):
        load_job(job_file((HEIGHT, HEIGHT + '\nband = ["38", "34"]')))

"""The ± of figures: what is worth reading again, and when it is printed."""

from __future__ import annotations

import math

import pytest

from railsheet.cli.solve import solve_job
from railsheet.figures.record import figure_record
from railsheet.job.load import load_job

RUNS = 'T = ["10 1/2", "10 3/8", "10 5/8", "10 1/2", "10 7/16"]'


def test_the_total_rise_scatters_as_the_root_of_its_risers(job_file) -> None:
    solved = solve_job(load_job(job_file()))
    risers = [r.sigma for r in solved.works[0].survey.readings if r.key.startswith("R")]
    expected = math.sqrt(sum(sigma**2 for sigma in risers))
    assert solved.book.sigma("A.total_rise") == pytest.approx(expected, rel=1e-6)


def test_a_figure_that_no_reading_moves_has_no_scatter(job_file) -> None:
    solved = solve_job(load_job(job_file()))
    assert solved.book.sigma("A.rail_height_wanted") == 0.0
    assert "A.rail_height_wanted.plus_minus" not in solved.book


def test_the_reading_worth_taking_lessens_the_figure_as_said(job_file) -> None:
    solved = solve_job(load_job(job_file()))
    doubt = next(d for d in solved.works[0].doubts if d.key == "A.total_rise")
    assert doubt.take == "total rise"
    rise = solved.book.value("A.total_rise") / 25.4
    assert rise == pytest.approx(44.625)
    taken = solve_job(load_job(job_file((RUNS, f'{RUNS}\nH = "44 5/8"'))))
    assert taken.book.sigma("A.total_rise") == pytest.approx(doubt.sigma_then, rel=1e-6)
    assert doubt.sigma_then < doubt.sigma


def test_the_plus_minus_is_printed_only_past_the_tape(job_file) -> None:
    solved = solve_job(load_job(job_file()))
    book = solved.book
    assert book.text_within("A.rake") == "35.5° ± 0.2°"
    step = book.tape.step_mm
    for doubt in solved.works[0].doubts:
        if book[doubt.key].kind.value == "length":
            assert (f"{doubt.key}.plus_minus" in book) == (2 * doubt.sigma > step)
    assert book.value("A.bay.1.clear.plus_minus") == 2 * book.sigma("A.bay.1.clear")


def test_stated_spreads_of_nothing_much_leave_nothing_in_doubt(job_file) -> None:
    fine = "spread = { R = 0.002, T = 0.002 }"
    solved = solve_job(load_job(job_file((RUNS, f"{RUNS}\n{fine}"))))
    assert "A.rake.plus_minus" not in solved.book
    assert "A.nose.3.rail_height.plus_minus" not in solved.book


def test_sigma_is_recorded_in_the_figures_own_unit(job_file) -> None:
    solved = solve_job(load_job(job_file()))
    figures = figure_record(solved.book, solved.job, solved.notices, {})["figures"]
    sigma = solved.book.sigma("A.total_rise")
    assert figures["A.total_rise"]["sigma"] == pytest.approx(sigma / 25.4)
    degrees = math.degrees(solved.book.sigma("A.rake"))
    assert figures["A.rake"]["sigma"] == pytest.approx(degrees)
    assert "sigma" not in figures["A.bay.1.balusters"]

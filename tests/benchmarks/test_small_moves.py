"""What one stair near the measured one costs, in things done: never seconds.

The readings' doubt solves a flight again for every small move, so these counts are what a long
flight's check waits for.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from long_flight import long_flight

from railsheet.checks import opening, openings_of
from railsheet.cli.solve import solve_job
from railsheet.job.kit_infill import GapKit
from railsheet.job.load import load_job
from railsheet.layout import flight_again, long_run
from railsheet.layout.punched import Punching

SAMPLES = Path(__file__).parent.parent.parent / "samples"
TREADS = 58


class Count:
    """Calls of a function that some of its arguments make count."""

    def __init__(self, function, counts=lambda *_: True) -> None:
        self.function, self.counts, self.calls = function, counts, 0

    def __call__(self, *given):
        self.calls += bool(self.counts(*given))
        return self.function(*given)


def test_line_posts_are_sought_on_every_tread_only_a_few_times(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    stretches = tuple(
        long_run.Stretch(n, n * 267.0 + 60 + n % 5, n * 267.0 + 170 + n % 3)
        for n in range(1, TREADS)
    )
    ends = long_run.RunEnds((0.0, 0.0), (TREADS * 267.0, TREADS * 267.0))
    punching = Punching(115.0, 20.0, GapKit(50.0, 95.0))
    onto = Count(long_run._onto, lambda _layer, _reaches, on, _within: len(on) > 1)
    monkeypatch.setattr(long_run, "_onto", onto)
    placed = long_run.place_line_posts(ends, stretches, punching, 50.0, 1828.8)
    assert placed is not None
    bays = len(placed.balusters)
    assert bays >= 8
    # Halving the ease over every tread alone would ask 52 times for every bay.
    assert onto.calls <= 20 * bays


def test_circles_are_found_together_and_only_where_they_are_wanted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    railing = solve_job(load_job(SAMPLES / "porch-flight.toml")).works[0].railing
    circles = Count(opening._circles_of)
    infill = Count(openings_of._left_open)
    monkeypatch.setattr(opening, "_circles_of", circles)
    monkeypatch.setattr(openings_of, "_left_open", infill)
    every = openings_of.openings_of(railing)
    assert len(every) > 10
    # One for each number of corners, and again for those that lean on their neighbours.
    assert circles.calls <= 6
    assert infill.calls == len(railing.bays)
    step = next(each for each in every if each.sort is openings_of.Sort.STEP)
    assert openings_of.openings_of(railing, {step.where}) == (step,)
    assert infill.calls == len(railing.bays)


def test_a_small_move_makes_again_only_what_it_moves(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    job = load_job(long_flight(tmp_path, 30))
    circles = Count(opening._circles_of)
    bays = Count(flight_again.fill_bay)
    posts = Count(flight_again.standing_posts)
    monkeypatch.setattr(opening, "_circles_of", circles)
    monkeypatch.setattr(flight_again, "fill_bay", bays)
    monkeypatch.setattr(flight_again, "standing_posts", posts)
    work = solve_job(job).works[0]
    moves = 2 * len(work.survey.adjustment.unknowns)
    assert moves > 100
    assert any(finding.sigma for finding in work.checks.findings)
    # For the flight itself, and hardly again: each move would ask for one at the least.
    assert circles.calls <= 12
    # The line is moved four times; the treads under the posts move posts, and bays with them.
    made = len(work.railing.bays)
    assert made >= 4
    assert bays.calls <= 12 * made
    assert posts.calls <= moves / 2

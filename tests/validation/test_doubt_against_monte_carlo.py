"""The ± of every figure against a simulation of the readings.

Source: the method is JCGM 101:2008 (propagation of distributions by Monte Carlo), from memory; the
draws are numpy's. The linear figures must agree with the simulated scatter.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from railsheet.cli.solve import solve_job
from railsheet.cuts.pieces import cut_pieces
from railsheet.figures.book import FigureBook, Kind
from railsheet.figures.flight import enter_flight
from railsheet.figures.post_readings import post_readings
from railsheet.job.load import load_job
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.flight import solve_flight
from railsheet.survey.flight import survey_flight

CROOKED = Path(__file__).parent.parent.parent / "samples" / "crooked-garden-stair.toml"
DRAWS = 400
# The scatter of a standard deviation from N draws is about 1/√(2N), 3.5 %; four of those.
WITHIN = 4 / math.sqrt(2 * DRAWS)


def misread(job: Job, spec: FlightSpec, rng: np.random.Generator) -> FlightSpec:
    """The flight with every reading drawn afresh about what the file has."""
    survey = survey_flight(spec.readings)
    drawn = {r.key: r.read + rng.normal(0.0, r.sigma) for r in survey.readings}
    readings = spec.readings
    readings = replace(
        readings,
        risers_mm=tuple(drawn.get(f"R {k}") for k in range(1, len(readings.risers_mm) + 1)),
        runs_mm=tuple(drawn.get(f"T {k}") for k in range(1, len(readings.runs_mm) + 1)),
        more=tuple(replace(taken, value=drawn[taken.key]) for taken in readings.more),
    )
    made = replace(spec, readings=readings)
    for post in post_readings(spec):
        made = post.put(made, post.value_mm + rng.normal(0.0, post.sigma_mm))
    return made


def figures(job: Job, spec: FlightSpec) -> dict[str, float]:
    book = FigureBook(job.tape)
    railing = solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)
    enter_flight(book, railing, cut_pieces(railing), (), ())
    return {f.key: f.value for f in book if f.kind in (Kind.LENGTH, Kind.ANGLE)}


def test_linear_scatter_is_the_simulated_scatter(tmp_path) -> None:
    text = CROOKED.read_text(encoding="utf-8")
    text = text.replace('band = ["34", "38"]', 'rail_line = "least squares"')
    # The misreading put right, so that the simulated stairs are those the figures are about.
    text = text.replace('"7 1/4", "7 3/8", "7 1/2"]', '"7 3/4", "7 3/8", "7 1/2"]')
    # A wish for the free post's place, or two windows equally good would change places by chance.
    text = text.replace('place = "free"', 'place = "free"\nE = "5 1/4"')
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    job = load_job(path)
    spec = job.flights[0]
    book = solve_job(job).book
    rng = np.random.default_rng(20261125)
    seen = [figures(job, misread(job, spec, rng)) for _ in range(DRAWS)]
    chosen = "A.bay.1.baluster.13.from_face"
    assert all(chosen in s and chosen.replace("13", "14") not in s for s in seen)
    for key in (
        "A.rake",
        "A.bay.1.rail.top.length",
        "A.bay.1.diagonal.rising",
        "A.post.bottom.height",
        "A.bay.1.gap",
        "A.bay.1.clear",
        "A.post.top.height",
        "A.post.top.cut_off",
        "A.window.13.gaps_from",
        "A.bay.1.spacing",
        "A.nose.3.rail_height",
        "A.nose.5.rail_height",
        "A.total_rise",
        "A.run.3",
    ):
        sigma = book.sigma(key)
        assert sigma is not None
        scatter = float(np.std([s[key] for s in seen]))
        assert sigma == pytest.approx(scatter, rel=WITHIN, abs=1e-6), key

"""The plan's adjustment against a published traverse, scipy, and planted slips."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy.optimize import least_squares

from railsheet.survey.plan_adjust import adjust_plan, plan_sigma_mm
from railsheet.survey.plan_readings import PlanBearing, PlanDistance
from railsheet.survey.readings import Reading
from railsheet.survey.spreads import tape_sigma_mm


def azimuth(north_south: str, degrees: int, minutes: int, seconds: int, east_west: str) -> float:
    """A quadrant bearing as an angle counter-clockwise from east, rad."""
    angle = math.radians(degrees + minutes / 60 + seconds / 3600)
    y, x = math.cos(angle), math.sin(angle)
    return math.atan2(y if north_south == "N" else -y, x if east_west == "E" else -x)


# Source: jerrymahun.com, Open Access, XVII Traverse Computations, chapter E, example a (figure
# E-6, traverse with bearings): lengths and bearings, and latitudes and departures adjusted by the
# compass rule, ft. That rule is least squares with the length and the sideways place of each
# course as uncertain as one another, their variances in proportion to its length: the assumption
# "the precision in angles or directions is equivalent to the precision in distances" (the rule's
# entry in Esri's GIS dictionary). For CD the page prints 276.479 ft; its own parts make 276.497.
COURSES = (
    ("A", "B", azimuth("S", 68, 5, 35, "W"), 472.68, (-438.574, -176.386), 472.715),
    ("B", "C", azimuth("N", 19, 46, 0, "W"), 216.13, (-73.105, 203.382), 216.122),
    ("C", "D", azimuth("N", 45, 55, 20, "E"), 276.52, (198.635, 192.340), 276.497),
    ("D", "A", azimuth("S", 54, 59, 15, "E"), 382.24, (313.044, -219.336), 382.237),
)


def test_a_published_traverse() -> None:
    readings: list[Reading] = []
    places = {"A": (0.0, 0.0)}
    for start, end, way, length, _, _ in COURSES:
        # Variances in proportion to length; their size changes no adjusted place.
        sigma = 1e-3 * math.sqrt(length)
        readings.append(PlanDistance(f"L {start}", "", length, sigma, start, end))
        readings.append(PlanBearing(f"B {start}", "", way, sigma / length, start, end))
        x, y = places[start]
        if end not in places:
            places[end] = x + length * math.cos(way), y + length * math.sin(way)
    found = adjust_plan(readings, places, ["A"])
    assert found.redundancy == 2
    for start, end, _, _, (east, north), adjusted in COURSES:
        (x0, y0), (x1, y1) = found.places_mm[start], found.places_mm[end]
        # As printed, to a thousandth of a foot; the sums are of rounded parts.
        assert x1 - x0 == pytest.approx(east, abs=1.6e-3)
        assert y1 - y0 == pytest.approx(north, abs=1.6e-3)
        assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(adjusted, abs=1.6e-3)


Deck = tuple[list[Reading], dict[str, tuple[float, float]]]


def deck(rng: random.Random, wrong: str = "") -> Deck:
    """A deck of four corners and a bay, with both diagonals; one reading 25 mm too long."""
    true = {"P1": (0.0, 0.0), "P2": (4200.0, 0.0), "P3": (4210.0, 3000.0), "P4": (0.0, 2990.0),
            "P5": (2100.0, 4000.0)}  # fmt: skip
    pairs = [("P1", "P2"), ("P2", "P3"), ("P3", "P4"), ("P4", "P1"), ("P3", "P5"), ("P5", "P4"),
             ("P1", "P3"), ("P2", "P4"), ("P1", "P5")]  # fmt: skip
    readings: list[Reading] = []
    for start, end in pairs:
        (x0, y0), (x1, y1) = true[start], true[end]
        length = math.hypot(x1 - x0, y1 - y0)
        sigma = plan_sigma_mm(length, 1.0)
        key = f"{start}-{end}"
        read = length + rng.gauss(0.0, sigma) + (25.0 if key == wrong else 0.0)
        readings.append(PlanDistance(key, key, read, sigma, start, end))
    readings.append(PlanBearing("way", "way", 0.0, math.radians(0.25), "P1", "P2"))
    guess = {mark: (x + rng.uniform(-20, 20), y + rng.uniform(-20, 20)) for mark, (x, y) in
             true.items()}  # fmt: skip
    guess["P1"] = true["P1"]
    return readings, guess


def test_against_scipy_on_distances_alone() -> None:
    # Source: scipy.optimize.least_squares, its own Jacobian by differences.
    readings, guess = deck(random.Random(11))
    found = adjust_plan(readings, guess, ["P1"])
    marks = [m for m in guess if m != "P1"]

    def residuals(x: np.ndarray) -> list[float]:
        at = {"P1": (0.0, 0.0)} | {m: (x[2 * i], x[2 * i + 1]) for i, m in enumerate(marks)}
        out = []
        for r in readings:
            assert isinstance(r, PlanDistance | PlanBearing)
            dx, dy = at[r.end][0] - at[r.start][0], at[r.end][1] - at[r.start][1]
            value = math.hypot(dx, dy) if isinstance(r, PlanDistance) else math.atan2(dy, dx)
            out.append((value - r.read) / r.sigma)
        return out

    other = least_squares(
        residuals,
        [c for m in marks for c in guess[m]],
        method="lm",
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
        x_scale="jac",
    )
    for i, mark in enumerate(marks):
        assert found.places_mm[mark] == pytest.approx(tuple(other.x[2 * i : 2 * i + 2]), abs=2e-3)
    assert found.test is not None
    assert found.test.statistic == pytest.approx(2 * other.cost, rel=1e-6)
    covariance = np.linalg.inv(other.jac.T @ other.jac)
    order = [found.unknowns.index((axis, m)) for m in marks for axis in ("x", "y")]  # type: ignore[arg-type]
    ours = found.covariance_mm2[np.ix_(order, order)]
    assert ours == pytest.approx(covariance, rel=1e-3, abs=5e-3)


@pytest.mark.parametrize("wrong", ["P1-P2", "P3-P4", "P1-P3", "P2-P4"])
def test_a_planted_slip_is_named_with_what_it_should_have_read(wrong: str) -> None:
    found = adjust_plan(*deck(random.Random(3), wrong), ["P1"])
    assert found.suspects
    suspect = found.suspects[0]
    named = {suspect.key, *suspect.same_as, *suspect.could_be}
    assert wrong in named
    if suspect.key == wrong:
        assert suspect.read - suspect.implied == pytest.approx(
            25.0, abs=5 * suspect.implied_sigma + 5
        )


def test_good_readings_name_nobody_and_a_distance_scatters_as_trials_do() -> None:
    # Source: 400 trials of the readings (Monte Carlo).
    rng = random.Random(8)
    lengths = []
    named = 0
    for _ in range(400):
        found = adjust_plan(*deck(rng), ["P1"])
        lengths.append(math.dist(found.places_mm["P3"], found.places_mm["P4"]))
        named += bool(found.suspects)
    sigma = adjust_plan(*deck(random.Random(1)), ["P1"]).distance_sigma_mm("P3", "P4")
    assert np.std(lengths) == pytest.approx(sigma, rel=0.12)
    alone = plan_sigma_mm(4210.0, 1.0)
    assert sigma < alone, "read more than once over, a length is better known"
    # Nine readings at 0.1 % each name one falsely about once in a hundred jobs.
    assert named <= 20


def test_without_redundancy_every_reading_comes_back() -> None:
    readings, guess = deck(random.Random(2))
    fixed = [r for r in readings if r.key in ("P1-P2", "way", "P2-P3", "P1-P3", "P4-P1", "P3-P4",
                                             "P3-P5", "P5-P4")]  # fmt: skip
    found = adjust_plan(fixed, guess, ["P1"])
    assert found.redundancy == 0
    assert found.test is None
    for quality in found.readings:
        assert quality.adjusted == pytest.approx(quality.read, abs=1e-9)


def test_a_length_past_the_longest_tape_is_read_in_lengths_of_it() -> None:
    hundred_feet = 100 * 304.8
    one = tape_sigma_mm(hundred_feet - 1.0, 1.0)
    assert plan_sigma_mm(hundred_feet, 1.0) == pytest.approx(one)
    assert plan_sigma_mm(4 * hundred_feet, 1.0) == pytest.approx(2 * one)

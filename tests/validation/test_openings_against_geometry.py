"""Openings against plane geometry, a linear program (scipy) and a search (shapely)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from scipy.optimize import linprog
from shapely.geometry import Polygon

from railsheet.checks.opening import greatest_circle, right_triangle_diameter_mm
from railsheet.checks.stair_opening import EdgeLine, Step, step_void

IN = 25.4


def chebyshev_diameter(corners: list[tuple[float, float]]) -> float:
    """Greatest inscribed circle of a convex outline: the Chebyshev centre.

    Boyd and Vandenberghe, Convex Optimization (2004), section 4.3.1: maximise r subject to
    a_i . x + r |a_i| <= b_i (from memory). Corners anticlockwise.
    """
    rows, bounds = [], []
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        outward = np.array([y1 - y0, x0 - x1])
        rows.append([*outward, float(np.hypot(*outward))])
        bounds.append(float(outward @ np.array([x0, y0])))
    solved = linprog([0, 0, -1], A_ub=rows, b_ub=bounds, bounds=[(None, None)] * 2 + [(0, None)])
    assert solved.success
    return 2.0 * float(solved.x[2])


# A riser of 7 3/4 in on a 10 in tread, the rail on the noses: 17.75 - sqrt(160.0625) = 5.0984 in.
# Three ways besides the solver: the inradius of a right triangle, r = (a + b - c) / 2; its other
# form, area over half the perimeter (both Euclidean geometry); and the Chebyshev centre by
# linear program. All within the 6 in sphere of IRC 2021 R312.1.3 exception 1.
def test_the_greatest_riser_on_the_least_tread() -> None:
    rise, run = 7.75, 10.0
    corners = [(0.0, 0.0), (run * IN, 0.0), (run * IN, rise * IN)]
    formula = rise + run - math.sqrt(160.0625)
    by_area = 2 * (rise * run / 2) / ((rise + run + math.hypot(rise, run)) / 2)
    solver = greatest_circle(corners).diameter_mm / IN
    assert formula == pytest.approx(5.10, abs=0.005)
    assert right_triangle_diameter_mm(rise, run) == pytest.approx(formula, rel=1e-14)
    assert by_area == pytest.approx(formula, rel=1e-14)
    assert solver == pytest.approx(formula, abs=1e-9)
    assert chebyshev_diameter(corners) / IN == pytest.approx(formula, abs=1e-7)
    searched = 2 * shapely.maximum_inscribed_circle(Polygon(corners), tolerance=1e-4).length
    assert searched / IN == pytest.approx(formula, abs=1e-5)
    step = Step((0, 0), (run * IN, rise * IN), 0.0, IN, open_riser=False)
    opening = step_void(step, EdgeLine(rise / run, 0.0)).fitted()
    assert opening.whole
    assert opening.circle.diameter_mm / IN == pytest.approx(formula, abs=1e-9)


# The 3-4-5 triangle has an inradius of exactly 1, the 5-12-13 of exactly 2 (Euclidean geometry).
@pytest.mark.parametrize(("legs", "diameter"), [((3.0, 4.0), 2.0), ((5.0, 12.0), 4.0)])
def test_pythagorean_triangles(legs: tuple[float, float], diameter: float) -> None:
    rise, run = legs
    found = greatest_circle([(0, 0), (run, 0), (run, rise)]).diameter_mm
    assert found == pytest.approx(diameter, abs=1e-12)


# A regular polygon of n sides of length a has an inradius of a / (2 tan(pi / n)).
@pytest.mark.parametrize("n", [3, 4, 5, 6, 8, 12])
def test_regular_polygons(n: int) -> None:
    side = 100.0
    out = side / (2 * math.sin(math.pi / n))
    corners = [
        (out * math.cos(2 * math.pi * k / n + 0.2), out * math.sin(2 * math.pi * k / n + 0.2))
        for k in range(n)
    ]
    expected = side / math.tan(math.pi / n)
    assert greatest_circle(corners).diameter_mm == pytest.approx(expected, abs=1e-9)
    assert chebyshev_diameter(corners) == pytest.approx(expected, abs=1e-6)


# How far a bottom rail may stand off the noses before a 6 in sphere passes, from the scaling of
# the triangle alone: 6 = k * 5.0984 with k = (7.75 + off) / 7.75, so off = 1.3705 in. Just less
# stops the sphere and just more lets it through (IRC 2021 R312.1.3 exception 1).
def test_the_six_inch_sphere_just_stopped_and_just_passed() -> None:
    rise, run = 7.75, 10.0
    off = rise * (6.0 / right_triangle_diameter_mm(rise, run) - 1.0)
    assert off == pytest.approx(1.3705, abs=5e-5)
    step = Step((0, 0), (run * IN, rise * IN), 0.0, IN, open_riser=False)
    for change, passes_through in ((-1e-4, False), (1e-4, True)):
        line = EdgeLine(rise / run, (off + change) * IN)
        diameter = step_void(step, line).fitted().circle.diameter_mm
        assert (diameter >= 6 * IN) is passes_through


# Raked quadrilaterals between plumb balusters are convex: the linear program again.
@pytest.mark.parametrize("slope_low", [0.5, 0.775, 1.0])
@pytest.mark.parametrize("slope_high", [0.4, 0.775, 0.9])
def test_openings_between_rails_that_are_not_parallel(slope_low: float, slope_high: float) -> None:
    corners = [(0.0, 0.0), (95.0, 95 * slope_low), (95.0, 150 + 95 * slope_high), (0.0, 150.0)]
    assert greatest_circle(corners).diameter_mm == pytest.approx(
        chebyshev_diameter(corners), abs=1e-6
    )


# An open riser has no face: the circle leans into the void until the lower nose edge of the tread
# above holds it. Derived apart from the solver: centre (s, r) above the tread, touching the rail
# through the noses (z = m s) and the corner (run, rise - t), solved as one equation in r.
def test_open_riser_by_its_own_equation() -> None:
    rise, run, thick = 7.75 * IN, 10 * IN, 3.75 * IN
    m = rise / run
    c = math.hypot(1.0, m)

    def short_of_corner(r: float) -> float:
        s = r * (1.0 + c) / m
        return math.hypot(run - s, rise - thick - r) - r

    low, high = 40.0, 100.0
    assert short_of_corner(low) > 0 > short_of_corner(high)
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if short_of_corner(middle) > 0 else (low, middle)
    step = Step((0, 0), (run, rise), 0.0, thick, open_riser=True)
    opening = step_void(step, EdgeLine(m, 0.0)).fitted()
    assert opening.circle.diameter_mm == pytest.approx(2 * low, abs=1e-6)
    assert opening.circle.diameter_mm > right_triangle_diameter_mm(rise, run)

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point, Polygon

from railsheet.checks.judge import Status
from railsheet.checks.opening import (
    Circle,
    greatest_circle,
    greatest_circles,
    passes,
    right_triangle_diameter_mm,
)

FINE_MM = 1e-6


@st.composite
def outlines(draw: st.DrawFn) -> Polygon:
    """Stars about a point: simple outlines, most of them not convex."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(20, 300), min_size=count, max_size=count))
    jitter = draw(st.lists(st.floats(-0.3, 0.3), min_size=count, max_size=count))
    angles = [2 * math.pi * (k + jitter[k]) / count for k in range(count)]
    outline = Polygon(
        [(r * math.cos(a), r * math.sin(a)) for r, a in zip(radii, angles, strict=True)]
    )
    assume(outline.is_valid and outline.area > 100.0)
    return outline


def fits(circle: Circle, outline: Polygon) -> bool:
    centre = Point(circle.s_mm, circle.z_mm)
    inside = bool(outline.contains(centre))
    return inside and outline.exterior.distance(centre) >= circle.diameter_mm / 2 - FINE_MM


@given(outlines())
def test_the_circle_fits_and_none_that_shapely_finds_is_greater(outline: Polygon) -> None:
    circle = greatest_circle(outline)
    assert fits(circle, outline)
    # shapely's search may stop short of the greatest circle, never beyond it.
    found = shapely.maximum_inscribed_circle(outline, tolerance=0.01).length
    assert circle.diameter_mm / 2 >= found - FINE_MM


@given(st.lists(outlines(), min_size=2, max_size=6))
def test_found_together_they_are_those_found_alone(several: list[Polygon]) -> None:
    assert greatest_circles(several) == [greatest_circle(outline) for outline in several]


@given(
    outlines(),
    st.floats(0.1, 20),
    st.floats(-1e4, 1e4),
    st.floats(-1e4, 1e4),
    st.floats(-180, 180),
)
def test_scale_shift_turn_and_mirror(
    outline: Polygon, scale: float, dx: float, dy: float, turn: float
) -> None:
    there = greatest_circle(outline).diameter_mm
    scaled = affinity.scale(outline, scale, scale, origin=(0, 0))
    assert greatest_circle(scaled).diameter_mm == pytest.approx(scale * there, abs=FINE_MM)
    moved = affinity.translate(affinity.rotate(outline, turn), dx, dy)
    assert greatest_circle(moved).diameter_mm == pytest.approx(there, abs=FINE_MM)
    mirrored = affinity.scale(outline, -1, 1)
    assert greatest_circle(mirrored).diameter_mm == pytest.approx(there, abs=FINE_MM)
    reversed_ = Polygon(list(outline.exterior.coords)[::-1])
    assert greatest_circle(reversed_).diameter_mm == pytest.approx(there, abs=FINE_MM)


@settings(max_examples=60)
@given(outlines(), outlines())
def test_a_greater_opening_never_passes_a_smaller_sphere(one: Polygon, other: Polygon) -> None:
    both = one.union(other)
    assume(isinstance(both, Polygon) and not both.interiors)
    grown = greatest_circle(both).diameter_mm
    assert grown >= greatest_circle(one).diameter_mm - FINE_MM
    assert grown >= greatest_circle(other).diameter_mm - FINE_MM


@given(st.floats(1, 500), st.floats(1, 500))
def test_a_right_triangle_agrees_with_its_formula(rise: float, run: float) -> None:
    found = greatest_circle([(0, 0), (run, 0), (run, rise)])
    formula = right_triangle_diameter_mm(rise, run)
    assert found.diameter_mm == pytest.approx(formula, abs=FINE_MM)
    assert found.s_mm == pytest.approx(run - formula / 2, abs=1e-5)


@given(st.floats(5, 2000), st.floats(5, 2000))
def test_a_rectangles_circle_is_its_narrow_side_and_stands_at_the_middle(
    wide: float, high: float
) -> None:
    found = greatest_circle([(0, 0), (wide, 0), (wide, high), (0, high)])
    assert found.diameter_mm == pytest.approx(min(wide, high), abs=FINE_MM)
    assert (found.s_mm, found.z_mm) == pytest.approx((wide / 2, high / 2), abs=1e-3)


def test_a_re_entrant_corner_holds_the_circle() -> None:
    # An L of arms 40 wide: the circle touches both outer sides and the inner corner (40, 40).
    # Its centre is (r, r) with r = (40 - r) * sqrt 2, so r = 40 sqrt 2 / (1 + sqrt 2).
    shape = [(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)]
    r = 40 * math.sqrt(2) / (1 + math.sqrt(2))
    assert greatest_circle(shape).diameter_mm == pytest.approx(2 * r, abs=1e-9)


def test_three_re_entrant_corners_hold_the_circle() -> None:
    # A three-pointed star: its inner corners lie on a circle of 10, and the circle through them
    # is the greatest, for each inner corner is nearer than any edge's inside.
    corners = []
    for k in range(3):
        a = 2 * math.pi * k / 3
        corners.append((100 * math.cos(a), 100 * math.sin(a)))
        corners.append((10 * math.cos(a + math.pi / 3), 10 * math.sin(a + math.pi / 3)))
    assert greatest_circle(corners).diameter_mm == pytest.approx(20.0, abs=1e-9)


@pytest.mark.parametrize(
    "shut",
    [
        [],
        [(5, 5)],
        [(0, 0), (10, 0)],
        [(0, 0), (10, 0), (20, 0)],
        [(0, 0), (10, 0), (10, 0), (0, 0)],
        Polygon(),
    ],
)
def test_an_opening_without_area_is_shut(shut: list[tuple[float, float]]) -> None:
    assert greatest_circle(shut).diameter_mm == 0.0


def test_doubled_and_straight_corners_change_nothing() -> None:
    plain = [(0, 0), (254, 0), (254, 196.85)]
    fussy = [(0, 0), (0, 0), (100, 0), (254, 0), (254, 90), (254, 196.85), (127, 98.425), (0, 0)]
    assert greatest_circle(fussy).diameter_mm == pytest.approx(
        greatest_circle(plain).diameter_mm, abs=1e-9
    )


def test_what_is_no_outline_is_refused() -> None:
    with pytest.raises(ValueError, match="crosses itself"):
        greatest_circle([(0, 0), (10, 10), (10, 0), (0, 12)])
    holed = Polygon([(0, 0), (9, 0), (9, 9), (0, 9)], [[(3, 3), (6, 3), (6, 6), (3, 6)]])
    with pytest.raises(ValueError, match="holes"):
        greatest_circle(holed)
    with pytest.raises(ValueError, match="finite"):
        greatest_circle([(0, 0), (math.nan, 0), (1, 1)])


def test_a_sphere_that_just_fits_passes() -> None:
    assert passes(101.6, 101.6).status is Status.OUTSIDE
    assert passes(101.6 - 1e-5, 101.6).status is Status.WITHIN
    assert passes(90.0, 101.6).margin == pytest.approx(11.6)

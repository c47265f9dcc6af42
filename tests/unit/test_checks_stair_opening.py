from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Point

from railsheet.checks.opening import greatest_circle, right_triangle_diameter_mm
from railsheet.checks.stair_opening import EdgeLine, Step, between_plumbs, step_void

IN = 25.4
STEP = Step((0.0, 0.0), (10 * IN, 7.75 * IN), 0.0, 1.0 * IN, open_riser=False)
ON_NOSES = EdgeLine(0.775, 0.0)

rises = st.floats(100, 220)
runs = st.floats(220, 400)
offs = st.floats(0, 60)


def step(rise: float, run: float, overhang: float = 0.0, *, open_riser: bool = False) -> Step:
    return Step((500.0, 300.0), (500.0 + run, 300.0 + rise), overhang, 38.0, open_riser)


def rail(rise: float, run: float, off: float, slope: float | None = None) -> EdgeLine:
    m = rise / run if slope is None else slope
    return EdgeLine(m, 300.0 + off - m * 500.0)


@given(rises, runs, offs)
def test_a_rail_held_off_scales_the_triangle_up(rise: float, run: float, off: float) -> None:
    opening = step_void(step(rise, run), rail(rise, run, off)).fitted()
    # The rail meets the tread's level off/m downhill of the nose: legs rise + off, run + off/m.
    grown = (rise + off) / rise
    expected = grown * right_triangle_diameter_mm(rise, run)
    assume(expected / 2 < rise - 38.0)
    assert opening.whole
    assert opening.circle.diameter_mm == pytest.approx(expected, abs=1e-6)


@given(rises, runs, offs, st.floats(0, 35))
def test_an_overhang_never_makes_the_opening_smaller(
    rise: float, run: float, off: float, overhang: float
) -> None:
    line = rail(rise, run, off)
    bare = step_void(step(rise, run), line).fitted().circle.diameter_mm
    hung = step_void(step(rise, run, overhang), line).fitted().circle.diameter_mm
    assert hung >= bare - 1e-6


def test_an_overhang_sets_the_riser_face_back() -> None:
    # A riser face 1 in behind the nose: legs 11 and 11 x 0.775, so 1.1 times the plain triangle.
    hung = replace(STEP, overhang_mm=1.0 * IN)
    expected = 1.1 * right_triangle_diameter_mm(7.75 * IN, 10 * IN)
    assert step_void(hung, ON_NOSES).fitted().circle.diameter_mm == pytest.approx(
        expected, abs=1e-9
    )


@given(rises, runs, offs, st.floats(0, 35))
def test_an_open_riser_never_makes_the_opening_smaller(
    rise: float, run: float, off: float, overhang: float
) -> None:
    line = rail(rise, run, off)
    shut = step_void(step(rise, run, overhang), line).fitted().circle.diameter_mm
    open_ = step_void(step(rise, run, overhang, open_riser=True), line).fitted().circle.diameter_mm
    assert open_ >= shut - 1e-6
    # The void under the tread above is an opening of its own height at least.
    assert open_ >= rise - 38.0 - 1e-6


@given(rises, runs, offs, st.floats(0, 35), st.floats(0.3, 1.0), st.booleans())
def test_the_circle_keeps_clear_of_stair_and_rail(
    rise: float, run: float, off: float, overhang: float, slope: float, open_riser: bool
) -> None:
    this = step(rise, run, overhang, open_riser=open_riser)
    line = rail(rise, run, off, slope)
    opening = step_void(this, line).fitted()
    r = opening.circle.diameter_mm / 2
    s, z = opening.circle.s_mm, opening.circle.z_mm
    assume(r > 0)
    assert z - r >= 300.0 - 1e-6
    gap = (line.height_mm(s) - z) * math.cos(math.atan(slope))
    assert gap >= r - 1e-6
    tread_above = shapely.box(500 + run, 300 + rise - 38.0, 500 + run + 1000, 300 + rise)
    assert tread_above.distance(Point(s, z)) >= r - 1e-6
    found = shapely.maximum_inscribed_circle(opening.outline, tolerance=0.05).length
    assert r >= found - 1e-6


def test_a_rail_high_over_the_noses_says_that_the_opening_runs_on() -> None:
    # 14 in over the noses the circle still leans on the front of the next tread; at 20 in it
    # would stand above it, against the plumb line over the next nose.
    assert step_void(STEP, EdgeLine(0.775, 14 * IN)).fitted().whole
    opening = step_void(STEP, EdgeLine(0.775, 20 * IN)).fitted()
    assert not opening.whole
    assert opening.circle.diameter_mm > 6 * IN


def test_a_rail_that_shuts_the_opening() -> None:
    shut = step_void(STEP, EdgeLine(0.775, -8 * IN)).fitted()
    assert shut.circle.diameter_mm == 0.0
    assert shut.outline.is_empty
    low = step_void(STEP, EdgeLine(0.775, -4 * IN)).fitted()
    # The rail's underside is 4 in below the noses: legs 3.75 and 3.75 / 0.775.
    expected = right_triangle_diameter_mm(3.75 * IN, 3.75 / 0.775 * IN)
    assert low.circle.diameter_mm == pytest.approx(expected, abs=1e-6)


def test_a_bar_under_the_tread_above_closes_the_void() -> None:
    # A bar that brings the void down to nearly nothing brings the closed riser's answer back.
    closed = step_void(STEP, ON_NOSES).fitted().circle.diameter_mm
    barred = replace(STEP, open_riser=True, thickness_mm=STEP.rise_mm - 1e-7)
    assert step_void(barred, ON_NOSES).fitted().circle.diameter_mm == pytest.approx(
        closed, abs=1e-5
    )


@pytest.mark.parametrize(
    "bad",
    [
        replace(STEP, next_nose_mm=(0.0, 100.0)),
        replace(STEP, next_nose_mm=(100.0, 0.0)),
        replace(STEP, thickness_mm=STEP.rise_mm),
        replace(STEP, overhang_mm=-1.0),
    ],
)
def test_what_is_no_step_is_refused(bad: Step) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        step_void(bad, ON_NOSES).fitted()


@given(st.floats(20, 300), st.floats(20, 900), st.floats(0, 45), st.floats(-1000, 1000))
def test_between_plumb_balusters_the_narrower_way_decides(
    clear: float, tall: float, rake_deg: float, s: float
) -> None:
    slope = math.tan(math.radians(rake_deg))
    lower, upper = EdgeLine(slope, 0.0), EdgeLine(slope, tall)
    found = greatest_circle(between_plumbs(s, s + clear, lower, upper)).diameter_mm
    # Two strips cross: the clear width between plumb faces, and the clear distance square to
    # the rails. A circle as wide as the narrower one fits at the middle of both.
    square = tall * math.cos(math.radians(rake_deg))
    assert found == pytest.approx(min(clear, square), abs=1e-6)


def test_plumb_faces_in_the_wrong_order_are_refused() -> None:
    low, high = EdgeLine(0.7, 0.0), EdgeLine(0.7, 100.0)
    with pytest.raises(ValueError, match="downhill"):
        between_plumbs(10, 10, low, high)
    with pytest.raises(ValueError, match="under"):
        between_plumbs(0, 10, high, low)

"""The best straight rail against a general linear program and a general quadratic one."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, minimize

from railsheet.job.rail_rule import Rule
from railsheet.layout.straight import NoStraightRail, StraightRail, best_line

INCH = 25.4


def in_inches(risers, runs):
    s = np.concatenate([[0.0], np.cumsum(runs)]) * INCH
    z = np.cumsum(risers) * INCH
    return list(zip(s.tolist(), z.tolist(), strict=True))


def test_check_value():
    # Source: worked by hand from the readings; noses 1, 4, 5 touch, their vertical width is
    # 3/32 in. (Check value given to this project.)
    noses = in_inches(
        [7.25, 7.5, 7.4375, 7.5625, 7.375, 7.5], [10.5, 10.375, 10.625, 10.5, 10.4375]
    )
    rail = best_line(noses, 36.0 * INCH)
    assert isinstance(rail, StraightRail)
    assert rail.greatest_deviation_mm / INCH == pytest.approx(0.046875, abs=1e-12)
    assert rail.slope == pytest.approx(0.7113095, abs=5e-8)
    assert math.degrees(rail.rake_rad) == pytest.approx(35.4246, abs=5e-5)


steps = st.lists(
    st.tuples(st.floats(150.0, 210.0), st.floats(220.0, 320.0)), min_size=2, max_size=14
)


def stair(pairs):
    s = np.cumsum([0.0, *[run for _, run in pairs[1:]]])
    z = np.cumsum([rise for rise, _ in pairs])
    return list(zip(s.tolist(), z.tolist(), strict=True))


def linear_program(noses, wanted, band, steepest, rule):
    """The same question put to HiGHS: least t over (m, b, t), or None where there is none."""
    rows, rhs = [], []
    for s, z in noses:
        if rule is Rule.NEVER_BELOW:
            rows += [[-s, -1, 0]]
            rhs += [-z - wanted]
        rows += [[s, 1, -1], [-s, -1, -1]]
        rhs += [z + wanted, -z - wanted]
        if band is not None:
            rows += [[s, 1, 0], [-s, -1, 0]]
            rhs += [z + band[1], -z - band[0]]
    bounds = [(-steepest, steepest), (None, None), (0, None)]
    found = linprog([0, 0, 1], rows, rhs, bounds=bounds, method="highs")
    return float(found.fun) if found.status == 0 else None


@settings(max_examples=150, deadline=None)
@given(
    steps,
    st.floats(850.0, 980.0),
    st.none() | st.tuples(st.floats(0.5, 60.0), st.floats(0.5, 60.0)),
    st.none() | st.floats(math.radians(25.0), math.radians(45.0)),
    st.sampled_from([Rule.LEAST_GREATEST_DEVIATION, Rule.NEVER_BELOW]),
)
def test_least_greatest_deviation_is_the_linear_programs(pairs, wanted, about, limit, rule):
    noses = stair(pairs)
    band = None if about is None else (wanted - about[0], wanted + about[1])
    steepest = math.tan(limit) if limit is not None else 100.0
    theirs = linear_program(noses, wanted, band, steepest, rule)
    ours = best_line(noses, wanted, band, limit, rule)
    if isinstance(ours, NoStraightRail):
        if abs(ours.excess_mm) > 1e-4:  # nearer than that HiGHS's own tolerance decides
            assert theirs is None
        return
    assert theirs is not None
    assert ours.greatest_deviation_mm == pytest.approx(theirs, abs=1e-5)
    assert abs(ours.slope) <= steepest + 1e-12
    if band is not None:
        assert min(ours.heights_mm) >= band[0] - 1e-6
        assert max(ours.heights_mm) <= band[1] + 1e-6
    if rule is Rule.NEVER_BELOW:
        assert min(ours.heights_mm) >= wanted - 1e-6


@settings(max_examples=80, deadline=None)
@given(
    steps,
    st.tuples(st.floats(0.5, 40.0), st.floats(0.5, 40.0)),
    st.none() | st.floats(math.radians(25.0), math.radians(45.0)),
)
def test_excess_and_least_deviation_are_the_linear_programs(pairs, about, limit):
    noses = stair(pairs)
    wanted = 914.4
    steepest = math.tan(limit) if limit is not None else 100.0
    ours = best_line(noses, wanted, (wanted - about[0], wanted + about[1]), limit)
    if not isinstance(ours, NoStraightRail):
        return
    free = linear_program(noses, wanted, None, steepest, Rule.LEAST_GREATEST_DEVIATION)
    assert free is not None
    assert ours.least_greatest_deviation_mm == pytest.approx(free, abs=1e-5)
    # the band widened by the excess works, by a hair less it doesn't
    for more, works in ((1e-3, True), (-1e-3, False)):
        band = (wanted - about[0], wanted + about[1] + ours.excess_mm + more)
        found = linear_program(noses, wanted, band, steepest, Rule.LEAST_GREATEST_DEVIATION)
        assert (found is not None) is works
    # the noses named are alone enough to leave no room
    named = [noses[i - 1] for i in ours.noses]
    if len(named) > 2 or limit is not None:
        band = (wanted - about[0], wanted + about[1] + ours.excess_mm - 1e-3)
        kept = linear_program(named, wanted, band, steepest, Rule.LEAST_GREATEST_DEVIATION)
        assert kept is None or ours.excess_mm < 2e-3


@settings(max_examples=60, deadline=None)
@given(steps, st.tuples(st.floats(0.5, 15.0), st.floats(0.5, 15.0)))
def test_least_rebuild_is_the_linear_programs(pairs, about):
    noses = stair(pairs)
    wanted = 914.4
    band = (wanted - about[0], wanted + about[1])
    ours = best_line(noses, wanted, band)
    if not isinstance(ours, NoStraightRail):
        return
    cures = {rebuild.nose: rebuild.by_mm for rebuild in ours.rebuilds}
    for k, (s_k, z_k) in enumerate(noses):
        # variables m, b, move, |move|
        rows, rhs = [], []
        for i, (s, z) in enumerate(noses):
            moved = 1.0 if i == k else 0.0
            rows += [[s, 1, -moved, 0], [-s, -1, moved, 0]]
            rhs += [z + band[1], -z - band[0]]
        rows += [[0, 0, 1, -1], [0, 0, -1, -1]]
        rhs += [0, 0]
        free = (None, None)
        found = linprog(
            [0, 0, 0, 1], rows, rhs, bounds=[free, free, free, (0, None)], method="highs"
        )
        if k + 1 in cures:
            assert found.status == 0
            assert abs(cures[k + 1]) == pytest.approx(found.fun, abs=1e-4)
            mended = [(s, z + (cures[k + 1] if i == k else 0.0)) for i, (s, z) in enumerate(noses)]
            assert isinstance(best_line(mended, wanted, band), StraightRail)
        else:
            assert found.status == 2
        assert (s_k, z_k) == noses[k]


@settings(max_examples=60, deadline=None)
@given(
    steps,
    st.none() | st.tuples(st.floats(-3.0, 20.0), st.floats(5.0, 25.0)),
    st.none() | st.floats(math.radians(25.0), math.radians(45.0)),
)
def test_least_squares_is_the_quadratic_programs(pairs, about, limit):
    noses = stair(pairs)
    wanted = 914.4
    band = None if about is None else (wanted - about[0], wanted + about[1])
    ours = best_line(noses, wanted, band, limit, Rule.LEAST_SQUARES)
    if isinstance(ours, NoStraightRail):
        return
    s, z = np.array(noses).T

    def cost(m, b):
        return float(np.sum((m * s + b - z - wanted) ** 2))

    mine = cost(ours.slope, ours.intercept_mm)
    free = np.polyfit(s, z + wanted, 1)
    inside = band is None or (
        np.all(np.polyval(free, s) - z >= band[0]) and np.all(np.polyval(free, s) - z <= band[1])
    )
    if inside and (limit is None or abs(free[0]) <= math.tan(limit)):
        assert ours.slope == pytest.approx(free[0], abs=1e-9)
        assert ours.intercept_mm == pytest.approx(free[1], abs=1e-6)
        return
    # SLSQP in centred, scaled variables, started from our own answer and from the middle: neither
    # may find better within the constraints
    centre, span = s.mean(), max(float(np.ptp(s)), 1.0)
    rows, floor = [], []
    for si, zi in noses:
        u = (si - centre) / span
        if band is not None:
            rows += [[u, 1.0], [-u, -1.0]]
            floor += [zi + band[0], -zi - band[1]]
    if limit is not None:
        rows += [[1.0, 0.0], [-1.0, 0.0]]
        floor += [-math.tan(limit) * span] * 2
    a, f = np.array(rows), np.array(floor)
    u = (s - centre) / span
    for start in ([ours.slope * span, ours.slope * centre + ours.intercept_mm], [span, z.mean()]):
        found = minimize(
            lambda x: float(np.sum((x[0] * u + x[1] - z - wanted) ** 2)),
            start,
            jac=lambda x: (
                2 * np.column_stack([u, np.ones_like(u)]).T @ (x[0] * u + x[1] - z - wanted)
            ),
            constraints={"type": "ineq", "fun": lambda x: a @ x - f, "jac": lambda x: a},
            method="SLSQP",
            options={"ftol": 1e-12, "maxiter": 300},
        )
        if found.success and np.all(a @ found.x - f >= -1e-7):
            assert mine <= found.fun + 1e-4 * (1.0 + found.fun)
    if band is not None:
        assert min(ours.heights_mm) >= band[0] - 1e-6
        assert max(ours.heights_mm) <= band[1] + 1e-6
    if limit is not None:
        assert abs(ours.slope) <= math.tan(limit) + 1e-12


def least_by_active_sets(noses, wanted, low, high):
    """The least sum of squares within a band of heights, by trying every set of noses at an edge.

    Two unknowns: at the optimum none, one or two of the limits hold exactly (the KKT conditions of
    a convex quadratic program, e.g. Nocedal & Wright, Numerical Optimization, ch. 16).
    """
    s, z = np.array(noses).T
    rows, right = np.column_stack([s, np.ones_like(s)]), z + wanted
    limits = [(row, at + edge) for row, at in zip(rows, z, strict=True) for edge in (low, high)]
    best = math.inf
    for count in (0, 1, 2):
        for held in itertools.combinations(limits, count):
            a = np.array([row for row, _ in held]).reshape(count, 2)
            kkt = np.block([[2 * rows.T @ rows, a.T], [a, np.zeros((count, count))]])
            if np.linalg.matrix_rank(kkt) < len(kkt):
                continue
            found = np.linalg.solve(kkt, np.array([*(2 * rows.T @ right), *(e for _, e in held)]))
            heights = rows @ found[:2] - z
            if np.all(heights >= low - 1e-6) and np.all(heights <= high + 1e-6):
                best = min(best, float(np.sum((heights - wanted) ** 2)))
    return best


@settings(max_examples=60, deadline=None)
@given(steps, st.floats(1.01, 1.5), st.floats(-0.3, 0.3))
def test_least_squares_held_by_a_tight_band_is_the_least_there_is(pairs, wide, aside):
    noses, wanted = stair(pairs), 914.4
    least = best_line(noses, wanted).greatest_deviation_mm
    assume(least > 1.0)
    low, high = wanted - least * (wide + aside), wanted + least * (wide - aside)
    ours = best_line(noses, wanted, (low, high), rule=Rule.LEAST_SQUARES)
    if isinstance(ours, NoStraightRail):
        return
    mine = sum((height - wanted) ** 2 for height in ours.heights_mm)
    assert mine == pytest.approx(least_by_active_sets(noses, wanted, low, high), rel=1e-6)

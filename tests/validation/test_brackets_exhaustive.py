"""Where brackets go, against every way there is and against a linear program.

Sources: exhaustive search; scipy.optimize.linprog, a general-purpose reference library.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from railsheet.layout.bracket_choice import choose_brackets

EPS = 1e-5


def spacings(places: Sequence[float]) -> list[float]:
    return sorted((b - a for a, b in itertools.pairwise(places)), reverse=True)


def every_way(
    studs: Sequence[float], length: float, spacing: float, first: float
) -> list[tuple[float, ...]]:
    """The fewest studs that keep both limits, in every way there is."""
    first = min(first, length / 4)
    for count in range(1, len(studs) + 1):
        found = [
            ways
            for ways in itertools.combinations(studs, count)
            if ways[0] <= first + EPS
            and ways[-1] >= length - first - EPS
            and all(b - a <= spacing + EPS for a, b in itertools.pairwise(ways))
        ]
        if found:
            return found
    return []


@settings(max_examples=150)
@given(
    st.lists(st.integers(0, 120), min_size=2, max_size=11, unique=True),
    st.integers(15, 60),
    st.integers(3, 25),
)
def test_studs_chosen_are_the_fewest_and_the_most_even(
    studs: list[int], spacing: int, first: int
) -> None:
    studs = sorted(studs)
    length = 120.0
    chosen = choose_brackets([(float(s), float(s)) for s in studs], length, spacing, first)
    assert chosen is not None
    ways = every_way(studs, length, spacing, first)
    if not ways:
        # No way keeps what was asked: then something kept is over what was asked.
        over = chosen.spacing_mm > spacing or max(chosen.first_mm) > min(first, 30)
        assert over
        return
    assert len(chosen.places_mm) == len(ways[0])
    assert set(chosen.places_mm) <= set(studs)
    best = min(spacings(way) for way in ways)
    assert spacings(chosen.places_mm) == pytest.approx(best)


@settings(max_examples=100)
@given(
    st.lists(st.floats(0, 300), min_size=2, max_size=10),
    st.floats(40, 150),
    st.floats(10, 60),
)
def test_the_greatest_spacing_on_stretches_is_a_linear_programs(
    edges: list[float], spacing: float, first: float
) -> None:
    edges = sorted(edges)
    stretches = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=False)]
    stretches = [s for n, s in enumerate(stretches) if not n or s[0] > stretches[n - 1][1] + 1]
    chosen = choose_brackets(stretches, 300.0, spacing, first)
    assert chosen is not None
    count = len(chosen.places_mm)
    low, high = chosen.first_mm[0], 300.0 - chosen.first_mm[1]
    if len(stretches) ** count > 600:
        return
    best = None
    for within in itertools.combinations_with_replacement(range(len(stretches)), count):
        found = least_greatest([stretches[i] for i in within], low, high)
        if found is not None and (best is None or found < best):
            best = found
    assert best is not None
    if count > 1:
        assert max(spacings(chosen.places_mm)) == pytest.approx(best, abs=1e-4)
    assert best <= chosen.spacing_mm + 1e-4
    for place in chosen.places_mm:
        assert any(a - EPS <= place <= b + EPS for a, b in stretches)


def least_greatest(within: Sequence[tuple[float, float]], low: float, high: float) -> float | None:
    """The least greatest spacing with each bracket in its stretch; None where none keeps the ends.

    Unknowns: each place, then the greatest spacing.
    """
    n = len(within)
    rows, limits = [], []
    for k in range(n - 1):
        row = np.zeros(n + 1)
        row[k + 1], row[k], row[n] = 1.0, -1.0, -1.0
        rows.append(row)
        limits.append(0.0)
    bounds = [*within, (0.0, None)]
    bounds[0] = (within[0][0], min(within[0][1], low + EPS))
    bounds[n - 1] = (max(bounds[n - 1][0], high - EPS), bounds[n - 1][1])
    if any(b is not None and a > b for a, b in bounds):
        return None
    cost = np.zeros(n + 1)
    cost[n] = 1.0
    found = linprog(
        cost, A_ub=np.array(rows) if rows else None, b_ub=limits if rows else None, bounds=bounds
    )
    return float(found.x[n]) if found.status == 0 else None


def test_an_open_wall_takes_equal_spacings_and_both_ends_alike() -> None:
    chosen = choose_brackets([(20.0, 3580.0)], 3600.0, 1200.0, 300.0)
    assert chosen is not None
    # (3600 - 2 x 300) / 1200 = 2.5 spacings at least: three, of 1000, by hand.
    assert chosen.places_mm == pytest.approx((300.0, 1300.0, 2300.0, 3300.0))


def test_a_short_rail_has_two_brackets_well_apart() -> None:
    chosen = choose_brackets([(20.0, 580.0)], 600.0, 1200.0, 300.0)
    assert chosen is not None
    assert chosen.places_mm == pytest.approx((150.0, 450.0))


def test_what_cannot_be_kept_is_told() -> None:
    chosen = choose_brackets([(400.0, 400.0), (2000.0, 2000.0)], 2400.0, 1200.0, 300.0)
    assert chosen is not None
    assert chosen.places_mm == (400.0, 2000.0)
    assert chosen.spacing_mm == 1600.0
    assert chosen.first_mm == (400.0, 400.0)
    assert choose_brackets([], 2400.0, 1200.0, 300.0) is None


def test_brackets_between_two_that_are_fixed_are_evenly_spaced() -> None:
    # By hand: the gap from 150 to 250 is just stepped over, so a bracket stands on each of its
    # edges; from 10 to 150 one more is needed, and halfway is the most even of 50 to 110.
    chosen = choose_brackets([(0.0, 150.0), (250.0, 250.0)], 260.0, 100.0, 10.0)
    assert chosen is not None
    assert chosen.places_mm == pytest.approx((10.0, 80.0, 150.0, 250.0), abs=1e-3)


def test_of_two_chains_that_keep_the_least_spacing_the_more_even_is_taken() -> None:
    # By hand: 0-60-110-160 is spaced 60, 50, 50 and 0-48-100-160 is spaced 48, 52, 60; no other
    # keeps 60, and no bracket stands on both.
    studs = [(float(at), float(at)) for at in (0, 48, 60, 100, 110, 160)]
    chosen = choose_brackets(studs, 160.0, 60.0, 0.0)
    assert chosen is not None
    assert chosen.places_mm == pytest.approx((0.0, 60.0, 110.0, 160.0))

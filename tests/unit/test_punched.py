"""Bands, gaps and windows of punched rail."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.job.kit_infill import GapKit
from railsheet.layout.punched import Punching

IN = 25.4
# Pitch 4.5 in, 0.75 in balusters, end gaps held to 2.5 to 4 in (common practice, no source), on
# the six risers and five runs of the demonstration flight.
RISERS = [7.25, 7.5, 7.4375, 7.5625, 7.375, 7.5]
RUNS = [10.5, 10.375, 10.625, 10.5, 10.4375]
GAP = GapKit(2.5 * IN, 4 * IN)


def flight_punching() -> Punching:
    places = [sum(RUNS[:i]) for i in range(6)]
    heights = [sum(RISERS[: i + 1]) for i in range(6)]
    mean_s, mean_z = sum(places) / 6, sum(heights) / 6
    slope = sum((s - mean_s) * (z - mean_z) for s, z in zip(places, heights, strict=True)) / sum(
        (s - mean_s) ** 2 for s in places
    )
    return Punching(4.5 * IN * math.cos(math.atan(slope)), 0.75 * IN, GAP)


def possible_by_search(punching: Punching, clear_mm: float) -> bool:
    """Slide a row of balusters between two posts in 1/64 in steps, and look at both gaps."""
    step = IN / 64
    first_gap = GAP.least_mm
    while first_gap <= GAP.most_mm + 1e-9:
        place = first_gap
        while place + punching.width_mm <= clear_mm:
            last_gap = clear_mm - place - punching.width_mm
            if GAP.least_mm - 1e-9 <= last_gap <= GAP.most_mm + 1e-9:
                return True
            place += punching.spacing_mm
        first_gap += step
    return False


def test_some_clear_distances_have_no_place_at_all() -> None:
    punching = flight_punching()
    bands = punching.bands_within(20 * IN, 60 * IN)
    between = 0
    for sixteenth in range(20 * 16, 60 * 16):
        # Off the step of the search, so that no clear distance falls on a band's very edge.
        clear = (sixteenth + 0.37) / 16 * IN
        inside = any(least <= clear <= most for _, least, most in bands)
        margin = min(abs(clear - edge) for _, *edges in bands for edge in edges)
        if margin < IN / 32:
            continue
        assert possible_by_search(punching, clear) == inside, clear / IN
        between += not inside
    assert between > 50, "these gaps leave real stretches where nothing works"


def test_the_bands_of_the_flight() -> None:
    punching = flight_punching()
    spacing = punching.spacing_mm / IN
    assert spacing == pytest.approx(3.6656, abs=1e-4)
    assert [
        (count, round(least / IN, 3), round(most / IN, 3))
        for count, least, most in punching.bands_within(44 * IN, 51 * IN)
    ] == [
        (count, round((count - 1) * spacing + 5.75, 3), round((count - 1) * spacing + 8.75, 3))
        for count in (11, 12, 13)
    ]


punchings = st.builds(
    Punching,
    st.floats(60, 160),
    st.floats(10, 40),
    st.tuples(st.floats(20, 80), st.floats(0, 60)).map(lambda g: GapKit(g[0], g[0] + g[1])),
)


@given(punchings, st.floats(300, 3000))
def test_best_count_is_best_of_all_counts(punching: Punching, clear: float) -> None:
    best = punching.best_count(clear)
    eases = [punching.ease_mm(clear, count) for count in range(1, 60)]
    assert punching.ease_mm(clear, best) >= max(eases) - 1e-5


@given(punchings, st.integers(1, 40), st.floats(0, 1))
def test_inside_its_band_a_count_leaves_allowed_gaps(
    punching: Punching, count: int, share: float
) -> None:
    least, most = punching.band_mm(count)
    clear = least + share * (most - least)
    assert punching.outside_mm(clear, count) == 0
    assert punching.outside_mm(most + 1, count) == pytest.approx(0.5, abs=1e-6)
    assert punching.outside_mm(least - 1, count) == pytest.approx(0.5, abs=1e-6)
    gap = punching.gap_mm(clear, count)
    assert 2 * gap + punching.filled_mm(count) == pytest.approx(clear)

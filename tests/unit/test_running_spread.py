"""Spreading figures apart."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from railsheet.sheets.running import spread


@given(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=30), st.floats(0, 50))
def test_spread_is_the_least_squares_answer(positions, pitch):
    positions = sorted(positions)
    ranks = np.arange(len(positions)) * pitch
    # Reference library: scipy's isotonic regression of the same problem.
    reference = isotonic_regression(np.array(positions) - ranks).x + ranks
    assert spread(positions, pitch) == pytest.approx(reference, abs=1e-6)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=30), st.floats(0.1, 50))
def test_none_is_nearer_than_the_pitch(positions, pitch):
    out = spread(sorted(positions), pitch)
    assert all(b - a >= pitch - 1e-9 for a, b in pairwise(out))


def test_wide_enough_stays_put():
    assert spread([0.0, 10.0, 25.0], 4.0) == (0.0, 10.0, 25.0)
    assert spread([], 4.0) == ()

import math

import numpy as np
import pytest

from railsheet.survey.spreads import (
    SPREADS,
    angle_sigma_rad,
    line_sigma_mm,
    rounding_sigma,
    tape_sigma_mm,
)


def test_rounding_is_a_rectangular_spread():
    # Source: variance of the uniform distribution, width²/12 (any probability text)
    rng = np.random.default_rng(1)
    true = rng.uniform(100.0, 300.0, 40_000)
    step = 1.5875
    error = np.round(true / step) * step - true
    assert rounding_sigma(step) == pytest.approx(np.std(error), rel=0.02)


def test_a_longer_tape_is_a_worse_one():
    step = 25.4 / 16.0
    short, long = tape_sigma_mm(190.0, step), tape_sigma_mm(3000.0, step)
    assert short < long
    # NIST Handbook 44, 5.52: 1/32 in to 6 ft, 1/16 in to 30 ft
    parts = (step / math.sqrt(12.0), 25.4 / 32.0, 25.4 / 32.0 / math.sqrt(3.0))
    assert short == pytest.approx(math.hypot(*parts))
    grown = (25.4 / 16.0 / math.sqrt(3.0)) ** 2 - (25.4 / 32.0 / math.sqrt(3.0)) ** 2
    assert long**2 - short**2 == pytest.approx(grown)
    assert tape_sigma_mm(3000.0, step, "tape diagonal") > long
    with pytest.raises(ValueError, match="longer than any tape"):
        tape_sigma_mm(40_000.0, step)


def test_a_finer_step_is_a_finer_reading():
    assert tape_sigma_mm(190.0, 0.5) < tape_sigma_mm(190.0, 1.5875)
    assert line_sigma_mm(1.0) < line_sigma_mm(1.0, "water level")
    tenth = math.radians(0.1)
    assert angle_sigma_rad(tenth) == pytest.approx(tenth * math.sqrt(1.0 + 1.0 / 12.0))


def test_every_spread_says_where_it_comes_from():
    assert all(spread.source for spread in SPREADS.values())

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.job.rail_rule import Rule
from railsheet.layout.straight import NoStraightRail, StraightRail, best_line

steps = st.lists(
    st.tuples(st.floats(150.0, 210.0), st.floats(220.0, 320.0)), min_size=2, max_size=12
)
rules = st.sampled_from(list(Rule))


def stair(pairs):
    s = np.cumsum([0.0, *[run for _, run in pairs[1:]]])
    z = np.cumsum([rise for rise, _ in pairs])
    return list(zip(s.tolist(), z.tolist(), strict=True))


@given(steps, rules, st.floats(850.0, 950.0))
def test_a_rail_says_its_own_heights(pairs, rule, wanted):
    noses = stair(pairs)
    rail = best_line(noses, wanted, rule=rule)
    assert isinstance(rail, StraightRail)
    heights = [rail.z_mm(s) - z for s, z in noses]
    assert rail.heights_mm == pytest.approx(heights)
    assert math.tan(rail.rake_rad) == pytest.approx(rail.slope)
    assert all(rail.heights_mm[i - 1] == pytest.approx(min(heights)) for i in rail.lowest)
    assert all(rail.heights_mm[i - 1] == pytest.approx(max(heights)) for i in rail.highest)
    assert rail.lowest
    assert rail.highest


@given(steps, rules)
def test_mirrored_stair_mirrored_rail(pairs, rule):
    noses = stair(pairs)
    mirrored = [(-s, z) for s, z in reversed(noses)]
    rail, mirror = best_line(noses, 914.4, rule=rule), best_line(mirrored, 914.4, rule=rule)
    assert mirror.slope == pytest.approx(-rail.slope, abs=1e-9)
    assert mirror.heights_mm == pytest.approx(rail.heights_mm[::-1], abs=1e-6)


@given(steps, rules, st.floats(-5e3, 5e3), st.floats(-5e3, 5e3))
def test_shifted_stair_shifted_rail(pairs, rule, along, up):
    noses = stair(pairs)
    shifted = [(s + along, z + up) for s, z in noses]
    rail, moved = best_line(noses, 914.4, rule=rule), best_line(shifted, 914.4, rule=rule)
    assert moved.slope == pytest.approx(rail.slope, abs=1e-8)
    assert moved.heights_mm == pytest.approx(rail.heights_mm, abs=1e-5)


@given(steps, rules, st.floats(0.2, 5.0))
def test_scaled_stair_scaled_rail(pairs, rule, scale):
    noses = stair(pairs)
    scaled = [(s * scale, z * scale) for s, z in noses]
    band = (900.0, 930.0)
    rail = best_line(noses, 914.4, band, rule=rule)
    other = best_line(scaled, 914.4 * scale, (900.0 * scale, 930.0 * scale), rule=rule)
    assert type(rail) is type(other)
    if isinstance(rail, StraightRail):
        assert other.slope == pytest.approx(rail.slope, abs=1e-6)
        assert other.heights_mm == pytest.approx([h * scale for h in rail.heights_mm], abs=1e-3)


@given(steps, st.floats(-0.5, 0.5))
def test_a_sheared_stair_has_the_same_heights(pairs, shear):
    """Tilting stair and rail alike, z + k·s, leaves every plumb height as it was."""
    noses = stair(pairs)
    tilted = [(s, z + shear * s) for s, z in noses]
    rail, other = best_line(noses, 914.4), best_line(tilted, 914.4)
    assert other.slope == pytest.approx(rail.slope + shear, abs=1e-9)
    assert other.heights_mm == pytest.approx(rail.heights_mm, abs=1e-6)


@given(steps)
def test_least_greatest_deviation_touches_three_noses(pairs):
    """Or two, where there are but two: the Chebyshev line alternates high, low, high."""
    noses = stair(pairs)
    rail = best_line(noses, 914.4)
    if len(noses) == 2:
        assert rail.greatest_deviation_mm == pytest.approx(0.0, abs=1e-9)
        return
    assert len({*rail.lowest, *rail.highest}) >= 3
    deviation = rail.greatest_deviation_mm
    assert max(rail.heights_mm) - 914.4 == pytest.approx(deviation, abs=1e-6)
    assert 914.4 - min(rail.heights_mm) == pytest.approx(deviation, abs=1e-6)


@given(steps)
def test_never_below_touches_and_is_no_higher_than_it_need_be(pairs):
    noses = stair(pairs)
    rail = best_line(noses, 914.4, rule=Rule.NEVER_BELOW)
    assert min(rail.heights_mm) == pytest.approx(914.4, abs=1e-6)
    even = best_line(noses, 914.4)
    assert rail.greatest_deviation_mm == pytest.approx(2.0 * even.greatest_deviation_mm, abs=1e-6)


def test_a_true_stair_gets_its_own_pitch():
    noses = [(270.0 * i, 180.0 * (i + 1)) for i in range(5)]
    for rule in Rule:
        rail = best_line(noses, 900.0, rule=rule)
        assert rail.slope == pytest.approx(180.0 / 270.0)
        assert rail.heights_mm == pytest.approx([900.0] * 5)


CROOKED = [(0.0, 180.0), (270.0, 360.0), (540.0, 560.0), (810.0, 720.0), (1080.0, 900.0)]
"""True but for nose 3, 20 mm high."""


def test_a_high_nose_named_measured_and_cured():
    failed = best_line(CROOKED, 900.0, (895.0, 905.0))
    assert isinstance(failed, NoStraightRail)
    assert failed.least_greatest_deviation_mm == pytest.approx(10.0)
    assert failed.excess_mm == pytest.approx(10.0)
    assert set(failed.noses) == {1, 2, 3, 4, 5}
    assert not failed.rake_limited
    assert failed.wanted_mm is None
    assert isinstance(failed.nearest, StraightRail)
    assert failed.nearest.greatest_deviation_mm == pytest.approx(10.0)
    # 10 mm down brings nose 3 within the band of the rest
    assert failed.rebuilds[0].nose == 3
    assert failed.rebuilds[0].by_mm == pytest.approx(-10.0)
    mended = [(s, z - 10.0 if s == 540.0 else z) for s, z in CROOKED]
    assert isinstance(best_line(mended, 900.0, (895.0, 905.0)), StraightRail)


def test_a_break_at_a_post():
    """A stair that changes pitch at nose 3 wants a break there."""
    noses = [(0.0, 180.0), (270.0, 360.0), (540.0, 540.0), (810.0, 690.0), (1080.0, 840.0)]
    failed = best_line(noses, 900.0, (897.0, 903.0))
    assert isinstance(failed, NoStraightRail)
    best = failed.breaks[0]
    assert best.nose == 3
    assert best.lower.slope == pytest.approx(180.0 / 270.0)
    assert best.upper.slope == pytest.approx(150.0 / 270.0)
    assert best.step_mm == pytest.approx(0.0, abs=1e-9)
    assert len(best.lower.heights_mm) == len(best.upper.heights_mm) == 3
    assert set(best.upper.lowest) <= {3, 4, 5}


@given(steps, st.floats(1.0, 12.0), rules)
def test_every_cure_cures(pairs, half_band, rule):
    noses = stair(pairs)
    wanted, band = 914.4, (914.4 - half_band, 914.4 + half_band)
    failed = best_line(noses, wanted, band, rule=rule)
    if not isinstance(failed, NoStraightRail):
        return
    for broken in failed.breaks:
        for rail in (broken.lower, broken.upper):
            assert min(rail.heights_mm) >= band[0] - 1e-6
            assert max(rail.heights_mm) <= band[1] + 1e-6
        at = noses[broken.nose - 1][0]
        assert broken.upper.z_mm(at) - broken.lower.z_mm(at) == pytest.approx(broken.step_mm)
    for rebuild in failed.rebuilds:
        moved = list(noses)
        s, z = moved[rebuild.nose - 1]
        moved[rebuild.nose - 1] = (s, z + rebuild.by_mm)
        assert isinstance(best_line(moved, wanted, band, rule=rule), StraightRail)
        assert abs(rebuild.by_mm) > 0.0
    if failed.wanted_mm is not None:
        assert rule is Rule.NEVER_BELOW
        for works in failed.wanted_mm:
            assert isinstance(best_line(noses, works, band, rule=rule), StraightRail)
        beyond = failed.wanted_mm[1] + 1e-3
        assert isinstance(best_line(noses, beyond, band, rule=rule), NoStraightRail)


def test_a_lower_wanted_height_cures_never_below():
    noses = stair([(180.0, 270.0), (184.0, 270.0), (178.0, 270.0), (183.0, 270.0)])
    failed = best_line(noses, 950.0, (864.0, 952.0), rule=Rule.NEVER_BELOW)
    assert isinstance(failed, NoStraightRail)
    width = 2.0 * failed.least_greatest_deviation_mm
    assert failed.wanted_mm == pytest.approx((864.0, 952.0 - width))


def test_wanted_above_the_band_never_works_but_lower_does():
    noses = [(270.0 * i, 180.0 * (i + 1)) for i in range(4)]
    failed = best_line(noses, 980.0, (864.0, 965.0), rule=Rule.NEVER_BELOW)
    assert isinstance(failed, NoStraightRail)
    assert failed.wanted_mm == pytest.approx((864.0, 965.0))
    assert failed.excess_mm == pytest.approx(15.0)
    assert failed.breaks == ()
    assert failed.rebuilds == ()


def test_a_rake_limit():
    noses = [(270.0 * i, 200.0 * (i + 1)) for i in range(4)]
    limit = math.atan2(190.0, 270.0)
    free = best_line(noses, 900.0, rake_limit_rad=limit)
    assert free.rake_rad == pytest.approx(limit)
    # at the limit the rail loses 10 mm a step: 30 mm over three, half of it each way
    assert free.greatest_deviation_mm == pytest.approx(15.0)
    failed = best_line(noses, 900.0, (895.0, 905.0), limit)
    assert isinstance(failed, NoStraightRail)
    assert failed.rake_limited
    assert failed.excess_mm == pytest.approx(20.0)
    assert failed.noses == (1, 4)
    two = best_line(noses[:2], 900.0, (899.0, 901.0), limit)
    assert isinstance(two, NoStraightRail)
    assert {r.nose: r.by_mm for r in two.rebuilds} == pytest.approx({1: 8.0, 2: -8.0})
    # downhill the limit holds as well
    down = best_line([(s, -z) for s, z in noses], 900.0, rake_limit_rad=limit)
    assert down.rake_rad == pytest.approx(-limit)


def test_a_limit_and_a_band_edge_exactly_met():
    noses = [(0.0, 0.0), (100.0, 60.0), (200.0, 100.0)]
    width = best_line(noses, 900.0).greatest_deviation_mm * 2.0
    for rule in (Rule.LEAST_SQUARES, Rule.LEAST_GREATEST_DEVIATION):
        rail = best_line(noses, 900.0, (890.0, 890.0 + width), rule=rule)
        assert isinstance(rail, StraightRail)
        assert max(rail.heights_mm) == pytest.approx(890.0 + width, abs=1e-5)


@pytest.mark.parametrize(
    ("noses", "band", "limit", "says"),
    [
        ([(0.0, 180.0)], None, None, "two noses or more, not 1"),
        ([], None, None, "two noses or more, not 0"),
        ([(0.0, 180.0), (0.0, 360.0)], None, None, "ascending"),
        ([(0.0, 180.0), (270.0, 360.0)], (910.0, 900.0), None, "upside down"),
        ([(0.0, 180.0), (270.0, 360.0)], None, math.pi / 2.0, "between level and plumb"),
    ],
)
def test_what_cannot_be_asked(noses, band, limit, says):
    with pytest.raises(ValueError, match=says):
        best_line(noses, 914.4, band, limit)

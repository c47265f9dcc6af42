import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from railsheet.survey.adjust import adjust
from railsheet.survey.defect import UnderdeterminedError
from railsheet.survey.network import NotConvergedError
from railsheet.survey.readings import BelowLine, Rake, Riser, RiseTo, Run, RunTo, Slant
from railsheet.survey.start import USUAL_RISE_MM, first_guess
from railsheet.survey.wls import solve_wls


def risers(*read, sigma=1.0):
    return [Riser(f"riser{i}", f"riser {i}", r, sigma, i) for i, r in enumerate(read, 1)]


def runs(*read, sigma=1.0):
    return [Run(f"run{i}", f"run {i}", r, sigma, i) for i, r in enumerate(read, 1)]


lengths = st.floats(1.0, 400.0)


@given(st.lists(lengths, min_size=1, max_size=12), st.data(), st.randoms())
def test_nothing_to_check_gives_the_readings_back_bit_for_bit(rises, data, shuffle):
    alongs = data.draw(st.lists(lengths, min_size=len(rises) - 1, max_size=len(rises) - 1))
    readings = risers(*rises) + runs(*alongs)
    shuffle.shuffle(readings)
    stair = adjust(readings, len(rises))
    assert stair.z_mm == tuple(itertools.accumulate(rises))
    assert stair.s_mm == tuple(itertools.accumulate([0.0, *alongs]))
    assert [q.adjusted for q in stair.readings] == [r.read for r in readings]
    assert all(q.residual == 0.0 and q.implied is None for q in stair.readings)
    assert all(q.residual_sigma == 0.0 == q.redundancy for q in stair.readings)
    assert all(q.detectable is None and q.standardised is None for q in stair.readings)
    assert stair.unchecked == stair.readings
    assert not stair.checked
    assert stair.test is None
    assert stair.suspects == ()
    # and the covariance is that of sums: variances 1, 2, 3...
    assert np.diag(stair.nose_covariance_mm2())[len(rises) :] == pytest.approx(
        np.arange(1, len(rises) + 1)
    )


def test_what_is_unchecked_stays_bit_for_bit_beside_what_is():
    rises = (181.1, 187.3, 179.9, 190.7)
    stair = adjust(
        [*risers(*rises), *runs(270.1, 268.3, 271.7), RunTo("t", "total run", 812.0, 1.0, 4)], 4
    )
    assert stair.z_mm == tuple(itertools.accumulate(rises))
    assert stair.checked
    assert stair.redundancy == 1
    assert [q.name for q in stair.unchecked] == ["riser 1", "riser 2", "riser 3", "riser 4"]
    # a misclosure shared evenly: 812.0 − 810.1 = 1.9 over four equal spreads
    assert stair.s_mm == pytest.approx((0.0, 270.575, 539.35, 811.525))
    assert [q.redundancy for q in stair.readings] == pytest.approx([0.0] * 4 + [0.25] * 4)
    # A residual's spread is sigma times the root of its redundancy number, the reading implied by
    # the rest spreads by sigma·√(1/r − 1), and w0·sigma/√r can be found (Baarda 1968): here
    # √0.25, √3 and 4.13 / √0.25 of a spread of one. (w0 = 4.13: from memory.)
    for quality in stair.readings[4:]:
        assert quality.residual_sigma == pytest.approx(0.5)
        assert quality.implied_sigma == pytest.approx(math.sqrt(3.0))
        assert quality.detectable == pytest.approx(4.13 * 2, rel=2e-3)


def test_totals_chain_too():
    stair = adjust(
        [
            RiseTo("a", "rise to 1", 180.3, 1.0, 1),
            RiseTo("b", "rise to 2", 360.9, 1.0, 2),
            RunTo("c", "run to 2", 271.3, 1.0, 2),
        ],
        2,
    )
    assert stair.z_mm == (180.3, 360.9)
    assert stair.s_mm == (0.0, 271.3)
    assert not stair.checked


def test_one_riser_alone():
    stair = adjust(risers(178.0), 1)
    assert (stair.s_mm, stair.z_mm) == ((0.0,), (178.0,))
    assert stair.nose_covariance_mm2() == pytest.approx(np.diag([0.0, 1.0]))


def test_a_slope_and_a_rake_fix_a_nose():
    stair = adjust(
        [*risers(180.0), Slant("d", "slope", 325.0, 1.0, 1, 2), Rake("a", "rake", 0.6, 0.01, 1, 2)],
        2,
    )
    assert stair.s_mm[1] == pytest.approx(325.0 * math.cos(0.6))
    assert stair.z_mm[1] == pytest.approx(180.0 + 325.0 * math.sin(0.6))
    # along the slope as read, across it the angle's share of the length
    covariance = stair.nose_covariance_mm2()
    slope = np.array([math.cos(0.6), math.sin(0.6)])
    across = np.array([-math.sin(0.6), math.cos(0.6)])
    step = covariance[np.ix_([1, 3], [1, 3])] - np.diag([0.0, 1.0])
    assert slope @ step @ slope == pytest.approx(1.0)
    assert across @ step @ across == pytest.approx((325.0 * 0.01) ** 2)


def test_level_lines_find_their_own_height():
    true = [0.0, 181.0, 366.0, 550.0, 738.0]
    lines = [BelowLine(f"a{i}", "", 1210.0 - true[i], 1.0, i, "water") for i in range(4)]
    lines += [BelowLine(f"b{i}", "", 905.5 - true[i], 1.0, i, "laser") for i in (2, 3, 4)]
    stair = adjust(lines + runs(270.0, 270.0, 270.0), 4)
    assert stair.z_mm == pytest.approx(true[1:])
    assert dict(stair.lines_mm) == pytest.approx({"water": 1210.0, "laser": 905.5})
    assert stair.redundancy == 1
    # a nose above the line reads below zero
    above = [
        *risers(180.0),
        BelowLine("c", "", 100.0, 1.0, 0, "w"),
        BelowLine("d", "", -81.0, 1.0, 1, "w"),
    ]
    assert adjust(above, 1).z_mm == pytest.approx((180.0 + 1.0 / 3.0,))


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10**6))
def test_what_the_rest_imply_is_what_leaving_it_out_gives(seed):
    rng = np.random.default_rng(seed)
    readings = risers(*rng.normal(185.0, 5.0, 5)) + runs(*rng.normal(270.0, 5.0, 4))
    readings += [
        RiseTo("z5", "total rise", 925.0 + rng.normal(0, 5), 1.3, 5),
        RiseTo("z3", "rise to 3", 555.0 + rng.normal(0, 5), 0.7, 3),
        RunTo("s5", "total run", 1080.0 + rng.normal(0, 5), 1.3, 5),
    ]
    whole = adjust(readings, 5)
    for quality, reading in zip(whole.readings, readings, strict=True):
        without = adjust(readings, 5, without=[reading.key])
        assert without.left_out == (reading.key,)
        at = {("z", i): z for i, z in enumerate((0.0, *without.z_mm))}
        at |= {("s", i): s for i, s in enumerate(without.s_mm, 1)}
        assert quality.implied == pytest.approx(reading.equation(at).predicted, abs=1e-6)
        covariance = without.nose_covariance_mm2()
        gradient = np.zeros(10)
        for (axis, i), slope in reading.equation(at).slopes:
            if i:
                gradient[i - 1 + (5 if axis == "z" else 0)] = slope
        assert quality.implied_sigma**2 == pytest.approx(gradient @ covariance @ gradient)
        # and leaving it out takes exactly w² off the sum of squares
        assert whole.test.statistic - without.test.statistic == pytest.approx(
            quality.standardised**2, abs=1e-6
        )


def test_what_the_rest_imply_for_a_blundered_diagonal_is_right_to_first_order():
    s, z = np.arange(6) * 270.0, np.arange(1, 7) * 185.0
    true = math.hypot(s[5], z[5] - z[0])
    readings = risers(*[185.0] * 6) + runs(*[270.0] * 5)
    readings.append(Slant("d", "diagonal", true + 25.4, 1.0, 1, 6))
    diagonal = adjust(readings, 6).readings[-1]
    assert diagonal.implied == pytest.approx(true, abs=0.05)


def test_readings_far_apart_in_unit_and_spread_still_rank():
    """An angle to a thousandth of a radian beside a tape to a millimetre, and a very fine one."""
    readings = [
        *risers(180.0, 180.0, sigma=1e-3),
        Rake("a", "rake", math.atan2(180.0, 270.0), 1e-5, 1, 2),
    ]
    stair = adjust(readings, 2)
    assert stair.s_mm[1] == pytest.approx(270.0)
    with pytest.raises(UnderdeterminedError):
        adjust(risers(180.0, 180.0, sigma=1e-3), 2)


@pytest.mark.parametrize(
    ("readings", "n", "heights", "alongs", "take"),
    [
        (
            [*risers(180, 180, 180, 180), Run("a", "", 270, 1, 1), Run("b", "", 270, 1, 2)],
            4,
            (),
            (4,),
            [("run 3", ("total run",))],
        ),
        (
            [*risers(180, 180, 180, 180), Run("a", "", 270, 1, 1), Run("b", "", 270, 1, 3)],
            4,
            (),
            (3, 4),
            [("run 2", ("total run", "running run to nose 3"))],
        ),
        (
            [Riser("a", "", 180, 1, 1), Riser("b", "", 180, 1, 3), *runs(270, 270)],
            3,
            (2, 3),
            (),
            [("riser 2", ("total rise", "running rise to nose 2"))],
        ),
        (
            [Riser("a", "", 180, 1, 2), *runs(270)],
            2,
            (1, 2),
            (),
            [("riser 1", ("total rise",))],
        ),
        (
            risers(180, 180, 180, 180),
            4,
            (),
            (2, 3, 4),
            [
                ("run 1", ("running run to nose 2",)),
                ("run 2", ("running run to nose 3",)),
                ("run 3", ("total run",)),
            ],
        ),
        ([], 1, (1,), (), [("riser 1", ("total rise",))]),
    ],
)
def test_a_loose_nose_is_named_and_so_is_the_reading_to_take(readings, n, heights, alongs, take):
    with pytest.raises(UnderdeterminedError) as caught:
        adjust(readings, n)
    assert caught.value.heights == heights
    assert caught.value.alongs == alongs
    assert [(m.take, m.or_else) for m in caught.value.take] == take
    assert take[0][0] in str(caught.value)


def test_taking_what_is_asked_for_cures_it():
    readings = [
        Riser("r1", "", 181.0, 1.0, 1),
        Riser("r4", "", 183.0, 1.0, 4),
        Run("u2", "", 270.0, 1.0, 2),
    ]
    with pytest.raises(UnderdeterminedError) as caught:
        adjust(readings, 4)
    for missing in caught.value.take:
        kind, number = missing.take.split()
        make = Riser if kind == "riser" else Run
        readings.append(make(missing.take, missing.take, 200.0, 1.0, int(number)))
    assert not adjust(readings, 4).checked


def test_noses_hung_on_distances_down_one_line_are_not_fixed():
    """Two distances along nearly the same line leave a nose free to swing across it."""
    far = math.hypot(540.0, 370.0)
    readings = [
        *risers(185.0, 185.0),
        *runs(270.0),
        Slant("a", "", far, 1.0, 1, 3),
        Slant("b", "", far / 2.0, 1.0, 2, 3),
    ]
    with pytest.raises(UnderdeterminedError) as caught:
        adjust(readings, 3)
    assert caught.value.heights == (3,)
    assert caught.value.alongs == (3,)


def test_readings_no_stair_can_meet():
    """A slope shorter than its own riser leaves no run at all."""
    readings = [*risers(180.0, 190.0), Slant("d", "slope 1 to 2", 150.0, 1.0, 1, 2)]
    with pytest.raises(NotConvergedError, match="slope 1 to 2 fits worst") as caught:
        adjust(readings, 2)
    assert caught.value.key == "d"


def test_a_reading_is_found_by_its_key():
    stair = adjust(risers(180.0), 1)
    assert stair.reading("riser1").name == "riser 1"
    with pytest.raises(KeyError):
        stair.reading("riser9")


def test_leaving_out_a_key_nobody_read():
    with pytest.raises(ValueError, match="no reading has the key 'x'"):
        adjust(risers(180.0), 1, without=["x"])


def test_a_solution_refuses_what_does_not_fit():
    with pytest.raises(ValueError, match="do not agree"):
        solve_wls([[1.0]], [1.0, 2.0], [1.0])
    with pytest.raises(ValueError, match="above zero"):
        solve_wls([[1.0]], [1.0], [0.0])


def test_a_diagonal_shorter_than_its_step_still_has_a_first_guess():
    # No right triangle has a leg longer than its long side: such a guess is left to the usual step.
    readings = [*risers(180.0, 180.0), *runs(270.0), Slant("d", "diagonal", 150.0, 1.0, 1, 2)]
    guess = first_guess(readings, [("z", 1), ("z", 2), ("s", 2)])
    assert guess["z", 2] == 360.0
    short = [Riser("r1", "riser 1", 180.0, 1.0, 1), *runs(270.0), readings[-1]]
    assert first_guess(short, [("z", 1), ("z", 2), ("s", 2)])["z", 2] == 180.0 + USUAL_RISE_MM


def test_a_first_guess_by_pythagoras_and_by_the_rake():
    # 3, 4, 5; and a rake that rises 3 in 4.
    places = [("z", 1), ("z", 2), ("s", 2)]
    one = Riser("r1", "riser 1", 180.0, 1.0, 1)
    slant = Slant("d", "diagonal", 500.0, 1.0, 1, 2)
    rake = Rake("k", "rake", math.atan2(3.0, 4.0), 0.001, 1, 2)
    up, along = Riser("r2", "riser 2", 300.0, 1.0, 2), runs(400.0)[0]
    for readings in ([one, slant, up], [one, slant, along], [one, slant, rake], [one, rake, up],
                     [one, rake, along]):  # fmt: skip
        guess = first_guess(readings, places)
        assert (guess["z", 2], guess["s", 2]) == pytest.approx((480.0, 400.0)), readings


@pytest.mark.parametrize("sigma", [0.0, -1.0])
def test_a_spread_of_nothing_is_refused(sigma):
    with pytest.raises(ValueError, match="above zero"):
        solve_wls(np.eye(2), np.ones(2), np.array([1.0, sigma]))

"""The tie rule, just inside and just outside of every shipped limit."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from railsheet.checks.amount import Kind
from railsheet.checks.judge import Sense, Status, judge
from railsheet.checks.limit import Bound, Limit
from railsheet.checks.profile import find_profile, load_profile, shipped_profiles

UPWARD = (Sense.AT_LEAST, Sense.MORE_THAN)


def every_bound() -> list[tuple[str, Limit, Bound]]:
    return [
        (name, limit, bound)
        for name in shipped_profiles()
        for limit in load_profile(find_profile(name, Path(), "test", "")).limits
        for bound in limit.bounds
    ]


BOUNDS = every_bound()


@pytest.mark.parametrize(
    ("name", "limit", "bound"),
    BOUNDS,
    ids=[f"{n}-{lim.key}-{b.sense.name}" for n, lim, b in BOUNDS],
)
def test_just_inside_equal_and_just_outside_every_limit(
    name: str, limit: Limit, bound: Bound
) -> None:
    inward = 1.0 if bound.sense in UPWARD else -1.0
    step = 2.0 * limit.kind.tie
    inside = judge(bound.value + inward * step, bound.value, bound.sense, limit.kind)
    outside = judge(bound.value - inward * step, bound.value, bound.sense, limit.kind)
    equal = judge(bound.value, bound.value, bound.sense, limit.kind)
    assert inside.status is Status.WITHIN
    assert inside.margin > 0.0
    assert outside.status is Status.OUTSIDE
    assert outside.margin < 0.0
    assert equal.status is (Status.WITHIN if bound.sense.takes_equal else Status.OUTSIDE)
    assert equal.margin == 0.0


@pytest.mark.parametrize(
    ("figure_mm", "sense", "limit_mm", "status"),
    [
        # "not less than 36 inches": 36 in is enough. Both units of the same height.
        (36 * 25.4, Sense.AT_LEAST, 914.4, Status.WITHIN),
        (914.4 - 2e-6, Sense.AT_LEAST, 36 * 25.4, Status.OUTSIDE),
        # "not more than 7 3/4 inches".
        (7.75 * 25.4, Sense.AT_MOST, 196.85, Status.WITHIN),
        (196.85 + 2e-6, Sense.AT_MOST, 7.75 * 25.4, Status.OUTSIDE),
        # "shall not allow passage of a sphere 4 inches in diameter": 4 in lets it through.
        (4 * 25.4, Sense.LESS_THAN, 101.6, Status.OUTSIDE),
        (101.6 - 2e-6, Sense.LESS_THAN, 4 * 25.4, Status.WITHIN),
        # "a 100 mm sphere cannot pass".
        (100.0, Sense.LESS_THAN, 100.0, Status.OUTSIDE),
        (100.0 / 25.4 * 25.4, Sense.LESS_THAN, 100.0, Status.OUTSIDE),
    ],
)
def test_ties_follow_the_clauses_words_in_either_unit(
    figure_mm: float, sense: Sense, limit_mm: float, status: Status
) -> None:
    assert judge(figure_mm, limit_mm, sense).status is status


def test_float_noise_does_not_decide_a_tie() -> None:
    summed = sum([0.1] * 1016)
    assert summed != 101.6
    assert judge(summed, 101.6, Sense.LESS_THAN).margin == 0.0
    assert judge(math.nextafter(914.4, 0), 914.4, Sense.AT_LEAST).status is Status.WITHIN


def test_the_margin_is_positive_inside_and_in_the_figures_unit() -> None:
    assert judge(900.0, 914.4, Sense.AT_LEAST).margin == pytest.approx(-14.4)
    assert judge(900.0, 914.4, Sense.AT_MOST).margin == pytest.approx(14.4)
    pitch = judge(math.radians(40), math.radians(42), Sense.AT_MOST, Kind.ANGLE)
    assert math.degrees(pitch.margin) == pytest.approx(2.0)


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_what_is_not_a_number_is_never_judged(bad: float) -> None:
    with pytest.raises(ValueError, match="cannot judge"):
        judge(bad, 100.0, Sense.AT_MOST)
    with pytest.raises(ValueError, match="cannot judge"):
        judge(100.0, bad, Sense.AT_MOST)

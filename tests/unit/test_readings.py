import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.survey.readings import BelowLine, Rake, Riser, RiseTo, Run, RunTo, Slant, unknowns_of

KINDS = [
    Riser("a", "riser 2", 180.0, 1.0, 2),
    Run("b", "run 1", 270.0, 1.0, 1),
    RiseTo("c", "rise to 3", 540.0, 1.0, 3),
    RunTo("d", "run to 3", 540.0, 1.0, 3),
    BelowLine("e", "nose 2 under the line", 900.0, 1.0, 2, "laser"),
    BelowLine("f", "floor under the line", 1300.0, 1.0, 0, "laser"),
    Slant("g", "slope 1 to 2", 324.0, 1.0, 1, 2),
    Slant("h", "diagonal 1 to 3", 650.0, 1.0, 1, 3),
    Rake("i", "rake 2 to 3", 0.6, 0.002, 2, 3),
]


@given(
    st.lists(st.floats(100.0, 220.0), min_size=3, max_size=3),
    st.lists(st.floats(200.0, 330.0), min_size=2, max_size=2),
    st.sampled_from(KINDS),
)
def test_slopes_are_the_derivatives(rises, runs, reading):
    at = {("z", 0): 0.0, ("s", 1): 0.0, ("line", "laser"): 1300.0}
    for i, rise in enumerate(rises, 1):
        at["z", i] = at["z", i - 1] + rise
    for i, run in enumerate(runs, 1):
        at["s", i + 1] = at["s", i] + run
    equation = reading.equation(at)
    assert {place for place, _ in equation.slopes} == set(reading.places)
    for place, slope in equation.slopes:
        ahead, behind = dict(at), dict(at)
        ahead[place] += 0.01
        behind[place] -= 0.01
        difference = reading.equation(ahead).predicted - reading.equation(behind).predicted
        assert slope == pytest.approx(difference / 0.02, abs=1e-7)


def test_predictions():
    at = {("z", 0): 0.0, ("z", 1): 3.0, ("z", 2): 6.0, ("s", 1): 0.0, ("s", 2): 4.0}
    at["line", "w"] = 10.0
    assert Riser("k", "", 0, 1, 2).equation(at).predicted == 3.0
    assert RiseTo("k", "", 0, 1, 2).equation(at).predicted == 6.0
    assert Run("k", "", 0, 1, 1).equation(at).predicted == 4.0
    assert BelowLine("k", "", 0, 1, 2, "w").equation(at).predicted == 4.0
    assert Slant("k", "", 0, 1, 1, 2).equation(at).predicted == 5.0
    assert Rake("k", "", 0, 1, 1, 2).equation(at).predicted == pytest.approx(math.atan2(3, 4))


@pytest.mark.parametrize(
    ("reading", "says"),
    [
        (Riser("k", "riser 4", 180.0, 1.0, 4), "nose 4 is not on this flight"),
        (Riser("k", "riser 0", 180.0, 1.0, 0), "nose -1 is not on this flight"),
        (Run("k", "run 3", 270.0, 1.0, 3), "nose 4 is not on this flight"),
        (Riser("k", "riser 1", math.nan, 1.0, 1), "nan is no reading"),
        (Riser("k", "riser 1", 180.0, 0.0, 1), "spread must be above zero"),
        (Riser("k", "riser 1", 180.0, math.inf, 1), "spread must be above zero"),
        (Slant("k", "slope", 300.0, 1.0, 2, 2), "same nose"),
        (RunTo("k", "run to 1", 0.0, 1.0, 1), "same nose"),
        (Rake("k", "rake", 0.6, 0.1, 3, 2), "lower nose comes first"),
        (RiseTo("k", "rise to 0", 0.0, 1.0, 0), "same nose"),
    ],
)
def test_readings_that_cannot_be(reading, says):
    with pytest.raises(ValueError, match=says):
        unknowns_of((reading,), 3)


def test_a_key_is_used_once():
    twice = (Riser("k", "riser 1", 1.0, 1.0, 1), Riser("k", "riser 2", 1.0, 1.0, 2))
    with pytest.raises(ValueError, match="used twice"):
        unknowns_of(twice, 2)


def test_the_unknowns_stand_in_order():
    readings = (BelowLine("k", "", 1, 1, 0, "b"), BelowLine("l", "", 1, 1, 1, "a"))
    assert unknowns_of(readings, 2) == (
        ("z", 1),
        ("z", 2),
        ("s", 2),
        ("line", "b"),
        ("line", "a"),
    )

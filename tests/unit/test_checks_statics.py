from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.checks.amount import Kind
from railsheet.checks.choose import limits_for
from railsheet.checks.demand import Demand, Loads, Stiffness, loads_among
from railsheet.checks.limit import Edge, Place, Situation
from railsheet.checks.profile import find_profile, load_profile
from railsheet.checks.statics import (
    DEMAND_ONLY,
    baluster_demands,
    post_demands,
    rail_demands,
)

HOUSE = Situation(place=Place.STAIR, edge=Edge.OPEN, dwelling=True, outdoors=False)
SHOP = Situation(place=Place.STAIR, edge=Edge.OPEN, dwelling=False, outdoors=False)
STEEL = Stiffness(200_000.0, 90_000.0, "for a test")
spans = st.floats(100, 4000)


def loads(name: str, situation: Situation) -> Loads:
    profile = load_profile(find_profile(name, Path(), "test", ""))
    return loads_among(limits_for(profile, situation).applying)


IRC = loads("irc-2021", HOUSE)
IBC = loads("ibc-2021", SHOP)
UK = loads("uk-adk-2013", HOUSE)


def by_name(demands: tuple[Demand, ...]) -> dict[str, Demand]:
    assert len({demand.what for demand in demands}) == len(demands)
    return {demand.what: demand for demand in demands}


def test_the_code_says_which_loads_there_are() -> None:
    assert IRC.concentrated is not None
    assert IRC.uniform is None
    assert IBC.uniform is not None
    assert UK.concentrated is None
    assert UK.pressure is not None
    assert UK.infill is not None
    assert UK.infill.over_mm2 is None
    # One- and two-family dwellings take the concentrated load only (IBC 1607.9.1 exception 1).
    assert loads("ibc-2021", HOUSE).uniform is None


def test_of_two_loads_of_one_kind_the_greater_is_worked() -> None:
    uk = load_profile(find_profile("uk-adk-2013", Path(), "test", ""))
    lighter, heavier = uk.limit("uniform_load_dwelling"), uk.limit("uniform_load_other")
    assert loads_among([lighter, heavier]).uniform is heavier
    assert loads_among([heavier, lighter]).uniform is heavier


def test_every_demand_carries_how_it_was_got() -> None:
    demands = (
        *rail_demands(1800, IBC, STEEL),
        *post_demands(1000, 1800, IBC, STEEL),
        *baluster_demands(800, 110, IBC),
        *baluster_demands(800, 110, UK),
    )
    assert len(demands) == 6 + 6 + 3 + 4
    for demand in demands:
        assert demand.load.clause
        assert demand.source
        left, right = demand.formula.split(" = ")
        assert left in "MVdp"
        for term in demand.terms:
            assert term.symbol in right
            assert term.text
        metric, us = demand.text.rstrip(")").split(" (")
        assert metric
        assert us
    assert "licensed" in DEMAND_ONLY


@given(spans, st.floats(1.1, 3.0))
def test_demands_grow_with_span_as_their_formulas_say(span: float, factor: float) -> None:
    short, long = (
        by_name(rail_demands(span, IBC, STEEL)),
        by_name(rail_demands(span * factor, IBC, STEEL)),
    )
    powers = {
        "rail bending, load at mid-span": 1,
        "rail end reaction, load beside a post": 0,
        "rail deflection, load at mid-span": 3,
        "rail bending, load all along": 2,
        "rail end reaction, load all along": 1,
        "rail deflection, load all along": 4,
    }
    assert powers.keys() == short.keys()
    for what, power in powers.items():
        assert long[what].value == pytest.approx(short[what].value * factor**power, rel=1e-9)


def test_no_stiffness_no_deflection() -> None:
    kinds = {demand.kind for demand in (*rail_demands(1800, IBC), *post_demands(1e3, 1e3, IBC))}
    assert kinds == {Kind.MOMENT, Kind.FORCE}


@given(st.floats(310, 1500), st.floats(20, 304.8))
def test_a_patch_as_long_as_the_baluster_is_a_uniform_load(length: float, spacing: float) -> None:
    # At L = c the patch formula has to become w L^2 / 8.
    (_, bending, reaction) = baluster_demands(304.8, spacing, IBC)
    assert IBC.infill is not None
    line = IBC.infill.bounds[0].value / 304.8**2 * spacing
    assert bending.value == pytest.approx(line * 304.8**2 / 8, rel=1e-12)
    assert reaction.value == pytest.approx(line * 304.8 / 2, rel=1e-12)
    longer = baluster_demands(length, spacing, IBC)[1]
    assert longer.value > bending.value


def test_a_spacing_wider_than_the_patch_carries_the_whole_patch_once() -> None:
    wide, wider = (baluster_demands(800, spacing, IBC)[1].value for spacing in (304.8, 900))
    assert wide == pytest.approx(wider)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_what_is_no_length_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="span_mm"):
        rail_demands(bad, IBC)
    with pytest.raises(ValueError, match="height_mm"):
        post_demands(bad, 1000, IBC)
    with pytest.raises(ValueError, match="tributary_mm"):
        post_demands(1000, bad, IBC)
    with pytest.raises(ValueError, match="spacing_mm"):
        baluster_demands(800, bad, IBC)
    with pytest.raises(ValueError, match="inertia"):
        rail_demands(1000, IBC, Stiffness(2e5, bad, "for a test"))

"""Demands against published worked examples and against integration of the beam's equation."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import cumulative_trapezoid

from railsheet.checks.amount import MM_PER_FOOT, N_PER_LBF
from railsheet.checks.choose import limits_for
from railsheet.checks.demand import Demand, Loads, Stiffness, loads_among
from railsheet.checks.limit import Edge, Place, Situation
from railsheet.checks.profile import find_profile, load_profile
from railsheet.checks.statics import baluster_demands, post_demands, rail_demands

IN = 25.4
IN_LB = N_PER_LBF * IN
PSI = N_PER_LBF / IN**2


def loads(name: str) -> Loads:
    profile = load_profile(find_profile(name, Path(), "test", ""))
    place = Situation(place=Place.STAIR, edge=Edge.OPEN, dwelling=False, outdoors=False)
    return loads_among(limits_for(profile, place).applying)


IBC = loads("ibc-2021")
UK = loads("uk-adk-2013")


def value(demands: tuple[Demand, ...], what: str) -> float:
    (found,) = [demand.value for demand in demands if demand.what == what]
    return found


# "Handrail & post design", a calculation sheet published at scribd.com/doc/192233883: 50 plf,
# posts 4 ft apart: M = q L^2 / 8 = 100.00 lb-ft = 1200 in-lb; post: 50 plf x 4 ft = 200 lb at
# 42 in: 8400 in-lb.
def test_a_published_handrail_sheet() -> None:
    rail = rail_demands(4 * MM_PER_FOOT, IBC)
    post = post_demands(42 * IN, 4 * MM_PER_FOOT, IBC)
    assert value(rail, "rail bending, load all along") / IN_LB == pytest.approx(1200)
    assert value(post, "post base shear, load all along") / N_PER_LBF == pytest.approx(200)
    assert value(post, "post base moment, load all along") / IN_LB == pytest.approx(8400)


# A guard calculation in the City of Santa Ana's public records (building weblink, document 371032,
# page 18): 200 lb x 42 in = 8400 in-lb.
def test_a_published_guard_post() -> None:
    post = post_demands(42 * IN, 4.4 * MM_PER_FOOT, IBC)
    assert value(post, "post base moment, one load at the post") / IN_LB == pytest.approx(8400)


# A stair guard analysis in the City of Everett's public records (document 1831061, page 91):
# posts 42 in apart, guard 36 in high, 200 lb and 50 lb/ft. Rail: 2.1 kip-in under the one load,
# 0.9 under the uniform one. Posts are given after sharing 65 % and 85 % to a post: 4.7 and 6.1
# kip-in for one load, 4.1 for the uniform one; here no load is shared, so the whole is 7.2 and 6.3.
def test_a_published_stair_guard_analysis() -> None:
    rail = rail_demands(42 * IN, IBC)
    post = post_demands(36 * IN, 42 * IN, IBC)
    kip_in = 1000 * IN_LB
    assert round(value(rail, "rail bending, load at mid-span") / kip_in, 1) == 2.1
    assert round(value(rail, "rail bending, load all along") / kip_in, 1) == 0.9
    one = value(post, "post base moment, one load at the post") / kip_in
    assert round(one * 0.65, 1) == 4.7
    assert round(one * 0.85, 1) == 6.1
    assert round(value(post, "post base moment, load all along") / kip_in * 0.65, 1) == 4.1


# A worked example met in public beam notes: W 12 x 35, I = 285 in^4, E = 29 000 000 psi, span
# 100 in, 100 lb/in. Deflection 5 (100)(100)^4 / ((29e6)(285)(384)) = 0.0158 in. Scaled here from
# 100 lb/in to the code's 50 lb/ft, for deflection is in proportion to load.
def test_a_worked_deflection() -> None:
    stiffness = Stiffness(29e6 * PSI, 285 * IN**4, "the worked example")
    sag = value(rail_demands(100 * IN, IBC, stiffness), "rail deflection, load all along")
    assert sag / IN * 100 / (50 / 12) == pytest.approx(0.01575, abs=5e-6)


def simple_beam(line_n_mm: np.ndarray, x: np.ndarray, ei: float) -> tuple[float, float, float]:
    """End reaction, greatest moment and greatest deflection of a simple beam, by integration.

    Euler-Bernoulli: V' = -w, M' = V, v'' = M / EI, with M and v nothing at both ends.
    """
    span = x[-1]
    carried = cumulative_trapezoid(line_n_mm, x, initial=0)
    first = float(np.trapezoid(line_n_mm * (span - x), x)) / span
    moment = cumulative_trapezoid(first - carried, x, initial=0)
    slope = cumulative_trapezoid(moment, x, initial=0) / ei
    sag = cumulative_trapezoid(slope, x, initial=0)
    sag -= sag[-1] * x / span
    return first, float(moment.max()), float(np.abs(sag).max())


def test_rail_formulas_by_integration() -> None:
    span, stiffness = 1800.0, Stiffness(69_000.0, 120_000.0, "for a test")
    ei = 69_000.0 * 120_000.0
    x = np.linspace(0, span, 20_001)
    assert IBC.uniform is not None
    assert IBC.concentrated is not None
    demands = rail_demands(span, IBC, stiffness)
    w, p = IBC.uniform.bounds[0].value, IBC.concentrated.bounds[0].value
    reaction, moment, sag = simple_beam(np.full_like(x, w), x, ei)
    assert value(demands, "rail end reaction, load all along") == pytest.approx(reaction, rel=1e-6)
    assert value(demands, "rail bending, load all along") == pytest.approx(moment, rel=1e-6)
    assert value(demands, "rail deflection, load all along") == pytest.approx(sag, rel=1e-6)
    # The one load as a narrow hat of the same total over the middle.
    hat = np.clip(1.0 - np.abs(x - span / 2) / 4.5, 0.0, None)
    hat *= p / float(np.trapezoid(hat, x))
    _, moment, sag = simple_beam(hat, x, ei)
    assert value(demands, "rail bending, load at mid-span") == pytest.approx(moment, rel=2e-3)
    assert value(demands, "rail deflection, load at mid-span") == pytest.approx(sag, rel=1e-4)


@pytest.mark.parametrize("spacing", [100.0, 114.3, 400.0])
@pytest.mark.parametrize("length", [250.0, 304.8, 820.0])
def test_infill_patch_by_integration(length: float, spacing: float) -> None:
    # 50 lb on one square foot (IRC 2021 table R301.5 footnote f): a patch 304.8 mm square.
    side = 304.8
    x = np.linspace(0, length, 40_001)
    line = 50 * N_PER_LBF / side**2 * min(spacing, side)
    patch = np.where(np.abs(x - length / 2) <= side / 2, line, 0.0)
    _, moment, _ = simple_beam(patch, x, 1.0)
    demands = baluster_demands(length, spacing, IBC)
    bending = value(demands, "baluster bending, infill load at mid-length")
    assert bending == pytest.approx(moment, rel=1e-3)
    # Beside a rail the patch lies against that end.
    beside = np.where(x <= side, line, 0.0)
    reaction, _, _ = simple_beam(beside, x, 1.0)
    end = value(demands, "baluster end reaction, infill load beside a rail")
    assert end == pytest.approx(reaction, rel=1e-3)


def test_infill_pressure_by_integration() -> None:
    x = np.linspace(0, 800.0, 20_001)
    assert UK.pressure is not None
    line = UK.pressure.bounds[0].value * 110.0
    reaction, moment, _ = simple_beam(np.full_like(x, line), x, 1.0)
    demands = baluster_demands(800.0, 110.0, UK)
    bending = value(demands, "baluster bending, pressure all over")
    end = value(demands, "baluster end reaction, pressure all over")
    assert bending == pytest.approx(moment, rel=1e-6)
    assert end == pytest.approx(reaction, rel=1e-6)


def test_post_deflection_by_integration() -> None:
    # Cantilever: v'' = M / EI with v and v' nothing at the base, M = P (h - x).
    height, ei = 1000.0, 200_000.0 * 90_000.0
    x = np.linspace(0, height, 20_001)
    assert IBC.concentrated is not None
    p = IBC.concentrated.bounds[0].value
    slope = cumulative_trapezoid(p * (height - x) / ei, x, initial=0)
    top = float(np.trapezoid(slope, x))
    demands = post_demands(height, 1500.0, IBC, Stiffness(200_000.0, 90_000.0, "for a test"))
    found = value(demands, "post top deflection, one load at the post")
    assert found == pytest.approx(top, rel=1e-6)

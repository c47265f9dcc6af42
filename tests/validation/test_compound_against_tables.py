"""Compound cuts against published tables, against a blade turned by hand, and as joined solids."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.layout.compound import (
    Bar,
    Lies,
    SawSetting,
    Vector,
    meet,
    rail_setting,
    raked_bar,
    saw_setting,
)

# (spring from the wall, corner, mitre, bevel), degrees, the moulding flat on its back.
CROWN = [
    # woodweb.com/knowledge_base/Finding_Compound_Angles_for_Crown_Moulding.html, rounded there:
    # "On 38-52 crown - bevel angle is 33.9 and miter angle is 31.6"; "On 45-45 ... 30.0 ... 35.3".
    (38, 90, 31.6, 33.9, 0.05),
    (45, 90, 35.3, 30.0, 0.05),
    # geocities.ws/xpf51/SQUARE_CUT_FASCIA/crown_examples.html, worked example, five decimals.
    (38, 135, 14.30638, 17.55124, 5e-6),
    # sbebuilders.com/cgi-bin/geometry/crown_table.cgi?Spring_Angle=52, laying flat, five decimals.
    (52, 1, 89.36550, 37.99830, 5e-6),
    (52, 2, 88.73106, 37.99318, 5e-6),
    (52, 3, 88.09674, 37.98466, 5e-6),
    (52, 4, 87.46259, 37.97274, 5e-6),
    (52, 5, 86.82868, 37.95741, 5e-6),
    (52, 6, 86.19507, 37.93868, 5e-6),
    # The same table, on edge against the fence: its complement lies on the table.
    (38, 1, 89.18790, 51.99721, 5e-6),
    (38, 2, 88.37600, 51.98883, 5e-6),
    (38, 3, 87.56451, 51.97488, 5e-6),
    (38, 4, 86.75362, 51.95535, 5e-6),
    (38, 5, 85.94354, 51.93026, 5e-6),
    (38, 6, 85.13446, 51.89961, 5e-6),
]


@pytest.mark.parametrize(("spring", "corner", "mitre", "bevel", "within"), CROWN)
def test_published_crown_tables(
    spring: float, corner: float, mitre: float, bevel: float, within: float
) -> None:
    s, h = math.radians(spring), math.radians(corner / 2)
    # The wall runs along s, the room lies toward y; the moulding leans from the wall by its spring.
    setting = saw_setting(
        axis=(1.0, 0.0, 0.0),
        off_table=(0.0, math.cos(s), -math.sin(s)),
        cut_normal=(math.sin(h), -math.cos(h), 0.0),
    )
    assert abs(math.degrees(setting.mitre_rad)) == pytest.approx(mitre, abs=within)
    assert abs(math.degrees(setting.bevel_rad)) == pytest.approx(bevel, abs=within)


def blade(setting: SawSetting) -> tuple[np.ndarray, np.ndarray]:
    """Two directions in a blade's plane, found by turning the saw as a hand does."""
    m, b = setting.mitre_rad, setting.bevel_rad
    # The blade of an unset saw spans y (fence) and z (up). The table turns it about z, toward x
    # at the operator's side for a mitre above zero; the bevel then tilts it about its own length.
    along = np.array([-math.sin(m), math.cos(m), 0.0])
    square = np.array([math.cos(m), math.sin(m), 0.0])
    up = math.cos(b) * np.array([0.0, 0.0, 1.0]) - math.sin(b) * square
    return along, up


angles = st.floats(-1.2, 1.2)


@given(st.floats(-3, 3), st.floats(-0.8, 0.8), angles, angles, st.sampled_from(Lies))
def test_the_set_blade_lies_in_the_cut(
    heading: float, rake: float, turn: float, tilt: float, lies: Lies
) -> None:
    bar = raked_bar(heading, rake)
    x, up, side = (np.array(v) for v in (bar.axis, bar.up, bar.side))
    normal = math.cos(turn) * math.cos(tilt) * x + math.sin(turn) * side + math.sin(tilt) * up
    setting = rail_setting(bar, lies, tuple(normal))
    z = up if lies is Lies.ON_UNDERSIDE else side
    frame = np.column_stack([x, np.cross(z, x), z])
    for direction in blade(setting):
        assert float(frame @ direction @ normal) == pytest.approx(0.0, abs=1e-12)


@given(st.floats(0.0, 0.8), st.floats(-1.2, 1.2))
def test_a_plumb_cut_at_a_plan_angle(rake: float, plan: float) -> None:
    bar = raked_bar(0.0, rake)
    normal = (math.cos(plan), math.sin(plan), 0.0)
    on_side = rail_setting(bar, Lies.ON_RIGHT_SIDE, normal)
    assert abs(on_side.mitre_rad) == pytest.approx(rake, abs=1e-9)
    assert on_side.bevel_rad == pytest.approx(plan, abs=1e-9)
    on_underside = rail_setting(bar, Lies.ON_UNDERSIDE, normal)
    assert math.tan(on_underside.mitre_rad) == pytest.approx(math.tan(plan) / math.cos(rake))
    assert math.sin(on_underside.bevel_rad) == pytest.approx(-math.cos(plan) * math.sin(rake))


def test_the_long_point_is_told_as_it_lies() -> None:
    # A rail climbing to the right, on its underside, cut plumb: its top edge is left the longer.
    bar = raked_bar(0.0, 0.5)
    assert rail_setting(bar, Lies.ON_UNDERSIDE, (1.0, 0.0, 0.0)).long_point == "up"
    # On its right side, its underside goes to the fence: the long point is off the fence.
    setting = rail_setting(bar, Lies.ON_RIGHT_SIDE, (1.0, 0.0, 0.0))
    z, x = np.array(bar.side), np.array(bar.axis)
    fence = np.cross(z, x)
    assert float(fence @ np.array(bar.up)) == pytest.approx(-1.0)
    assert setting.long_point == "off the fence"
    assert rail_setting(raked_bar(0.0, 0.0), Lies.ON_UNDERSIDE, (1.0, 0.0, 0.0)).long_point == (
        "nowhere: a square cut"
    )


def test_which_joints_are_flush() -> None:
    climb = raked_bar(0.0, 0.6)
    assert meet(climb, raked_bar(0.0, 0.0), 50, 40).lip_mm == 0  # onto a level extension
    assert meet(climb, raked_bar(1.1, -0.6), 50, 40).lip_mm == 0  # over a corner and down again
    assert meet(climb, Bar((0.0, 1.0, 0.0), climb.up), 50, 40).lip_mm == 0  # a return, rolled
    # Climbing on round a square corner: the top edges shear opposite ways in the bisecting plane.
    assert meet(climb, raked_bar(math.pi / 2, 0.6), 50, 40).lip_mm > 10


def _sawn(cq, bar: Bar, lies: Lies, normal: Vector, length: float, width: float, depth: float):
    """A bar whose end at the origin is cut by a saw set to the figures; then put in place."""
    setting = rail_setting(bar, lies, normal)
    x = np.array(bar.axis)
    z = np.array(bar.up if lies is Lies.ON_UNDERSIDE else bar.side)
    on_saw = (length * 2, width, depth) if lies is Lies.ON_UNDERSIDE else (length * 2, depth, width)
    stock = cq.Workplane().box(*on_saw)
    # The waste: a block beyond the blade. It tilts by the bevel, then turns with the table.
    waste = cq.Workplane().box(4 * length, 4 * length, 4 * length).translate((2 * length, 0, 0))
    waste = waste.rotate((0, 0, 0), (0, 1, 0), -math.degrees(setting.bevel_rad))
    waste = waste.rotate((0, 0, 0), (0, 0, 1), math.degrees(setting.mitre_rad))
    plane = cq.Plane(origin=(0, 0, 0), xDir=tuple(x), normal=tuple(z))
    kept = stock.cut(waste)
    return kept.val().moved(cq.Location(plane))


@pytest.mark.parametrize("lies", list(Lies))
@pytest.mark.parametrize(
    ("first", "second"),
    [
        (raked_bar(0.0, 0.6), raked_bar(0.0, 0.0)),
        (raked_bar(0.0, 0.6), raked_bar(1.1, -0.6)),
        (raked_bar(0.0, 0.6), Bar((0.0, 1.0, 0.0), raked_bar(0.0, 0.6).up)),
        (raked_bar(0.3, 0.0), raked_bar(1.8, 0.0)),
    ],
)
def test_the_two_solids_join(lies: Lies, first: Bar, second: Bar) -> None:
    cq = pytest.importorskip("cadquery")
    width, depth, length = 50.0, 40.0, 400.0
    joint = meet(first, second, width, depth)
    assert joint.lip_mm == 0
    into = _sawn(cq, first, lies, joint.cut_normal, length, width, depth)
    back = tuple(-n for n in joint.cut_normal)
    reverse = Bar(tuple(-v for v in second.axis), second.up)
    out = _sawn(cq, reverse, lies, back, length, width, depth)
    assert into.intersect(out).Volume() == pytest.approx(0.0, abs=1e-6)
    joined = into.fuse(out).clean()
    assert len(joined.Solids()) == 1
    assert joined.Volume() == pytest.approx(into.Volume() + out.Volume(), rel=1e-9)

    def cut_area(solid) -> float:
        normal = cq.Vector(*joint.cut_normal)
        at_cut = [
            face
            for face in solid.Faces()
            if abs(abs(face.normalAt().dot(normal)) - 1) < 1e-9
            and abs(face.Center().dot(normal)) < 1e-6
        ]
        assert len(at_cut) == 1
        return at_cut[0].Area()

    # No gap and no overlap: what is left of each cut face after joining is nothing.
    assert cut_area(into) == pytest.approx(cut_area(out))
    bare = into.Area() + out.Area() - 2 * cut_area(into)
    assert into.fuse(out).Area() == pytest.approx(bare, rel=1e-9)

"""An easing's arc between two rails, against a general geometry library and published figures."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from railsheet.job.kit_easing import Bend, EasingKit
from railsheet.layout.easing import Easing


def kit(radius: float, leg: float, insertion: float = 0.0, wall: float = 0.0) -> EasingKit:
    return EasingKit("easing", "rail", None, radius, leg, insertion, wall, (0.0, 1.5), "joint", ())


climbs = st.floats(-0.7, 0.7)
sizes = st.floats(20.0, 60.0)


@st.composite
def easings(draw) -> Easing:
    own, other = draw(climbs), draw(climbs)
    if abs(own + other) < 0.02:
        other += 0.1 if other < 0.5 else -0.1
    depth, wall = draw(sizes), draw(st.floats(0.0, 5.0))
    return Easing(
        kit=kit(draw(st.floats(60.0, 600.0)), draw(st.floats(1.0, 80.0)), 0.5, wall),
        depth_mm=depth,
        width_mm=50.0,
        meet=(draw(st.floats(-3000.0, 3000.0)), draw(st.floats(300.0, 3000.0))),
        inward=draw(st.sampled_from((1, -1))),
        own_climb_rad=own,
        other_climb_rad=other,
        other_run="B",
    )


@pytest.mark.parametrize(
    ("radius", "turn_deg", "tangent", "external", "length"),
    [
        # A published worked example of a simple circular curve (zerdly.com, circular curve
        # elements calculator, read 2026-11-25): R 200 m, 60 degrees.
        (200.0, 60.0, 115.470, 200.0 * (2 / math.sqrt(3) - 1), 209.440),
        # A worked set of a course in surveying mathematics (read 2026-11-25): R 1800,
        # 43 deg 25' 46", T 716.84, L 1364.38. Its E by E = T tan(D / 4), which the same texts give.
        (
            1800.0,
            43 + 25 / 60 + 46 / 3600,
            716.84,
            716.84 * math.tan(math.radians(43 + 25 / 60 + 46 / 3600) / 4),
            1364.38,
        ),
    ],
)
def test_published_circular_curves(radius, turn_deg, tangent, external, length) -> None:
    turn = math.radians(turn_deg)
    easing = Easing(kit(radius, 1.0), 10.0, 10.0, (0.0, 0.0), 1, -turn / 3, -turn * 2 / 3, "B")
    assert easing.turn_rad == pytest.approx(turn)
    assert easing.tangent_mm == pytest.approx(tangent, abs=0.006)
    assert easing.external_mm == pytest.approx(external, abs=0.006)
    assert easing.arc_mm == pytest.approx(length, abs=0.006)


@given(easings())
def test_the_arc_touches_both_axes_where_it_ends(easing: Easing) -> None:
    """Shapely (general-purpose): the centre lies a radius from both axes, nearest at the ends."""
    centre = Point(easing.centre)
    for end, far in zip(easing.ends(0.0, easing.tangent_mm), easing.ends(0.0, 5000.0), strict=True):
        axis = LineString([easing.meet, far])
        assert axis.distance(centre) == pytest.approx(easing.kit.radius_mm, rel=1e-9)
        assert axis.project(centre) == pytest.approx(easing.tangent_mm, rel=1e-6)
        assert math.dist(end, easing.centre) == pytest.approx(easing.kit.radius_mm, rel=1e-9)
    reached = math.dist(easing.meet, easing.centre) - easing.kit.radius_mm
    assert reached == pytest.approx(easing.external_mm, abs=1e-6)


def _axis(easing: Easing) -> LineString:
    """The path of the axis, its arc in very short chords."""
    own, other = easing.ends(0.0, easing.tangent_mm)
    x, z = easing.centre
    start = math.atan2(own[1] - z, own[0] - x)
    turn = math.remainder(math.atan2(other[1] - z, other[0] - x) - start, math.tau)
    radius = easing.kit.radius_mm
    arc = [
        (
            x + radius * math.cos(start + turn * i / 2000),
            z + radius * math.sin(start + turn * i / 2000),
        )
        for i in range(2001)
    ]
    first, last = easing.ends(0.0, easing.tangent_mm + 4000.0)
    return LineString([first, *arc, last])


@given(easings(), st.floats(-1.0, 1.0), st.sampled_from((1.0, -1.0)))
def test_its_sides_run_square_off_the_axis(easing: Easing, share: float, side: float) -> None:
    """Every point of a side lies half the depth from the axis, as shapely measures it."""
    offset = side * easing.half_mm
    if easing.radius_at(offset) < 5.0:
        return
    s = easing.meet[0] + share * easing.reach_mm
    point = Point(s, easing.z_at(s, offset))
    assert _axis(easing).distance(point) == pytest.approx(easing.half_mm, abs=1e-3)


def _same(one: Easing, other: Easing, scale: float = 1.0) -> None:
    for name in ("tangent_mm", "external_mm", "arc_mm", "over_all_mm", "set_back_mm", "reach_mm"):
        assert getattr(other, name) == pytest.approx(scale * getattr(one, name), rel=1e-9)
    assert other.turn_rad == pytest.approx(one.turn_rad)
    assert other.bend is one.bend


@given(easings(), st.floats(-2000.0, 2000.0), st.floats(0.1, 10.0))
def test_shift_scale_and_mirror(easing: Easing, shift: float, scale: float) -> None:
    s, z = easing.meet
    moved = dataclasses.replace(easing, meet=(s + shift, z - shift))
    _same(easing, moved)
    at = s + 0.3 * easing.reach_mm
    assert moved.top_z(at + shift) == pytest.approx(easing.top_z(at) - shift, abs=1e-6)
    # Seen from the other walking side, and by the other run.
    mirrored = dataclasses.replace(easing, meet=(-s, z), inward=-easing.inward)
    _same(easing, mirrored)
    assert mirrored.top_z(-at) == pytest.approx(easing.top_z(at), abs=1e-6)
    other = dataclasses.replace(
        easing,
        inward=-easing.inward,
        own_climb_rad=easing.other_climb_rad,
        other_climb_rad=easing.own_climb_rad,
    )
    _same(easing, other)
    assert other.top_z(at) == pytest.approx(easing.top_z(at), abs=1e-6)
    assert set(other.ends(0.0, 7.0)) == set(easing.ends(0.0, 7.0))
    own = easing.kit
    larger = dataclasses.replace(
        easing,
        kit=dataclasses.replace(
            own,
            radius_mm=own.radius_mm * scale,
            leg_mm=own.leg_mm * scale,
            insertion_mm=own.insertion_mm * scale,
            wall_mm=own.wall_mm * scale,
        ),
        depth_mm=easing.depth_mm * scale,
        meet=(s * scale, z * scale),
    )
    _same(easing, larger, scale)
    assert larger.top_z(at * scale) == pytest.approx(scale * easing.top_z(at), abs=1e-5)


@given(easings())
def test_the_outline_is_the_ribbon_round_the_axis(easing: Easing) -> None:
    """Its area by shapely, the arcs in chords, against depth times length along the axis."""
    if easing.radius_at(easing.half_mm) < 5 or easing.radius_at(-easing.half_mm) < 5:
        return
    corners, bulges = easing.outline()
    points: list[tuple[float, float]] = []
    for (x0, z0), (x1, z1), bulge in zip(corners, (*corners[1:], corners[0]), bulges, strict=True):
        points.append((x0, z0))
        if not bulge:
            continue
        # A DXF polyline's bulge is the tangent of a quarter of its arc's angle, to the left
        # where it is negative (Autodesk DXF reference, LWPOLYLINE, group 42).
        chord = math.dist((x0, z0), (x1, z1))
        quarter = math.atan(bulge)
        radius = chord / 2 / math.sin(2 * quarter)
        middle = ((x0 + x1) / 2, (z0 + z1) / 2)
        off = radius * math.cos(2 * quarter)
        ux, uz = (x1 - x0) / chord, (z1 - z0) / chord
        cx, cz = middle[0] - uz * off, middle[1] + ux * off
        start = math.atan2(z0 - cz, x0 - cx)
        points += [
            (
                cx + abs(radius) * math.cos(start + 4 * quarter * i / 400),
                cz + abs(radius) * math.sin(start + 4 * quarter * i / 400),
            )
            for i in range(1, 400)
        ]
    ring = LineString([*points, points[0]])
    assert ring.is_simple
    expected = 2 * easing.half_mm * easing.over_all_mm
    assert Polygon(points).area == pytest.approx(expected, rel=1e-4)


def test_which_way_it_bends() -> None:
    over = Easing(kit(150.0, 20.0), 40.0, 40.0, (0.0, 900.0), -1, -0.6, 0.0, "B")
    assert over.bend is Bend.OVER
    assert over.heights_mm(-50.0, 50.0, over.half_mm)[1] == pytest.approx(920.0)
    up = Easing(kit(150.0, 20.0), 40.0, 40.0, (0.0, 900.0), -1, 0.0, 0.6, "B")
    assert up.bend is Bend.UP
    assert up.heights_mm(-200.0, 0.0, -up.half_mm)[0] == pytest.approx(880.0)

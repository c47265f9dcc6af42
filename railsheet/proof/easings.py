"""Easings measured on their solids: their turn, arc and ends, and how high they stand."""

from __future__ import annotations

import math
from collections.abc import Iterator

import cadquery as cq

from railsheet.cuts.pieces import easing_mark
from railsheet.job.kit import RailPlace
from railsheet.job.kit_easing import EasingKit
from railsheet.proof.derived import Derived, angle
from railsheet.proof.measure import cut_side, end_side, sides
from railsheet.proof.rails import RailTaken
from railsheet.solids.run import RaisedRun
from railsheet.solids.setting_out import Station
from railsheet.solids.space import Flat

# Longer than any easing is deep, and no longer than the kernel meets exactly, mm.
_NEAR = 1e3
_SAME_WAY = 1e-7
_ASIDE = cq.Vector(0, 1, 0)


def easing_at(run: RaisedRun, station: Station, inward: int) -> cq.Shape | None:
    """The easing that a run's top rail goes into at a post; None where it goes into none."""
    if not isinstance(station.ends.get((inward, RailPlace.TOP)), EasingKit):
        return None
    return run.parts[easing_mark(station.mark)].solid


def top_mm(run: RaisedRun, station: Station, inward: int, s_mm: float, rail: RailTaken) -> float:
    """How high the top rail, or the easing in its stead, stands at a post's face."""
    solid = easing_at(run, station, inward)
    if solid is None:
        return float(rail.back.flat.plumb_at(s_mm).z)
    middle = solid.Center().z
    low, high = cq.Vector(s_mm, 0, middle - _NEAR), cq.Vector(s_mm, 0, middle + _NEAR)
    plumb = cq.Edge.makeLine(low, high)
    return max(float(vertex.Z) for vertex in solid.intersect(plumb).Vertices())


def easing_figures(
    key: str, run: RaisedRun, station: Station, inward: int, rail: RailTaken, face_s_mm: float
) -> Iterator[Derived]:
    """Every figure of an easing over one of a run's end posts.

    Args:
        key: the post's key.
        rail: the top rail that goes into it.
        face_s_mm: the post's face toward that rail.
    """
    solid = easing_at(run, station, inward)
    if solid is None:
        return
    at = f"{key}.easing"
    own = end_side(solid, rail.along * inward)
    across = [side for side in sides(solid) if abs(side.flat.normal.y) < _SAME_WAY]
    other = max(across, key=lambda side: float((side.flat.at - own.flat.at).Length))
    ways = own.flat.normal, other.flat.normal
    middles = [cq.Vector(s.flat.at.x, 0, s.flat.at.z) for s in (own, other)]
    square = ways[1].cross(_ASIDE)
    meet = Flat(middles[1], square).met_by(middles[0], ways[0])
    turn = math.pi - float(ways[0].getAngle(ways[1]))
    yield angle(f"{at}.turn", turn, (middles[0] - meet).Length)
    radii = sorted(_radii(solid))
    radius = (radii[0] + radii[-1]) / 2
    yield Derived(f"{at}.radius", radius)
    flats = [
        edge for edge in solid.Edges() if abs(abs(edge.tangentAt(0.5).dot(ways[0])) - 1) < 1e-9
    ]
    leg = max(float(edge.Length()) for edge in flats)
    yield Derived(f"{at}.leg", leg)
    reach = (middles[0] - meet).Length
    yield Derived(f"{at}.reach", reach)
    yield Derived(f"{at}.tangent", reach - leg)
    yield Derived(f"{at}.external", _external(solid, meet, ways))
    arc = radius * turn
    yield Derived(f"{at}.arc", arc)
    yield Derived(f"{at}.over_all", arc + 2 * leg)
    cut = cut_side(rail.solid, rail.along * -inward).flat
    set_back = abs(float((cut.at - meet).dot(rail.along)))
    yield Derived(f"{at}.set_back", set_back)
    yield Derived(f"{at}.insertion", reach - set_back)
    yield Derived(f"{at}.from_face", abs(middles[0].x - face_s_mm))
    yield Derived(f"{at}.meet", abs(meet.x - face_s_mm))
    yield Derived(f"{at}.meet_height", meet.z - station.foot_mm)
    yield Derived(
        f"{at}.top", top_mm(run, station, inward, station.middle_mm, rail) - station.foot_mm
    )


def _radii(solid: cq.Shape) -> Iterator[float]:
    for edge in solid.Edges():
        if edge.geomType() == "CIRCLE":
            yield float(edge.radius())


def _external(solid: cq.Shape, meet: cq.Vector, ways: tuple[cq.Vector, cq.Vector]) -> float:
    """From where the axes meet, along the line that halves them, to midway through the easing."""
    half = (ways[0] + ways[1]).normalized()
    line = cq.Edge.makeLine(meet - half * _NEAR, meet + half * _NEAR)
    through = [float((v.Center() - meet).dot(half)) for v in solid.intersect(line).Vertices()]
    return abs(min(through) + max(through)) / 2

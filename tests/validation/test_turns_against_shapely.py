"""Outlines in plan against shapely: distance, and the sphere that passes, by a second route.

Reference: shapely (GEOS) distance and buffer. The sphere by Minkowski sum: a circle of diameter d
passes between two outlines if and only if they stay apart when each is grown by d / 2.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Point, Polygon

from railsheet.layout.solid_plan import nearest

places = st.floats(-500.0, 500.0)
clouds = st.lists(st.tuples(places, places), min_size=3, max_size=9)


def hull(points: list[tuple[float, float]]) -> list[tuple[float, float]] | None:
    shape = MultiPoint(points).convex_hull
    if not isinstance(shape, Polygon) or shape.area < 1.0:
        return None
    return [(x, y) for x, y in shape.exterior.coords[:-1]]


@given(clouds, clouds, st.floats(0.0, 2000.0))
def test_the_least_distance_is_shapelys(first, second, apart: float) -> None:
    one, moved = hull(first), hull([(x + apart, y) for x, y in second])
    if one is None or moved is None:
        return
    found = nearest(one, moved)
    assert found.clear_mm == pytest.approx(Polygon(one).distance(Polygon(moved)), abs=1e-7)
    if found.clear_mm > 0:
        assert math.dist(found.start, found.end) == pytest.approx(found.clear_mm, abs=1e-6)
        assert Polygon(one).distance(Point(found.start)) < 1e-6
        assert Polygon(moved).distance(Point(found.end)) < 1e-6
    again = nearest(moved, one)
    assert again.clear_mm == pytest.approx(found.clear_mm, abs=1e-9)


def square(at: tuple[float, float], side: float, turned: float) -> list[tuple[float, float]]:
    half = side / math.sqrt(2)
    ways = [turned + math.pi / 4 + n * math.pi / 2 for n in range(4)]
    return [(at[0] + half * math.cos(a), at[1] + half * math.sin(a)) for a in ways]


# 50.8 mm posts: parallel faces (analytic), one turned an eighth, both turned, offset corners.
@pytest.mark.parametrize(
    ("turned", "other", "at", "clear"),
    [
        (0.0, 0.0, (152.4, 0.0), 101.6),
        (0.0, 0.0, (152.4, 20.0), 101.6),
        (0.0, math.pi / 4, (152.4, 0.0), 152.4 - 25.4 - 25.4 * math.sqrt(2)),
        (math.pi / 4, math.pi / 4, (152.4, 0.0), 152.4 - 50.8 * math.sqrt(2)),
        (0.0, 0.0, (90.8, 80.8), 50.0),
    ],
)
def test_posts_as_they_stand_turned(turned: float, other: float, at, clear: float) -> None:
    one, two = square((0.0, 0.0), 50.8, turned), square(at, 50.8, other)
    found = nearest(one, two)
    assert found.clear_mm == pytest.approx(clear, abs=1e-9)
    grown = [Polygon(o).buffer(clear / 2 - 1e-6, quad_segs=64) for o in (one, two)]
    assert grown[0].disjoint(grown[1])
    # Mitred growth is never less than a circle's, so these must meet.
    wider = [Polygon(o).buffer(clear / 2 + 1e-6, join_style="mitre") for o in (one, two)]
    assert wider[0].intersects(wider[1])
    middle = (found.start[0] + found.end[0]) / 2, (found.start[1] + found.end[1]) / 2
    circle = Point(middle).buffer(found.clear_mm / 2 - 1e-6, quad_segs=64)
    assert circle.disjoint(Polygon(one))
    assert circle.disjoint(Polygon(two))


def test_a_line_on_a_wall_and_things_that_meet() -> None:
    post = square((0.0, 0.0), 50.8, 0.0)
    assert nearest([(100.0, -30.0), (100.0, 30.0)], post).clear_mm == pytest.approx(74.6)
    assert nearest([(0.0, -300.0), (0.0, 300.0)], post).clear_mm == 0.0
    assert nearest(square((10.0, 10.0), 50.8, 0.3), post).clear_mm == 0.0

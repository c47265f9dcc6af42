"""The greatest sphere that passes an opening: its greatest inscribed circle, found exactly.

A sphere crosses a flat opening with its centre in the opening's plane at some instant, and at
that instant its whole great circle lies within the opening. So a sphere passes if and only if
its great circle fits, however it is turned or tilted, and the greatest inscribed circle of the
outline decides it. The guard is taken as a plane: its thickness only makes passing harder.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from railsheet.checks.judge import Judgement, Sense, judge

Floats = NDArray[np.float64]

# Corners nearer than this are one corner, and an outline with less area than a hair of it is
# shut. Both are far below anything a saw leaves and far above float noise at stair size.
_SAME_CORNER_MM = 1e-9
_SHUT_MM2 = 1e-9
# Circles that differ by less than this are equally great; the opening is then a slot and the
# circle is set at its middle.
_EQUAL_MM = 1e-9
# A circle within this much of the greatest radius, and no nearer to it than that, is its rival: a
# move of an outline's parts by some hundredths of a millimetre can turn the one into the other.
RIVAL_MM = 0.05
# Three features whose equations are this near to dependent fix no circle.
_DEPENDENT = 1e-14
# Outlines are solved together as far as the cubes of their corners, which the choices of three
# features grow with, come to no more than this.
_AT_ONCE = 100_000


@dataclass(frozen=True)
class Circle:
    """A circle within an opening.

    Attributes:
        s_mm: centre along the run.
        z_mm: centre's height.
        diameter_mm: its diameter; zero where the opening is shut.
        rivalled: whether a circle elsewhere in the opening is nearly as great, so that a small
            change of the outline could make it the greatest.
    """

    s_mm: float
    z_mm: float
    diameter_mm: float
    rivalled: bool = False


def right_triangle_diameter_mm(rise_mm: float, run_mm: float) -> float:
    """Diameter of the circle inscribed in a right triangle of those legs.

    The inradius of a right triangle is r = (a + b - sqrt(a^2 + b^2)) / 2 (Euclidean geometry:
    the two tangents from each corner are equal, so a + b - c = 2 r).
    """
    return rise_mm + run_mm - math.hypot(rise_mm, run_mm)


def passes(diameter_mm: float, sphere_mm: float) -> Judgement:
    """Judge an opening's greatest circle against a code's sphere.

    "Shall not allow passage of a sphere": the opening has to be less than the sphere. One equal
    to it, within 1e-6 mm, lets the sphere through and is outside.

    Returns:
        Within where the sphere does not pass; the margin is sphere less opening, in mm.
    """
    return judge(diameter_mm, sphere_mm, Sense.LESS_THAN)


def greatest_circle(outline: Polygon | Sequence[tuple[float, float]]) -> Circle:
    """The greatest circle within an outline, convex or not.

    The greatest circle touches at least three features of the outline, each an edge or a
    re-entrant corner (touching only two, it could move to where there is more room, or slide
    until it touches a third). So the circles that touch three features are all set out, their
    true clearance is measured, and the greatest is taken: no grid, no starting guess and no
    tolerance. What is returned always fits.

    Args:
        outline: a simple polygon without holes, (s, z) in mm, either way round.

    Returns:
        The circle; diameter zero where the outline has no area.

    Raises:
        ValueError: the outline crosses itself, has holes, or has a corner that is not finite.
    """
    return greatest_circles([outline])[0]


def greatest_circles(outlines: Sequence[Polygon | Sequence[tuple[float, float]]]) -> list[Circle]:
    """The greatest circle within each outline: those with as many corners are solved at once.

    Args:
        outlines: each as ``greatest_circle`` takes it.

    Returns:
        A circle for each, in their order.

    Raises:
        ValueError: as ``greatest_circle``.
    """
    every = [_corners(outline) for outline in outlines]
    found: dict[int, Circle] = {}
    alike: dict[int, list[int]] = {}
    for index, corners in enumerate(every):
        if len(corners) < 3 or abs(_signed_area(corners)) < _SHUT_MM2:
            middle = corners.mean(axis=0)
            found[index] = Circle(float(middle[0]), float(middle[1]), 0.0)
        else:
            alike.setdefault(len(corners), []).append(index)
    for count, members in alike.items():
        at_once = max(_AT_ONCE // count**3, 1)
        for first in range(0, len(members), at_once):
            some = members[first : first + at_once]
            circles = _circles_of(np.stack([every[index] for index in some]))
            found.update(zip(some, circles, strict=True))
    return [found[index] for index in range(len(every))]


def _circles_of(corners: Floats) -> list[Circle]:
    """Of outlines with as many corners each, (outline, corner, s and z)."""
    backwards = np.array([_signed_area(each) < 0.0 for each in corners])
    corners[backwards] = corners[backwards, ::-1]
    origins = (corners.min(axis=1) + corners.max(axis=1)) / 2.0
    local = corners - origins[:, None]
    polygons = np.asarray(shapely.polygons(local))
    for crossed in polygons[~shapely.is_valid(polygons)]:
        raise ValueError(f"the outline crosses itself: {shapely.is_valid_reason(crossed)}")
    edges, bent = _features(local)
    inner = shapely.get_coordinates(shapely.point_on_surface(polygons))[:, None]
    circles: list[Circle | None] = [None] * len(corners)
    # numpy's own unique would load its masked arrays for this.
    patterns: dict[bytes, list[int]] = {}
    for row, pattern in enumerate(bent):
        patterns.setdefault(pattern.tobytes(), []).append(row)
    for rows in patterns.values():
        bends = local[rows][:, bent[rows[0]]]
        centres = np.concatenate(
            [
                inner[rows],
                _touching_three_edges(edges[rows]),
                *(_touching_corner(edges[rows], bends, n) for n in range(bends.shape[1])),
            ],
            axis=1,
        )
        for row, circle in zip(
            rows, _greatest(polygons[rows], centres, origins[rows]), strict=True
        ):
            circles[row] = circle
    return [circle for circle in circles if circle is not None]


def _corners(outline: Polygon | Sequence[tuple[float, float]]) -> Floats:
    if isinstance(outline, Polygon):
        if outline.interiors:
            raise ValueError("an opening's outline has no holes")
        raw = np.asarray(outline.exterior.coords, dtype=np.float64)[:, :2]
    else:
        raw = np.asarray(outline, dtype=np.float64).reshape(-1, 2)
    if raw.size == 0:
        return np.zeros((1, 2))
    if not np.isfinite(raw).all():
        raise ValueError("an outline's corners are finite")
    if isinstance(outline, Polygon):
        raw = raw[:-1]
    if (np.hypot(*(raw - raw[np.arange(-1, len(raw) - 1)]).T) > _SAME_CORNER_MM).all():
        return raw
    kept = [raw[0]]
    for corner in raw[1:]:
        if np.hypot(*(corner - kept[-1])) > _SAME_CORNER_MM:
            kept.append(corner)
    if len(kept) > 1 and np.hypot(*(kept[0] - kept[-1])) <= _SAME_CORNER_MM:
        kept.pop()
    return np.array(kept)


def _signed_area(corners: Floats) -> float:
    centred = corners - corners.mean(axis=0)
    ahead = np.roll(centred, -1, axis=0)
    return float(np.sum(centred[:, 0] * ahead[:, 1] - centred[:, 1] * ahead[:, 0])) / 2.0


def _features(corners: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Edges as rows (nx, ny, -1, n·p) of n·c - r = n·p, n pointing in; which corners re-enter."""
    along = np.roll(corners, -1, axis=1) - corners
    along /= np.hypot(along[..., 0], along[..., 1])[..., None]
    inward = np.stack([-along[..., 1], along[..., 0]], axis=-1)
    offsets = np.sum(inward * corners, axis=-1, keepdims=True)
    edges = np.concatenate([inward, np.full_like(offsets, -1.0), offsets], axis=-1)
    behind = np.roll(along, 1, axis=1)
    turn = behind[..., 0] * along[..., 1] - behind[..., 1] * along[..., 0]
    return edges, turn < 0.0


def _touching_three_edges(edges: Floats) -> Floats:
    """Centres of the circles that touch three edge lines, by Cramer's rule; nan where none does."""
    triples = _choices(edges.shape[1], 3)
    first, second, third = (edges[:, triples[:, place]] for place in range(3))
    cross_23 = _cross(second, third)
    cross_31 = _cross(third, first)
    cross_12 = _cross(first, second)
    determinant = np.sum(first[..., :3] * cross_23, axis=-1, keepdims=True)
    determinant[np.abs(determinant) <= _DEPENDENT] = np.nan
    centre_and_radius = (
        first[..., 3:] * cross_23 + second[..., 3:] * cross_31 + third[..., 3:] * cross_12
    ) / determinant
    centres: Floats = centre_and_radius[..., :2]
    return centres


def _touching_corner(edges: Floats, bends: Floats, index: int) -> Floats:
    """Centres of the circles that pass through one re-entrant corner and touch two features more.

    An edge gives an equation linear in (s, z, r); so does a second corner, as the line midway
    between the two. Two such planes meet in a line of that space, and the line meets the cone
    of circles through the corner in two points at the most; nan where it does not.
    """
    corner = bends[:, index, None]
    others = np.delete(bends, index, axis=1)
    apart = 2.0 * (others - corner)
    beyond = np.sum(others**2, axis=-1) - np.sum(corner**2, axis=-1)
    midway = np.concatenate(
        [apart, np.zeros_like(beyond)[..., None], beyond[..., None]],
        axis=-1,
    )
    size = np.hypot(midway[..., 0], midway[..., 1])
    rows = np.concatenate([edges, midway / np.where(size > 0.0, size, 1.0)[..., None]], axis=1)
    pairs = _choices(rows.shape[1], 2)
    first, second = rows[:, pairs[:, 0]], rows[:, pairs[:, 1]]
    along = _cross(first, second)
    length_sq = np.sum(along**2, axis=-1, keepdims=True)
    length_sq[length_sq <= _DEPENDENT] = np.nan
    point = (
        first[..., 3:] * _cross(second, along) + second[..., 3:] * _cross(along, first)
    ) / length_sq
    along = along / np.sqrt(length_sq)
    gap = point[..., :2] - corner
    a = along[..., 0] ** 2 + along[..., 1] ** 2 - along[..., 2] ** 2
    b = 2.0 * (
        gap[..., 0] * along[..., 0] + gap[..., 1] * along[..., 1] - point[..., 2] * along[..., 2]
    )
    c = gap[..., 0] ** 2 + gap[..., 1] ** 2 - point[..., 2] ** 2
    return np.concatenate(
        [point[..., :2] + step[..., None] * along[..., :2] for step in _roots(a, b, c)], axis=1
    )


@cache
def _choices(count: int, size: int) -> NDArray[np.intp]:
    """Every choice of so many out of a count, a row each."""
    return np.array(list(itertools.combinations(range(count), size)), dtype=np.intp)


def _cross(a: Floats, b: Floats) -> Floats:
    """Row by row, the vector product of the first three columns; far quicker than numpy's own."""
    x, y, z = a[..., 0], a[..., 1], a[..., 2]
    u, v, w = b[..., 0], b[..., 1], b[..., 2]
    return np.stack([y * w - z * v, z * u - x * w, x * v - y * u], axis=-1)


def _roots(a: Floats, b: Floats, c: Floats) -> tuple[Floats, Floats]:
    """Both roots of a t^2 + b t + c; not finite where there is none."""
    # A line that just grazes the cone has a discriminant of nothing, which noise can turn
    # negative: it is taken as nothing, and the clearance measured afterwards judges the centre.
    root = np.sqrt(np.maximum(b**2 - 4.0 * a * c, 0.0))
    big = -(b + np.copysign(root, b)) / 2.0
    with np.errstate(divide="ignore", invalid="ignore"):
        roots = big / a, c / big
    for root in roots:
        root[~np.isfinite(root)] = np.nan
    return roots


def _greatest(polygons: NDArray[np.object_], centres: Floats, origins: Floats) -> Iterator[Circle]:
    """Of each polygon, the greatest circle among its own centres."""
    low, high = np.split(shapely.bounds(polygons)[:, None], 2, axis=-1)
    rows, places = np.nonzero(((centres >= low) & (centres <= high)).all(axis=-1))
    at = centres[rows, places]
    inside = shapely.contains_xy(polygons[rows], at[:, 0], at[:, 1])
    rows, places, at = rows[inside], places[inside], at[inside]
    radii = np.full(centres.shape[:2], -np.inf)
    radii[rows, places] = shapely.distance(
        shapely.get_exterior_ring(polygons)[rows], shapely.points(at)
    )
    for polygon, around, reach, origin in zip(polygons, centres, radii, origins, strict=True):
        best = float(reach.max())
        equal = around[reach >= best - _EQUAL_MM]
        centre, low, high = equal[0], equal[0], equal[0]
        if len(equal) > 1:
            ends = equal.min(axis=0), equal.max(axis=0)
            middle = (ends[0] + ends[1]) / 2.0
            room = polygon.exterior.distance(shapely.points(middle))
            if shapely.contains_xy(polygon, *middle) and room >= best - _EQUAL_MM:
                centre, (low, high) = middle, ends
        close = around[reach >= best - RIVAL_MM]
        # Along a slot all circles are one and the same.
        apart = (close < low - RIVAL_MM) | (close > high + RIVAL_MM)
        yield Circle(
            s_mm=float(centre[0] + origin[0]),
            z_mm=float(centre[1] + origin[1]),
            diameter_mm=2.0 * best,
            rivalled=bool(apart.any()),
        )

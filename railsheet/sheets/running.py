"""Rows of dimensions: running from one datum, or end to end, none of their figures in the way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from ezdxf.entities.dimension import Dimension
from ezdxf.layouts.layout import Modelspace
from ezdxf.math import Vec2

from railsheet.sheets.dimensions import (
    Mark,
    Point,
    ordinate_x_dim,
    ordinate_y_dim,
)
from railsheet.sheets.drawing import FIGURE_MM, per_paper_mm
from railsheet.sheets.scales import Scale

# Baseline to baseline of neighbouring running dimensions.
RUNNING_PITCH_MM = FIGURE_MM * 1.6


def running_dims(
    msp: Modelspace,
    datum: Point,
    marks: Sequence[Mark],
    level: float,
    scale: Scale,
    *,
    axis: Literal["x", "y"] = "x",
    rotation_rad: float = 0.0,
    layer: str = "DIM",
    among: Sequence[Point] = (),
) -> tuple[Dimension, ...]:
    """Running dimensions from one datum, their figures spread so that none covers another.

    Args:
        msp: model space.
        datum: where the figures are zero, drawing units.
        marks: the points, in any order; the result is in the same order.
        level: local y (for axis x; local x for axis y), from the datum, at which leaders end.
        scale: the scale the view will show it at.
        axis: the local axis measured along.
        rotation_rad: direction of the local x axis.
        layer: layer name.
        among: points whose figures stand in the same row, run from another datum; given both
            ways, the two rows leave room for each other.
    """
    points = [*(mark.point for mark in marks), *among]
    place = []
    for point in points:
        local = (Vec2(point) - Vec2(datum)).rotate(-rotation_rad)
        place.append(local.x if axis == "x" else local.y)
    # Of two as far along, both rows must put the same one first.
    order = sorted(range(len(points)), key=lambda i: (round(place[i], 6), points[i]))
    pitch = RUNNING_PITCH_MM * per_paper_mm(msp, scale)
    spread_out = spread([place[i] for i in order], pitch)
    made: dict[int, Dimension] = {}
    for i, at in zip(order, spread_out, strict=True):
        if i >= len(marks):
            continue
        end = Vec2(at, level) if axis == "x" else Vec2(level, at)
        world = Vec2(datum) + end.rotate(rotation_rad)
        draw = ordinate_x_dim if axis == "x" else ordinate_y_dim
        made[i] = draw(
            msp,
            datum,
            marks[i],
            (world.x, world.y),
            scale,
            rotation_rad=rotation_rad,
            layer=layer,
        )
    return tuple(made[i] for i in range(len(marks)))


def spread(positions: Sequence[float], pitch: float) -> tuple[float, ...]:
    """Move sorted positions apart to at least `pitch`, as little as can be in least squares.

    Source: isotonic regression by pooling adjacent violators (Barlow et al., 1972), on positions
    less their rank times the pitch; from memory.
    """
    pools: list[tuple[float, int]] = []
    for rank, position in enumerate(positions):
        mean, count = position - rank * pitch, 1
        while pools and pools[-1][0] > mean:
            before, n = pools.pop()
            mean, count = (before * n + mean * count) / (n + count), n + count
        pools.append((mean, count))
    level = [mean for mean, count in pools for _ in range(count)]
    return tuple(y + rank * pitch for rank, y in enumerate(level))

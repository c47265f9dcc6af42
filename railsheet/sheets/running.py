"""Rows of dimensions: running from one datum, or end to end, none of their figures in the way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from ezdxf.entities.dimension import Dimension
from ezdxf.layouts.layout import Modelspace
from ezdxf.math import Vec2

from railsheet.sheets.dimensions import (
    TEXT_SIDE_MM,
    Mark,
    Outside,
    Point,
    linear_dim,
    ordinate_x_dim,
    ordinate_y_dim,
)
from railsheet.sheets.drawing import FIGURE_MM, per_paper_mm
from railsheet.sheets.lettering import text_width_mm
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
    """
    place = []
    for mark in marks:
        local = (Vec2(mark.point) - Vec2(datum)).rotate(-rotation_rad)
        place.append(local.x if axis == "x" else local.y)
    order = sorted(range(len(marks)), key=lambda i: place[i])
    pitch = RUNNING_PITCH_MM * per_paper_mm(msp, scale)
    spread_out = spread([place[i] for i in order], pitch)
    made: dict[int, Dimension] = {}
    for i, at in zip(order, spread_out, strict=True):
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


def chain_dims(
    msp: Modelspace,
    points: Sequence[Point],
    texts: Sequence[str],
    keys: Sequence[str],
    base: Point,
    angle_rad: float,
    scale: Scale,
    *,
    layer: str = "DIM",
) -> tuple[Dimension, ...]:
    """Dimensions end to end; where the figures are too wide, every second one stands a row higher.

    Args:
        msp: model space.
        points: the points measured between, in order; one more than the figures.
        texts: the figures as the tables print them.
        keys: the figures' keys.
        base: any point of the dimension line.
        angle_rad: direction of the dimension line.
        scale: the scale the view will show it at.
        layer: layer name.
    """
    made = []
    raised = False
    along = Vec2.from_angle(angle_rad)
    mm = per_paper_mm(msp, scale)
    for p1, p2, text, key in zip(points[:-1], points[1:], texts, keys, strict=True):
        distance = abs((Vec2(p2) - Vec2(p1)).dot(along))
        tight = (text_width_mm(text, FIGURE_MM) + 2.0 * TEXT_SIDE_MM) * mm > distance
        raised = tight and not raised
        outside: Outside = "raised" if raised else "none"
        made.append(
            linear_dim(msp, p1, p2, base, angle_rad, text, key, scale, layer=layer, outside=outside)
        )
    return tuple(made)


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

"""Compound cuts: the mitre and bevel that a saw is set to for any flat cut through a bar.

A bar lies with one face on the saw's table and its axis along the fence, the end to be cut at the
right of one facing the fence. The saw's own frame is then x along the bar toward that end, z off
the table, y toward the fence. A blade turned by the mitre m and tilted by the bevel b cuts the
plane with normal ``(cos m cos b, sin m cos b, sin b)``, so a cut whose outward normal is n in that
frame asks for ``tan m = n_y / n_x`` and ``sin b = n_z``: plane geometry, no rule of thumb.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from railsheet.tolerance import SAME_MM, SAME_RAD

Vector = tuple[float, float, float]
"""Components along s (the run, uphill), y (to the walking side) and z (up)."""

# Directions whose angle's sine or cosine is under this count as parallel or square.
_TINY = 1e-12


class Lies(Enum):
    """Which face of a rail lies on the saw's table."""

    ON_UNDERSIDE = "underside on the table"
    ON_RIGHT_SIDE = "right side, looking toward the end, on the table"


@dataclass(frozen=True)
class SawSetting:
    """How a saw is set for an end at the right of one facing the fence. Angles in radians.

    Attributes:
        mitre_rad: the table's turn from square. Above zero the edge at the fence is left shorter.
        bevel_rad: the blade's tilt from plumb. Above zero the upper face is left shorter.
    """

    mitre_rad: float
    bevel_rad: float

    @property
    def long_point(self) -> str:
        """Where the end's longest corner lies on the saw."""
        across = _word(self.mitre_rad, "off the fence", "at the fence")
        up = _word(self.bevel_rad, "on the table", "up")
        return ", ".join(word for word in (across, up) if word) or "nowhere: a square cut"


def _word(angle: float, positive: str, negative: str) -> str:
    if abs(angle) < _TINY:
        return ""
    return positive if angle > 0 else negative


@dataclass(frozen=True)
class Bar:
    """A straight bar in place.

    Attributes:
        axis: unit vector along it toward the end to be cut.
        up: unit vector square to the axis, out of its upper face.
    """

    axis: Vector
    up: Vector

    @property
    def side(self) -> Vector:
        """Out of the face at the left of one looking along the axis, the upper face up."""
        return _tuple(np.cross(self.up, self.axis))


def raked_bar(heading_rad: float, rake_rad: float) -> Bar:
    """A bar whose sides stand plumb: its axis in plan and its climb along that axis.

    Args:
        heading_rad: the axis in plan, from s toward y.
        rake_rad: how steeply it climbs that way; below zero it falls.
    """
    cos, sin = math.cos(rake_rad), math.sin(rake_rad)
    x, y = math.cos(heading_rad), math.sin(heading_rad)
    return Bar((x * cos, y * cos, sin), (-x * sin, -y * sin, cos))


def saw_setting(axis: Vector, off_table: Vector, cut_normal: Vector) -> SawSetting:
    """The setting for a flat cut.

    Args:
        axis: along the bar, toward the end to be cut.
        off_table: out of the bar's face that lies uppermost on the saw, square to the axis.
        cut_normal: square to the cut, out of the bar's end.

    Raises:
        ValueError: the face is not square to the axis, or the cut runs along the bar.
    """
    x, z, n = (_unit(v) for v in (axis, off_table, cut_normal))
    if abs(float(x @ z)) > 1e-9:
        raise ValueError("the face on the table runs along the bar")
    y = np.cross(z, x)
    along, across, up = float(n @ x), float(n @ y), float(n @ z)
    if along <= _TINY:
        raise ValueError("the cut runs along the bar, or faces back into it")
    return SawSetting(math.atan2(across, along), math.asin(max(-1.0, min(1.0, up))))


def rail_setting(bar: Bar, lies: Lies, cut_normal: Vector) -> SawSetting:
    """The setting for a rail's end, laid on its underside or on its right side.

    On its side a rail that meets a plumb plane at a plan angle takes the simplest figures:
    its rake as the mitre and the plan angle as the bevel.
    """
    up = bar.up if lies is Lies.ON_UNDERSIDE else bar.side
    return saw_setting(bar.axis, up, cut_normal)


def cut_slopes(bar: Bar, cut_normal: Vector) -> tuple[float, float]:
    """How much the place of a flat cut grows along a bar: for each mm up, and for each mm aside.

    Args:
        bar: its axis the way places along it are counted.
        cut_normal: square to the cut, either way.
    """
    n = np.asarray(cut_normal, dtype=np.float64)
    on_axis, up, side = (float(n @ np.array(way)) for way in (bar.axis, bar.up, bar.side))
    lean, slant = -up / on_axis, -side / on_axis
    return lean if abs(lean) > SAME_RAD else 0.0, slant if abs(slant) > SAME_RAD else 0.0


@dataclass(frozen=True)
class Joint:
    """Two bars that meet in one flat cut.

    Attributes:
        cut_normal: square to the cut, out of the first bar's end and into the second.
        lip_mm: how far apart the farthest corner of one bar's section lies in the cut from the
            same corner of the other's; 0 where the joint is flush all round.
    """

    cut_normal: Vector
    lip_mm: float


def meet(first: Bar, second: Bar, width_mm: float, depth_mm: float) -> Joint:
    """The cut where one bar ends against another of the same section, both cut alike.

    Both axes point the way of travel: into the joint along the first bar, out of it along the
    second. The cut halves the angle between the axes, and so makes either end the other's mirror
    image. The sections then meet flush only if one bar's faces mirror into the other's. Where
    they do not, as where rails of one pitch climb round a plan corner, the corners stand apart by
    the lip that is returned, and the rails want a post or an easing between them.

    Raises:
        ValueError: the second bar runs straight back along the first.
    """
    normal = _unit(first.axis) + _unit(second.axis)
    if float(np.linalg.norm(normal)) < 1e-9:
        raise ValueError("the second bar runs back along the first: there is no joint")
    normal = _unit(normal)
    apart = [
        float(np.linalg.norm(_pierced(first, normal, y, z) - _pierced(second, normal, y, z)))
        for y in (-width_mm / 2, width_mm / 2)
        for z in (-depth_mm / 2, depth_mm / 2)
    ]
    lip = max(apart)
    return Joint(_tuple(normal), lip if lip > SAME_MM else 0.0)


def _pierced(
    bar: Bar, normal: NDArray[np.float64], aside_mm: float, up_mm: float
) -> NDArray[np.float64]:
    """Where an edge parallel to the axis pierces the cut, from where the axis does."""
    edge = np.array(bar.side) * aside_mm + np.array(bar.up) * up_mm
    axis = np.array(bar.axis)
    return edge - axis * (float(edge @ normal) / float(axis @ normal))


def _unit(vector: Vector | NDArray[np.float64]) -> NDArray[np.float64]:
    array = np.asarray(vector, dtype=np.float64)
    size = float(np.linalg.norm(array))
    if size < _TINY:
        raise ValueError("a direction has a length")
    return array / size


def _tuple(vector: NDArray[np.float64]) -> Vector:
    return float(vector[0]), float(vector[1]), float(vector[2])

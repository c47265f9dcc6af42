"""Balusters and pickets in a row, and the fillets between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit_infill import (
    BalusterEnd,
    BalusterKit,
    CutKit,
    DrilledKit,
    FilletKit,
    HoleKit,
    PanelKit,
    PunchedKit,
)
from railsheet.solids.bar import Bar
from railsheet.solids.end import EndPlanes
from railsheet.solids.space import Flat, box, plumb_flat, slab


@dataclass(frozen=True)
class RowPlace:
    """Where a row stands. Lengths in mm.

    Attributes:
        first_s_mm: the first member's middle.
        step: from one member's middle to the next one's, along the rails.
    """

    first_s_mm: float
    step: cq.Vector
    count: int

    @property
    def middles_mm(self) -> tuple[float, ...]:
        """Each member's middle, on the run."""
        return tuple(self.first_s_mm + number * self.step.x for number in range(self.count))


def punched_row(
    holes: HoleKit, width_mm: float, bar: Bar, faces: tuple[float, float], count: int
) -> RowPlace:
    """Members in the holes of a punched bar, slid along it until both gaps are equal."""
    step = bar.along * holes.pitch_mm
    filled = step * (count - 1)
    # Stood with the first member's middle over s = 0.
    low, high = 0.0 - width_mm / 2 - faces[0], faces[1] - (filled.x + width_mm / 2)
    return RowPlace((high - low) / 2, step, count)


def equal_row(width_mm: float, bar: Bar, faces: tuple[float, float], count: int) -> RowPlace:
    """Members with every clear distance equal, the posts' included."""
    clear = (faces[1] - faces[0] - count * width_mm) / (count + 1)
    level = clear + width_mm
    step = bar.along * (level / bar.along.x)
    return RowPlace(faces[0] + clear + width_mm / 2, step, count)


def row_of(
    infill: PunchedKit | PanelKit | DrilledKit | CutKit,
    bar: Bar,
    faces: tuple[float, float],
    count: int,
) -> RowPlace:
    """The row that a kit's infill makes between two post faces."""
    width = infill.baluster.width_mm
    if isinstance(infill, PunchedKit | PanelKit):
        return punched_row(infill.holes, width, bar, faces, count)
    return equal_row(width, bar, faces, count)


def hole_centres(bar: Bar, row: RowPlace, *, beyond_row: int) -> tuple[cq.Vector, ...]:
    """Hole centres on a bar's face: the first under the first member, the rest by the bar's pitch.

    Args:
        beyond_row: how many more the bar has past either end of the row.
    """
    first = bar.flat(bar.face_mm).plumb_at(row.first_s_mm)
    numbers = range(-beyond_row, row.count + beyond_row)
    return tuple(first + row.step * number for number in numbers)


def member(
    infill: PunchedKit | PanelKit | DrilledKit | CutKit, s_mm: float, top: Bar, bottom: Bar
) -> cq.Solid:
    """One member, plumb in both rails."""
    floor, ceiling = bottom.flat(bottom.stop_mm), top.flat(top.stop_mm)
    half = infill.baluster.width_mm / 2
    edges = s_mm - half, s_mm + half
    if isinstance(infill, PanelKit):
        return _raked(edges, floor, ceiling, infill.baluster)
    if isinstance(infill, CutKit):
        if infill.ends is BalusterEnd.RAKED:
            return _raked(edges, floor, ceiling, infill.baluster)
        return _square(edges, floor, min(ceiling.plumb_at(s).z for s in edges), infill.baluster)
    foot = max(floor.plumb_at(s).z for s in edges)
    return _square(edges, floor, foot + infill.baluster.length_mm, infill.baluster)


def _raked(
    edges: tuple[float, float], floor: Flat, ceiling: Flat, baluster: BalusterKit
) -> cq.Solid:
    low, high = edges
    corners = [floor.plumb_at(s) for s in (low, high)] + [ceiling.plumb_at(s) for s in (high, low)]
    return slab(corners, baluster.width_mm)


def _square(
    edges: tuple[float, float], floor: Flat, head_z_mm: float, baluster: BalusterKit
) -> cq.Solid:
    """Square-ended: let down until a corner meets the floor."""
    half = baluster.width_mm / 2
    foot = max(floor.plumb_at(s).z for s in edges)
    return box(cq.Vector(edges[0], -half, foot), cq.Vector(edges[1], half, head_z_mm))


def fillets(
    fillet: FilletKit,
    width_mm: float,
    bar: Bar,
    middles_mm: Sequence[float],
    ends: tuple[EndPlanes, EndPlanes],
) -> tuple[cq.Solid, ...]:
    """The fillets of one rail: in its plough, from bracket to baluster to bracket."""
    half = width_mm / 2
    way = 1.0 if bar.face_mm >= bar.stop_mm else -1.0
    heights = sorted((bar.stop_mm, bar.stop_mm + way * fillet.thickness_mm))
    starts = [_upright(ends[0], bar), *(plumb_flat(s + half) for s in middles_mm)]
    stops = [*(plumb_flat(s - half) for s in middles_mm), _upright(ends[1], bar)]
    pieces = []
    for start, stop in zip(starts, stops, strict=True):
        outline = bar.outline(start, stop, heights[0], heights[1])
        if (outline[1] - outline[0]).dot(bar.along) > 0:
            pieces.append(slab(outline, width_mm))
    return tuple(pieces)


def _upright(end: EndPlanes, bar: Bar) -> Flat:
    """The plumb plane where a bracket's mouth crosses the rail's face."""
    mouth = end.mouth.met_by(bar.point(0.0, bar.face_mm), bar.along)
    return plumb_flat(mouth.x)

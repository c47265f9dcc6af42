"""A punched rail's place on its stock bar: the holes decide where the first cut falls."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.layout.railing import Rail
from railsheet.tolerance import SAME_MM

# A saw cannot take off a sliver cleanly, and a bar's own end is not trusted to be square.
# common practice, no source
LEAST_TRIM_MM = 3.0


@dataclass(frozen=True)
class OnBar:
    """Where a cut rail lies on a bar, its uphill end first. Lengths in mm.

    Attributes:
        trim_mm: from the bar's end to the uphill cut's long point.
        first_hole: which hole of the bar, counted from 1, takes the uphill end's baluster.
        needs_mm: from the bar's end to the far end of the piece.
        stock_mm: the shortest stock length that holds it; None where none does.
    """

    trim_mm: float
    first_hole: int
    needs_mm: float
    stock_mm: float | None


def place_on_bar(rail: Rail, pitch_mm: float) -> OnBar:
    """The place that wastes the least at the bar's end.

    The hole of the uphill end's baluster must be one of the bar's, and so must any hole that the
    rail is drawn with beyond it.
    """
    filled = next(i for i, hole in enumerate(rail.holes) if hole.baluster is not None)
    from_end = rail.holes[filled].from_uphill_mm
    first = rail.kit.first_hole_mm
    steps = math.ceil((from_end + LEAST_TRIM_MM - first - SAME_MM) / pitch_mm)
    index = max(steps, filled, 0)
    trim = first + index * pitch_mm - from_end
    needs = trim + rail.length_mm
    stock = next((s for s in rail.kit.stock_mm if s >= needs - SAME_MM), None)
    return OnBar(trim, index + 1, needs, stock)

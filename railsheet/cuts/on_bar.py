"""A rail's place on its stock bar: where a bar is punched, its holes decide the first cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail, Working
from railsheet.tolerance import SAME_MM

# A saw cannot take off a sliver cleanly, and a bar's own end is not trusted to be square.
# common practice, no source
LEAST_TRIM_MM = 3.0


@dataclass(frozen=True)
class OnBar:
    """Where a cut rail lies on a bar, its uphill end first. Lengths in mm.

    Attributes:
        trim_mm: from the bar's end to the uphill cut's long point.
        first_hole: which hole of the bar, counted from 1, takes the uphill end's baluster; None
            for a plain bar.
        needs_mm: from the bar's end to the far end of the piece.
        stock_mm: the shortest stock length that holds it; None where none does.
    """

    trim_mm: float
    first_hole: int | None
    needs_mm: float
    stock_mm: float | None


def place_on_bar(rail: Rail, pitch_mm: float) -> OnBar:
    """The place that wastes the least at the bar's end.

    The hole of the uphill end's baluster must be one of the bar's, and so must any hole that the
    rail is drawn with beyond it.
    """
    if rail.working is not Working.PUNCHED or rail.kit.first_hole_mm is None:
        return _on_bar(rail, LEAST_TRIM_MM, None)
    return _at_hole(rail, pitch_mm, _first_index(rail, pitch_mm))


def place_together(rails: Sequence[Rail], pitch_mm: float) -> tuple[OnBar, ...]:
    """The places of rails that come as one panel: the same picket of it takes either one's end."""
    index = max(_first_index(rail, pitch_mm) for rail in rails)
    return tuple(_at_hole(rail, pitch_mm, index) for rail in rails)


def _first_index(rail: Rail, pitch_mm: float) -> int:
    assert rail.kit.first_hole_mm is not None
    filled = next(i for i, hole in enumerate(rail.holes) if hole.baluster is not None)
    from_end = rail.holes[filled].from_uphill_mm
    steps = math.ceil((from_end + LEAST_TRIM_MM - rail.kit.first_hole_mm - SAME_MM) / pitch_mm)
    return max(steps, filled, 0)


def _at_hole(rail: Rail, pitch_mm: float, index: int) -> OnBar:
    assert rail.kit.first_hole_mm is not None
    from_end = rail.end_hole(End.UPHILL).from_uphill_mm
    return _on_bar(rail, rail.kit.first_hole_mm + index * pitch_mm - from_end, index + 1)


def _on_bar(rail: Rail, trim: float, first_hole: int | None) -> OnBar:
    needs = trim + rail.length_mm
    stock = next((s for s in rail.kit.stock_mm if s >= needs - SAME_MM), None)
    return OnBar(trim, first_hole, needs, stock)

"""A punched rail laid on its bar: whether the bar's own holes come where the rail's are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from railsheet.job.kit import RailKit
from railsheet.job.kit_infill import InfillKit, PanelKit, PunchedKit
from railsheet.proof.derived import Derived
from railsheet.proof.rails import RailTaken
from railsheet.proof.record import length_mm

_SAME_MM = 1e-3


def bar_figures(
    key: str, rail: RailKit, infill: InfillKit, taken: RailTaken, figures: Mapping[str, Any]
) -> Iterator[Derived]:
    """Where a rail must begin on its bar for the hole that the sheet names to take its baluster.

    The bar is punched from its first hole by the kit's pitch; the rail's end hole was measured on
    the solid. A bar may be laid either end first, and the sheet's own place tells which. A rail
    cut from a drop is passed over: a drop's first hole is not the kit's.
    """
    if not isinstance(infill, PunchedKit | PanelKit) or rail.first_hole_mm is None:
        return
    names = f"{key}.bar.hole", f"{key}.bar.from_left", f"{key}.bar.stock"
    if not all(name in figures for name in names):
        return
    stock = length_mm(figures[names[2]])
    if not any(abs(stock - known) < _SAME_MM for known in rail.stock_mm):
        return
    hole = rail.first_hole_mm + (figures[names[0]]["value"] - 1) * infill.holes.pitch_mm
    marks = [m for m, stands in zip(taken.marks_mm, taken.filled, strict=True) if stands]
    places = hole - marks[0], hole - (taken.length_mm - marks[0])
    printed = length_mm(figures[names[1]])
    yield Derived(names[1], min(places, key=lambda place: abs(place - printed)))

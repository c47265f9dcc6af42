"""The empty holes of a punched bar that a cut rail still holds beyond its end balusters."""

from __future__ import annotations

from dataclasses import replace

from railsheet.layout.railing import Hole, Rail
from railsheet.tolerance import SAME_MM


def with_empty_holes(rail: Rail, pitch_mm: float) -> Rail:
    """A punched rail with the empty holes that its two cuts leave in it, even in part.

    Args:
        rail: with its balusters' holes at the least.
        pitch_mm: of the bar's holes, centre to centre.
    """
    offset, half = rail.punched_offset_mm, rail.hole_mm / 2
    first = rail.from_uphill_mm(rail.uphill.u_at(offset))
    last = rail.from_uphill_mm(rail.downhill.u_at(offset))
    filled = sorted(
        (hole for hole in rail.holes if hole.baluster is not None),
        key=lambda hole: hole.from_uphill_mm,
    )
    found = list(filled)
    place = filled[0].from_uphill_mm - pitch_mm
    while place + half > first + SAME_MM:
        found.append(Hole(place, None))
        place -= pitch_mm
    place = filled[-1].from_uphill_mm + pitch_mm
    while place - half < last - SAME_MM:
        found.append(Hole(place, None))
        place += pitch_mm
    return replace(rail, holes=tuple(sorted(found, key=lambda hole: hole.from_uphill_mm)))

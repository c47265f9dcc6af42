"""The holes of a base plate, each read from one corner."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from railsheet.job.source import Table


@dataclass(frozen=True)
class PlateHole:
    """A round hole. Lengths in mm.

    Attributes:
        along_mm, across_mm: its middle from the plate's corner, along the run and across it.
        size_mm: its diameter.
    """

    along_mm: float
    across_mm: float
    size_mm: float


def read_plate_holes(
    table: Table, along_mm: float, across_mm: float, fasteners: int
) -> tuple[PlateHole, ...]:
    """A plate's holes, one for each fastener; none where the kit does not give them.

    Raises:
        BadInput: a hole is not wholly in the plate, two run into each other, or there are more or
            fewer than fasteners.
    """
    if not table.has("hole"):
        return ()
    holes = []
    for entry in table.tables("hole", "one for each fastener: { along, across, size }"):
        hole = PlateHole(
            along_mm=entry.length("along", 0, along_mm),
            across_mm=entry.length("across", 0, across_mm),
            size_mm=entry.length("size", 1, 60),
        )
        half = hole.size_mm / 2
        for key, at_mm, wide_mm in (
            ("along", hole.along_mm, along_mm),
            ("across", hole.across_mm, across_mm),
        ):
            if not half <= at_mm <= wide_mm - half:
                raise entry.bad(key, "the hole would run out over the plate's edge")
        entry.done()
        holes.append(hole)
    if len(holes) != fasteners:
        raise table.bad("hole", f"one for each of the {fasteners} fasteners", len(holes))
    for one, other in combinations(holes, 2):
        apart = math.hypot(one.along_mm - other.along_mm, one.across_mm - other.across_mm)
        if apart <= (one.size_mm + other.size_mm) / 2:
            raise table.bad("hole", "two holes run into each other")
    return tuple(holes)

"""A raked section seen across: how far apart two parallel rails come to stand."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Section:
    """Two parallel rails at a rake. Lengths in mm.

    Attributes:
        rake_rad: the rails' angle from horizontal.
        clear_square_mm: between the faces that look at each other, square to the rails.
        height_plumb_mm: from the underside of the bottom rail to the top of the top rail, plumb.
    """

    rake_rad: float
    clear_square_mm: float
    height_plumb_mm: float

    @property
    def clear_plumb_mm(self) -> float:
        """Between the faces that look at each other, plumb."""
        return self.clear_square_mm / math.cos(self.rake_rad)


def section_from_clear(rake_rad: float, clear_square_mm: float, depths_mm: float) -> Section:
    """A section whose infill decides the clear distance between the rails.

    Args:
        rake_rad: the rails' angle from horizontal.
        clear_square_mm: between the rails, square to them.
        depths_mm: both rails' depths together.
    """
    return Section(rake_rad, clear_square_mm, (clear_square_mm + depths_mm) / math.cos(rake_rad))


def section_from_over_all(rake_rad: float, over_all_mm: float, depths_mm: float) -> Section:
    """A section of a given plumb height, whose infill is cut to what is left between the rails.

    Args:
        rake_rad: the rails' angle from horizontal.
        over_all_mm: underside of the bottom rail to the top of the top rail, plumb.
        depths_mm: both rails' depths together.
    """
    return Section(rake_rad, over_all_mm * math.cos(rake_rad) - depths_mm, over_all_mm)

"""A raked section seen across: how far apart the rails and balusters come to stand."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.job.kit import Kit, RailPlace


@dataclass(frozen=True)
class Section:
    """Two parallel rails at a rake with plumb balusters between them. Lengths in mm.

    Attributes:
        rake_rad: the rails' angle from horizontal.
        clear_square_mm: between the punched faces, square to the rails.
        height_plumb_mm: from the underside of the bottom rail to the top of the top rail, plumb.
        spacing_mm: level distance from baluster to baluster, centre to centre.
        opening_mm: level clear distance between two balusters.
        hole_needed_mm: how long a hole a plumb baluster needs, along the rail.
        shallow_seat_top_mm, shallow_seat_bottom_mm: how deep the shallower corner of a baluster's
            end stands within the rail, square to it.
    """

    rake_rad: float
    clear_square_mm: float
    height_plumb_mm: float
    spacing_mm: float
    opening_mm: float
    hole_needed_mm: float
    shallow_seat_top_mm: float
    shallow_seat_bottom_mm: float

    @property
    def clear_plumb_mm(self) -> float:
        """Between the punched faces, plumb."""
        return self.clear_square_mm / math.cos(self.rake_rad)


def rake_section(kit: Kit, rake_rad: float) -> Section:
    """The section of a kit with fixed-length balusters at a rake.

    A square-ended baluster of length L and width w, standing plumb between two stops that are
    raked by the angle t, bears on them with opposite corners; the stops then stand
    ``L cos t + w sin t`` apart, square to the rails (the width of a rectangle seen along t).
    """
    cos, sin = math.cos(rake_rad), math.sin(rake_rad)
    width = kit.baluster.width_mm
    stops_apart = kit.baluster.length_mm * cos + width * sin
    clear = stops_apart - kit.top_rail.seat_mm - kit.bottom_rail.seat_mm
    spacing = kit.holes.pitch_mm * cos
    return Section(
        rake_rad=rake_rad,
        clear_square_mm=clear,
        height_plumb_mm=(clear + kit.top_rail.depth_mm + kit.bottom_rail.depth_mm) / cos,
        spacing_mm=spacing,
        opening_mm=spacing - width,
        hole_needed_mm=width / cos,
        shallow_seat_top_mm=kit.rail(RailPlace.TOP).seat_mm - width * sin,
        shallow_seat_bottom_mm=kit.rail(RailPlace.BOTTOM).seat_mm - width * sin,
    )

"""How a plumb, square-ended baluster sits in rails at a rake."""

from __future__ import annotations

import math

from railsheet.job.kit import Kit, RailPlace
from railsheet.layout.notice import Notice, stop
from railsheet.layout.section import Section, section_from_clear
from railsheet.tolerance import SAME_MM


def stops_apart_mm(length_mm: float, width_mm: float, rake_rad: float) -> float:
    """Square to the rails, between the two stops that a square-ended plumb baluster bears on.

    A baluster of length L and width w, standing plumb between two stops raked by the angle t,
    bears on them with opposite corners; the stops then stand ``L cos t + w sin t`` apart: the
    width of a rectangle seen along t.
    """
    return length_mm * math.cos(rake_rad) + width_mm * math.sin(rake_rad)


def seats_mm(kit: Kit) -> float:
    """Both rails' seats together, square to the rails."""
    return kit.top_rail.seat_mm + kit.bottom_rail.seat_mm


def depths_mm(kit: Kit) -> float:
    """Both rails' depths together."""
    return kit.top_rail.depth_mm + kit.bottom_rail.depth_mm


def fixed_length_section(kit: Kit, rake_rad: float) -> Section:
    """The section of a kit whose balusters come at one length: they hold the rails apart."""
    baluster = kit.baluster
    stops = stops_apart_mm(baluster.length_mm, baluster.width_mm, rake_rad)
    return section_from_clear(rake_rad, stops - seats_mm(kit), depths_mm(kit))


def hole_needed_mm(width_mm: float, rake_rad: float) -> float:
    """How long a hole a plumb baluster needs, along the rail."""
    return width_mm / math.cos(rake_rad)


def shallow_seat_mm(kit: Kit, place: RailPlace, rake_rad: float) -> float:
    """How deep the shallower corner of a square end stands within a rail, square to it."""
    return kit.rail(place).seat_mm - kit.baluster.width_mm * math.sin(rake_rad)


def hole_notices(kit: Kit, rake_rad: float, hole_mm: float) -> list[Notice]:
    """A hole too short for a plumb baluster at this rake."""
    needed = hole_needed_mm(kit.baluster.width_mm, rake_rad)
    if needed <= hole_mm + SAME_MM:
        return []
    return [
        stop(
            "hole size",
            "at this rake a plumb baluster needs a hole {needed} long; the rail's are {size}",
            needed=needed,
            size=hole_mm,
        )
    ]


def seat_notices(kit: Kit, rake_rad: float) -> list[Notice]:
    """A square end whose shallow corner stands less deep than the kit asks for."""
    found = []
    least = kit.baluster.least_seat_mm
    for place in RailPlace:
        seat = shallow_seat_mm(kit, place, rake_rad)
        if seat < least - SAME_MM:
            found.append(
                stop(
                    "seat",
                    f"at this rake the balusters' shallow corner stands only {{seat}} in the "
                    f"{place.value} rail; the kit asks for {{least}}",
                    seat=max(seat, 0.0),
                    least=least,
                )
            )
    return found

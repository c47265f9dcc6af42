"""Punched rails with balusters of a fixed length: the holes decide where balusters stand."""

from __future__ import annotations

import math
from dataclasses import replace

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_infill import HoleKit, PunchedKit
from railsheet.layout.empty_holes import with_empty_holes
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind, Supply
from railsheet.layout.infill.parts import Fact, Infill, Part, Row
from railsheet.layout.infill.rows import marks_on, row_facts, row_members, set_out, square_ended
from railsheet.layout.infill.seating import (
    fixed_length_section,
    hole_needed_mm,
    hole_notices,
    seat_notices,
    shallow_seat_mm,
)
from railsheet.layout.infill.weighed import weighed_balusters
from railsheet.layout.notice import Notice
from railsheet.layout.punched import Punching
from railsheet.layout.railing import Hole, Rail, Working


def _kit(kit: Kit) -> PunchedKit:
    assert isinstance(kit.infill, PunchedKit)
    return kit.infill


def _rule(kit: Kit, rake_rad: float) -> Punching:
    infill = _kit(kit)
    spacing = infill.holes.pitch_mm * math.cos(rake_rad)
    return Punching(spacing, infill.baluster.width_mm, infill.gap)


def _fill(frame: BayFrame, count: int) -> Filled:
    kit, infill = frame.kit, _kit(frame.kit)
    row = set_out(frame, _rule(kit, frame.rake_rad), count)
    return Filled(
        Infill(
            word=infill.word,
            noun="baluster",
            count=count,
            members=row_members(
                frame, row, square_ended(frame, row.width_mm, infill.baluster.length_mm)
            ),
            row=row,
            pieces=(),
            parts=(Part("baluster", infill.baluster.name, count, spared=True),),
            facts=(*row_facts(frame, row, "baluster"), *seat_facts(kit, frame.rake_rad)),
        ),
        top=punched_rail(frame, RailPlace.TOP, row, infill.holes),
        bottom=punched_rail(frame, RailPlace.BOTTOM, row, infill.holes),
    )


def seat_facts(kit: Kit, rake_rad: float) -> tuple[Fact, ...]:
    """The hole that a plumb baluster needs, and the seat of its shallow corners."""
    needed = hole_needed_mm(kit.baluster.width_mm, rake_rad)
    return (
        Fact("hole_needed", "hole a plumb baluster needs, along the rail", needed, shown=False),
        *(
            Fact(
                f"seat_{place.value}",
                f"seat of a baluster's shallow corner in the {place.value} rail",
                shallow_seat_mm(kit, place, rake_rad),
                shown=False,
            )
            for place in RailPlace
        ),
    )


def punched_rail(frame: BayFrame, place: RailPlace, row: Row, holes: HoleKit) -> Rail:
    """A rail with the row's holes, and the empty ones that the cut piece still holds."""
    rail = frame.rail(place)
    found = [
        Hole(rail.from_uphill_mm(u), number)
        for number, u in enumerate(marks_on(frame, place, row), start=1)
    ]
    punched = replace(rail, working=Working.PUNCHED, hole_mm=holes.size_mm, holes=tuple(found))
    return with_empty_holes(punched, holes.pitch_mm)


def _notices(kit: Kit, rake_rad: float, _: Infill) -> list[Notice]:
    return [*hole_notices(kit, rake_rad, _kit(kit).holes.size_mm), *seat_notices(kit, rake_rad)]


def _supply(kit: Kit) -> Supply:
    return Supply(pitch_mm=_kit(kit).holes.pitch_mm)


def hole_facts(holes: HoleKit) -> tuple[Fact, ...]:
    """The dimensions of holes that rails come with."""
    return (
        Fact("holes.pitch", "hole pitch along the rail", holes.pitch_mm),
        Fact("holes.size", "hole along the rail", holes.size_mm),
    )


def _facts(kit: Kit) -> tuple[Fact, ...]:
    return hole_facts(_kit(kit).holes)


PUNCHED = Kind(fixed_length_section, _rule, _fill, _notices, _supply, _facts, weighed_balusters)

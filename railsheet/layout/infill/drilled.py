"""Plain rails drilled to fit: the fewest balusters, equally spaced, drilled at marks."""

from __future__ import annotations

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_infill import DrilledKit
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind
from railsheet.layout.infill.parts import Infill, Part
from railsheet.layout.infill.punched import seat_facts
from railsheet.layout.infill.row_rule import EqualSpacing
from railsheet.layout.infill.rows import row_facts, row_members, set_out, square_ended, worked
from railsheet.layout.infill.seating import fixed_length_section, hole_notices, seat_notices
from railsheet.layout.infill.weighed import weighed_balusters
from railsheet.layout.notice import Notice
from railsheet.layout.railing import Working


def _kit(kit: Kit) -> DrilledKit:
    assert isinstance(kit.infill, DrilledKit)
    return kit.infill


def _rule(kit: Kit, _: float) -> EqualSpacing:
    infill = _kit(kit)
    return EqualSpacing(infill.baluster.width_mm, infill.greatest_opening_mm)


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
        top=worked(frame, RailPlace.TOP, row, Working.DRILLED, infill.hole_mm),
        bottom=worked(frame, RailPlace.BOTTOM, row, Working.DRILLED, infill.hole_mm),
    )


def _notices(kit: Kit, rake_rad: float, _: Infill) -> list[Notice]:
    return [*hole_notices(kit, rake_rad, _kit(kit).hole_mm), *seat_notices(kit, rake_rad)]


DRILLED = Kind(fixed_length_section, _rule, _fill, _notices, weighed=weighed_balusters)

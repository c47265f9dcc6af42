"""Factory panels that rack: pickets turn in their rails, and both rails are cut from one panel."""

from __future__ import annotations

import math
from dataclasses import replace

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_infill import PanelKit
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind, Supply
from railsheet.layout.infill.parts import Fact, FactUnit, Infill, Weighed
from railsheet.layout.infill.punched import hole_facts, punched_rail
from railsheet.layout.infill.rows import raked_ended, row_facts, row_members, set_out
from railsheet.layout.infill.seating import depths_mm, hole_notices
from railsheet.layout.infill.weighed import balusters_of
from railsheet.layout.notice import Notice, stop
from railsheet.layout.punched import Punching
from railsheet.layout.section import Section, section_from_clear


def _kit(kit: Kit) -> PanelKit:
    assert isinstance(kit.infill, PanelKit)
    return kit.infill


def _section(kit: Kit, rake_rad: float) -> Section:
    """Racked, a panel is a parallelogram: along a picket its axes keep their distance."""
    axes_square = _kit(kit).axes_apart_mm * math.cos(rake_rad)
    return section_from_clear(rake_rad, axes_square - depths_mm(kit) / 2, depths_mm(kit))


def _rule(kit: Kit, rake_rad: float) -> Punching:
    infill = _kit(kit)
    spacing = infill.holes.pitch_mm * math.cos(rake_rad)
    return Punching(spacing, infill.baluster.width_mm, infill.gap)


def _fill(frame: BayFrame, count: int) -> Filled:
    infill = _kit(frame.kit)
    row = set_out(frame, _rule(frame.kit, frame.rake_rad), count)
    limit = Fact("greatest_rack", "Panel racks to", infill.greatest_rack_rad, FactUnit.ANGLE)
    return Filled(
        Infill(
            word=infill.word,
            noun="picket",
            count=count,
            members=row_members(frame, row, raked_ended(frame, row.width_mm)),
            row=row,
            pieces=(),
            parts=(),
            facts=(*row_facts(frame, row, "picket"), limit),
        ),
        top=punched_rail(frame, RailPlace.TOP, row, infill.holes),
        bottom=punched_rail(frame, RailPlace.BOTTOM, row, infill.holes),
    )


def _notices(kit: Kit, rake_rad: float, _: Infill) -> list[Notice]:
    infill = _kit(kit)
    found = hole_notices(kit, rake_rad, infill.holes.size_mm)
    if rake_rad > infill.greatest_rack_rad + 1e-9:
        notice = stop("rack", "the rake is {rake}; the kit's panel racks to {most} at the most")
        angles = (("rake", rake_rad), ("most", infill.greatest_rack_rad))
        found.append(replace(notice, angles_rad=angles))
    return found


def _supply(kit: Kit) -> Supply:
    infill = _kit(kit)
    return Supply(infill.holes.pitch_mm, infill.panel)


def _facts(kit: Kit) -> tuple[Fact, ...]:
    return hole_facts(_kit(kit).holes)


def _weighed(kit: Kit, infill: Infill) -> Weighed:
    """A picket runs on past its pins: as long as it is supplied."""
    picket = _kit(kit).baluster
    return (balusters_of(picket, picket.length_mm, len(infill.members)),)


PANEL = Kind(_section, _rule, _fill, _notices, _supply, _facts, _weighed)

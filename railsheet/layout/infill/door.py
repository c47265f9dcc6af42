"""The one door to every kind of infill: a new kind is a module, and a case here."""

from __future__ import annotations

from railsheet.job.kit import Kit
from railsheet.job.kit_infill import (
    CableKit,
    CutKit,
    DrilledKit,
    InfillKit,
    PanelKit,
    PunchedKit,
    SolidKit,
)
from railsheet.layout.infill.kind import Kind, Supply
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.section import Section


def _kind(infill: InfillKit) -> Kind:
    """The kind that a kit's infill is of; only that kind's module is loaded."""
    match infill:
        case PunchedKit():
            from railsheet.layout.infill.punched import PUNCHED as KIND
        case DrilledKit():
            from railsheet.layout.infill.drilled import DRILLED as KIND
        case CutKit():
            from railsheet.layout.infill.cut import CUT as KIND
        case PanelKit():
            from railsheet.layout.infill.panel import PANEL as KIND
        case CableKit():
            from railsheet.layout.infill.cable import CABLE as KIND
        case SolidKit():
            from railsheet.layout.infill.solid import SOLID as KIND
    return KIND


def kind_of(kit: Kit) -> Kind:
    """The kind of infill that a kit has."""
    return _kind(kit.infill)


def supply_of(kit: Kit) -> Supply:
    """How a kit's rails come."""
    return kind_of(kit).supply(kit)


def rake_section(kit: Kit, rake_rad: float) -> Section:
    """How far apart a kit's rails stand at a rake."""
    return kind_of(kit).section(kit, rake_rad)


def row_rule(kit: Kit, rake_rad: float) -> RowRule:
    """How a kit's members are spaced at a rake."""
    return kind_of(kit).rule(kit, rake_rad)

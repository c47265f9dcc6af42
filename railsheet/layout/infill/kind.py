"""What every kind of infill answers: the door's one shape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from railsheet.job.kit import Kit
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.parts import Infill
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.notice import Notice
from railsheet.layout.railing import Rail
from railsheet.layout.section import Section


@dataclass(frozen=True)
class Filled:
    """A bay's infill, and its rails with the holes or marks that it asks for."""

    infill: Infill
    top: Rail
    bottom: Rail


@dataclass(frozen=True)
class Kind:
    """One kind of infill.

    Attributes:
        section: how far apart the rails stand, for a kit at a rake.
        rule: how its members are spaced along a bay at a rake.
        fill: fills a bay with so many members; the count is passed over where it has no row.
        notices: what a person must know of this infill in a bay so filled.
    """

    section: Callable[[Kit, float], Section]
    rule: Callable[[Kit, float], RowRule]
    fill: Callable[[BayFrame, int], Filled]
    notices: Callable[[Kit, float, Infill], list[Notice]]

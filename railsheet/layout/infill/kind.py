"""What every kind of infill answers: the door's one shape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from railsheet.job.kit import Kit
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.parts import Fact, Infill, Weighed
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
class Supply:
    """How the rails of a kind come, which decides how they are cut and bought.

    Attributes:
        pitch_mm: of the holes that rails come with; None where rails come plain.
        panel: the panel that both rails of a bay are cut from, in words; None where each is cut
            from bars of its own.
    """

    pitch_mm: float | None = None
    panel: str | None = None

    @property
    def word(self) -> str:
        """What a rail is cut from, in a word."""
        return "panel" if self.panel else "bar"


def plain_bars(_: Kit) -> Supply:
    """Rails cut from plain bars."""
    return Supply()


def no_facts(_: Kit) -> tuple[Fact, ...]:
    """No dimensions of the infill's own to print."""
    return ()


def unweighed(_: Kit, __: Infill) -> Weighed | None:
    """Nothing is told of what fills a bay."""
    return None


@dataclass(frozen=True)
class Kind:
    """One kind of infill.

    Attributes:
        section: how far apart the rails stand, for a kit at a rake.
        rule: how its members are spaced along a bay at a rake.
        fill: fills a bay with so many members; the count is passed over where it has no row.
        notices: what a person must know of this infill in a bay so filled.
        supply: how the kit's rails come: from which follow their places on bars, whether the
            stock plan cuts them, and what the lists and sheets call what they are cut from.
        facts: the kit's own dimensions that figures carry; their names stand after ``kit.``.
        weighed: what fills a bay, as it is weighed; None where that is not told.
        in_line: whether its members go on in line from bay to bay, so that every bay of a run has
            as many as the one that asks for most; ``fill`` then takes its count as the least.
    """

    section: Callable[[Kit, float], Section]
    rule: Callable[[Kit, float], RowRule]
    fill: Callable[[BayFrame, int], Filled]
    notices: Callable[[Kit, float, Infill], list[Notice]]
    supply: Callable[[Kit], Supply] = plain_bars
    facts: Callable[[Kit], tuple[Fact, ...]] = no_facts
    weighed: Callable[[Kit, Infill], Weighed | None] = unweighed
    in_line: bool = False

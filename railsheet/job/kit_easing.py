"""Easings: fittings that carry a top rail round a change of rake over a post."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import ClassVar

from railsheet.job.kit_bracket import Screw, read_screws
from railsheet.job.kit_ends import EndKit, OverKit
from railsheet.job.kit_infill import CableKit, Clash, CutKit, InfillKit, SolidKit
from railsheet.job.source import Table


class Bend(Enum):
    """Which way an easing bends, seen from the side.

    UP: both rails rise from it, as where a flight leaves a landing. OVER: both fall from it, as
    where a flight comes up to a deck.
    """

    UP = "up"
    OVER = "over"


@dataclass(frozen=True)
class EasingKit:
    """A fitting bent or cast to an arc, with a straight leg at either end. Lengths in mm.

    Attributes:
        matches: the name of the top rail whose section it goes on with.
        bends: which way it bends; None where it may be laid either way up.
        radius_mm: of its axis.
        leg_mm: straight, from the arc's end to the fitting's own end, along the axis.
        insertion_mm: how far the rail goes into it past that end; 0 where it butts.
        wall_mm: how much its section stands out past the rail's on every side.
        turns_rad: the least and the greatest angle it comes at or is bent to, radians.
        joint: what joins a rail to it, one to an end.
        screws: kinds and counts that hold one fitting to its post.
    """

    runs_over: ClassVar[bool] = True

    name: str
    matches: str
    bends: Bend | None
    radius_mm: float
    leg_mm: float
    insertion_mm: float
    wall_mm: float
    turns_rad: tuple[float, float]
    joint: str
    screws: tuple[Screw, ...]

    def takes(self, turn_rad: float, bend: Bend) -> bool:
        """Whether it turns by an angle, so bent."""
        least, most = self.turns_rad
        return least <= turn_rad <= most and self.bends in (None, bend)


def read_easings(root: Table) -> tuple[EasingKit, ...]:
    """The kit's ``[[easing]]`` tables, in its order.

    Raises:
        BadInput: a key is missing, misspelt or out of range, or two dimensions contradict.
    """
    words = "each easing in a table of its own: [[easing]]"
    return tuple(_easing(table) for table in root.tables("easing", words))


def _easing(table: Table) -> EasingKit:
    bends = table.choice("bends", [*(bend.value for bend in Bend), "either"])
    least = math.radians(table.number("turns_from", 0, 85, "degrees, the least it turns"))
    most = math.radians(table.number("turns_to", 0.5, 85, "degrees, the most it turns"))
    easing = EasingKit(
        name=table.text("name", "the easing in words"),
        matches=table.text("matches", "the name of the top rail whose section it goes on with"),
        bends=None if bends == "either" else Bend(bends),
        radius_mm=table.length("radius", 10, 3000),
        leg_mm=table.length("leg", 0, 600),
        insertion_mm=table.length("insertion", 0, 300),
        wall_mm=table.length("wall", 0, 20),
        turns_rad=(least, most),
        joint=table.text("joint", "what joins a rail to it, in words; one to an end"),
        screws=read_screws(table),
    )
    table.done()
    if least > most:
        raise table.bad("turns_to", "no less than turns_from")
    if easing.insertion_mm > easing.leg_mm:
        raise table.bad("insertion", "a rail goes in no farther than the straight leg")
    if easing.insertion_mm and not easing.wall_mm:
        raise table.bad("wall", "a rail that goes in needs a wall round it; or insertion = 0")
    return easing


def easing_clash(
    easings: Sequence[EasingKit], end: EndKit, infill: InfillKit, rail: str, depth_mm: float
) -> Clash | None:
    """Where a kit's easings contradict the rest of it, and how; None where they do not.

    Args:
        end: how its top rail ends.
        rail, depth_mm: its top rail's name and upright size.
    """
    if not isinstance(end, OverKit):
        return "easing", "an easing lies on its post: only beside top_end of kind over post"
    if isinstance(infill, SolidKit | CableKit) or (
        isinstance(infill, CutKit) and infill.fillet is not None
    ):
        words = "panes, cables and fillets meet the top rail right up to the post: balusters only"
        return "easing", words
    for number, easing in enumerate(easings, start=1):
        at = f"easing {number}"
        if easing.matches != rail:
            return f"{at} > matches", f"the top rail's own name: {rail}"
        if easing.radius_mm <= depth_mm / 2 + easing.wall_mm + end.saddle_mm:
            words = "the arc would fold in itself: more than half the rail's depth, wall and saddle"
            return f"{at} > radius", words
    return None


def easing_for(easings: Sequence[EasingKit], turn_rad: float, bend: Bend) -> EasingKit | None:
    """The first of a kit's easings that turns by an angle, so bent; None where none does."""
    return next((easing for easing in easings if easing.takes(turn_rad, bend)), None)

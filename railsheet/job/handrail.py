"""Handrails that are parts of their own, as a job asks for them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from railsheet.job.kit_handrail import Finish, HandrailKit
from railsheet.job.rail_rule import Rule
from railsheet.job.side import Side


class Holds(Enum):
    """What the brackets are fixed to."""

    WALL = "wall"
    POSTS = "posts"


class Joints(Enum):
    """How rails are joined at a turn: by the parts' fittings where one makes it, or by mitres."""

    FITTINGS = "fittings"
    MITRED = "mitred"


@dataclass(frozen=True)
class HandrailEnd:
    """How one end is to be. Lengths in mm.

    Attributes:
        past_mm: level, past the riser: of the level part at the top, of the sloping part at the
            bottom; None to take it from the code, or, at a post, from the post's place.
        level_mm: at the bottom, a level part beyond the sloping one; 0 for none.
    """

    finish: Finish
    past_mm: float | None
    level_mm: float = 0.0


@dataclass(frozen=True)
class Landing:
    """The wall between two flights, as a tape reads it. Lengths in mm, level along the wall.

    Attributes:
        lower_mm: from the top nose of the lower flight to the wall's corner; where the wall runs
            straight on, to nose 1 of the upper flight.
        turn_rad: how far the wall turns there, to the left going up; 0 for straight on.
        upper_mm: from the corner to nose 1 of the upper flight; 0 where the wall runs straight on.
        studs_mm: studs of the wall past the corner, from the corner.
    """

    lower_mm: float
    turn_rad: float
    upper_mm: float
    studs_mm: tuple[float, ...]


@dataclass(frozen=True)
class HandrailSpec:
    """One handrail. Lengths in mm.

    Attributes:
        mark: its mark on sheets and pieces.
        follows: the marks of the runs it follows, going up.
        side: which hand it is on, going up.
        height_mm: wanted height of its top, plumb over the noses.
        rule: what makes one straight line over the noses better than another.
        clear_mm: clear between the rail and the wall, or the posts' faces.
        spacing_mm: greatest distance between brackets, along the rail.
        first_mm: greatest distance from an end to its first bracket, along the rail.
        studs_mm: middles of the studs of the wall, level from nose 1 of the first flight, uphill
            positive; empty where brackets may go anywhere.
        landings: one between each two flights on a wall; empty on posts.
    """

    mark: str
    follows: tuple[str, ...]
    side: Side
    holds: Holds
    height_mm: float
    rule: Rule
    clear_mm: float
    spacing_mm: float
    first_mm: float
    studs_mm: tuple[float, ...]
    bottom: HandrailEnd
    top: HandrailEnd
    landings: tuple[Landing, ...]
    joints: Joints
    kit: HandrailKit

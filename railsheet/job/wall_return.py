"""A wall beside a post at a rail's free end, to which the top rail is returned."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.job.side import Side
from railsheet.job.source import Table
from railsheet.units.length import MM_PER_INCH

_CLEAR_MM = (0.5 * MM_PER_INCH, 48 * MM_PER_INCH)
_OUTER, _WALKING = "outer side", "walking side"


@dataclass(frozen=True)
class WallReturn:
    """The wall that a rail's free end is returned to. Lengths in mm.

    Attributes:
        clear_mm: level and square to the run, from the post's side to the wall.
        outer: whether the wall stands on the side away from the walk.
    """

    clear_mm: float
    outer: bool

    def aside(self, side: Side) -> float:
        """The way to the wall: 1 to the left of one looking along the run, -1 to the right."""
        away = -1.0 if side is Side.RIGHT else 1.0
        return away if self.outer else -away


def read_wall_return(table: Table) -> WallReturn | None:
    """The table ``return`` of a post; None where it has none.

    Raises:
        BadInput: a key is missing, misspelt or out of range.
    """
    if not table.has("return"):
        return None
    own = table.table("return")
    asked = WallReturn(
        clear_mm=own.length("C", *_CLEAR_MM),
        outer=own.choice("to", [_OUTER, _WALKING], _OUTER) == _OUTER,
    )
    own.done()
    return asked

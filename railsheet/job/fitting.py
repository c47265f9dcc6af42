"""A part that joins two rails at a turn: an elbow, a knuckle."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.job.source import Table


@dataclass(frozen=True)
class Fitting:
    """A part that joins two rails at a turn. Lengths in mm, angles in radians.

    Attributes:
        least_rad, most_rad: the turns it makes, between the two rails' directions.
        radius_mm: of its middle's bend; 0 where it pivots or is sharp.
        leg_mm: straight, from the bend (or the pin) to the shoulder that a rail butts against.
    """

    name: str
    least_rad: float
    most_rad: float
    radius_mm: float
    leg_mm: float

    def makes(self, turn_rad: float) -> bool:
        """Whether it makes a turn."""
        return self.least_rad <= turn_rad <= self.most_rad

    def bend_mm(self, turn_rad: float) -> float:
        """From where the two middles cross to where the bend begins."""
        return self.radius_mm * math.tan(turn_rad / 2)

    def set_back_mm(self, turn_rad: float) -> float:
        """From where the two middles cross to the shoulder."""
        return self.bend_mm(turn_rad) + self.leg_mm


def read_fitting(table: Table) -> Fitting:
    """A fitting, as a file of parts gives it.

    Raises:
        BadInput: a key is missing, misspelt, out of range, or two values contradict.
    """
    turn = table.table("turn")
    least = turn.number("least", 0, 180, "degrees")
    most = turn.number("most", 0, 179, "degrees")
    if most < least:
        raise turn.bad("most", "less than the least")
    turn.done()
    fitting = Fitting(
        name=table.text("name", "the fitting in words"),
        least_rad=math.radians(least),
        most_rad=math.radians(most),
        radius_mm=table.length("radius", 0, 500),
        leg_mm=table.length("leg", 0, 300),
    )
    table.done()
    return fitting

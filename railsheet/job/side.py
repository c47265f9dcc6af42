"""Which hand a rail is on."""

from __future__ import annotations

from enum import Enum


class Side(Enum):
    """Which side of the step the rail stands on, seen going up."""

    LEFT = "left"
    RIGHT = "right"

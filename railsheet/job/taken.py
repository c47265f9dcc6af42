"""What was read of a flight's steps, each reading with its place in the job file."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum


class Letter(Enum):
    """A kind of reading by its letter in the job file and on the measuring form."""

    RISER = "R"
    RUN = "T"
    TOTAL_RISE = "H"
    TOTAL_RUN = "L"
    UP = "U"
    ALONG = "A"
    SLOPE = "S"
    DIAGONAL = "D"
    RAKE = "P"
    BELOW_LINE = "Z"


@dataclass(frozen=True)
class Taken:
    """One reading of the steps.

    Attributes:
        letter: its kind.
        key: where the job file has it, as ``R 4`` or ``D 1-6``.
        value: as read: mm, for a rake radians.
        first, second: the noses it runs between, counted up, 0 the bottom walking surface; for a
            reading of one nose the second alone counts.
        line: which level line it is read from; empty for any other kind.
    """

    letter: Letter
    key: str
    value: float
    first: int
    second: int
    line: str = ""


@dataclass(frozen=True)
class Instruments:
    """What the readings were taken with, from which spreads follow where none is stated.

    Attributes:
        read_to_mm: the division the tape was read to.
        line: "laser line" or "water level", for heights below a line.
        level_step_rad: the step a level shows angles in.
    """

    read_to_mm: float
    line: str
    level_step_rad: float


SIXTEENTHS = Instruments(25.4 / 16, "laser line", math.radians(0.1))
"""A tape read to a sixteenth of an inch, a laser, and a level that shows tenths of a degree."""

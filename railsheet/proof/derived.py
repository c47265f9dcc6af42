"""A figure derived from the solids, by the key that the sheets print it under."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Measure(Enum):
    """What a derived figure is: mm, radians, or a plain number."""

    LENGTH = "length"
    ANGLE = "angle"
    COUNT = "count"


@dataclass(frozen=True)
class Derived:
    """One figure from the solids.

    Attributes:
        key: its key in the book of figures.
        value: mm, radians or a number.
        measure: which.
        arm_mm: over what length an angle's error is told.
    """

    key: str
    value: float
    measure: Measure = Measure.LENGTH
    arm_mm: float = 0.0


def angle(key: str, value_rad: float, arm_mm: float) -> Derived:
    """A derived angle; its error is told as what it opens over an arm."""
    return Derived(key, value_rad, Measure.ANGLE, arm_mm)


def count(key: str, value: int) -> Derived:
    """A derived count."""
    return Derived(key, value, Measure.COUNT)

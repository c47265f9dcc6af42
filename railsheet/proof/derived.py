"""A figure derived from the solids, by the key that the sheets print it under."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Measure(Enum):
    """What a derived figure is: mm, radians, a plain number, or kg."""

    LENGTH = "length"
    ANGLE = "angle"
    COUNT = "count"
    MASS = "mass"


@dataclass(frozen=True)
class Derived:
    """One figure from the solids.

    Attributes:
        key: its key in the book of figures.
        value: mm, radians, kg or a number.
        measure: which.
        arm_mm: over what length an angle's error is told.
        per_mm_kg: what a millimetre more of the piece would weigh: a mass's error is told as the
            length it comes to.
    """

    key: str
    value: float
    measure: Measure = Measure.LENGTH
    arm_mm: float = 0.0
    per_mm_kg: float = 0.0


def angle(key: str, value_rad: float, arm_mm: float) -> Derived:
    """A derived angle; its error is told as what it opens over an arm."""
    return Derived(key, value_rad, Measure.ANGLE, arm_mm)


def count(key: str, value: int) -> Derived:
    """A derived count."""
    return Derived(key, value, Measure.COUNT)


def mass(key: str, value_kg: float, per_mm_kg: float) -> Derived:
    """A derived mass; its error is told as the length of the piece that it comes to."""
    return Derived(key, value_kg, Measure.MASS, per_mm_kg=per_mm_kg)

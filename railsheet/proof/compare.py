"""Figures from the solids held against figures on the sheets."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from railsheet.job.kit_mass import KG_PER_POUND
from railsheet.proof.derived import Derived, Measure
from railsheet.proof.record import length_mm
from railsheet.units.length import MM_PER_INCH

# More than this and a figure fails: a thousandth of an inch.
LIMIT_MM = 0.001 * MM_PER_INCH


@dataclass(frozen=True)
class Compared:
    """One figure both ways.

    Attributes:
        from_solid: mm, radians, kg or a number.
        on_sheet: the same, as the record has it.
        off_mm: how far apart they are; an angle's by what it opens over its arm, a mass's by the
            length of the piece that it comes to, a count's in whole ones.
    """

    key: str
    measure: Measure
    from_solid: float
    on_sheet: float
    off_mm: float

    @property
    def fails(self) -> bool:
        """Whether they differ by more than the limit."""
        return not abs(self.off_mm) <= LIMIT_MM


def compare(derived: Iterable[Derived], figures: Mapping[str, Any]) -> tuple[Compared, ...]:
    """Hold figures against the record, worst first; a key derived in many places, at its worst.

    Args:
        derived: from the solids; a key that the sheets do not print is passed over.
        figures: ``figures`` of figures.json.
    """
    worst: dict[str, Compared] = {}
    for one in derived:
        entry = figures.get(one.key)
        if entry is None:
            continue
        held = _held(one, entry)
        before = worst.get(one.key)
        if before is None or abs(held.off_mm) > abs(before.off_mm):
            worst[one.key] = held
    return tuple(sorted(worst.values(), key=lambda held: -abs(held.off_mm)))


def _held(one: Derived, entry: Mapping[str, Any]) -> Compared:
    value = float(entry["value"])
    if one.measure is Measure.ANGLE:
        on_sheet = math.radians(value)
        off = math.tan(abs(on_sheet) - one.value) * one.arm_mm
        return Compared(one.key, one.measure, one.value, abs(on_sheet), off)
    if one.measure is Measure.MASS:
        value *= KG_PER_POUND if entry["unit"] == "lb" else 1.0
        return Compared(one.key, one.measure, one.value, value, (value - one.value) / one.per_mm_kg)
    if one.measure is Measure.LENGTH:
        value = length_mm(entry)
    return Compared(one.key, one.measure, one.value, value, value - one.value)

"""Figures as a person reads them: rounded once, to the tape in their hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from railsheet.units.length import LengthError, Unit

# Half a step decides a tie upward; this much of a step absorbs float noise so that a figure
# that is exactly on the half rounds the same way however it was computed.
_TIE_NOISE_STEPS = 1e-9

_INCH_STEPS = tuple(Fraction(1, 2**power) for power in range(7))
_MM_STEPS = (Fraction(1, 10), Fraction(1, 5), Fraction(1, 2), Fraction(1))


@dataclass(frozen=True)
class Tape:
    """How a job's lengths are printed.

    Attributes:
        unit: inches with fractions, or millimetres.
        step: the smallest division printed, in that unit (1/16 for a sixteenth).
    """

    unit: Unit
    step: Fraction

    @cached_property
    def step_mm(self) -> float:
        """The smallest division printed, in mm."""
        return float(self.step) * self.unit.mm

    def steps(self, length_mm: float) -> int:
        """A length as a whole number of divisions, ties away from zero."""
        if not math.isfinite(length_mm):
            raise ValueError(f"cannot print the length {length_mm}")
        size = math.floor(abs(length_mm) / self.step_mm + 0.5 + _TIE_NOISE_STEPS)
        return -size if length_mm < 0 else size

    def rounded_mm(self, length_mm: float) -> float:
        """The length that is printed, in mm."""
        return self.steps(length_mm) * self.step_mm

    def text(self, length_mm: float) -> str:
        """A length for a drawing: ``7 7/16"`` in inches, ``189`` in millimetres."""
        exact = self.steps(length_mm) * self.step
        sign = "-" if exact < 0 else ""
        size = abs(exact)
        if self.unit is Unit.MM:
            decimals = 0 if self.step.denominator == 1 else 1
            return f"{sign}{float(size):.{decimals}f}"
        whole, part = divmod(size, 1)
        if part and whole:
            return f'{sign}{whole} {part.numerator}/{part.denominator}"'
        if part:
            return f'{sign}{part.numerator}/{part.denominator}"'
        return f'{sign}{whole}"'

    def say(self, length_mm: float) -> str:
        """A length within a sentence: always with its unit."""
        text = self.text(length_mm)
        return text if self.unit is Unit.INCH else f"{text} mm"

    @property
    def step_text(self) -> str:
        """The division in words for a title block: ``1/16"`` or ``1 mm``."""
        return self.say(self.step_mm)


def parse_tape(written: str | int | float, unit: Unit) -> Tape:
    """Read a tape's division, such as ``1/16`` or ``1``.

    Raises:
        LengthError: not a division that a tape of this unit has.
    """
    allowed = _INCH_STEPS if unit is Unit.INCH else _MM_STEPS
    text = str(written).strip().rstrip('"').removesuffix("mm").removesuffix("in").strip()
    try:
        step = Fraction(text)
    except (ValueError, ZeroDivisionError):
        step = Fraction(0)
    if step not in allowed:
        names = ", ".join(str(s) if unit is Unit.INCH else f"{float(s):g}" for s in allowed)
        raise LengthError(f"a tape's division is one of {names} {unit.symbol}")
    return Tape(unit, step)


def default_tape(unit: Unit) -> Tape:
    """A sixteenth of an inch, or a millimetre."""
    return Tape(unit, Fraction(1, 16) if unit is Unit.INCH else Fraction(1))


def angle_text(angle_rad: float) -> str:
    """An angle as a mitre saw's scale can hold it: ``35.4°``."""
    tenths = math.floor(abs(math.degrees(angle_rad)) * 10 + 0.5 + _TIE_NOISE_STEPS)
    sign = "-" if angle_rad < 0 and tenths else ""
    return f"{sign}{tenths // 10}.{tenths % 10}°"


def decimal_text(length_mm: float, unit: Unit) -> str:
    """A length as a plain decimal with its unit, for messages about input."""
    length = length_mm / unit.mm
    # Past four figures the plain number, never an exponent.
    return f"{length:.0f} {unit.symbol}" if length >= 9999.5 else f"{length:.4g} {unit.symbol}"

"""Lengths as people write them, read exactly into millimetres."""

from __future__ import annotations

import re
from enum import Enum
from fractions import Fraction

MM_PER_INCH = 25.4
_MM_PER_INCH_EXACT = Fraction(254, 10)

# A tape is divided by halving; anything else is a slip of the pen.
_TAPE_DENOMINATORS = (2, 4, 8, 16, 32, 64)

_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_MARKS = {"″": '"', "”": '"', "“": '"', "''": '"', "′": "'", "’": "'", "–": "-", "−": "-"}

_INCH = r'(?:"|inches|inch|in\.?)'
_FOOT = r"(?:'|feet|foot|ft\.?)"
_WHOLE_AND_FRACTION = r"(?P<whole>\d+)(?:\s+|-)(?P<num>\d+)\s*/\s*(?P<den>\d+)"
_FRACTION = r"(?P<num1>\d+)\s*/\s*(?P<den1>\d+)"
_DECIMAL = r"(?P<decimal>\d+\.\d*|\.\d+|\d+)"
_NUMBER = rf"(?:{_WHOLE_AND_FRACTION}|{_FRACTION}|{_DECIMAL})"

_IMPERIAL = re.compile(
    rf"(?:(?P<feet>\d+(?:\.\d+)?)\s*{_FOOT}(?:\s*-\s*|\s*))?(?:{_NUMBER}\s*(?P<mark>{_INCH})?)?"
)
_METRIC = re.compile(r"(?P<number>\d+\.\d*|\.\d+|\d+)\s*(?P<unit>mm|cm|m)")
_METRIC_FRACTION = re.compile(r".*/.*(mm|cm|m)")

_METRIC_MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}


# No length is written longer, nor is any part of a stair so long, whatever the unit.
_MOST_CHARACTERS = 40
_MOST = 1e9


class Unit(Enum):
    """The unit a job is measured and printed in; it decides what a bare number means."""

    INCH = "ft-in"
    MM = "mm"

    @property
    def mm(self) -> float:
        """Millimetres in one of this unit (one inch for feet-inches-fractions)."""
        return MM_PER_INCH if self is Unit.INCH else 1.0

    @property
    def symbol(self) -> str:
        """The unit's symbol beside a number: ``in`` or ``mm``."""
        return "in" if self is Unit.INCH else "mm"


class LengthError(ValueError):
    """A text that is not one clear length; the message says what would be."""


def parse_length(written: str | int | float, unit: Unit) -> float:
    """Read one length, in millimetres.

    Args:
        written: ``7 1/2``, ``7-1/2"``, ``7.5``, ``3' 4 1/2"``, ``190 mm``, ``19 cm``, or a number.
        unit: what a bare number means: inches, or millimetres.

    Returns:
        The length in mm, from exact rational arithmetic (1 in = 25.4 mm exactly).

    Raises:
        LengthError: the text is not a length, or could be read in two ways.
    """
    if isinstance(written, bool):
        raise LengthError("a length is wanted, not true or false")
    if isinstance(written, int | float):
        if not written == written or written in (float("inf"), float("-inf")):
            raise LengthError("a finite length is wanted")
        if abs(written) > _MOST:
            raise LengthError(f"a number of at most {_MOST:.0f} is wanted")
        if written < 0:
            raise LengthError("a length cannot be negative")
        exact = Fraction(str(written))
        return float(exact * (_MM_PER_INCH_EXACT if unit is Unit.INCH else 1))
    if len(written) > _MOST_CHARACTERS:
        raise LengthError(f"{len(written)} characters; a length has at most {_MOST_CHARACTERS}")
    text = _normalise(written)
    if not text:
        raise LengthError("a length is missing here")
    if text.startswith("-"):
        raise LengthError("a length cannot be negative")
    if "," in text:
        raise LengthError(
            "a comma could mean a decimal or a thousand: write the decimal with a point, 7.5"
        )
    metric = _METRIC.fullmatch(text)
    if metric:
        return float(Fraction(metric["number"]) * _METRIC_MM[metric["unit"]])
    if _METRIC_FRACTION.fullmatch(text):
        raise LengthError("metric lengths are written as decimals, without a fraction")
    return _imperial(text, unit)


def _normalise(written: str) -> str:
    text = written.strip().lower()
    for odd, plain in _MARKS.items():
        text = text.replace(odd, plain)
    for glyph, fraction in _VULGAR.items():
        text = re.sub(rf"(?<=\d){glyph}", f" {fraction}", text).replace(glyph, fraction)
    return text


def _imperial(text: str, unit: Unit) -> float:
    match = _IMPERIAL.fullmatch(text)
    if match is None:
        raise LengthError(
            'not one clear length: write 7 1/2, 7-1/2", 7.5, 3\' 4 1/2", 190 mm or 19 cm'
        )
    feet, marked = match["feet"], match["mark"] is not None
    bare = feet is None and not marked
    has_fraction = match["num"] is not None or match["num1"] is not None
    if bare and unit is Unit.MM:
        if has_fraction:
            raise LengthError(
                "a fraction without a unit in a millimetre job could be inches: "
                'write the inch mark, 7 1/2", or the millimetres'
            )
        return float(Fraction(match["decimal"]))
    inches = _inches(match)
    if feet is not None:
        if "." in feet and match["decimal"] is None and not has_fraction:
            return float(Fraction(feet) * 12 * _MM_PER_INCH_EXACT)
        if "." in feet:
            raise LengthError("feet with a decimal and inches beside them read two ways")
        if inches >= 12:
            raise LengthError("inches beside feet must be under 12")
        inches += int(feet) * 12
    return float(inches * _MM_PER_INCH_EXACT)


def _inches(match: re.Match[str]) -> Fraction:
    if match["decimal"] is not None:
        return Fraction(match["decimal"])
    if match["num"] is not None:
        return int(match["whole"]) + _tape_fraction(match["num"], match["den"])
    if match["num1"] is not None:
        return _tape_fraction(match["num1"], match["den1"])
    return Fraction(0)


def _tape_fraction(num: str, den: str) -> Fraction:
    top, bottom = int(num), int(den)
    if bottom not in _TAPE_DENOMINATORS:
        raise LengthError(
            f"a tape has no {num}/{den}: the fraction's lower part is 2, 4, 8, 16, 32 or 64"
        )
    if top >= bottom:
        raise LengthError(f"{num}/{den} is a whole inch or more: which number was misread?")
    return Fraction(top, bottom)


def other_unit(written: object, unit: Unit, least_mm: float, most_mm: float) -> str:
    """What a length out of its limits may have been meant as: ``; did you mean 250 mm?``.

    Empty where it carries its unit, is no single length, or fits the limits in no unit.
    """
    if isinstance(written, bool) or not isinstance(written, str | int | float):
        return ""
    bare = f"{written}".strip()
    others = ("mm", "cm", "m") if unit is Unit.INCH else ("in", "ft", "cm", "m")
    for other in others:
        try:
            meant_mm = parse_length(f"{bare} {other}", unit)
        except LengthError:
            continue
        if least_mm <= meant_mm <= most_mm:
            return f"; did you mean {bare} {other}?"
    return ""

"""What a limit or a demand is an amount of, its unit inside, and how people write and read it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from enum import Enum

from railsheet.units.length import MM_PER_INCH, LengthError, Unit, parse_length

# A pound-force in newtons and a foot in millimetres are exact by definition:
# NIST SP 811 (2008), appendix B.8, from 0.45359237 kg and 9.80665 m/s^2 (from memory).
N_PER_LBF = 4.4482216152605
MM_PER_FOOT = 12 * MM_PER_INCH


class Kind(Enum):
    """What sort of amount a number is; it fixes the unit the number has inside.

    LENGTH is in mm, ANGLE in rad, FORCE in N, LINE_LOAD in N/mm, PRESSURE in N/mm^2, AREA in
    mm^2, MOMENT in N·mm; COUNT is a number of things.
    """

    LENGTH = "length"
    ANGLE = "angle"
    FORCE = "force"
    LINE_LOAD = "line load"
    PRESSURE = "pressure"
    AREA = "area"
    MOMENT = "moment"
    COUNT = "count"

    @property
    def tie(self) -> float:
        """How near to a limit a figure is held to be equal to it, in the unit inside.

        Far below anything a tape, a level or a load cell can show; it only absorbs float noise.
        """
        return _TIES[self]


_TIES: Mapping[Kind, float] = {
    Kind.LENGTH: 1e-6,
    Kind.ANGLE: 1e-9,
    Kind.FORCE: 1e-6,
    Kind.LINE_LOAD: 1e-9,
    Kind.PRESSURE: 1e-12,
    Kind.AREA: 1e-4,
    Kind.MOMENT: 1e-3,
    Kind.COUNT: 1e-9,
}

_UNITS: Mapping[Kind, Mapping[str, float]] = {
    Kind.ANGLE: {"deg": math.pi / 180.0, "°": math.pi / 180.0},
    Kind.FORCE: {"lb": N_PER_LBF, "lbf": N_PER_LBF, "N": 1.0, "kN": 1e3},
    Kind.LINE_LOAD: {
        "lb/ft": N_PER_LBF / MM_PER_FOOT,
        "plf": N_PER_LBF / MM_PER_FOOT,
        "N/m": 1e-3,
        "kN/m": 1.0,
    },
    Kind.PRESSURE: {"lb/ft2": N_PER_LBF / MM_PER_FOOT**2, "Pa": 1e-6, "kPa": 1e-3, "kN/m2": 1e-3},
    Kind.AREA: {"in2": MM_PER_INCH**2, "ft2": MM_PER_FOOT**2, "mm2": 1.0, "m2": 1e6},
    Kind.MOMENT: {"lb·ft": N_PER_LBF * MM_PER_FOOT, "N·m": 1e3, "kN·m": 1e6},
}

# How each kind is shown beside the other: metric unit, its decimals; US unit, its decimals.
_SHOWN: Mapping[Kind, tuple[str, int, str, int]] = {
    Kind.FORCE: ("N", 0, "lb", 0),
    Kind.LINE_LOAD: ("kN/m", 2, "lb/ft", 0),
    Kind.PRESSURE: ("kN/m2", 2, "lb/ft2", 0),
    Kind.AREA: ("m2", 2, "ft2", 2),
    Kind.MOMENT: ("N·m", 1, "lb·ft", 1),
}

_NUMBER_AND_UNIT = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>[^\d\s.][^\s]*)")


def parse_amount(written: object, kind: Kind, *, nothing_ok: bool = False) -> float:
    """Read an amount that carries its own unit, such as ``4 3/8 in``, ``42 deg`` or ``50 lb/ft``.

    Args:
        written: the text; for COUNT, a whole number.
        kind: what it is an amount of.
        nothing_ok: an amount of nothing, such as ``0 in``, is taken.

    Returns:
        The amount in the unit that ``kind`` has inside.

    Raises:
        ValueError: not such an amount, without a unit, or not more than nothing; the message
            says what would be.
    """
    if kind is Kind.COUNT:
        if isinstance(written, bool) or not isinstance(written, int) or written < 1:
            raise ValueError("a whole number of one or more, without quotes")
        return float(written)
    if not isinstance(written, str):
        raise ValueError(f"{_like(kind)}, in quotes and with its unit")
    amount = _length(written) if kind is Kind.LENGTH else _scaled(written, kind)
    if amount < 0.0 or (amount == 0.0 and not nothing_ok):
        raise ValueError(f"more than nothing: {_like(kind)}")
    return amount


def _length(written: str) -> float:
    # A text that carries its own unit reads the same whatever the unit of the job.
    try:
        inches = parse_length(written, Unit.INCH)
    except LengthError as error:
        raise ValueError(str(error)) from None
    try:
        same = parse_length(written, Unit.MM) == inches
    except LengthError:
        same = False
    if not same:
        raise ValueError(f"a limit carries its own unit: {_like(Kind.LENGTH)}")
    return inches


def _scaled(written: str, kind: Kind) -> float:
    match = _NUMBER_AND_UNIT.fullmatch(written.strip())
    units = _UNITS[kind]
    if match is None or match["unit"] not in units:
        raise ValueError(_like(kind))
    return float(match["number"]) * units[match["unit"]]


def _like(kind: Kind) -> str:
    if kind is Kind.LENGTH:
        return 'a length such as "36 in", "4 3/8 in" or "900 mm"'
    return f"a number and a unit, one of {', '.join(_UNITS[kind])}"


def say_metric(value: float, kind: Kind) -> str:
    """An amount in SI units, for print: ``890 N``, ``0.73 kN/m``, ``28.6 mm``."""
    if kind is Kind.COUNT:
        return f"{value:.4g}"
    if kind is Kind.ANGLE:
        return f"{math.degrees(value):.1f}°"
    if kind is Kind.LENGTH:
        return f"{value:.1f} mm"
    unit, decimals, _, _ = _SHOWN[kind]
    return f"{value / _UNITS[kind][unit]:.{decimals}f} {unit}"


def say_us(value: float, kind: Kind) -> str:
    """An amount in US customary units, for print: ``200 lb``, ``50 lb/ft``, ``1.125 in``."""
    if kind in (Kind.COUNT, Kind.ANGLE):
        return say_metric(value, kind)
    if kind is Kind.LENGTH:
        return f"{value / MM_PER_INCH:.3f} in"
    _, _, unit, decimals = _SHOWN[kind]
    return f"{value / _UNITS[kind][unit]:.{decimals}f} {unit}"

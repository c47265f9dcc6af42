"""How far readings scatter, by instrument, for a job that doesn't say.

A reading's spread here is the root sum of squares of three parts: rounding to the instrument's
step, holding the instrument to the stair, and the instrument's own error. The last is really shared
by every reading of one tape; here it counts in each as if independent. No adjustment finds an error
that every reading shares: a tape stretched evenly reads a stair evenly too long.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

INCH_MM = 25.4

# Maintenance and acceptance tolerances of metal tapes: up to length (ft), tolerance (in).
# Source: NIST Handbook 44, sec. 5.52, table "Maintenance and Acceptance Tolerances, in Excess and
# in Deficiency, for Metal Tapes" (read as quoted at corada.com, "Metal measuring tapes").
TAPE_TOLERANCES_FT_IN: tuple[tuple[float, float], ...] = (
    (6.0, 1 / 32),
    (30.0, 1 / 16),
    (55.0, 1 / 8),
    (80.0, 3 / 16),
    (100.0, 1 / 4),
)


@dataclass(frozen=True)
class Spread:
    """What one way of reading scatters by, besides rounding and the instrument.

    Attributes:
        placing_mm: standard deviation of holding a length reading to the stair, mm; 0 for an angle.
        placing_rad: the same of an angle, rad; 0 for a length.
        source: where the figure comes from.
    """

    placing_mm: float
    placing_rad: float
    source: str


_COMMON = "common practice, no source"

SPREADS: dict[str, Spread] = {
    # hooked or butted on a nose and read square across to the next
    "tape": Spread(INCH_MM / 32, 0.0, _COMMON),
    # both ends held by hand on rounded noses
    "tape diagonal": Spread(INCH_MM / 16, 0.0, _COMMON),
    # a line 2 mm to 3 mm wide, or a meniscus, read against a rule
    "laser line": Spread(1.0, 0.0, _COMMON),
    "water level": Spread(1.5, 0.0, _COMMON),
    # a digital level on a straightedge over the noses
    "level angle": Spread(0.0, math.radians(0.1), _COMMON),
}


def rounding_sigma(step: float) -> float:
    """Standard deviation of rounding to the nearest ``step``: step/√12, in the step's unit.

    Source: the rectangular distribution of width ``step``, JCGM 100:2008 (GUM), 4.3.7 and F.2.2.1
    (from memory).
    """
    return step / math.sqrt(12.0)


def tape_sigma_mm(length_mm: float, step_mm: float, held: str = "tape") -> float:
    """Standard deviation of a length read by tape, mm.

    Args:
        length_mm: the length read, mm; it picks the tape's tolerance.
        step_mm: what the tape is read to, mm (1/16 in is 1.5875).
        held: a length entry of `SPREADS`.

    The tape's tolerance ±a is taken as rectangular, a/√3 (GUM 4.3.7, from memory).

    Raises:
        ValueError: longer than the table of tolerances goes, 100 ft.
    """
    feet = length_mm / (12.0 * INCH_MM)
    # the table names whole feet ("6 or less", "7 to 30"); between them the wider one is used
    for up_to_ft, tolerance_in in TAPE_TOLERANCES_FT_IN:
        if feet <= up_to_ft:
            tape = tolerance_in * INCH_MM / math.sqrt(3.0)
            return math.hypot(rounding_sigma(step_mm), SPREADS[held].placing_mm, tape)
    raise ValueError(f"{length_mm} mm is longer than any tape the table has")


def line_sigma_mm(step_mm: float, instrument: str = "laser line") -> float:
    """Standard deviation of a drop read from a level line by rule, mm.

    Args:
        step_mm: what the rule is read to, mm.
        instrument: "laser line" or "water level".
    """
    return math.hypot(rounding_sigma(step_mm), SPREADS[instrument].placing_mm)


def angle_sigma_rad(step_rad: float) -> float:
    """Standard deviation of an angle read by level, rad, from the step it shows, rad."""
    return math.hypot(rounding_sigma(step_rad), SPREADS["level angle"].placing_rad)

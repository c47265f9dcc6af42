"""The scales a draughtsman's rule carries, and the choice among them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Unit = Literal["in", "mm"]

# Exact by definition: the international inch.
MM_PER_UNIT: dict[Unit, float] = {"in": 25.4, "mm": 1.0}


class NoScaleError(ValueError):
    """Something fits the paper at no standard scale; the message says what."""


@dataclass(frozen=True)
class Scale:
    """How much smaller a view is on paper than in the world.

    Attributes:
        name: as printed, `1:10` or `1 1/2" = 1'-0"`.
        denominator: true length over length on paper.
    """

    name: str
    denominator: float

    def paper_mm(self, length: float, unit: Unit) -> float:
        """Length on paper, mm, of a true length in `unit`."""
        return length * MM_PER_UNIT[unit] / self.denominator

    def true(self, length_mm: float, unit: Unit) -> float:
        """True length in `unit` of a length on paper, mm."""
        return length_mm * self.denominator / MM_PER_UNIT[unit]


# Inches of paper to one foot: the architect's scale. The finer pair carries site plans.
_INCHES_TO_A_FOOT = (
    ("12", 12.0),
    ("6", 6.0),
    ("3", 3.0),
    ("1 1/2", 1.5),
    ("1", 1.0),
    ("3/4", 0.75),
    ("1/2", 0.5),
    ("3/8", 0.375),
    ("1/4", 0.25),
    ("3/16", 0.1875),
    ("1/8", 0.125),
    ("1/16", 0.0625),
    ("1/32", 0.03125),
)
# ISO 5455:1979 recommends 1:1, 2, 5, 10, 20, 50, 100, 200, 500, 1000; 1:25 is drawing-office
# practice besides.
_METRIC = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000)


def standard_scales(unit: Unit) -> tuple[Scale, ...]:
    """The standard scales of a unit, the largest first."""
    if unit == "in":
        return tuple(
            Scale("full size" if inches == 12.0 else f'{name}" = 1\'-0"', 12.0 / inches)
            for name, inches in _INCHES_TO_A_FOOT
        )
    return tuple(Scale(f"1:{n}", float(n)) for n in _METRIC)


def best_scale(size: tuple[float, float], room_mm: tuple[float, float], unit: Unit) -> Scale:
    """The largest standard scale at which a figure fits a space on paper.

    Args:
        size: true width and height of what is to be shown, in `unit`.
        room_mm: width and height free on paper, mm.
        unit: the unit of `size`.

    Raises:
        NoScaleError: it does not fit at any standard scale.
    """
    for scale in standard_scales(unit):
        # The slack of a nanometre keeps a figure that fills its space exactly.
        if all(scale.paper_mm(s, unit) <= r + 1e-6 for s, r in zip(size, room_mm, strict=True)):
            return scale
    raise NoScaleError(
        f"{size[0]:.0f} by {size[1]:.0f} {unit} fits {room_mm[0]:.0f} by {room_mm[1]:.0f} mm "
        f"of paper at no standard scale"
    )


@dataclass(frozen=True)
class ScaleBar:
    """A graphic scale: equal blocks with a true length written under each end.

    Attributes:
        block: true length of one block, in the drawing's unit.
        blocks: how many of them.
        labels: one for each block's end, the first for zero; some may be empty.
    """

    block: float
    blocks: int
    labels: tuple[str, ...]

    @property
    def length(self) -> float:
        """True length of the whole bar, in the drawing's unit."""
        return self.block * self.blocks


def scale_bar(scale: Scale, unit: Unit, most_mm: float) -> ScaleBar:
    """The longest round graphic scale no longer than `most_mm` on paper."""
    most = scale.true(most_mm, unit)
    if unit == "mm":
        power = 10.0 ** math.floor(math.log10(most))
        length = max(m * power for m in (1.0, 2.0, 5.0) if m * power <= most)
        blocks = 4 if round(length / power) == 2 else 5
        return _bar(length / blocks, blocks, 1.0, "mm")
    if most < 12.0:
        length = max(n for n in (0.5, 1.0, 2.0, 4.0, 6.0, 8.0) if n <= most or n == 0.5)
        return _bar(length / 4, 4, 1.0, "in") if length > 1 else _bar(length / 2, 2, 1.0, "in")
    feet = math.floor(most / 12.0)
    if feet == 1:
        return _bar(3.0, 4, 1.0, "in")
    length = max(n for n in (2, 3, 4, 5, 6, 8, 10, 20, 50, 100, 200, 500) if n <= feet)
    blocks = length if length <= 6 else {8: 4}.get(length, 5)
    return _bar(12.0 * length / blocks, blocks, 12.0, "ft")


def _bar(block: float, blocks: int, unit_length: float, name: str) -> ScaleBar:
    values = [f"{i * block / unit_length:g}" for i in range(blocks + 1)]
    values[-1] += f" {name}"
    return ScaleBar(block, blocks, tuple(values))

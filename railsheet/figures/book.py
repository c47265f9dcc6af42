"""The book of figures: every number that is printed anywhere, by its key, unrounded."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from railsheet.job.kit_mass import KG_PER_POUND
from railsheet.units.display import Tape, angle_text
from railsheet.units.length import Unit

# What an angle is printed to, and a mitre saw's scale can hold.
ANGLE_STEP_RAD = math.radians(0.1)


class Kind(Enum):
    """What a figure is, and so its unit: lengths in mm, angles in radians, counts, ratios,
    statistics and masses in kg."""

    LENGTH = "length"
    ANGLE = "angle"
    COUNT = "count"
    RATIO = "ratio"
    STATISTIC = "statistic"
    MASS = "mass"


class Toward(Enum):
    """Which way a printed length is rounded: limits are rounded to their safe side."""

    NEAREST = "nearest"
    UP = "up"
    DOWN = "down"


@dataclass(frozen=True)
class Figure:
    """One figure.

    Attributes:
        value: mm, radians, kg or a plain number, as its kind says.
        about: what it is, in words.
        shown: as it is printed, where its kind's own rounding would tell another story; None
            where that will do.
    """

    key: str
    value: float
    kind: Kind
    about: str
    toward: Toward = Toward.NEAREST
    shown: str | None = None


class FigureBook:
    """Figures in the order they were entered, each key once."""

    def __init__(self, tape: Tape) -> None:
        self.tape = tape
        self._figures: dict[str, Figure] = {}
        self._sigmas: dict[str, float] = {}
        self._texts: dict[str, str] = {}

    def add(self, figure: Figure) -> None:
        """Enter a figure.

        Raises:
            ValueError: the key is there already, or the value is not finite: both are bugs.
        """
        if figure.key in self._figures:
            raise ValueError(f"figure {figure.key} entered twice")
        if not math.isfinite(figure.value):
            raise ValueError(f"figure {figure.key} is {figure.value}")
        self._figures[figure.key] = figure

    def length(
        self, key: str, value_mm: float, about: str, toward: Toward = Toward.NEAREST
    ) -> None:
        """Enter a length in mm."""
        self.add(Figure(key, value_mm, Kind.LENGTH, about, toward))

    def angle(self, key: str, value_rad: float, about: str) -> None:
        """Enter an angle in radians."""
        self.add(Figure(key, value_rad, Kind.ANGLE, about))

    def count(self, key: str, value: int, about: str) -> None:
        """Enter a count."""
        self.add(Figure(key, value, Kind.COUNT, about))

    def ratio(self, key: str, value: float, about: str) -> None:
        """Enter a plain ratio."""
        self.add(Figure(key, value, Kind.RATIO, about))

    def statistic(self, key: str, value: float, about: str) -> None:
        """Enter a statistic: a plain number of which two decimals say enough."""
        self.add(Figure(key, value, Kind.STATISTIC, about))

    def mass(self, key: str, value_kg: float, about: str) -> None:
        """Enter a mass in kg; printed, it is rounded up: nothing is lighter than it is told."""
        self.add(Figure(key, value_kg, Kind.MASS, about, Toward.UP))

    def scatter(self, key: str, sigma: float, sigma_then: float) -> None:
        """Put a standard deviation to a figure, in mm or radians.

        One whose two sigmas pass what is printed gets a figure beside it, ``.plus_minus``, rounded
        up; and another, ``.plus_minus_then``, for once the reading that lessens it most is taken.
        """
        figure = self._figures[key]
        self._sigmas[key] = sigma
        least = self.tape.step_mm if figure.kind is Kind.LENGTH else ANGLE_STEP_RAD
        if 2 * sigma <= least:
            return
        about = f"{figure.about}: plus or minus two sigma, from the readings"
        for name, value, when in (
            ("plus_minus", sigma, ""),
            ("plus_minus_then", sigma_then, ", once one more is taken"),
        ):
            self.add(Figure(f"{key}.{name}", 2 * value, figure.kind, f"{about}{when}", Toward.UP))

    def sigma(self, key: str) -> float | None:
        """A figure's standard deviation, in mm or radians; None where none was put to it."""
        return self._sigmas.get(key)

    def text_within(self, key: str) -> str:
        """A figure as it is printed, with its ± where that passes what is printed."""
        within = f"{key}.plus_minus"
        return f"{self.text(key)} ± {self.text(within)}" if within in self else self.text(key)

    def __getitem__(self, key: str) -> Figure:
        return self._figures[key]

    def __contains__(self, key: str) -> bool:
        return key in self._figures

    def __iter__(self) -> Iterator[Figure]:
        return iter(self._figures.values())

    def value(self, key: str) -> float:
        """A figure's exact value, in mm, radians or plain."""
        return self._figures[key].value

    def text(self, key: str) -> str:
        """A figure as it is printed."""
        # A figure stands on several sheets, and is entered once: it is worded once too.
        text = self._texts.get(key)
        if text is None:
            text = self._texts[key] = figure_text(self._figures[key], self.tape)
        return text


def mass_unit(unit: Unit) -> str:
    """What a job in a unit of length has its masses in."""
    return "lb" if unit is Unit.INCH else "kg"


def mass_kg(unit: Unit) -> float:
    """How many kilograms that is."""
    return KG_PER_POUND if unit is Unit.INCH else 1.0


def figure_text(figure: Figure, tape: Tape) -> str:
    """A figure as it is printed: rounded once, to the tape, the saw's scale or the whole."""
    if figure.shown is not None:
        return figure.shown
    if figure.kind is Kind.LENGTH:
        value = figure.value
        if figure.toward is Toward.UP:
            value = tape.step_mm * math.ceil(value / tape.step_mm - 1e-9)
        elif figure.toward is Toward.DOWN:
            value = tape.step_mm * math.floor(value / tape.step_mm + 1e-9)
        return tape.text(value)
    if figure.kind is Kind.ANGLE:
        if figure.toward is Toward.UP:
            steps = math.ceil(figure.value / ANGLE_STEP_RAD - 1e-9)
            return angle_text(steps * ANGLE_STEP_RAD)
        return angle_text(figure.value)
    if figure.kind is Kind.COUNT:
        return f"{figure.value:.0f}"
    if figure.kind is Kind.STATISTIC:
        return f"{figure.value:.2f}"
    if figure.kind is Kind.MASS:
        # To a tenth of what the reader's scales show.
        tenths = math.ceil(figure.value / mass_kg(tape.unit) * 10 - 1e-9)
        return f"{tenths / 10:.1f}"
    return f"{figure.value:.4f}"

"""What can be read off a stair, and the equation each reading puts to the noses.

Nose ``i`` (1..n) stands at (s_i, z_i): s along the run from nose 1, z up from the bottom walking
surface, which is nose 0 for heights only.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

Axis: TypeAlias = Literal["s", "z", "line", "x", "y"]
Unknown: TypeAlias = tuple[Axis, int | str]
"""("s", nose), ("z", nose) or ("line", line id); in plan ("x", post) or ("y", post). s_1 and z_0
are the datum, held at zero."""

DATUM: tuple[Unknown, ...] = (("s", 1), ("z", 0))


@dataclass(frozen=True)
class Equation:
    """A reading as the noses' present places predict it.

    Attributes:
        predicted: the value the reading should show, mm or rad.
        slopes: derivative of ``predicted`` by each place it depends on, datum included
            (no unit for a length, rad/mm for an angle).
    """

    predicted: float
    slopes: tuple[tuple[Unknown, float], ...]


@dataclass(frozen=True)
class Reading(ABC):
    """One reading of the stair.

    Attributes:
        key: where the job file has it; unique in a job.
        name: what a person calls it, as "riser 4".
    """

    key: str
    name: str

    @property
    @abstractmethod
    def read(self) -> float:
        """The value as read, mm or rad."""

    @property
    @abstractmethod
    def sigma(self) -> float:
        """Its standard deviation, in the unit of ``read``."""

    @property
    @abstractmethod
    def unit(self) -> Literal["mm", "rad"]:
        """The unit of ``read`` and ``sigma``."""

    @property
    @abstractmethod
    def places(self) -> tuple[Unknown, ...]:
        """The places it depends on, datum included."""

    @abstractmethod
    def equation(self, at: Mapping[Unknown, float]) -> Equation:
        """The prediction and its slopes with every place at ``at`` (mm)."""


@dataclass(frozen=True)
class LengthReading(Reading):
    """A reading of a length.

    Attributes:
        key: where the job file has it.
        name: what a person calls it.
        read_mm: the length as read, mm.
        sigma_mm: its standard deviation, mm.
    """

    read_mm: float
    sigma_mm: float

    @property
    def read(self) -> float:
        """The length as read, mm."""
        return self.read_mm

    @property
    def sigma(self) -> float:
        """Its standard deviation, mm."""
        return self.sigma_mm

    @property
    def unit(self) -> Literal["mm", "rad"]:
        """Millimetres."""
        return "mm"


class Difference(LengthReading):
    """A length that is simply one place less another."""

    @property
    @abstractmethod
    def from_to(self) -> tuple[Unknown, Unknown]:
        """The place it starts from and the place it reaches."""

    @property
    def places(self) -> tuple[Unknown, ...]:
        """Both ends."""
        return self.from_to

    def equation(self, at: Mapping[Unknown, float]) -> Equation:
        """Far end less near end."""
        start, end = self.from_to
        return Equation(at[end] - at[start], ((start, -1.0), (end, 1.0)))


@dataclass(frozen=True)
class Riser(Difference):
    """Height of one riser, z_i − z_{i−1}.

    Attributes:
        number: riser i, 1..n; riser 1 starts at the bottom walking surface.
    """

    number: int

    @property
    def from_to(self) -> tuple[Unknown, Unknown]:
        """From nose i − 1 up to nose i."""
        return ("z", self.number - 1), ("z", self.number)


@dataclass(frozen=True)
class Run(Difference):
    """One run, nose to nose along the level, s_{i+1} − s_i.

    Attributes:
        number: run i, 1..n−1, from nose i to nose i + 1.
    """

    number: int

    @property
    def from_to(self) -> tuple[Unknown, Unknown]:
        """From nose i along to nose i + 1."""
        return ("s", self.number), ("s", self.number + 1)


@dataclass(frozen=True)
class RiseTo(Difference):
    """Running total up from the bottom walking surface to a nose; to the last, the total rise.

    Attributes:
        nose: the nose reached, 1..n.
    """

    nose: int

    @property
    def from_to(self) -> tuple[Unknown, Unknown]:
        """From the bottom walking surface up to the nose."""
        return ("z", 0), ("z", self.nose)


@dataclass(frozen=True)
class RunTo(Difference):
    """Running total along, from nose 1 to a nose; to the last it is the total run.

    Attributes:
        nose: the nose reached, 2..n.
    """

    nose: int

    @property
    def from_to(self) -> tuple[Unknown, Unknown]:
        """From nose 1 along to the nose."""
        return ("s", 1), ("s", self.nose)


@dataclass(frozen=True)
class BelowLine(Difference):
    """How far a nose lies below a level line (water level, laser).

    The line's own height needn't be known: it is found with the rest. Negative where the nose
    stands above the line.

    Attributes:
        nose: the nose, 1..n, or 0 for the bottom walking surface.
        line: which line; readings of one line share its id.
    """

    nose: int
    line: str

    @property
    def from_to(self) -> tuple[Unknown, Unknown]:
        """From the nose up to the line."""
        return ("z", self.nose), ("line", self.line)


@dataclass(frozen=True)
class Slant(LengthReading):
    """Straight distance from nose to nose: a slope from one to the next, or a longer diagonal.

    Attributes:
        lower: the lower nose, 1..n−1.
        upper: the upper nose, above ``lower``.
    """

    lower: int
    upper: int

    @property
    def places(self) -> tuple[Unknown, ...]:
        """Both noses, both ways."""
        return _pair(self.lower, self.upper)

    def equation(self, at: Mapping[Unknown, float]) -> Equation:
        """√(Δs² + Δz²); its slopes are the direction cosines."""
        ds, dz = _step(at, self.lower, self.upper)
        length = math.hypot(ds, dz)
        along, up = (ds / length, dz / length) if length > 0.0 else (0.0, 0.0)
        return Equation(length, tuple(zip(self.places, (-along, -up, along, up), strict=True)))


@dataclass(frozen=True)
class AngleReading(Reading):
    """A reading of an angle.

    Attributes:
        read_rad: the angle as read, rad.
        sigma_rad: its standard deviation, rad.
    """

    read_rad: float
    sigma_rad: float

    @property
    def read(self) -> float:
        """The angle as read, rad."""
        return self.read_rad

    @property
    def sigma(self) -> float:
        """Its standard deviation, rad."""
        return self.sigma_rad

    @property
    def unit(self) -> Literal["mm", "rad"]:
        """Radians."""
        return "rad"


@dataclass(frozen=True)
class Rake(AngleReading):
    """Angle from level of a straightedge laid on two noses.

    Attributes:
        lower: the lower nose, 1..n−1.
        upper: the upper nose, above ``lower``.
    """

    lower: int
    upper: int

    @property
    def places(self) -> tuple[Unknown, ...]:
        """Both noses, both ways."""
        return _pair(self.lower, self.upper)

    def equation(self, at: Mapping[Unknown, float]) -> Equation:
        """atan2(Δz, Δs); its slopes are ∓Δz/d² along and ±Δs/d² up."""
        ds, dz = _step(at, self.lower, self.upper)
        square = ds * ds + dz * dz
        along, up = (-dz / square, ds / square) if square > 0.0 else (0.0, 0.0)
        slopes = tuple(zip(self.places, (-along, -up, along, up), strict=True))
        return Equation(math.atan2(dz, ds), slopes)


def unknowns_of(readings: tuple[Reading, ...], risers: int) -> tuple[Unknown, ...]:
    """The unknowns in their standing order: z_1..z_n, s_2..s_n, then the lines as first read.

    Raises:
        ValueError: fewer than one riser, a reading off the flight, a value not finite, a σ not
            above zero, or a key used twice.
    """
    if risers < 1:
        raise ValueError(f"a flight has at least one riser, not {risers}")
    heights: list[Unknown] = [("z", i) for i in range(1, risers + 1)]
    alongs: list[Unknown] = [("s", i) for i in range(2, risers + 1)]
    known = {*DATUM, *heights, *alongs}
    lines: dict[Unknown, None] = {}
    keys: set[str] = set()
    for reading in readings:
        if reading.key in keys:
            raise ValueError(f"{reading.key}: the key is used twice")
        keys.add(reading.key)
        if not math.isfinite(reading.read):
            raise ValueError(f"{reading.name}: {reading.read} is no reading")
        if not (math.isfinite(reading.sigma) and reading.sigma > 0.0):
            raise ValueError(f"{reading.name}: its spread must be above zero, not {reading.sigma}")
        for place in reading.places:
            if place[0] == "line":
                lines[place] = None
            elif place not in known:
                raise ValueError(f"{reading.name}: nose {place[1]} is not on this flight")
        if len(set(reading.places)) < len(reading.places):
            raise ValueError(f"{reading.name}: starts and ends at the same nose")
        if isinstance(reading, Slant | Rake) and reading.lower > reading.upper:
            raise ValueError(f"{reading.name}: the lower nose comes first")
    return (*heights, *alongs, *lines)


def _pair(lower: int, upper: int) -> tuple[Unknown, ...]:
    return ("s", lower), ("z", lower), ("s", upper), ("z", upper)


def _step(at: Mapping[Unknown, float], lower: int, upper: int) -> tuple[float, float]:
    return at["s", upper] - at["s", lower], at["z", upper] - at["z", lower]

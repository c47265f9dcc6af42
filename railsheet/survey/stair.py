"""The stair as the layout sees it: noses, walking surfaces and the faces between them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, pairwise

from railsheet.job.model import FlightReadings
from railsheet.job.nosings import Nosings


@dataclass(frozen=True)
class Nose:
    """The leading edge of a walking surface, in the run frame.

    Attributes:
        s_mm: level along the run, uphill positive, zero at nose 1.
        z_mm: up from the bottom walking surface.
    """

    s_mm: float
    z_mm: float


@dataclass(frozen=True)
class Surface:
    """One walking surface along the run, front to back. Lengths in mm.

    Attributes:
        number: 0 for the bottom walking surface, n for the deck of n risers.
        front_mm: s of its front edge; None where the readings do not say how far it goes.
        back_mm: s of the riser's face (or, open, of the tread's back edge) behind it; None on
            the deck.
        overhang_mm: s of the next nose above it, which a post must stay clear of; None on the deck.
        z_mm: its height.
    """

    number: int
    front_mm: float | None
    back_mm: float | None
    overhang_mm: float | None
    z_mm: float


@dataclass(frozen=True)
class Stair:
    """A flight's geometry. Lengths in mm; indices of noses and surfaces go up the flight.

    Attributes:
        noses: nose 1 to nose n; the last is the deck's edge.
        nosings: how far each nose stands out over the riser's face below it.
        tread_thickness_mm: at the nose.
        width_mm: of the steps.
        open_risers: whether one can see through between treads.
    """

    noses: tuple[Nose, ...]
    nosings: Nosings
    tread_thickness_mm: float
    width_mm: float
    open_risers: bool

    @property
    def risers_mm(self) -> tuple[float, ...]:
        """Each riser, first to last."""
        heights = (0.0, *(nose.z_mm for nose in self.noses))
        return tuple(b - a for a, b in pairwise(heights))

    @property
    def runs_mm(self) -> tuple[float, ...]:
        """Each run, nose to nose, first to last."""
        places = [nose.s_mm for nose in self.noses]
        return tuple(b - a for a, b in pairwise(places))

    def nose(self, number: int) -> Nose:
        """Nose 1 to nose n."""
        return self.noses[number - 1]

    def nosing_mm(self, number: int) -> float:
        """How far nose 1 to nose n stands out over the riser's face below it."""
        return self.nosings.each_mm[number - 1]

    def face_s_mm(self, number: int) -> float:
        """Where the face of riser 1 to riser n, below its own nose, stands along the run."""
        return self.nose(number).s_mm + self.nosing_mm(number)

    def surface(self, number: int) -> Surface:
        """A walking surface: 0 at the bottom, then each tread, then the deck (n)."""
        last = len(self.noses)
        ahead = self.nose(number + 1).s_mm if number < last else None
        return Surface(
            number=number,
            front_mm=self.nose(number).s_mm if number else None,
            back_mm=None if ahead is None else ahead + self.nosing_mm(number + 1),
            overhang_mm=ahead,
            z_mm=self.nose(number).z_mm if number else 0.0,
        )


def stair_from_readings(readings: FlightReadings) -> Stair:
    """Add the single risers and runs up, each nose from the bottom; nothing is adjusted.

    Raises:
        ValueError: a riser or a run was not read.
    """
    risers = [riser for riser in readings.risers_mm if riser is not None]
    runs = [run for run in readings.runs_mm if run is not None]
    if len(risers) < len(readings.risers_mm) or len(runs) < len(readings.runs_mm):
        raise ValueError("a riser or a run was not read")
    heights = accumulate(risers)
    places = accumulate(runs, initial=0.0)
    return Stair(
        noses=tuple(Nose(s, z) for s, z in zip(places, heights, strict=True)),
        nosings=readings.nosings,
        tread_thickness_mm=readings.tread_thickness_mm,
        width_mm=readings.width_mm,
        open_risers=readings.open_risers,
    )

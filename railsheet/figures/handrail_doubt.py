"""What a handrail's figures scatter by, from the readings of every flight that it follows."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from railsheet.figures.book import FigureBook, Kind
from railsheet.figures.doubt import flight_doubts
from railsheet.figures.handrail import enter_handrail
from railsheet.job.model import FlightSpec
from railsheet.layout.handrail_model import Handrail
from railsheet.survey.flight import Survey
from railsheet.survey.stair import Stair
from railsheet.units.display import Tape


@dataclass(frozen=True)
class HandrailDoubt:
    """A figure's standard deviation, in its own unit, now and once one reading more is taken."""

    key: str
    sigma: float
    sigma_then: float


def handrail_doubts(
    handrail: Handrail,
    surveys: Mapping[str, Survey],
    specs: Mapping[str, FlightSpec],
    again: Callable[[str, Stair, FlightSpec], Handrail],
    tape: Tape,
) -> tuple[HandrailDoubt, ...]:
    """Every length and angle of a handrail.

    Two flights are read apart from each other, so what each leaves open adds up in squares; of the
    readings that would lessen it most, one flight's, the better of them is taken.

    Args:
        again: the handrail solved again with one flight's stair, and wishes, other than they are.
    """

    def figures(mark: str, stair: Stair, wishes: FlightSpec) -> dict[str, float]:
        book = FigureBook(tape)
        enter_handrail(book, again(mark, stair, wishes))
        return {f.key: f.value for f in book if f.kind in (Kind.LENGTH, Kind.ANGLE)}

    variance: dict[str, float] = {}
    gain: dict[str, float] = {}
    for mark in handrail.spec.follows:
        if mark not in surveys:
            continue
        doubts = flight_doubts(surveys[mark], specs[mark], partial(figures, mark))
        for doubt in doubts:
            variance[doubt.key] = variance.get(doubt.key, 0.0) + doubt.sigma**2
            gains = doubt.sigma**2 - doubt.sigma_then**2
            gain[doubt.key] = max(gain.get(doubt.key, 0.0), gains)
    return tuple(
        HandrailDoubt(key, math.sqrt(value), math.sqrt(max(value - gain[key], 0.0)))
        for key, value in variance.items()
    )

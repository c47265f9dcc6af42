"""A flight from its readings: adjusted, with how well they bear each other out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from railsheet.job.model import FlightReadings
from railsheet.job.taken import Instruments, Letter, Taken
from railsheet.survey.adjust import Adjustment, adjust
from railsheet.survey.readings import (
    DATUM,
    BelowLine,
    Rake,
    Reading,
    Riser,
    RiseTo,
    Run,
    RunTo,
    Slant,
    Unknown,
)
from railsheet.survey.spreads import angle_sigma_rad, line_sigma_mm, tape_sigma_mm
from railsheet.survey.stair import Nose, Stair, stair_from_readings


@dataclass(frozen=True)
class LeftOut:
    """A reading set aside by the job.

    Attributes:
        reading: as it was taken.
        implied: what the rest imply for it, mm or rad; None where they do not reach what it reads.
    """

    reading: Reading
    implied: float | None


@dataclass(frozen=True)
class Survey:
    """One flight surveyed.

    Attributes:
        stair: the flight as all its readings together have it.
        adjustment: the noses with their covariance, every reading's residual, and the suspects.
        readings: the readings as observed, in the adjustment's order.
        left_out: the readings set aside; neither the stair nor the adjustment rests on them.
    """

    stair: Stair
    adjustment: Adjustment
    readings: tuple[Reading, ...]
    left_out: tuple[LeftOut, ...] = ()


def survey_flight(readings: FlightReadings) -> Survey:
    """Adjust a flight's readings by least squares.

    Where nothing was read but each riser and each run, they come back as they were read. A reading
    that the job sets aside is not used.

    Raises:
        UnderdeterminedError: the readings leave a nose free; says which reading to take.
        NotConvergedError: the readings contradict one another; names the one that fits worst.
    """
    stated = dict(readings.spreads)
    observed = tuple(
        _observation(taken, stated.get(taken.key), readings.instruments) for taken in readings.taken
    )
    adjustment = adjust(observed, len(readings.risers_mm), readings.left_out)
    if not readings.more:
        stair = stair_from_readings(readings)
    else:
        stair = Stair(
            noses=tuple(Nose(s, z) for s, z in zip(adjustment.s_mm, adjustment.z_mm, strict=True)),
            nosings=readings.nosings,
            tread_thickness_mm=readings.tread_thickness_mm,
            width_mm=readings.width_mm,
            open_risers=readings.open_risers,
        )
    used = tuple(reading for reading in observed if reading.key not in readings.left_out)
    return Survey(stair, adjustment, used, tuple(_set_aside(observed, adjustment)))


def _set_aside(observed: Sequence[Reading], adjustment: Adjustment) -> Iterator[LeftOut]:
    at = places_of(adjustment)
    for reading in observed:
        if reading.key in adjustment.left_out:
            known = all(place in at for place in reading.places)
            yield LeftOut(reading, reading.equation(at).predicted if known else None)


def places_of(adjustment: Adjustment) -> dict[Unknown, float]:
    """Every place as adjusted, the datum included, mm."""
    at: dict[Unknown, float] = dict.fromkeys(DATUM, 0.0)
    for number, (s, z) in enumerate(zip(adjustment.s_mm, adjustment.z_mm, strict=True), start=1):
        at["s", number] = s
        at["z", number] = z
    for line, height in adjustment.lines_mm:
        at["line", line] = height
    return at


def _observation(taken: Taken, stated: float | None, instruments: Instruments) -> Reading:
    """A reading as the adjustment takes it, its spread the stated one or its instrument's."""
    key, value = taken.key, taken.value
    first, second = taken.first, taken.second
    if taken.letter is Letter.RAKE:
        sigma = stated or angle_sigma_rad(instruments.level_step_rad)
        return Rake(key, f"rake, nose {first} to nose {second}", value, sigma, first, second)
    step = instruments.read_to_mm
    if taken.letter is Letter.BELOW_LINE:
        sigma = stated or line_sigma_mm(step, instruments.line)
        place = f"nose {second}" if second else "bottom surface"
        return BelowLine(key, f"{place} below line {taken.line}", value, sigma, second, taken.line)
    slanted = taken.letter in (Letter.SLOPE, Letter.DIAGONAL)
    held = "tape diagonal" if slanted else "tape"
    sigma = stated or tape_sigma_mm(value, step, held)
    match taken.letter:
        case Letter.RISER:
            return Riser(key, f"riser {second}", value, sigma, second)
        case Letter.RUN:
            return Run(key, f"run {first}", value, sigma, first)
        case Letter.TOTAL_RISE:
            return RiseTo(key, "total rise", value, sigma, second)
        case Letter.TOTAL_RUN:
            return RunTo(key, "total run", value, sigma, second)
        case Letter.UP:
            return RiseTo(key, f"running rise to nose {second}", value, sigma, second)
        case Letter.ALONG:
            return RunTo(key, f"running run to nose {second}", value, sigma, second)
        case _:
            word = "slope" if taken.letter is Letter.SLOPE else "diagonal"
            name = f"{word}, nose {first} to nose {second}"
            return Slant(key, name, value, sigma, first, second)

"""A first guess at the noses: readings chained one to the next, the rest filled in from the usual.

Lengths are chained by plain addition, so where nothing is read twice the guess is the answer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from railsheet.survey.readings import DATUM, Difference, Rake, Reading, Slant, Unknown

# Only where to start looking when nothing chains; the answer doesn't depend on them.
# common practice, no source
USUAL_RISE_MM = 180.0
USUAL_RUN_MM = 270.0


def first_guess(readings: Sequence[Reading], unknowns: Sequence[Unknown]) -> dict[Unknown, float]:
    """Every place, datum included, in mm, from whatever the readings say about it first."""
    at: dict[Unknown, float] = dict.fromkeys(DATUM, 0.0)
    _chain(readings, at)
    for axis, usual in (("z", USUAL_RISE_MM), ("s", USUAL_RUN_MM)):
        _fill([u for u in unknowns if u[0] == axis], at, usual)
    _chain(readings, at)
    return at


def _chain(readings: Sequence[Reading], at: dict[Unknown, float]) -> None:
    known = -1
    while known < len(at):
        known = len(at)
        for reading in readings:
            if isinstance(reading, Difference):
                start, end = reading.from_to
                if start in at and end not in at:
                    at[end] = at[start] + reading.read_mm
                elif end in at and start not in at:
                    at[start] = at[end] - reading.read_mm
        if known == len(at):
            for reading in readings:
                if isinstance(reading, Slant | Rake):
                    _step_out(reading, readings, at)


def _step_out(reading: Slant | Rake, readings: Sequence[Reading], at: dict[Unknown, float]) -> None:
    """Place the upper nose of a sloping reading, or the lower, when one step of it is known."""
    lower, upper = reading.lower, reading.upper
    ds = _known_step(("s", lower), ("s", upper), at)
    dz = _known_step(("z", lower), ("z", upper), at)
    if isinstance(reading, Slant):
        length = reading.read_mm
        if ds is None and dz is not None and length > abs(dz):
            ds = math.sqrt(length**2 - dz**2)
        elif dz is None and ds is not None and length > abs(ds):
            dz = math.sqrt(length**2 - ds**2)
        elif ds is None and dz is None:
            for other in readings:
                if isinstance(other, Rake) and (other.lower, other.upper) == (lower, upper):
                    ds = length * math.cos(other.read_rad)
                    dz = length * math.sin(other.read_rad)
    else:
        slope = math.tan(reading.read_rad)
        if ds is None and dz is not None and dz * slope > 0.0:
            ds = dz / slope
        elif dz is None and ds is not None:
            dz = ds * slope
    _place(("s", lower), ("s", upper), ds, at)
    _place(("z", lower), ("z", upper), dz, at)


def _known_step(start: Unknown, end: Unknown, at: Mapping[Unknown, float]) -> float | None:
    return at[end] - at[start] if start in at and end in at else None


def _place(start: Unknown, end: Unknown, step: float | None, at: dict[Unknown, float]) -> None:
    if step is None:
        return
    if start in at:
        at.setdefault(end, at[start] + step)
    elif end in at:
        at[start] = at[end] - step


def _fill(places: Sequence[Unknown], at: dict[Unknown, float], usual_mm: float) -> None:
    """Fill the gaps of one axis: evenly between known places, by the usual step beyond them."""
    axis = places[0][0] if places else "z"
    known = {int(u[1]): value for u, value in at.items() if u[0] == axis}
    for place in places:
        number = int(place[1])
        if number in known:
            continue
        before = max(k for k in known if k < number)
        after = min((k for k in known if k > number), default=None)
        step = usual_mm
        if after is not None:
            step = (known[after] - known[before]) / (after - before)
        at[place] = known[before] + (number - before) * step

"""A sphere pressed between two cables, raised as they stand pushed apart.

The model is the kit's (`layout/infill/spread.py` states it): taut strings of one tension, held at
both ends of a free length; a sphere pressed square to the guard midway. Here the balance is not
solved: of all positions, the one of least energy is taken, strings' and load's together. Then both
cables are raised bent to it, cut square across at their middles, and measured.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

import cadquery as cq
import numpy as np
from scipy.optimize import minimize_scalar

from railsheet.job.kit_infill import CableKit
from railsheet.proof.bays import BayTaken, end_middles
from railsheet.proof.derived import Derived
from railsheet.solids.run import RaisedRun

_SPREAD = re.compile(r"greatest sphere, bay (\d+), between two cables spread by a pressed sphere$")
# How finely the energy is looked over for its first valley.
_PLACES = 2000


def pressed_figures(
    run: RaisedRun, bays: tuple[BayTaken, ...], figures: Mapping[str, Any]
) -> Iterator[Derived]:
    """The clear between two cables under the kit's sphere, in each bay whose cables hold it."""
    infill = run.out.kit.infill
    if not isinstance(infill, CableKit):
        return
    opening = {
        int(found[1]): key
        for key, entry in figures.items()
        if key.startswith(f"{run.out.mark}.opening.")
        and (found := _SPREAD.match(str(entry.get("about", ""))))
    }
    for number, taken in enumerate(bays, start=1):
        if len(taken.members) < 2:
            continue
        clear = _clear_mm(infill, taken, run.out.bays[number - 1].braces)
        if clear is None:
            continue
        yield Derived(f"{run.out.mark}.bay.{number}.spread", clear)
        if number in opening:
            yield Derived(opening[number], clear)


def _clear_mm(infill: CableKit, taken: BayTaken, braces: int) -> float | None:
    """Between the nearest two cables, pressed apart midway of a free length; None: it passes."""
    near = min(pairwise(taken.members), key=lambda pair: float(pair[0].distance(pair[1])))
    one, other = (end_middles(cable) for cable in near)
    along = (one[1] - one[0]).normalized()
    between = other[0] - one[0]
    square = between - along * between.dot(along)
    free = (one[1] - one[0]).Length / (braces + 1)
    half = _least_energy(infill, square.Length, free)
    if half is None:
        return None
    aside = square.normalized()
    pushed = half - square.Length / 2
    middle = one[0] + along * (free / 2)
    # The bent cables' axes: straight from the held ends to the middles.
    sheet = cq.Face.makePlane(1000, 1000, middle, along)
    low, high = (
        _bent(start, along * (free / 2), aside * (way * pushed), infill.diameter_mm).intersect(
            sheet
        )
        for start, way in ((one[0], -1.0), (one[0] + square, 1.0))
    )
    return float(low.distance(high))


def _least_energy(infill: CableKit, apart_mm: float, free_mm: float) -> float | None:
    """How far each cable's axis stands from the sphere's, at rest under it; None: it passes."""
    reach = (infill.sphere_mm + infill.diameter_mm) / 2

    def energy(half: float) -> float:
        aside = half - apart_mm / 2
        # Two strings, each 2 T d2 / L; the load's place, by how far it has yet to go in.
        strings = 4 * infill.tension_n * aside**2 / free_mm
        return strings + infill.push_n * math.sqrt(max(reach**2 - half**2, 0.0))

    places = np.linspace(apart_mm / 2, reach, _PLACES)
    values = np.array([energy(place) for place in places])
    for index in range(1, len(places) - 1):
        if values[index] <= values[index - 1] and values[index] <= values[index + 1]:
            found = minimize_scalar(
                energy,
                bounds=(places[index - 1], places[index + 1]),
                method="bounded",
                options={"xatol": 1e-9},
            )
            return float(found.x)
    return None


def _bent(start: cq.Vector, half_way: cq.Vector, aside: cq.Vector, diameter_mm: float) -> cq.Shape:
    """A cable from one held end to the other, its middle set aside."""
    middle = start + half_way + aside
    legs = [
        cq.Solid.makeCylinder(diameter_mm / 2, (middle - end).Length, end, middle - end)
        for end in (start, start + half_way * 2)
    ]
    # A ball at the bend, as round as the cable: the legs' square ends leave a wedge open there.
    ball = cq.Solid.makeSphere(diameter_mm / 2, middle, cq.Vector(0, 0, 1), -90, 90, 360)
    return cq.Compound.makeCompound([*legs, ball])

"""Where a sphere is sought under a bottom rail: beside each step, and on the flat.

What an opening is, where it begins and where it ends, is the codes': the one formed by riser,
tread and bottom rail beside a step, and the one over a level floor. How great a sphere passes it
is found on the solids alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from railsheet.proof.section import Floats
from railsheet.solids.setting_out import SettingOut
from railsheet.solids.space import Flat
from railsheet.tolerance import SAME_MM

# Where a sphere is set off, as shares of a zone's length and of the height in it: near the riser,
# where it comes to rest, and low, where a nose may hang over it.
_STARTS = ((0.3, 0.5), (0.6, 0.5), (0.95, 0.5), (0.95, 0.15))
# Higher than any opening under a rail, mm.
_ABOVE_MM = 5000.0

Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Zone:
    """One opening under a bottom rail. Lengths in mm, run frame.

    Attributes:
        where: its name in the checks.
        low_mm, high_mm: from where to where on the run a sphere is set off.
        floor_mm: the height of the walk there.
        below, above: lines that close it toward its neighbours, downhill and uphill, and that in
            the world are not there.
        behind: with an open riser, what closes the room under the tread above: the tread's level
            carried on, for one run past that tread's own back edge at the most.
    """

    where: str
    low_mm: float
    high_mm: float
    floor_mm: float
    below: tuple[Line, ...]
    above: tuple[Line, ...]
    behind: tuple[Line, ...] = ()

    def starts(self, underside: Flat) -> Iterator[Floats]:
        """Points to push a sphere from, between the walk and the rail."""
        for along, up in _STARTS:
            s = self.low_mm + along * (self.high_mm - self.low_mm)
            high = float(underside.plumb_at(s).z) - self.floor_mm
            if high > 0:
                yield np.array([s, self.floor_mm + up * high])


def walls_of(lines: tuple[Line, ...]) -> Floats:
    """Lines as edges; one without length is none."""
    kept = [line for line in lines if np.hypot(*np.subtract(*line)) > SAME_MM]
    return np.array(kept, dtype=np.float64).reshape(-1, 2, 2)


def zones_of(
    out: SettingOut, number: int, faces_mm: tuple[float, float], underside: Flat
) -> Iterator[Zone]:
    """Every opening under one bay's bottom rail, uphill, between its posts' faces."""
    low, high = faces_mm
    for zone in _zones(out, number, faces_mm, underside):
        start, stop = max(zone.low_mm, low), min(zone.high_mm, high)
        if stop - start > SAME_MM:
            yield replace(zone, low_mm=start, high_mm=stop)


def _zones(
    out: SettingOut, number: int, faces_mm: tuple[float, float], underside: Flat
) -> Iterator[Zone]:
    stair = out.stair
    low, high = faces_mm
    if not stair.noses:
        yield Zone(f"bay {number}, under the rail", low, high, 0.0, (), ())
        return
    first, last = stair.noses[0], stair.noses[-1]
    runs = [b.s_mm - a.s_mm for a, b in pairwise(stair.noses)]
    floor = min(0.0, out.stations[0].foot_mm)
    start = first.s_mm - runs[0]
    if low < start:
        where = f"bay {number}, under the rail at the bottom"
        yield Zone(where, low, start, floor, (), (_upright(start, floor),))
    at, run = (start, floor), runs[0]
    for step, (nose, ahead) in enumerate(zip((at, *_places(out)), _places(out), strict=False)):
        if step:
            run = runs[step - 1]
        yield Zone(
            f"under the rail, step {step}",
            nose[0],
            ahead[0],
            nose[1],
            _toward_below(nose, run, underside),
            (_upright(ahead[0], ahead[1]),),
            _behind(out, step, nose[1], ahead[0] - nose[0]),
        )
    begins = max(last.s_mm, low)
    below = _toward_below((last.s_mm, last.z_mm), runs[-1], underside) if low < last.s_mm else ()
    yield Zone(f"bay {number}, under the rail on the deck", begins, high, last.z_mm, below, ())


def _places(out: SettingOut) -> list[tuple[float, float]]:
    return [(nose.s_mm, nose.z_mm) for nose in out.stair.noses]


def _upright(s_mm: float, z_mm: float) -> Line:
    return (s_mm, z_mm), (s_mm, z_mm + _ABOVE_MM)


def _behind(out: SettingOut, step: int, z_mm: float, run_mm: float) -> tuple[Line, ...]:
    if not out.stair.open_risers:
        return ()
    back = out.stair.face_s_mm(step + 1)
    end = back + run_mm
    return ((back, z_mm), (end, z_mm)), _upright(end, z_mm)


def _toward_below(nose: tuple[float, float], run_mm: float, underside: Flat) -> tuple[Line, ...]:
    """On at the tread's level past its nose, to the rail or for one run at the most."""
    s, z = nose
    level = [underside.plumb_at(at).z - z for at in (s - run_mm, s)]
    share = 0.0 if level[0] >= 0 else min(level[0] / (level[0] - level[1]), 1.0)
    end = s - run_mm + share * run_mm
    return ((end, z), (s, z)), _upright(end, z)

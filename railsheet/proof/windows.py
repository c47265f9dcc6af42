"""Where the free post may stand, found by moving it: the post's own solid, and rows raised anew.

For each count of members a row is raised between the neighbour's face and the free post's, wherever
that stands, and the gap beside it is measured on the row's end member. The face is moved until the
gap is the limit. Where the plate lies is read off the post's solid, moved with its face.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from railsheet.job.kit_infill import CableKit, PanelKit, PunchedKit, SolidKit
from railsheet.job.model import Ground, PostKind
from railsheet.proof.bays import BayTaken
from railsheet.proof.derived import Derived
from railsheet.proof.measure import end_side, outermost, reach_mm
from railsheet.proof.posts import from_nose
from railsheet.solids.row import member, row_of
from railsheet.solids.run import RaisedRun
from railsheet.solids.setting_out import Station
from railsheet.solids.space import RUN, UP

_WINDOW = re.compile(r"\.window\.(\d+)\.gaps_from$")
_SAME_MM = 1e-9
# From where the face is first moved, and how often at the most: a gap goes with it in proportion.
_FIRST_MM, _MOVES = 100.0, 20

Span = tuple[float, float]


@dataclass(frozen=True)
class _Free:
    """The free post. Lengths in mm, run frame.

    Attributes:
        bay: which bay it ends, from 0.
        inward: from it into that bay: 1 uphill, -1 downhill.
        drawn_mm, other_mm: its face, and that of the post at the bay's other end, as drawn.
    """

    run: RaisedRun
    station: Station
    bay: int
    inward: int
    drawn_mm: float
    other_mm: float

    def faces(self, at_mm: float) -> Span:
        """The bay's faces with the post's face at a place."""
        return (at_mm, self.other_mm) if self.inward > 0 else (self.other_mm, at_mm)


def window_figures(
    run: RaisedRun, bays: tuple[BayTaken, ...], figures: Mapping[str, Any]
) -> Iterator[Derived]:
    """Every window of a run's free post that the record names."""
    if run.out.free is None or run.out.stations[run.out.free].kind is not PostKind.POST:
        return
    first = run.out.free == 0
    faces = bays[0 if first else -1].faces_mm
    drawn, other = faces if first else faces[::-1]
    station = run.out.stations[run.out.free]
    free = _Free(run, station, 0 if first else len(bays) - 1, 1 if first else -1, drawn, other)
    at, room = run.out.mark, _room(free)
    whole = isinstance(run.out.kit.infill, CableKit | SolidKit)
    drawn_count = 1 if whole else run.out.bays[free.bay].members
    for key in list(figures):
        found = _WINDOW.search(key)
        if found is None or not key.startswith(f"{at}.window."):
            continue
        count = int(found[1])
        gaps = _by_gaps(free, count)
        if gaps is None:
            continue
        name = f"{at}.window.{count}"
        yield from _ends(free, name, ("gaps_from", "gaps_to"), gaps)
        clipped = max(gaps[0], room[0]), min(gaps[1], room[1])
        if clipped[1] - clipped[0] > -_SAME_MM:
            yield from _ends(free, name, ("from", "to"), clipped)
            if count == drawn_count:
                yield Derived(f"{at}.window.slide_uphill", max(clipped[1] - drawn, 0.0))
                yield Derived(f"{at}.window.slide_downhill", max(drawn - clipped[0], 0.0))


def _ends(free: _Free, key: str, names: tuple[str, str], span: Span) -> Iterator[Derived]:
    reads = sorted(from_nose(free.run, free.station, s) for s in span)
    for name, read in zip(names, reads, strict=True):
        yield Derived(f"{key}.{name}", read)


def _by_gaps(free: _Free, count: int) -> Span | None:
    """Where the face stands with the gap beside it at either limit, downhill place first."""
    infill = free.run.out.kit.infill
    if isinstance(infill, CableKit | SolidKit):
        # Any bay within the kit's span is filled; more than one part is never wanted in one.
        span = free.run.out.kit.greatest_span_mm
        ends = [free.other_mm, free.other_mm - free.inward * span] if count == 1 else []
    elif isinstance(infill, PunchedKit | PanelKit):
        ends = [
            _moved(free.drawn_mm, lambda s: _gap(free, s, count), limit)
            for limit in (infill.gap.least_mm, infill.gap.most_mm)
        ]
    else:
        # The fewest that keep every opening within the limit: one fewer no longer does.
        most = _moved(free.drawn_mm, lambda s: _gap(free, s, count), infill.greatest_opening_mm)
        if count == 1:
            least = _moved(free.drawn_mm, lambda s: _gap(free, s, 1), 0.0)
        else:
            least = _moved(
                free.drawn_mm, lambda s: _gap(free, s, count - 1), infill.greatest_opening_mm
            )
        ends = [least, most]
    return (min(ends), max(ends)) if ends else None


def _gap(free: _Free, at_mm: float, count: int) -> float:
    """From the face, at a place, to the row's nearest member, raised anew; negative past it."""
    place, infill = free.run.bays[free.bay], free.run.out.kit.infill
    assert not isinstance(infill, CableKit | SolidKit)
    row = row_of(infill, place.top, free.faces(at_mm), count)
    last = row.middles_mm[0 if free.inward > 0 else -1]
    solid = member(infill, last, place.top, place.bottom)
    side = outermost(solid, RUN * -free.inward).flat.at.x
    return free.inward * (float(side) - at_mm)


def _moved(start_mm: float, gap: Callable[[float], float], limit_mm: float) -> float:
    """Where a face stands with its gap at a limit."""
    last, s = start_mm, start_mm + _FIRST_MM
    before, off = gap(last) - limit_mm, gap(s) - limit_mm
    for _ in range(_MOVES):
        if abs(off) < _SAME_MM:
            return s
        last, s = s, s - off * (s - last) / (off - before)
        before, off = off, gap(s) - limit_mm
    raise ArithmeticError(f"no place gives a gap of {limit_mm} mm")


def _room(free: _Free) -> Span:
    """Where the face may stand for its plate, and for the kit's span to the bay's other post."""
    run, station = free.run, free.station
    kit, stair = run.out.kit, run.out.stair
    post = run.parts[station.mark].solid
    plate, shaft = reach_mm(post, RUN), reach_mm(end_side(post, UP).face, RUN)
    low = high = None
    if station.surface:
        front = stair.noses[station.surface - 1].s_mm + kit.plate.edge_distance_mm
        low = free.drawn_mm + front - plate[0]
    if station.surface < len(stair.noses):
        nose = stair.noses[station.surface].s_mm - kit.plate.back_clearance_mm
        high = free.drawn_mm + nose - shaft[1]
        if station.ground is not Ground.SLAB:
            open_back = stair.open_risers and station.surface > 0
            behind = kit.plate.edge_distance_mm if open_back else kit.plate.back_clearance_mm
            riser = stair.face_s_mm(station.surface + 1) - behind
            high = min(high, free.drawn_mm + riser - plate[1])
    farthest = free.other_mm - free.inward * kit.greatest_span_mm
    if len(run.bays) > 1 and (low is None or high is None):
        # Of a long run: within one spacing of the steps every place of the row comes round.
        spacing = _spacing(free)
        near = low if high is None else high
        assert near is not None, "a surface has a nose"
        farthest = max(farthest, near - spacing) if low is None else min(farthest, near + spacing)
    if free.inward > 0:
        return farthest if low is None else max(low, farthest), farthest if high is None else high
    return farthest if low is None else low, farthest if high is None else min(high, farthest)


def _spacing(free: _Free) -> float:
    """Centre to centre at the most, level."""
    place, infill = free.run.bays[free.bay], free.run.out.kit.infill
    if isinstance(infill, CableKit | SolidKit):
        return free.run.out.kit.greatest_span_mm
    if isinstance(infill, PunchedKit | PanelKit):
        return float(row_of(infill, place.top, free.faces(free.drawn_mm), 2).step.x)
    return infill.baluster.width_mm + infill.greatest_opening_mm

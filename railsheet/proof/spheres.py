"""A sphere pushed at every opening of a guard, on the solids themselves.

The solids are cut by the plane of the guard (`section.py`). What the infill leaves open between
posts and rails is found there as faces, and under the bottom rail beside each step and on the flat
(`under.py`). In each, a point is moved to where it stands farthest from everything. Nothing is
shared with `checks/opening.py`, which finds circles that touch three features of an outline by
algebra.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from railsheet.proof.bays import BayTaken
from railsheet.proof.derived import Derived
from railsheet.proof.section import Section, clear_to, inside_of, section_of
from railsheet.proof.under import Zone, walls_of, zones_of
from railsheet.solids.part import PartKind
from railsheet.solids.run import RaisedRun

_OPENING = re.compile(r"\.opening\.\d+\.diameter$")
_NAMED = re.compile(r"greatest sphere, (.*?)(?: at the post)?$")
_FILLS = (PartKind.BALUSTER, PartKind.CABLE, PartKind.BRACE, PartKind.PANE)
# A sphere as near to a line that only closes the drawing is held up by it, mm.
_LEANS_MM = 1e-4


def sphere_figures(
    run: RaisedRun, bays: Sequence[BayTaken], figures: Mapping[str, Any]
) -> Iterator[Derived]:
    """The greatest sphere in each opening that the record names."""
    keys: dict[str, str] = {}
    for key, entry in figures.items():
        named = _NAMED.match(str(entry.get("about", "")))
        if named and _OPENING.search(key) and key.startswith(f"{run.out.mark}.opening."):
            keys[named[1]] = key
    if not keys:
        return
    section = section_of(run)
    for number, taken in enumerate(bays, start=1):
        for where, diameter in _in_bay(run, section, number, taken, keys):
            yield Derived(keys[where], diameter)


def _in_bay(
    run: RaisedRun,
    section: Section,
    number: int,
    taken: BayTaken,
    keys: Mapping[str, str],
) -> Iterator[tuple[str, float]]:
    none = walls_of(())
    placed = run.out.bays[number - 1].given is not None
    cells = () if placed else section.cells(*_left_open(run, number, taken))
    for index, cell in enumerate(cells, start=1):
        where = f"bay {number}, opening {index}"
        if where in keys:
            pushed = [section.push(start, none) for start in inside_of(cell)]
            yield where, 2 * max(p.radius_mm for p in pushed)
    underside = taken.bottom.back.flat
    zones = [
        zone
        for zone in zones_of(run.out, number, taken.faces_mm, underside)
        if any(section.free(start) for start in zone.starts(underside))
    ]
    for index, zone in enumerate(zones):
        # A step that two bays stand over is an opening of each.
        for where in (zone.where, f"{zone.where}, bay {number}"):
            if where in keys:
                yield where, 2 * _under(section, taken, zones, index)


def _left_open(run: RaisedRun, number: int, taken: BayTaken) -> tuple[list[Any], list[str]]:
    """A bay's outline between its posts and rails, and the marks of what stands in it."""
    (low, high), (top, bottom) = taken.faces_mm, (taken.top, taken.bottom)
    outline = [
        bottom.on_face(low),
        bottom.on_face(high),
        top.on_face(high),
        top.on_face(low),
    ]
    start = f"{run.bays[number - 1].mark}-"
    marks = [m for m, p in run.parts.items() if p.kind in _FILLS and m.startswith(start)]
    return outline, marks


def _under(section: Section, taken: BayTaken, zones: Sequence[Zone], index: int) -> float:
    """The greatest sphere in a zone; in it and its neighbours where it runs on into them."""
    underside = taken.bottom.back.flat
    zone = zones[index]
    leans_on = walls_of((*zone.below, *zone.above))
    walls = walls_of((*zone.below, *zone.above, *zone.behind))
    starts = [start for start in zone.starts(underside) if section.free(start)]
    best = max((section.push(s, walls) for s in starts), key=lambda p: p.radius_mm)
    if clear_to(best.at, leans_on) > best.radius_mm + _LEANS_MM:
        return best.radius_mm
    joined = zones[max(index - 1, 0) : index + 2]
    behind = [line for each in joined for line in each.behind]
    walls = walls_of((*joined[0].below, *joined[-1].above, *behind))
    starts = [s for each in joined for s in each.starts(underside) if section.free(s)]
    return max(section.push(s, walls).radius_mm for s in starts)

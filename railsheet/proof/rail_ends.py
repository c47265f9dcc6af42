"""The clear where a rail ends, measured between the solids where the plan has them.

Both things stand plumb: each is cut level at the middle of the height they share, and the kernel
measures between the cuts. Beside the far edge of a flight's steps it is measured square to that
edge. What stands by a wall plate is left out: how far its wall goes on, the job does not say.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

import cadquery as cq

from railsheet.job.kit_infill import CableKit
from railsheet.proof.derived import Derived
from railsheet.proof.measure import reach_mm, sides
from railsheet.solids.part import Part, PartKind
from railsheet.solids.raised import RaisedJob
from railsheet.solids.run import RaisedRun
from railsheet.solids.space import FAR, UP, Flat
from railsheet.solids.stair import ground_mark

_TURN = re.compile(r"^site\.turn\.\d+\.clear$")
_STEPS = re.compile(r"clear in plan between the far edge of flight (\S+)'s steps and (.+)$")
_BETWEEN = re.compile(r"clear in plan between (.+) and (.+)$")
_LINE_POST = re.compile(r"(line post \d+) of run (\S+)$")
_INFILL = re.compile(r"the infill of run (\S+)$")
_POST = re.compile(r"(?:half )?post (\S+)$")
_ROW = (PartKind.BALUSTER, PartKind.PANE)
# Two things stand beside each other where they share at least so much height, mm: the layout's
# own rule for what is a gap at all.
_SHARED_MM = 600.0


def rail_end_figures(job: RaisedJob, figures: Mapping[str, Any]) -> Iterator[Derived]:
    """The clear at every rail's end that the record names."""
    for key, entry in figures.items():
        if not _TURN.match(key):
            continue
        about = str(entry.get("about", ""))
        steps = _STEPS.match(about)
        if steps:
            found = _from_steps(job, steps[1], _named(job, steps[2]))
        else:
            between = _BETWEEN.match(about)
            assert between is not None, about
            found = _between(*(_named(job, words) for words in between.groups()))
        if found is not None:
            yield Derived(key, found)


def _named(job: RaisedJob, words: str) -> list[cq.Shape]:
    """The solids that go by a name, on the site; none where the solids do not tell it."""
    line, infill, post = _LINE_POST.match(words), _INFILL.match(words), _POST.match(words)
    if line:
        return _posts(job, line[2], line[1].replace("post ", "").replace(" ", ""))
    if infill:
        run = job.runs.get(infill[1])
        if run is None or isinstance(run.out.kit.infill, CableKit):
            return []
        return [_on_site(job, infill[1], p) for p in run.parts.values() if p.kind in _ROW]
    if post:
        for mark in job.runs:
            found = _posts(job, mark, post[1])
            if found:
                return found
    return []


def _posts(job: RaisedJob, run: str, name: str) -> list[cq.Shape]:
    """A post by its mark, or by its place in its run."""
    raised = job.runs[run]
    for station in raised.out.stations:
        marks = station.mark, station.key, f"{run}-{station.key}"
        part = raised.parts.get(station.mark)
        if name in marks and part is not None:
            return [_on_site(job, run, part)]
    return []


def _on_site(job: RaisedJob, run: str, part: Part) -> cq.Shape:
    return part.solid.moved(job.location(run))


def _between(one: list[cq.Shape], other: list[cq.Shape]) -> float | None:
    """The least distance in plan between two things, each a set of solids."""
    near = [apart for a in one for b in other if (apart := _level_mm(a, b)) is not None]
    return min(near, default=None)


def _level_mm(one: cq.Shape, other: cq.Shape) -> float | None:
    """Between two plumb solids, level, amid the height they share; None where that is little."""
    spans = reach_mm(one, UP), reach_mm(other, UP)
    low, high = max(span[0] for span in spans), min(span[1] for span in spans)
    if high - low < _SHARED_MM:
        return None
    sheet = cq.Face.makePlane(2 * FAR, 2 * FAR, cq.Vector(0, 0, (low + high) / 2), UP)
    return float(one.intersect(sheet).distance(other.intersect(sheet)))


def _from_steps(job: RaisedJob, flight: str, things: list[cq.Shape]) -> float | None:
    """From the far side of a flight's steps, square to it, to the nearest of some solids."""
    if not things:
        return None
    side = _far_side(job, job.runs[flight])
    places = [(v.Center() - side.at).dot(side.normal) for each in things for v in _shaft(each)]
    return float(min(places))


def _shaft(solid: cq.Shape) -> list[cq.Vertex]:
    """The corners of its highest face: a post's own, over its plate."""
    top = max(sides(solid), key=lambda side: float(side.flat.at.z))
    return top.face.Vertices()


def _far_side(job: RaisedJob, run: RaisedRun) -> Flat:
    """The side of a flight's ground that lies away from its rails, on the site."""
    ground = run.parts[ground_mark(run.out.mark)].solid.moved(job.location(run.out.mark))
    post = run.parts[run.out.stations[0].mark].solid.moved(job.location(run.out.mark))
    way = cq.Plane(job.location(run.out.mark)).yDir
    level = [s.flat for s in sides(ground) if abs(abs(s.flat.normal.dot(way)) - 1) < 1e-9]
    middle = post.Center()
    return max(level, key=lambda flat: abs(float((flat.at - middle).dot(flat.normal))))

"""A sphere pushed at the openings between plumb members, on the solids themselves.

The solids are cut by the plane of the guard; from the middle of each opening a point is moved to
where it stands farthest from everything, step by step: each solid's nearest edge bounds how far it
may go, and the best step within those bounds is a linear program. What it ends on is measured as
the distance from that point to the solids. Nothing is shared with `checks/opening.py`, which finds
circles that touch three features of an outline by algebra.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from railsheet.proof.bays import BayTaken
from railsheet.proof.derived import Derived
from railsheet.proof.measure import outermost
from railsheet.solids.part import PartKind
from railsheet.solids.run import RaisedRun
from railsheet.solids.space import FAR, RUN

Floats = NDArray[np.float64]

_OPENING = re.compile(r"greatest sphere, bay (\d+), opening (\d+)(?: at the post)?$")
_BOUNDS = (PartKind.RAIL, PartKind.BALUSTER, PartKind.POST, PartKind.GROUND)
# Where along an opening's height a point is set off from: none of its own tops is missed.
_STARTS = (0.15, 0.5, 0.85)
_SMALLEST_STEP_MM = 1e-7
# How much farther than the nearest edge others are looked at, as a share and in mm.
_REACH = (2.0, 50.0)


def sphere_figures(
    run: RaisedRun, bays: Sequence[BayTaken], figures: Mapping[str, Any]
) -> Iterator[Derived]:
    """The greatest sphere in each opening of a row that the record names; other infill has none."""
    wanted = {
        (int(found[1]), int(found[2])): key
        for key, entry in figures.items()
        if key.startswith(f"{run.out.mark}.opening.")
        and (found := _OPENING.match(str(entry.get("about", ""))))
    }
    if not wanted:
        return
    edges = _edges(run)
    for number, taken in enumerate(bays, start=1):
        for index, opening in enumerate(_openings(taken), start=1):
            key = wanted.get((number, index))
            if key is not None:
                radius = max(_pushed(edges, start) for start in _starts(taken, opening))
                yield Derived(key, 2 * radius)


def _openings(taken: BayTaken) -> list[tuple[float, float]]:
    """From where to where each opening of a row goes, uphill."""
    if not taken.middles_mm:
        return []
    lefts = [float(outermost(m, RUN * -1.0).flat.at.x) for m in taken.members]
    rights = [float(outermost(m, RUN).flat.at.x) for m in taken.members]
    return list(zip((taken.faces_mm[0], *rights), (*lefts, taken.faces_mm[1]), strict=True))


def _starts(taken: BayTaken, opening: tuple[float, float]) -> Iterator[Floats]:
    s = sum(opening) / 2
    low, high = taken.bottom.on_face(s).z, taken.top.on_face(s).z
    for share in _STARTS:
        yield np.array([s, low + share * (high - low)])


def _edges(run: RaisedRun) -> Floats:
    """Every edge of the solids' section by the plane of the guard: (from, to), each (s, z)."""
    sheet = cq.Face.makePlane(2 * FAR, 2 * FAR, cq.Vector(0, 0, 0), cq.Vector(0, 1, 0))
    found = []
    for part in run.parts.values():
        if part.kind not in _BOUNDS:
            continue
        for face in part.solid.intersect(sheet).Faces():
            for edge in face.Edges():
                start, stop = edge.startPoint(), edge.endPoint()
                found.append([[start.x, start.z], [stop.x, stop.z]])
    return np.array(found)


def _nearest(edges: Floats, at: Floats) -> Floats:
    """The nearest point of each edge."""
    start, way = edges[:, 0], edges[:, 1] - edges[:, 0]
    share = np.clip(((at - start) * way).sum(1) / (way * way).sum(1), 0.0, 1.0)
    return np.asarray(start + share[:, None] * way, dtype=np.float64)


def _pushed(edges: Floats, start: Floats) -> float:
    """The greatest distance from every edge that a point reaches, mm."""
    at, step = start, 20.0
    radius = float(np.linalg.norm(at - _nearest(edges, at), axis=1).min())
    while step > _SMALLEST_STEP_MM:
        away = at - _nearest(edges, at)
        distance = np.linalg.norm(away, axis=1)
        near = distance < _REACH[0] * radius + _REACH[1]
        ways = away[near] / distance[near][:, None]
        # Most t for a move (x, z) within the step: t <= distance + way . move, for each edge.
        best = linprog(
            (0.0, 0.0, -1.0),
            A_ub=np.column_stack([-ways, np.ones(len(ways))]),
            b_ub=distance[near],
            bounds=[(-step, step), (-step, step), (None, None)],
        )
        assert best.x is not None  # standing still is always allowed
        there = at + best.x[:2]
        reached = float(np.linalg.norm(there - _nearest(edges, there), axis=1).min())
        if reached > radius + 1e-10:
            at, radius = there, reached
        else:
            step /= 4
    return radius

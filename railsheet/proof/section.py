"""The solids cut by the plane of the guard: what a sphere that passes meets there."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from railsheet.solids.part import PartKind
from railsheet.solids.run import RaisedRun
from railsheet.solids.space import FAR

Floats = NDArray[np.float64]

# What stops a sphere. A bracket and a fillet are left out: they only make an opening smaller.
_BOUNDS = (
    PartKind.RAIL,
    PartKind.BALUSTER,
    PartKind.CABLE,
    PartKind.FITTING,
    PartKind.BRACE,
    PartKind.PANE,
    PartKind.POST,
    PartKind.GROUND,
)
_FIRST_STEP_MM = 20.0
_SMALLEST_STEP_MM = 1e-7
# How much farther than the nearest edge others are looked at, as a share and in mm.
_REACH = (2.0, 50.0)
# A push that gains less than this is no gain, mm.
_GAIN_MM = 1e-10


@dataclass(frozen=True)
class Pushed:
    """Where a sphere's centre came to rest in the guard's plane, (s, z), and its radius, mm."""

    at: Floats
    radius_mm: float


@dataclass(frozen=True)
class Section:
    """A run's solids cut by the plane of the guard.

    Attributes:
        faces: what the plane cuts of each part, by mark.
        edges: every edge of them: (from, to), each (s, z), mm.
    """

    faces: dict[str, tuple[cq.Face, ...]]
    edges: Floats

    def cells(self, outline: Sequence[cq.Vector], marks: Collection[str]) -> tuple[cq.Face, ...]:
        """What parts leave open of an outline in the plane, uphill and upward.

        Args:
            outline: its corners, in order.
            marks: the parts that stand in it.
        """
        wire = cq.Wire.makePolygon([cq.Vector(p.x, 0, p.z) for p in outline], close=True)
        standing = [face for mark in marks for face in self.faces.get(mark, ())]
        whole = cq.Face.makeFromWires(wire)
        left = whole.cut(*standing).Faces() if standing else [whole]
        return tuple(sorted(left, key=_place))

    def free(self, at: Floats) -> bool:
        """Whether a point lies in none of the parts."""
        return self.clear_mm(at) > 1e-6

    def clear_mm(self, at: Floats) -> float:
        """From a point to the nearest part, by the kernel's own distance."""
        point = cq.Vertex.makeVertex(float(at[0]), 0.0, float(at[1]))
        all_faces = cq.Compound.makeCompound([f for faces in self.faces.values() for f in faces])
        return float(point.distance(all_faces))

    def push(self, start: Floats, walls: Floats) -> Pushed:
        """Move a point until it stands as far from every part as it can get.

        Each edge bounds how far it may go, and the best step within those bounds is a linear
        program. What it ends on is measured with the kernel's own distance.

        Args:
            start: a point that is free.
            walls: edges, like the section's own, that it may not come nearer to either.
        """
        edges = np.concatenate([self.edges, walls])
        at = _climb(edges, start)
        return Pushed(at, min(self.clear_mm(at), clear_to(at, walls)))


def clear_to(at: Floats, walls: Floats) -> float:
    """From a point to the nearest of some edges, mm; endless where there are none."""
    return float(_apart(at, walls)[1].min()) if len(walls) else float("inf")


def _place(cell: cq.Face) -> tuple[float, float]:
    corners = [vertex.Center() for vertex in cell.Vertices()]
    # Cells that begin at one post differ by float noise: to a thousandth they begin together.
    return round(min(c.x for c in corners), 3), round(min(c.z for c in corners), 3)


def section_of(run: RaisedRun) -> Section:
    """Cut a run's solids by the plane of the guard."""
    sheet = cq.Face.makePlane(2 * FAR, 2 * FAR, cq.Vector(0, 0, 0), cq.Vector(0, 1, 0))
    faces = {
        mark: tuple(part.solid.intersect(sheet).Faces())
        for mark, part in run.parts.items()
        if part.kind in _BOUNDS
    }
    edges = [
        [[a.x, a.z], [b.x, b.z]]
        for cut in faces.values()
        for face in cut
        for edge in face.Edges()
        for a, b in [(edge.startPoint(), edge.endPoint())]
    ]
    return Section(faces, np.array(edges))


def inside_of(cell: cq.Face) -> list[Floats]:
    """Points within a cell to push a sphere from: amid it, and amid each of its triangles."""
    vertices, triangles = cell.tessellate(1.0)
    middles = [sum((vertices[i] for i in t), cq.Vector()) * (1 / 3) for t in triangles]
    return [np.array([p.x, p.z]) for p in (cell.Center(), *middles)]


def _apart(at: Floats, edges: Floats) -> tuple[Floats, Floats]:
    """From the nearest point of each edge to a point, and how far that is."""
    start, way = edges[:, 0], edges[:, 1] - edges[:, 0]
    share = np.clip(((at - start) * way).sum(1) / (way * way).sum(1), 0.0, 1.0)
    away = at - (start + share[:, None] * way)
    return away, np.linalg.norm(away, axis=1)


def _climb(edges: Floats, start: Floats) -> Floats:
    at, step = start, _FIRST_STEP_MM
    away, distance = _apart(at, edges)
    radius = float(distance.min())
    while step > _SMALLEST_STEP_MM:
        near = distance < _REACH[0] * radius + _REACH[1]
        ways = away[near] / distance[near][:, None]
        # Most t for a move (s, z) within the step: t <= distance + way . move, for each edge.
        best = linprog(
            (0.0, 0.0, -1.0),
            A_ub=np.column_stack([-ways, np.ones(len(ways))]),
            b_ub=distance[near],
            bounds=[(-step, step), (-step, step), (None, None)],
        )
        assert best.x is not None  # standing still is always allowed
        there = at + best.x[:2]
        found = _apart(there, edges)
        reached = float(found[1].min())
        if reached > radius + _GAIN_MM:
            at, radius = there, reached
            away, distance = found
        else:
            step /= 4
    return at

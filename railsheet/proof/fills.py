"""Pieces of the infill that are cut, measured on their solids: balusters, fillets, cables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import cadquery as cq

from railsheet.job.kit_infill import CableKit, CutKit
from railsheet.proof.derived import Derived, angle, count
from railsheet.proof.measure import angle_rad, end_side, reach_mm, sides, spread_mm
from railsheet.solids.fill import BayPlace
from railsheet.solids.part import PartKind
from railsheet.solids.run import RaisedRun
from railsheet.solids.space import RUN, UP

# Fillets whose edges differ by less are one piece on the list, mm.
_ALIKE_MM = 1e-4


def fill_figures(key: str, bay: BayPlace, run: RaisedRun, along: cq.Vector) -> Iterator[Derived]:
    """Every figure of a bay's cut pieces."""
    infill = bay.kit.infill
    if isinstance(infill, CutKit):
        yield from _balusters(f"{key}.fill.BL", _of(run, bay, PartKind.BALUSTER))
        yield from _fillets(f"{key}.fill", _of(run, bay, PartKind.FILLET), along)
    if isinstance(infill, CableKit):
        cables = _of(run, bay, PartKind.CABLE)
        yield count(f"{key}.fill.CB.count", len(cables))
        for cable in cables:
            ends = sorted((side.flat.at for side in sides(cable)), key=lambda at: float(at.x))
            for name in ("length", "edge"):
                yield Derived(f"{key}.fill.CB.{name}", (ends[-1] - ends[0]).Length)


def _of(run: RaisedRun, bay: BayPlace, kind: PartKind) -> list[cq.Shape]:
    return [
        part.solid
        for part in run.parts.values()
        if part.kind is kind and part.mark.startswith(f"{bay.mark}-")
    ]


def _balusters(key: str, members: Sequence[cq.Shape]) -> Iterator[Derived]:
    yield count(f"{key}.count", len(members))
    for member in members:
        yield Derived(f"{key}.length", spread_mm(member, UP))
        for way in (RUN, RUN * -1.0):
            yield Derived(f"{key}.edge", spread_mm(end_side(member, way).face, UP))
        wide = spread_mm(member, RUN)
        for way in (UP, UP * -1.0):
            end = end_side(member, way)
            yield angle(f"{key}.saw", angle_rad(end.flat.normal, UP), wide)


def _fillets(key: str, pieces: Sequence[cq.Shape], along: cq.Vector) -> Iterator[Derived]:
    """Fillets, alike ones together, the longest first, as the list has them."""
    groups: list[list[tuple[float, cq.Shape]]] = []
    for edge, piece in sorted(((_edge_mm(p, along), p) for p in pieces), key=lambda e: -e[0]):
        if groups and groups[-1][0][0] - edge < _ALIKE_MM:
            groups[-1].append((edge, piece))
        else:
            groups.append([(edge, piece)])
    for number, group in enumerate(groups):
        name = f"{key}.F{number or ''}"
        yield count(f"{name}.count", len(group))
        for edge, piece in group:
            yield Derived(f"{name}.edge", edge)
            yield Derived(f"{name}.length", spread_mm(piece, along))
            end = end_side(piece, along)
            thick = spread_mm(piece, cq.Vector(0, 1, 0).cross(along))
            yield angle(f"{name}.saw", angle_rad(end.flat.normal, along), thick)


def _edge_mm(piece: cq.Shape, along: cq.Vector) -> float:
    """Along one of a piece's edges, from cut to cut."""
    edges = [edge for edge in piece.Edges() if abs(abs(edge.tangentAt(0.5).dot(along)) - 1) < 1e-9]
    low, high = reach_mm(edges[0], along)
    return high - low

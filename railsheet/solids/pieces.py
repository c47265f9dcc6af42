"""Distinct pieces, each as it lies on a bench: for a STEP file of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import cadquery as cq

from railsheet.solids.part import Part, PartKind
from railsheet.solids.raised import RaisedJob

# What is cut or bored, and so worth a file of its own; a bracket's and a fitting's inner shape is
# their maker's.
_MADE = (
    PartKind.POST,
    PartKind.RAIL,
    PartKind.BALUSTER,
    PartKind.FILLET,
    PartKind.CABLE,
    PartKind.BRACE,
    PartKind.PANE,
    PartKind.MEMBER,
)
# Two pieces whose sizes, volumes and middles differ by less than this are alike, mm and so on.
_ALIKE = 4


@dataclass(frozen=True)
class BenchPiece:
    """One distinct piece.

    Attributes:
        mark: the first of the marks that it goes by.
        title: its marks in words.
        solid: a rail level along x, its uphill end's long point at 0; anything else as it stands,
            its lowest downhill corner at the origin. mm.
    """

    mark: str
    title: str
    kind: PartKind
    solid: cq.Shape


def bench_pieces(job: RaisedJob) -> tuple[BenchPiece, ...]:
    """Every distinct piece of a job, in the order of its runs."""
    groups: dict[tuple[object, ...], list[tuple[Part, cq.Shape]]] = {}
    for part, along in _made(job):
        solid = _on_bench(part, along)
        groups.setdefault(_likeness(part, solid), []).append((part, solid))
    return tuple(
        BenchPiece(group[0][0].mark, _title([part for part, _ in group]), *_kind_of(group[0]))
        for group in groups.values()
    )


def _kind_of(entry: tuple[Part, cq.Shape]) -> tuple[PartKind, cq.Shape]:
    part, solid = entry
    return part.kind, solid


def _made(job: RaisedJob) -> Iterator[tuple[Part, cq.Vector]]:
    for run, raised in job.runs.items():
        along = raised.bays[0].top.along
        for part in job.parts(run):
            if part.kind in _MADE:
                yield part, along


def _on_bench(part: Part, along: cq.Vector) -> cq.Shape:
    solid = part.solid
    if part.plane is not None:
        lying = solid.moved(part.plane.location.inverse)
        solid = lying.rotate(cq.Vector(0, 0, 0), cq.Vector(1, 0, 0), 90.0)
        box = solid.BoundingBox(tolerance=1e-7)
        return solid.translate(cq.Vector(-box.xmax, 0, -box.zmin))
    if part.kind is PartKind.RAIL:
        # Turned about y: the axis across the run points away from one who looks uphill.
        solid = solid.rotate(
            cq.Vector(0, 0, 0), cq.Vector(0, 1, 0), math.degrees(math.atan2(along.z, along.x))
        )
        box = solid.BoundingBox(tolerance=1e-7)
        return solid.translate(cq.Vector(-box.xmax, 0, -box.zmin))
    box = solid.BoundingBox(tolerance=1e-7)
    return solid.translate(cq.Vector(-box.xmin, 0, -box.zmin))


def _likeness(part: Part, solid: cq.Shape) -> tuple[object, ...]:
    box, middle = solid.BoundingBox(tolerance=1e-7), solid.Center()
    sizes = (box.xlen, box.ylen, box.zlen, middle.x, middle.y, middle.z, solid.Volume() / 1e4)
    return part.kind, *(round(size, _ALIKE) + 0.0 for size in sizes)


def _title(parts: list[Part]) -> str:
    if len(parts) == 1:
        return parts[0].mark
    return f"{parts[0].mark} and {len(parts) - 1} alike"

"""Parts against parts: none within another, none that what carries it does not touch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

import cadquery as cq

from railsheet.proof.compare import LIMIT_MM
from railsheet.solids.part import Part, PartKind
from railsheet.solids.raised import RaisedJob

# Two parts that share less than this touch: what the kernel makes of two faces in one plane, mm3.
_SHARED_MM3 = 1e-3
# So do two that share no more than a skin: line posts are placed to 1e-6 mm, and a plate that far
# into the ground shares more than that volume with it. In mm, the skin's thickness.
_SKIN_MM = 1e-4
# Boxes that stand farther apart than this hold parts that do not touch, mm.
_NEAR_MM = 1e-3


@dataclass(frozen=True)
class Clash:
    """Two parts in one place, or apart where one must carry the other.

    Attributes:
        one, other: their marks.
        words: what is wrong.
        by: the volume they share in mm3, or how far they are apart in mm.
    """

    one: str
    other: str
    words: str
    by: float


@dataclass(frozen=True)
class Contacts:
    """What came of looking at every pair.

    Attributes:
        pairs: how many pairs stood near enough to be cut with each other.
        carried: how many touches were looked for.
        clashes: what is wrong.
    """

    pairs: int
    carried: int
    clashes: tuple[Clash, ...]


def contacts(parts: Mapping[str, Part]) -> Contacts:
    """Look at every two parts that are near each other, and every part that another must carry.

    Brackets and fittings are drawn cut to what they hold, so that they can overlap nothing of it;
    that they touch it is looked at like any other touch.
    """
    boxes = {mark: part.solid.BoundingBox(tolerance=1e-4) for mark, part in parts.items()}
    near = [
        (one, other)
        for one, other in combinations(parts.values(), 2)
        if not (one.kind is other.kind is PartKind.GROUND)
        and _meet(boxes[one.mark], boxes[other.mark])
    ]
    clashes = [*_overlaps(near, boxes), *_apart(parts), *_not_off(parts)]
    touches = sum(len(p.carried_by) + len(p.stands_off) for p in parts.values())
    return Contacts(len(near), touches, tuple(clashes))


def _overlaps(
    near: Iterable[tuple[Part, Part]], boxes: Mapping[str, cq.BoundBox]
) -> Iterator[Clash]:
    """Each part is cut at once with as many near ones as stand clear of each other."""
    beside: dict[str, tuple[Part, list[list[Part]]]] = {}
    for one, other in near:
        _, batches = beside.setdefault(one.mark, (one, []))
        for batch in batches:
            if not any(_meet(boxes[other.mark], boxes[held.mark]) for held in batch):
                batch.append(other)
                break
        else:
            batches.append([other])
    for one, batches in beside.values():
        for batch in batches:
            together = cq.Compound.makeCompound([part.solid for part in batch])
            if _shared_mm3(one.solid, together):
                yield from _each(one, batch)


def _each(one: Part, batch: Iterable[Part]) -> Iterator[Clash]:
    for other in batch:
        if shared := _shared_mm3(one.solid, other.solid):
            yield Clash(one.mark, other.mark, "stand in one place", shared)


def _shared_mm3(one: cq.Shape, other: cq.Shape) -> float:
    """The volume that two shapes share; nothing where they only touch."""
    shared = one.intersect(other)
    volume = float(shared.Volume())
    # A skin has its area on either side.
    if volume <= _SHARED_MM3 or volume <= _SKIN_MM * shared.Area() / 2:
        return 0.0
    return volume


def _apart(parts: Mapping[str, Part]) -> Iterator[Clash]:
    for part in parts.values():
        for carrier in part.carried_by:
            off = part.solid.distance(parts[carrier].solid)
            if off > LIMIT_MM:
                yield Clash(part.mark, carrier, "do not touch, and the one carries the other", off)


def _not_off(parts: Mapping[str, Part]) -> Iterator[Clash]:
    for part in parts.values():
        for other, gap in part.stands_off:
            off = part.solid.distance(parts[other].solid)
            if abs(off - gap) > LIMIT_MM:
                yield Clash(part.mark, other, "do not stand off each other as the kit has it", off)


def _meet(one: cq.BoundBox, other: cq.BoundBox) -> bool:
    return all(
        low - _NEAR_MM <= high
        for low, high in (
            (one.xmin, other.xmax),
            (other.xmin, one.xmax),
            (one.ymin, other.ymax),
            (other.ymin, one.ymax),
            (one.zmin, other.zmax),
            (other.zmin, one.zmax),
        )
    )


def contacts_between(job: RaisedJob) -> Contacts:
    """Look at parts of different runs that stand near each other, where the plan has them."""
    placed = [
        (run, replace(part, solid=part.solid.moved(job.location(run))))
        for run in job.runs
        for part in job.parts(run)
        if part.kind is not PartKind.GROUND
    ]
    boxes = {part.mark: part.solid.BoundingBox(tolerance=1e-4) for _, part in placed}
    near = [
        (one, other)
        for (run, one), (beyond, other) in combinations(placed, 2)
        if run != beyond and _meet(boxes[one.mark], boxes[other.mark])
    ]
    return Contacts(len(near), 0, tuple(_overlaps(near, boxes)))

"""What pieces weigh, by the volume of their solids.

A piece's solid is raised again without its holes, which the sheets do not take off either, and its
volume is the kernel's own. Where the kit gives a mass for a length of the section, that length is
the volume over the section, which is cut square through the piece's middle and measured. A panel's
picket is drawn from pin to pin and no farther, and a coped rail is told by its length over all:
their masses, and their bays', are not proven.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import cadquery as cq

from railsheet.job.kit_ends import CopedKit
from railsheet.job.kit_infill import CableKit, CutKit, PanelKit, SolidKit
from railsheet.job.kit_mass import Per, Weighs
from railsheet.job.model import PostKind
from railsheet.proof.derived import Derived, mass
from railsheet.proof.measure import end_side, reach_mm
from railsheet.solids.bar import cut_off, stock
from railsheet.solids.fill import BayPlace
from railsheet.solids.part import PartKind
from railsheet.solids.post import PostTop, post_part
from railsheet.solids.raised import RaisedJob
from railsheet.solids.run import RaisedRun
from railsheet.solids.setting_out import Station
from railsheet.solids.space import FAR, UP, Flat, beyond, whole


def mass_figures(job: RaisedJob) -> Iterator[Derived]:
    """Every piece's mass that the kit tells, and every bay's put together."""
    for mark, run in job.runs.items():
        for number, bay in enumerate(run.bays, start=1):
            yield from _bay(f"{mark}.bay.{number}", run, bay)
        for station in run.out.stations:
            if station.mark in run.parts:
                yield from _post(run, station)


def _bay(key: str, run: RaisedRun, bay: BayPlace) -> Iterator[Derived]:
    told = bay.kit.mass
    found: list[tuple[Derived | None, int]] = []
    for name, bar, ends, at_posts in zip(
        ("top", "bottom"), bay.bars, bay.ends, bay.at, strict=True
    ):
        if any(isinstance(end.holds, CopedKit) for end in at_posts):
            # Told by its length over all, its copes not taken off.
            found.append((None, 1))
            continue
        solid = cut_off(stock(bar), [end.stop for end in ends])
        at = f"{key}.rail.{name}.mass"
        found.append((_long(at, told.of(f"{name}_rail"), solid, bar.along), 1))
    found += _fill(key, run, bay)
    known = [(each, count) for each, count in found if each is not None]
    yield from (each for each, _ in known)
    if len(known) == len(found):
        total = sum(each.value * count for each, count in known)
        yield mass(f"{key}.mass", total, known[0][0].per_mm_kg)


def _fill(key: str, run: RaisedRun, bay: BayPlace) -> Iterator[tuple[Derived | None, int]]:
    told, infill = bay.kit.mass, bay.kit.infill
    if bay.count.given is not None:
        yield None, 1
        return

    def of(kind: PartKind) -> list[cq.Shape]:
        start = f"{bay.mark}-"
        parts = [p for p in run.parts.values() if p.kind is kind and p.mark.startswith(start)]
        return [part.solid for part in parts]

    if isinstance(infill, CableKit):
        cables, braces = of(PartKind.CABLE), of(PartKind.BRACE)
        yield _long(f"{key}.cable.mass", told.of("cable"), cables[0], bay.bottom.along), len(cables)
        if braces:
            # Bored for its cables: with them through it again it is whole.
            solid = whole(braces[0].fuse(*(_within(cable, braces[0]) for cable in cables)))
            yield _long(f"{key}.brace.mass", told.of("brace"), solid, UP), len(braces)
    elif isinstance(infill, SolidKit):
        yield _pane(f"{key}.pane.mass", told.of("pane"), of(PartKind.PANE)[0]), 1
    elif isinstance(infill, PanelKit):
        yield None, 1
    else:
        members = of(PartKind.BALUSTER)
        yield _long(f"{key}.baluster.mass", told.of("baluster"), members[0], UP), len(members)
        if isinstance(infill, CutKit) and infill.fillet is not None:
            pieces = of(PartKind.FILLET)
            weighs = told.of("fillet")
            each = [
                _long(f"{key}.fillets.mass", weighs, piece, bay.bottom.along) for piece in pieces
            ]
            if weighs is None or not pieces:
                yield None, 1
            else:
                kg = sum(one.value for one in each if one is not None)
                yield mass(f"{key}.fillets.mass", kg, each[0].per_mm_kg if each[0] else 0.0), 1


def _within(cable: cq.Shape, brace: cq.Shape) -> cq.Shape:
    """What of a cable runs through a brace, which it fills the hole of."""
    box = brace.BoundingBox(tolerance=1e-7)
    low, high = (cq.Vector(x, 0, 0) for x in (box.xmin, box.xmax))
    return cable.cut(beyond(Flat(low, cq.Vector(-1, 0, 0))), beyond(Flat(high, cq.Vector(1, 0, 0))))


def _long(key: str, weighs: Weighs | None, solid: cq.Shape, along: cq.Vector) -> Derived | None:
    """A piece of one section."""
    if weighs is None:
        return None
    section = _section_mm2(solid, along)
    per_mm = weighs.for_length(section)
    kg = solid.Volume() * (per_mm / section)
    return mass(key, kg, per_mm)


def _section_mm2(solid: cq.Shape, along: cq.Vector) -> float:
    sheet = cq.Face.makePlane(2 * FAR, 2 * FAR, solid.Center(), along)
    return float(solid.intersect(sheet).Area())


def _pane(key: str, weighs: Weighs | None, solid: cq.Shape) -> Derived | None:
    if weighs is None:
        return None
    thick = reach_mm(solid, cq.Vector(0, 1, 0))
    per_mm2 = weighs.for_area(thick[1] - thick[0])
    area = solid.Volume() / (thick[1] - thick[0])
    return mass(key, area * per_mm2, per_mm2 * math.sqrt(area))


def _post(run: RaisedRun, station: Station) -> Iterator[Derived]:
    """A post with its plate, raised again without what is drilled and let into it."""
    kit = run.out.kit
    weighs, flat = kit.mass.of("post"), kit.mass.of("plate")
    if weighs is None or station.kind is PostKind.WALL:
        return
    if kit.plate.thickness_mm and flat is None:
        return
    plain = replace(run.out, kit=replace(kit, plate=replace(kit.plate, holes=())))
    drawn = run.parts[station.mark].solid
    cut, high = end_side(drawn, UP).flat, reach_mm(drawn, UP)[1] - station.foot_mm
    raked = cut if cut.normal.dot(UP) < 1 - 1e-12 else None
    solid = post_part(plain, station, PostTop(high, raked), "").solid
    level = cq.Vector(0, 0, station.foot_mm + kit.plate.thickness_mm)
    shaft = solid.cut(beyond(Flat(level, UP * -1.0)))
    middle = _section_mm2(shaft, UP)
    per_mm = weighs.for_length(middle)
    if weighs.per is Per.LENGTH and station.kind is PostKind.HALF:
        # A half post is sawn from a whole one: half its section, half its mass.
        per_mm /= 2
    kg = shaft.Volume() * per_mm / middle
    if flat is not None and kit.plate.thickness_mm:
        plate = solid.cut(beyond(Flat(level, UP)))
        kg += plate.Volume() / kit.plate.thickness_mm * flat.for_area(kit.plate.thickness_mm)
    yield mass(f"{run.out.mark}.post.{station.key}.mass", kg, per_mm)

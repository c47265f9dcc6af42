"""What each piece weighs: its section's mass by its length along the middle.

Holes, pockets, housings and ploughs are not taken off, so that no piece is told lighter than it
is; brackets, fittings, covers, screws and a rail's return are not counted. A piece of one section
cut by two planes is as heavy as its section by its length along the middle, whichever way the
planes lean (the centroid of a section stays on its axis).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from railsheet.cuts.pieces import Pieces
from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_ends import CopedKit
from railsheet.job.model import Place, PostKind
from railsheet.layout.infill.door import kind_of
from railsheet.layout.infill.parts import WeighedSheet
from railsheet.layout.post import Post
from railsheet.layout.railing import Bay, Rail, Railing


@dataclass(frozen=True)
class PieceMass:
    """What one piece, or each of some alike, weighs.

    Attributes:
        key: the end of its key under its run's mark.
        marks: what goes by it, in words.
        about: what it is.
        kg: of one.
        per_mm_kg: what a millimetre more of it would weigh.
        count: how many there are.
    """

    key: str
    marks: str
    about: str
    kg: float
    per_mm_kg: float
    count: int = 1


@dataclass(frozen=True)
class BayMass:
    """What a bay weighs put together: its rails and what fills it; None where a part is not told.

    Attributes:
        bay: its number.
        pieces: what is told of it.
    """

    bay: int
    pieces: tuple[PieceMass, ...]
    kg: float | None


@dataclass(frozen=True)
class RunMasses:
    """A run's pieces weighed: bay by bay, then its posts."""

    bays: tuple[BayMass, ...]
    posts: tuple[PieceMass, ...]


def run_masses(railing: Railing, pieces: Pieces) -> RunMasses:
    """Weigh what the kit tells the mass of."""
    return RunMasses(
        bays=tuple(_bay(railing, bay) for bay in railing.bays),
        posts=tuple(
            mass
            for piece in pieces.posts
            if piece.listed and (mass := _post(railing.kit, piece.mark, piece.post)) is not None
        ),
    )


def _bay(railing: Railing, bay: Bay) -> BayMass:
    mark = f"{railing.spec.mark}{bay.number}"
    found: list[PieceMass | None] = [_rail(railing.kit, mark, bay, rail) for rail in bay.rails]
    found += _infill(railing.kit, mark, bay)
    told = tuple(mass for mass in found if mass is not None)
    whole = None if None in found else sum(mass.kg * mass.count for mass in told)
    return BayMass(bay.number, told, whole)


def _rail(kit: Kit, mark: str, bay: Bay, rail: Rail) -> PieceMass | None:
    top = rail.place is RailPlace.TOP
    weighs = kit.mass.of("top_rail" if top else "bottom_rail")
    if weighs is None:
        return None
    per_mm = weighs.for_length(rail.kit.depth_mm * rail.kit.width_mm)
    # What a cope takes off is not taken off here: such a rail is told by its length over all.
    coped = isinstance(kit.end(rail.place), CopedKit)
    along = rail.length_mm if coped else rail.uphill.u_at(0.0) - rail.downhill.u_at(0.0)
    key = f"bay.{bay.number}.rail.{rail.place.value}.mass"
    return PieceMass(key, f"{mark}-{'TR' if top else 'BR'}", rail.kit.name, along * per_mm, per_mm)


def _infill(kit: Kit, mark: str, bay: Bay) -> Iterator[PieceMass | None]:
    weighed = kind_of(kit).weighed(kit, bay.infill)
    if weighed is None:
        yield None
        return
    for each in weighed:
        weighs = kit.mass.of(each.part)
        key, marks = f"bay.{bay.number}.{each.name}.mass", f"{mark}-{each.letters}"
        if weighs is None:
            yield None
        elif isinstance(each, WeighedSheet):
            per_mm2 = weighs.for_area(each.thick_mm)
            per_mm = per_mm2 * math.sqrt(each.area_mm2)
            yield PieceMass(key, marks, each.about, each.area_mm2 * per_mm2, per_mm)
        else:
            per_mm = weighs.for_length(each.section_mm2)
            yield PieceMass(key, marks, each.about, per_mm * each.long_mm, per_mm, each.count)


def _post(kit: Kit, mark: str, post: Post) -> PieceMass | None:
    """A post with its plate; one that stands already is not lifted."""
    plate, weighs, flat = kit.plate, kit.mass.of("post"), kit.mass.of("plate")
    if weighs is None or post.spec.place is Place.STANDING:
        return None
    if plate.thickness_mm and flat is None:
        return None
    # Of a half post one half stands, before its wall; of its plate too.
    share = 0.5 if post.spec.kind is PostKind.HALF else 1.0
    wide = kit.post.width_mm
    section = math.pi / 4 * wide**2 if kit.post.round else wide**2
    per_mm = weighs.for_length(section) * share
    # Where the cut top is raked, its height over the post's middle.
    high = post.height_mm - abs(post.top_slope) * wide / 2 - plate.thickness_mm
    kg = per_mm * high
    if flat is not None and plate.thickness_mm:
        kg += flat.for_area(plate.thickness_mm) * plate.along_mm * plate.across_mm * share
    return PieceMass(f"post.{post.key}.mass", mark, post.words, kg, per_mm)

"""How high the rail stands, over the whole of it: at every nose, at its ends and on the flat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from railsheet.checks.limit import Place, Quantity, Situation
from railsheet.checks.measured import Measured
from railsheet.layout.railing import Bay, Railing
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class Height:
    """How high the top of the top rail stands at one place.

    Attributes:
        where: the place in words.
        s_mm: the place along the run.
        foot_z_mm: the walk there, or the line through the noses.
        height_mm: plumb from that to the rail's top.
        measured: what the checks make of it.
    """

    where: str
    s_mm: float
    foot_z_mm: float
    height_mm: float
    measured: tuple[Measured, ...]


def heights_of(railing: Railing, on_stair: Situation) -> Iterator[Height]:
    """The rail's height at every place that speaks for it.

    The rail and the line through the noses are straight between noses, so the height over that
    line is least and greatest at a nose or at an end of the rail; over a flat it is least at one
    end of the flat. So these places speak for the whole rail.
    """
    quantities = [Quantity.GUARD_HEIGHT]
    if on_stair.serves_as_handrail:
        quantities.append(Quantity.HANDRAIL_HEIGHT)
    for where, s, foot, height in _on_stair(railing):
        measured = tuple(Measured(each, where, on_stair, height) for each in quantities)
        yield Height(where, s, foot, height, measured)
    for where, s, foot, height, drop in _on_flat(railing):
        there = replace(on_stair, place=Place.FLAT, drop_mm=drop)
        guard = Measured(Quantity.GUARD_HEIGHT, where, there, height)
        yield Height(where, s, foot, height, (guard,))


def level_heights(railing: Railing, on_flat: Situation) -> Iterator[Height]:
    """A level run's height, bay by bay: rail and deck are straight, so the least is at an end.

    At a post over which an easing turns the rail off its line, it is the easing's top.
    """
    for bay in railing.bays:
        faces = bay.downhill_face_mm, bay.uphill_face_mm
        tops = [*zip(bay.tops_mm, faces, strict=True), *((bay.line.z_at(s), s) for s in faces)]
        height, at = min(tops)
        where = f"least over the deck, bay {bay.number}"
        guard = Measured(Quantity.GUARD_HEIGHT, where, on_flat, height)
        yield Height(where, at, 0.0, height, (guard,))


def height_figures(railing: Railing, on_stair: Situation) -> Iterator[Measured]:
    """Guard heights, and handrail heights where the guard is the handrail."""
    for height in heights_of(railing, on_stair):
        yield from height.measured
    yield from _unguarded(railing, on_stair)


def _on_stair(railing: Railing) -> Iterator[tuple[str, float, float, float]]:
    for bay in railing.bays:
        for number, nose in enumerate(railing.stair.noses, start=1):
            if bay.downhill_face_mm < nose.s_mm < bay.uphill_face_mm:
                yield f"nose {number}", nose.s_mm, nose.z_mm, bay.line.height_over(nose)
        faces = bay.downhill_face_mm, bay.uphill_face_mm
        for end, face, top in zip(("downhill", "uphill"), faces, bay.tops_mm, strict=True):
            over = _nosing_line_z(railing, face)
            if over is not None:
                yield f"bay {bay.number}, {end} post", face, over, top - over


def _nosing_line_z(railing: Railing, s_mm: float) -> float | None:
    """Height of the line through the noses; None beyond the first and the last of them."""
    noses = railing.stair.noses
    for low, high in pairwise(noses):
        if low.s_mm <= s_mm <= high.s_mm:
            share = (s_mm - low.s_mm) / (high.s_mm - low.s_mm)
            return low.z_mm + share * (high.z_mm - low.z_mm)
    return None


def _on_flat(railing: Railing) -> Iterator[tuple[str, float, float, float, float | None]]:
    """Least height over each flat the rail passes, and the drop beside that flat."""
    first, last = railing.stair.noses[0], railing.stair.noses[-1]
    site = railing.spec.site
    for bay in railing.bays:
        if bay.uphill_face_mm > last.s_mm + SAME_MM:
            start = max(bay.downhill_face_mm, last.s_mm)
            top, at = min(_tops(bay, start), (bay.tops_mm[1], bay.uphill_face_mm))
            least = top - last.z_mm
            yield f"bay {bay.number}, least over the deck", at, last.z_mm, least, site.drop_mm
        if bay.downhill_face_mm < first.s_mm - SAME_MM:
            stop = min(bay.uphill_face_mm, first.s_mm)
            least, at = min((bay.tops_mm[0], bay.downhill_face_mm), _tops(bay, stop))
            yield f"bay {bay.number}, least over the bottom", at, 0.0, least, site.bottom_drop_mm


def _tops(bay: Bay, s_mm: float) -> tuple[float, float]:
    """How high the top rail stands at a place, a post's face or between two, and the place."""
    for face, top in zip((bay.downhill_face_mm, bay.uphill_face_mm), bay.tops_mm, strict=True):
        if s_mm == face:
            return top, s_mm
    return bay.line.z_at(s_mm), s_mm


def _unguarded(railing: Railing, on_stair: Situation) -> Iterator[Measured]:
    """The steps that the rail does not pass: how far down it is beside them.

    The floor or grade beside them is taken as level with what was read beside the bottom walking
    surface, the only drop there that the job gives.
    """
    below = railing.spec.site.bottom_drop_mm
    low, high = railing.downhill_post, railing.uphill_post
    half = railing.kit.post.width_mm / 2
    starts = low.centre_s_mm - half
    ends = high.centre_s_mm + half
    missing = ("B, the drop beside the bottom walking surface",)
    noses = railing.stair.noses
    for number, nose in enumerate(noses[:-1], start=1):
        ahead = noses[number].s_mm
        if nose.s_mm < starts - SAME_MM or ahead > ends + SAME_MM:
            yield Measured(
                Quantity.UNGUARDED_DROP,
                f"beside tread {number}, outside the rail",
                on_stair,
                None if below is None else nose.z_mm + below,
                missing if below is None else (),
            )

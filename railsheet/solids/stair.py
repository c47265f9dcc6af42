"""What posts stand on, drawn to stand under them: steps, landings, decks."""

from __future__ import annotations

import cadquery as cq

from railsheet.job.model import Ground, Side
from railsheet.solids.part import Part, PartKind
from railsheet.solids.post import across_mm
from railsheet.solids.setting_out import SettingOut
from railsheet.solids.space import slab
from railsheet.tolerance import SAME_MM

# How far a floor is drawn past the last post, how wide a deck, how thick what has no thickness, mm.
_PAST_MM = 300.0
_DECK_MM = 900.0
_FLOOR_MM = 100.0


def ground_mark(run: str) -> str:
    """What the ground of a run is called."""
    return f"{run} ground"


def ground_part(out: SettingOut) -> Part:
    """The steps with the floors at both ends as one solid; a level run's deck.

    With open risers each tread is a slab by itself, and one can see through between them.
    """
    if out.level:
        outlines = [_deck(out)]
    else:
        outlines = _treads(out) if out.stair.open_risers else [_steps(out)]
    width = _DECK_MM if out.level else out.stair.width_mm
    way = 1.0 if out.side is Side.RIGHT else -1.0
    beside = out.stations[0].in_from_side_mm + out.kit.plate.across_mm / 2
    edge = across_mm(out) - way * beside
    slabs = [slab(outline, width, edge + way * width / 2) for outline in outlines]
    solid = slabs[0] if len(slabs) == 1 else cq.Compound.makeCompound(slabs)
    return Part(ground_mark(out.mark), PartKind.GROUND, solid, ())


def _deck(out: SettingOut) -> list[cq.Vector]:
    thick = out.stair.tread_thickness_mm
    low = out.stations[0].middle_mm - _PAST_MM
    high = out.stations[-1].middle_mm + _PAST_MM
    return [cq.Vector(s, 0, z) for s, z in ((low, -thick), (high, -thick), (high, 0), (low, 0))]


def _treads(out: SettingOut) -> list[list[cq.Vector]]:
    """The floor, each tread to its own back edge, and the deck, as slabs of a tread's thickness.

    A tread as thick as its rise leaves a hair to see through, as on the drawing.
    """
    stair = out.stair
    last = len(stair.noses)
    low, high, floor = _reach(out)
    spans = [(low, stair.face_s_mm(1), floor, _FLOOR_MM)]
    for number, nose in enumerate(stair.noses, start=1):
        back = high if number == last else stair.face_s_mm(number + 1)
        thick = min(stair.tread_thickness_mm, stair.risers_mm[number - 1] - SAME_MM)
        spans.append((nose.s_mm, back, nose.z_mm, thick))
    return [
        [cq.Vector(s, 0, z) for s, z in ((a, z - t), (b, z - t), (b, z), (a, z))]
        for a, b, z, t in spans
    ]


def _reach(out: SettingOut) -> tuple[float, float, float]:
    """From where to where the stair is drawn, and the floor at the bottom: a slab may lie lower."""
    first, last = out.stair.noses[0], out.stair.noses[-1]
    low = min(out.stations[0].middle_mm, first.s_mm) - _PAST_MM
    high = max(out.stations[-1].middle_mm, last.s_mm) + _PAST_MM
    return low, high, out.stations[0].foot_mm if out.stations[0].ground is Ground.SLAB else 0.0


def _steps(out: SettingOut) -> list[cq.Vector]:
    """The steps' profile: floor, riser face, tread's underside, nose, tread, and so on up."""
    stair = out.stair
    low, high, floor = _reach(out)
    points = [(low, floor - _FLOOR_MM), (low, floor)]
    below = floor
    for number, nose in enumerate(stair.noses, start=1):
        riser, under = stair.face_s_mm(number), nose.z_mm - stair.tread_thickness_mm
        if stair.nosing_mm(number) and under > below:
            points += [(riser, below), (riser, under), (nose.s_mm, under)]
        else:
            points.append((nose.s_mm, below))
        points.append((nose.s_mm, nose.z_mm))
        below = nose.z_mm
    points += [(high, below), (high, below - _FLOOR_MM)]
    # Back down under the steps, as a carriage would stand.
    points.append((stair.face_s_mm(1) + _PAST_MM, floor - _FLOOR_MM))
    return [cq.Vector(s, 0, z) for s, z in points]

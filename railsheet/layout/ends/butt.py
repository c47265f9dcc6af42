"""A rail between posts, cut plumb and fastened tight to the post's face."""

from __future__ import annotations

from railsheet.job.kit_ends import ButtKit
from railsheet.layout.ends.kind import EndKind, EndPlace, own_end, plumb_end, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.rail_ends import RailEnd


def _kit(at: EndPlace) -> ButtKit:
    end = at.kit.end(at.place)
    assert isinstance(end, ButtKit)
    return end


def _end(at: EndPlace) -> RailEnd:
    clearance = _kit(at).clearance_mm
    return plumb_end(at, clearance, clearance, "cut", turned=True)


def _parts(at: EndPlace) -> tuple[Part, ...]:
    butt = _kit(at)
    return Part("fixing", butt.fixing, 1), *screw_parts(butt.screws)


BUTT = EndKind(_end, own_end, _parts, turns=True)

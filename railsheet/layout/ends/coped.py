"""A rail coped to a round post: plumb in the post's round, whatever way it leaves in plan."""

from __future__ import annotations

from dataclasses import replace

from railsheet.job.kit_bracket import EndCut
from railsheet.job.kit_ends import CopedKit
from railsheet.layout.ends.kind import EndKind, EndPlace, own_end, plumb_end, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.rail_ends import RailEnd


def _kit(at: EndPlace) -> CopedKit:
    end = at.kit.end(at.place)
    assert isinstance(end, CopedKit)
    return end


def _end(at: EndPlace) -> RailEnd:
    """As a plumb cut on the rail's middle, hollowed to the post's round and its clearance."""
    clearance = _kit(at).clearance_mm
    plumb = plumb_end(at, clearance, clearance, "cut")
    return replace(plumb, cut=EndCut.COPED, cope_mm=at.kit.post.width_mm / 2 + clearance)


def _parts(at: EndPlace) -> tuple[Part, ...]:
    coped = _kit(at)
    return Part("fixing", coped.fixing, 1), *screw_parts(coped.screws)


COPED = EndKind(_end, own_end, _parts, turns=True)

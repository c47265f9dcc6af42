"""A rail between posts, cut plumb and fastened tight to the post's face."""

from __future__ import annotations

from railsheet.job.kit_ends import ButtKit
from railsheet.layout.ends.kind import EndKind, EndPlace, plumb_end, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.rail_ends import RailEnd


def _kit(at: EndPlace) -> ButtKit:
    end = at.kit.end(at.place)
    assert isinstance(end, ButtKit)
    return end


def _end(at: EndPlace) -> RailEnd:
    clearance = _kit(at).clearance_mm
    return plumb_end(at, clearance, clearance, "cut", turned=True)


def _mount(at: EndPlace) -> Mount:
    """The rail's own end, where it stands on the post's face."""
    return Mount(
        place=at.place,
        word="rail end",
        centre_z_mm=at.axis_z(at.face_s_mm),
        height_mm=at.depth_plumb_mm,
        width_mm=at.kit.rail(at.place).width_mm,
        across_mm=at.across_mm,
    )


def _parts(at: EndPlace) -> tuple[Part, ...]:
    butt = _kit(at)
    return Part("fixing", butt.fixing, 1), *screw_parts(butt.screws)


BUTT = EndKind(_end, _mount, _parts, turns=True)

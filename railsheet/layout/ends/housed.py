"""A rail let into a housing in the post's face: plumb cut, and the housing to be cut for it."""

from __future__ import annotations

import math

from railsheet.job.kit_ends import HousedKit
from railsheet.layout.ends.kind import EndKind, EndPlace, plumb_end, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.rail_ends import RailEnd


def _kit(at: EndPlace) -> HousedKit:
    end = at.kit.end(at.place)
    assert isinstance(end, HousedKit)
    return end


def _end(at: EndPlace) -> RailEnd:
    housed = _kit(at)
    return plumb_end(at, housed.short_mm - housed.depth_mm, 0.0, "post", stays_out=False)


def _mount(at: EndPlace) -> Mount:
    """The housing's mouth: half the ease on every side of the rail."""
    housed = _kit(at)
    return Mount(
        place=at.place,
        word="housing",
        centre_z_mm=at.axis_z(at.face_s_mm),
        height_mm=at.depth_plumb_mm + housed.ease_mm / math.cos(at.rake_rad),
        width_mm=at.kit.rail(at.place).width_mm + housed.ease_mm,
        across_mm=at.across_mm,
        deep_mm=housed.depth_mm,
    )


def _parts(at: EndPlace) -> tuple[Part, ...]:
    return screw_parts(_kit(at).screws)


HOUSED = EndKind(_end, _mount, _parts)

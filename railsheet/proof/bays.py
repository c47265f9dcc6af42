"""A bay measured on its solids: what stands in it, how far apart, how deep in the rails."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import cadquery as cq

from railsheet.cuts.pieces import easing_mark
from railsheet.job.kit_infill import (
    CableKit,
    CutKit,
    PanelKit,
    PunchedKit,
    SolidKit,
)
from railsheet.proof.derived import Derived, angle, count
from railsheet.proof.easings import top_mm
from railsheet.proof.fills import fill_figures
from railsheet.proof.measure import (
    angle_rad,
    end_side,
    outermost,
    reach_mm,
    shot_mm,
    sides,
    signed_mm,
)
from railsheet.proof.rails import Mouth, RailTaken, hole_size_mm, rail_figures, take_rail
from railsheet.solids.fill import BayPlace
from railsheet.solids.part import Part, PartKind
from railsheet.solids.run import RaisedRun
from railsheet.solids.space import RUN, UP


@dataclass(frozen=True)
class BayTaken:
    """A bay as measured. Lengths in mm.

    Attributes:
        faces_mm: s of the downhill and the uphill post's face.
        top, bottom: its rails.
        members: balusters, pickets, cables or panes, uphill or upward.
        middles_mm: s of each plumb member's middle.
    """

    faces_mm: tuple[float, float]
    top: RailTaken
    bottom: RailTaken
    members: tuple[cq.Shape, ...]
    middles_mm: tuple[float, ...]


def take_bay(run: RaisedRun, bay: BayPlace) -> BayTaken:
    """Measure a bay."""
    kinds = {PartKind.BALUSTER, PartKind.CABLE, PartKind.PANE}
    members = [
        part.solid
        for part in run.parts.values()
        if part.kind in kinds and part.mark.startswith(f"{bay.mark}-")
    ]
    apart = bay.count.given is not None or isinstance(bay.kit.infill, CableKit | SolidKit)
    middles = () if apart else tuple(_middle_mm(member) for member in members)
    size = hole_size_mm(bay)
    top, bottom = (
        take_rail(run.parts[mark], place, middles, size)
        for mark, place in zip(bay.rails, (True, False), strict=True)
    )
    faces = _face_mm(run.parts, bay.posts[0], 1), _face_mm(run.parts, bay.posts[1], 0)
    return BayTaken(faces, top, bottom, tuple(members), middles)


def _face_mm(parts: Mapping[str, Part], holder: str, which: int) -> float:
    """A post's face, shot over the rails where nothing is bored."""
    solid = parts[holder].solid
    # Within the post's top, low where it is cut to a rake: a hair under it, where no kit bores.
    top = min(reach_mm(end_side(solid, UP).face, UP))
    return shot_mm(solid, top - 0.5)[which]


def _middle_mm(member: cq.Shape) -> float:
    return float(outermost(member, RUN).flat.at.x + outermost(member, RUN * -1.0).flat.at.x) / 2


def bay_figures(key: str, run: RaisedRun, bay: BayPlace, taken: BayTaken) -> Iterator[Derived]:
    """Every figure of one bay, its rails' included."""
    clear = taken.faces_mm[1] - taken.faces_mm[0]
    yield Derived(f"{key}.clear", clear)
    under = taken.bottom.back.flat
    tops = [
        cq.Vector(s, 0, top_mm(run, at.station, at.inward, s, taken.top))
        for at, s in zip(bay.at[0], taken.faces_mm, strict=True)
    ]
    corners = [*tops, *(under.plumb_at(s) for s in taken.faces_mm)]
    yield Derived(f"{key}.diagonal.rising", (corners[1] - corners[2]).Length)
    yield Derived(f"{key}.diagonal.falling", (corners[0] - corners[3]).Length)
    for name, mark, rail, ends in zip(
        ("top", "bottom"), bay.rails, (taken.top, taken.bottom), bay.ends, strict=True
    ):
        shown = tuple(
            Mouth(end.seen_on, face, easing_mark(at.station.mark))
            for end, face, at in zip(ends, taken.faces_mm, bay.at[0], strict=True)
        )
        yield from rail_figures(f"{key}.rail.{name}", run.parts, mark, rail, (shown[0], shown[1]))
    if bay.count.given is not None:
        return
    infill = bay.kit.infill
    if isinstance(infill, CableKit):
        yield from _cable_figures(key, infill, bay, run, taken)
    elif isinstance(infill, SolidKit):
        yield from _pane_figures(key, bay, taken)
    else:
        yield from _row_figures(key, bay, taken)
    yield from fill_figures(key, bay, run, taken.top.along)


def _row_figures(key: str, bay: BayPlace, taken: BayTaken) -> Iterator[Derived]:
    members = taken.members
    yield count(f"{key}.balusters", len(members))
    first, last = members[0], members[-1]
    yield Derived(f"{key}.gap", outermost(first, RUN * -1.0).flat.at.x - taken.faces_mm[0])
    yield Derived(f"{key}.gap", taken.faces_mm[1] - outermost(last, RUN).flat.at.x)
    for number, middle in enumerate(taken.middles_mm, start=1):
        yield Derived(f"{key}.baluster.{number}.from_face", middle - taken.faces_mm[0])
    for (one, s_one), (other, s_other) in pairwise(zip(members, taken.middles_mm, strict=True)):
        yield Derived(f"{key}.spacing", s_other - s_one)
        yield Derived(f"{key}.opening", one.distance(other))
    for rail in (taken.top, taken.bottom):
        marks = [m for m, stands in zip(rail.marks_mm, rail.filled, strict=True) if stands]
        for place, beyond in pairwise(marks):
            yield Derived(f"{key}.pitch", beyond - place)
    infill = bay.kit.infill
    if isinstance(infill, PunchedKit | PanelKit):
        yield from _bands(key, bay, taken)
    if not isinstance(infill, PanelKit | CutKit):
        yield from _seats(key, taken)


def _seats(key: str, taken: BayTaken) -> Iterator[Derived]:
    """How deep each member's shallower corner stands in either rail, and the hole it takes."""
    for member in taken.members:
        places = [outermost(member, way).flat.at.x for way in (RUN * -1.0, RUN)]
        for name, rail, way in (("top", taken.top, 1.0), ("bottom", taken.bottom, -1.0)):
            end = outermost(member, UP * way)
            deep = [-signed_mm(rail.face.flat, v.Center()) for v in end.face.Vertices()]
            yield Derived(f"{key}.seat_{name}", min(deep))
            met = [rail.on_face(s) for s in places]
            yield Derived(f"{key}.hole_needed", (met[1] - met[0]).Length)


def _bands(key: str, bay: BayPlace, taken: BayTaken) -> Iterator[Derived]:
    """The clear distances that so many members fill, from the spacing as it was measured."""
    infill = bay.kit.infill
    assert isinstance(infill, PunchedKit | PanelKit)
    if len(taken.middles_mm) < 2:
        return
    level = (taken.middles_mm[-1] - taken.middles_mm[0]) / (len(taken.middles_mm) - 1)
    member = taken.members[0]
    wide = outermost(member, RUN).flat.at.x - outermost(member, RUN * -1.0).flat.at.x
    for number in range(1, 2 * len(taken.members) + 4):
        filled = (number - 1) * level + wide
        yield Derived(f"{key}.band.{number}.least", filled + 2 * infill.gap.least_mm)
        yield Derived(f"{key}.band.{number}.most", filled + 2 * infill.gap.most_mm)


def _cable_figures(
    key: str, infill: CableKit, bay: BayPlace, run: RaisedRun, taken: BayTaken
) -> Iterator[Derived]:
    cables = taken.members
    yield count(f"{key}.members", len(cables))
    rails = run.parts[bay.rails[1]].solid, run.parts[bay.rails[0]].solid
    for one, other in pairwise((rails[0], *cables, rails[1])):
        yield Derived(f"{key}.opening", one.distance(other))
    for one, other in pairwise(cables):
        yield Derived(f"{key}.spacing", one.distance(other) + infill.diameter_mm)
    under = taken.bottom.back.flat.plumb_at(taken.faces_mm[0])
    ends = [end_middles(cable) for cable in cables]
    for number, (start, _) in enumerate(ends, start=1):
        yield Derived(f"{key}.cable.{number}", start.z - under.z)
    yield Derived(f"{key}.free", (ends[0][1] - ends[0][0]).Length / (bay.count.braces + 1))


def end_middles(cable: cq.Shape) -> tuple[cq.Vector, cq.Vector]:
    """The middles of a cable's two ends, downhill first."""
    ends = sorted((side.flat.at for side in sides(cable)), key=lambda at: float(at.x))
    return ends[0], ends[-1]


def _pane_figures(key: str, bay: BayPlace, taken: BayTaken) -> Iterator[Derived]:
    infill = bay.kit.infill
    assert isinstance(infill, SolidKit)
    yield count(f"{key}.members", len(taken.members))
    pane = taken.members[0]
    edges = outermost(pane, RUN * -1.0), outermost(pane, RUN)
    along = taken.top.along
    square = cq.Vector(0, 1, 0).cross(along)
    up = square if square.z > 0 else square * -1.0
    upper, lower = outermost(pane, up), outermost(pane, up * -1.0)
    corners = {
        (high, right): flat.flat.plumb_at(edges[right].flat.at.x)
        for high, flat in ((0, lower), (1, upper))
        for right in (0, 1)
    }
    for right in (0, 1):
        yield Derived(f"{key}.pane.plumb", (corners[1, right] - corners[0, right]).Length)
        yield Derived(f"{key}.pane.raked", (corners[right, 1] - corners[right, 0]).Length)
    yield Derived(f"{key}.pane.rising", (corners[1, 1] - corners[0, 0]).Length)
    yield Derived(f"{key}.pane.falling", (corners[1, 0] - corners[0, 1]).Length)
    sharp = angle_rad(corners[0, 1] - corners[0, 0], UP)
    yield angle(f"{key}.pane.corner", sharp, (corners[0, 1] - corners[0, 0]).Length)
    yield Derived(f"{key}.side_clearance", edges[0].flat.at.x - taken.faces_mm[0])
    yield Derived(f"{key}.side_clearance", taken.faces_mm[1] - edges[1].flat.at.x)
    for name, rail, edge in (("top", taken.top, upper), ("bottom", taken.bottom, lower)):
        deep = -signed_mm(rail.face.flat, edge.flat.at)
        floor = _groove_floor(rail)
        yield Derived(f"{key}.bite_{name}", deep)
        yield Derived(f"{key}.clear_{name}", -signed_mm(rail.face.flat, floor) - deep)


def _groove_floor(rail: RailTaken) -> cq.Vector:
    """A point on the floor of a rail's groove: of the faces that look that way, the deepest."""
    way = rail.face.flat.normal
    looking = [s for s in sides(rail.solid) if s.flat.normal.dot(way) > 1 - 1e-9]
    return min((s.flat.at for s in looking), key=lambda at: float(at.dot(way)))


def line_figures(key: str, run: RaisedRun, taken: BayTaken) -> Iterator[Derived]:
    """The rails' line and section, measured on the first bay's rails; a flight's over its noses."""
    along, upper, under = taken.top.along, taken.top.back.flat, taken.bottom.back.flat
    arm = taken.top.length_mm
    yield angle(f"{key}.rake", angle_rad(along, RUN), arm)
    between = -signed_mm(taken.top.face.flat, taken.bottom.face.flat.at)
    yield Derived(f"{key}.clear_square", abs(between))
    heights = [flat.plumb_at(0.0).z for flat in (upper, under)]
    inner = [rail.face.flat.plumb_at(0.0).z for rail in (taken.top, taken.bottom)]
    yield Derived(f"{key}.section_height", heights[0] - heights[1])
    yield Derived(f"{key}.clear_plumb", inner[0] - inner[1])
    noses = run.out.stair.noses
    if not noses:
        return
    for number, nose in enumerate(noses, start=1):
        place = f"{key}.nose.{number}"
        yield Derived(f"{place}.rail_height", upper.plumb_at(nose.s_mm).z - nose.z_mm)
        yield Derived(f"{place}.underside_height", under.plumb_at(nose.s_mm).z - nose.z_mm)
    ends = [upper.plumb_at(nose.s_mm) for nose in (noses[0], noses[-1])]
    yield Derived(f"{key}.line_length", (ends[1] - ends[0]).Length)

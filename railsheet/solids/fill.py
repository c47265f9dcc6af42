"""What fills one bay, in place: a row, cables with their braces, a pane, or what is given."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit import Kit
from railsheet.job.kit_infill import (
    CableKit,
    CutKit,
    DrilledKit,
    PanelKit,
    PunchedKit,
    SolidKit,
)
from railsheet.solids.bar import Bar, groove, pocket
from railsheet.solids.end import EndAt, EndPlanes
from railsheet.solids.part import Part, PartKind
from railsheet.solids.row import RowPlace, fillets, hole_centres, member, row_of
from railsheet.solids.setting_out import BayCount, Given
from railsheet.solids.space import FAR, UP, Flat, beyond, plumb_flat, slab, whole

# How deep a cable's end fitting is drawn in its hole: its own shape is its maker's, mm.
_FITTING_MM = 8.0


@dataclass(frozen=True)
class BayPlace:
    """One bay before it is filled. Lengths in mm, run frame.

    Attributes:
        mark: the run's mark and the bay's number.
        faces_mm: s of the downhill and the uphill post face.
        posts: marks of the posts on either side.
        ends: what cuts each rail's downhill and uphill end, top rail first.
        at: likewise, where those ends come to their posts.
    """

    mark: str
    kit: Kit
    top: Bar
    bottom: Bar
    faces_mm: tuple[float, float]
    posts: tuple[str, str]
    ends: tuple[tuple[EndPlanes, EndPlanes], tuple[EndPlanes, EndPlanes]]
    at: tuple[tuple[EndAt, EndAt], tuple[EndAt, EndAt]]
    count: BayCount

    @property
    def rails(self) -> tuple[str, str]:
        """The rails' marks, top and bottom."""
        return f"{self.mark}-TR", f"{self.mark}-BR"

    @property
    def bars(self) -> tuple[Bar, Bar]:
        """Top, bottom."""
        return self.top, self.bottom


@dataclass(frozen=True)
class Fill:
    """What fills a bay, and what each rail has taken out of it for that, top rail first."""

    parts: tuple[Part, ...]
    taken: tuple[tuple[cq.Shape, ...], tuple[cq.Shape, ...]]


def fill(bay: BayPlace) -> Fill:
    """Fill a bay as its kit does, or as the layout gives it."""
    infill = bay.kit.infill
    if bay.count.given is not None:
        return _as_given(bay, bay.count.given)
    if isinstance(infill, CableKit):
        return _cables(bay, infill)
    if isinstance(infill, SolidKit):
        return _pane(bay, infill)
    return _row(bay, infill)


def _row(bay: BayPlace, infill: PunchedKit | PanelKit | DrilledKit | CutKit) -> Fill:
    row = row_of(infill, bay.top, bay.faces_mm, bay.count.members)
    # One solid moved along the rails, which a STEP file then holds once.
    first = member(infill, row.first_s_mm, bay.top, bay.bottom)
    parts = [
        Part(
            f"{bay.mark}-B{number + 1}",
            PartKind.BALUSTER,
            first.moved(cq.Location(row.step * number)),
            bay.rails,
        )
        for number in range(row.count)
    ]
    if isinstance(infill, CutKit) and infill.fillet is not None:
        for letters, bar, ends in zip(("T", "B"), bay.bars, bay.ends, strict=True):
            pieces = fillets(infill.fillet, infill.baluster.width_mm, bar, row.middles_mm, ends)
            rail = bay.rails[0 if letters == "T" else 1]
            parts += [
                Part(f"{bay.mark}-F{letters}{number}", PartKind.FILLET, piece, (rail,))
                for number, piece in enumerate(pieces, start=1)
            ]
    taken = [_taken(bay.kit, bar, row, infill) for bar in bay.bars]
    return Fill(tuple(parts), (taken[0], taken[1]))


def _taken(
    kit: Kit, bar: Bar, row: RowPlace, infill: PunchedKit | PanelKit | DrilledKit | CutKit
) -> tuple[cq.Solid, ...]:
    """A bar's holes, past the row's ends too where it comes punched; or its plough."""
    if bar.face_mm == bar.stop_mm:
        return ()
    if isinstance(infill, CutKit):
        return (groove(bar, plough_mm(kit, bar)),)
    punched = isinstance(infill, PunchedKit | PanelKit)
    size = infill.hole_mm if isinstance(infill, DrilledKit) else infill.holes.size_mm
    centres = hole_centres(bar, row, beyond_row=3 if punched else 0)
    return tuple(pocket(bar, centre, size) for centre in centres)


def plough_mm(kit: Kit, bar: Bar) -> float:
    """The width of the plough along the whole of a bar; 0 where it has none."""
    if bar.face_mm == bar.stop_mm:
        return 0.0
    if isinstance(kit.infill, CutKit):
        return kit.infill.baluster.width_mm
    return kit.infill.thickness_mm if isinstance(kit.infill, SolidKit) else 0.0


def cable_starts(bay: BayPlace, infill: CableKit) -> tuple[cq.Vector, ...]:
    """Where each cable's middle meets the downhill post's face: evenly between the rails."""
    low, high = bay.bottom.flat(bay.bottom.face_mm), bay.top.flat(bay.top.face_mm)
    between = (high.at - low.at).dot(low.normal)
    count, diameter = bay.count.members, infill.diameter_mm
    step = diameter + (between - count * diameter) / (count + 1)
    first = low.plumb_at(0.0) + low.normal * (step - diameter / 2)
    face = plumb_flat(bay.faces_mm[0])
    return tuple(
        face.met_by(first + low.normal * (step * number), bay.bottom.along)
        for number in range(count)
    )


def bores_through(bay: BayPlace, reach_mm: tuple[float, float]) -> list[cq.Shape]:
    """What the infill's holes take out of the posts on either side.

    Args:
        bay: the bay.
        reach_mm: how far each bore goes past the post's face, level: downhill, uphill.
    """
    bores: list[cq.Shape] = []
    for start, diameter in _bore_axes(bay):
        for face, far, inward in zip(bay.faces_mm, reach_mm, (1.0, -1.0), strict=True):
            rod = _rod(start, bay.bottom.along, diameter)
            mouth, end = plumb_flat(face, inward), plumb_flat(face - inward * far, -inward)
            bores.append(whole(rod.cut(beyond(mouth), beyond(end))))
    return bores


def _bore_axes(bay: BayPlace) -> Iterable[tuple[cq.Vector, float]]:
    """Where each hole's axis meets the downhill post's face, and how wide it is, mm."""
    given, infill = bay.count.given, bay.kit.infill
    if given is not None:
        foot = bay.bottom.flat(bay.bottom.low_mm).plumb_at(bay.faces_mm[0])
        return [(foot + UP * bore.over_underside_mm, bore.diameter_mm) for bore in given.bores]
    if isinstance(infill, CableKit):
        return [(start, infill.bore_mm) for start in cable_starts(bay, infill)]
    return []


def _cables(bay: BayPlace, infill: CableKit) -> Fill:
    """Cables from face to face, their fittings in the posts' holes; braces, bored for them."""
    faces = [plumb_flat(bay.faces_mm[0], -1.0), plumb_flat(bay.faces_mm[1], 1.0)]
    parts, cables = [], []
    for number, start in enumerate(cable_starts(bay, infill), start=1):
        rod = _rod(start, bay.bottom.along, infill.diameter_mm)
        cable = whole(rod.cut(*(beyond(face) for face in faces)))
        mark = f"{bay.mark}-C{number}"
        fittings = [f"{mark}-DF", f"{mark}-UF"]
        parts.append(Part(mark, PartKind.CABLE, cable, tuple(fittings)))
        cables.append(cable)
        plug = _rod(start, bay.bottom.along, infill.bore_mm)
        for name, post, face, inward in zip(
            fittings, bay.posts, bay.faces_mm, (1.0, -1.0), strict=True
        ):
            mouth = plumb_flat(face, inward)
            end = plumb_flat(face - inward * _FITTING_MM, -inward)
            solid = whole(plug.cut(beyond(mouth), beyond(end)))
            parts.append(Part(name, PartKind.FITTING, solid, (post,), drawn_to_fit=True))
    low, high = bay.bottom.flat(bay.bottom.face_mm), bay.top.flat(bay.top.face_mm)
    each = (bay.faces_mm[1] - bay.faces_mm[0]) / (bay.count.braces + 1)
    for number in range(1, bay.count.braces + 1):
        s, wide = bay.faces_mm[0] + each * number, infill.brace_width_mm / 2
        brace = slab(_strip(low, high, s - wide, s + wide), infill.brace_width_mm)
        bored = whole(brace.cut(*cables))
        parts.append(Part(f"{bay.mark}-K{number}", PartKind.BRACE, bored, bay.rails))
    return Fill(tuple(parts), ((), ()))


def _rod(through: cq.Vector, way: cq.Vector, diameter_mm: float) -> cq.Solid:
    return cq.Solid.makeCylinder(diameter_mm / 2, 2 * FAR, through - way * FAR, way)


def _pane(bay: BayPlace, infill: SolidKit) -> Fill:
    """One pane, its plumb edges clear of the posts, its raked ones in the rails' grooves."""
    low = bay.bottom.flat(bay.bottom.face_mm - infill.bite_bottom_mm)
    high = bay.top.flat(bay.top.face_mm + infill.bite_top_mm)
    start = bay.faces_mm[0] + infill.side_clearance_mm
    stop = bay.faces_mm[1] - infill.side_clearance_mm
    pane = slab(_strip(low, high, start, stop), infill.thickness_mm)
    part = Part(f"{bay.mark}-PN", PartKind.PANE, pane, bay.rails)
    grooves = [(groove(bar, infill.thickness_mm),) for bar in bay.bars]
    return Fill((part,), (grooves[0], grooves[1]))


def _strip(low: Flat, high: Flat, start_mm: float, stop_mm: float) -> list[cq.Vector]:
    """Between two planes and two plumb edges."""
    return [
        low.plumb_at(start_mm),
        low.plumb_at(stop_mm),
        high.plumb_at(stop_mm),
        high.plumb_at(start_mm),
    ]


def _as_given(bay: BayPlace, given: Given) -> Fill:
    """Members where the layout has them.

    Each rail is cut out for them as deep as its seat, so that a member which goes deeper, or into
    a rail without a seat, is found in one place with it. What carries them is not known.
    """
    bodies = [
        slab([cq.Vector(s, 0, z) for s, z in each.outline], each.thick_mm, each.aside_mm)
        for each in given.members
    ]
    parts = tuple(
        Part(f"{bay.mark}-M{number}", PartKind.MEMBER, body, ())
        for number, body in enumerate(bodies, start=1)
    )
    taken = [_seated(bar, bodies) for bar in bay.bars]
    return Fill(parts, (taken[0], taken[1]))


def _seated(bar: Bar, bodies: Iterable[cq.Solid]) -> tuple[cq.Shape, ...]:
    """What of bodies stands on the infill's side of a bar's stop."""
    if bar.face_mm == bar.stop_mm:
        return ()
    deeper = 1.0 if bar.stop_mm > bar.face_mm else -1.0
    stop = bar.flat(bar.stop_mm)
    behind = beyond(Flat(stop.at, stop.normal * deeper))
    return tuple(held for body in bodies if (held := body.cut(behind)).Solids())

"""Parts as flat outlines at full size: what a machine cuts, drills and scribes.

Each part lies with its lower left corner at zero. A rail gives two: its side, whose ends are the
two cuts, and the face toward its infill, whose holes are drilled. What the bar brings with it
(punched holes) is scribed, never cut again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from railsheet.cuts.pieces import FillPiece, PostPiece, RailPiece
from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import Place, Side
from railsheet.layout.post import PostFace
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay, Rail, Railing, Working

Point = tuple[float, float]
Outline = tuple[Point, ...]

# Far below any machine's step, far above the noise of equal parts reckoned in unequal places.
_SAME_DIGITS = 5
PLATE = "plate"


@dataclass(frozen=True)
class RoundHole:
    """A hole to drill or cut. Lengths in mm."""

    centre: Point
    diameter_mm: float


@dataclass(frozen=True)
class FlatPart:
    """One part's outline. Lengths in mm.

    Attributes:
        name: what its file is called after: its mark, and which view of it this is.
        marks: of every piece made just like it.
        count: how many are made.
        title: what it is, in words.
        outline: closed, counter-clockwise, its least x and y zero.
        holes: to be made.
        scribed: closed outlines that are only marked on it.
        remarks: what whoever makes it must know.
    """

    name: str
    marks: tuple[str, ...]
    count: int
    title: str
    outline: Outline
    holes: tuple[RoundHole, ...] = ()
    scribed: tuple[Outline, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def _shape(self) -> tuple[object, ...]:
        def rounded(points: Iterable[Point]) -> tuple[Point, ...]:
            return tuple((round(x, _SAME_DIGITS), round(y, _SAME_DIGITS)) for x, y in points)

        return (
            self.title,
            rounded(self.outline),
            rounded(hole.centre for hole in self.holes),
            tuple(round(hole.diameter_mm, _SAME_DIGITS) for hole in self.holes),
            tuple(rounded(outline) for outline in self.scribed),
            self.remarks,
        )


def plate_part(kit: Kit, count: int) -> FlatPart | None:
    """The base plate, its holes where the kit has them; None where posts stand on no plate."""
    plate = kit.plate
    if not plate.thickness_mm or not count:
        return None
    remarks = [f"seen from above, the run along x; for {kit.post.name}"]
    if not plate.holes:
        remarks.append("NO HOLES: the kit gives no places for them (plate > hole)")
    return FlatPart(
        name=PLATE,
        marks=(PLATE,),
        count=count,
        title="base plate",
        outline=_rect(0.0, 0.0, plate.along_mm, plate.across_mm),
        holes=tuple(RoundHole((h.along_mm, h.across_mm), h.size_mm) for h in plate.holes),
        remarks=tuple(remarks),
    )


def rail_parts(piece: RailPiece, side: Side) -> Iterator[FlatPart]:
    """A rail's side, and its face toward the infill where that is drilled, slotted or marked."""
    rail = piece.rail
    toward = piece.left_face(side)
    half = rail.kit.depth_mm / 2
    left = piece.end_word(End.UPHILL)
    remarks = [f"{left} end at x = 0, top up, {toward} toward you"]
    for end in End:
        if rail.end(end).cope_mm:
            remarks.append(
                f"COPED at the {piece.end_word(end)} end to the post's round: drawn to its long "
                "sides; the cope's template is on the full-size sheets"
            )
        if rail.end(end).slant:
            remarks.append(
                f"COMPOUND CUT at the {piece.end_word(end)} end: drawn to its longer edge; the "
                "saw's mitre and bevel are on the rail sheet"
            )
    corners = [
        (rail.from_uphill_mm(rail.end(end).u_at(offset, rail.long_side_mm(end))), offset + half)
        for end, offset in (
            (End.UPHILL, -half),
            (End.DOWNHILL, -half),
            (End.DOWNHILL, half),
            (End.UPHILL, half),
        )
    ]
    yield FlatPart(
        name=f"{piece.mark}-side",
        marks=(piece.mark,),
        count=1,
        title=f"{rail.kit.name}: side",
        outline=tuple(corners),
        remarks=tuple(remarks),
    )
    if rail.holes:
        yield _rail_face(piece, rail)


def _rail_face(piece: RailPiece, rail: Rail) -> FlatPart:
    offset, wide = rail.punched_offset_mm, rail.kit.width_mm
    # From below, the left side going up lies at the top of the drawing; from above, at its foot.
    toward = wide / 2 * (1 if rail.place is RailPlace.TOP else -1)
    flip = 1.0 if toward > 0 else -1.0
    edges = {
        end: [
            (rail.from_uphill_mm(u), wide / 2 + flip * aside)
            for u, aside in rail.end(end).edge(offset, wide)[:: int(flip)]
        ]
        for end in End
    }
    corners = [edges[End.UPHILL][0], *edges[End.DOWNHILL], *edges[End.UPHILL][:0:-1]]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    half, middle = rail.hole_mm / 2, wide / 2
    drilled = rail.working is Working.DRILLED
    words = {
        Working.DRILLED: "drilled square to the face",
        Working.PUNCHED: "scribed: holes that the bar brings with it",
        Working.MARKED: "scribed: where balusters stand",
    }[rail.working]
    holes: list[RoundHole] = []
    scribed: list[Outline] = []
    for hole in rail.holes:
        x = hole.from_uphill_mm - left
        low, high = max(x - half, 0.0), min(x + half, right - left)
        if drilled:
            holes.append(RoundHole((x, middle), rail.hole_mm))
        elif low < high:
            scribed.append(_rect(low, middle - half, high, middle + half))
    face = "lower" if rail.place is RailPlace.TOP else "upper"
    return FlatPart(
        name=f"{piece.mark}-face",
        marks=(piece.mark,),
        count=1,
        title=f"{rail.kit.name}: {face} face",
        outline=tuple((x - left, y) for x, y in corners),
        holes=tuple(holes),
        scribed=tuple(scribed),
        remarks=(f"x from the uphill end's edge on this face; {words}",),
    )


def post_parts(railing: Railing, piece: PostPiece) -> Iterator[FlatPart]:
    """Each face of a post that rails meet, from its plate's top to its cut; a round has none."""
    if not piece.listed or piece.post.spec.place is Place.STANDING or railing.kit.post.round:
        return
    for face in piece.post.faces:
        yield _post_face(railing, piece, face)


def _scribed_words(face: PostFace) -> str:
    """What is scribed on a post's face for its rails."""
    words = dict.fromkeys(mount.word for mount in face.mounts)
    return " and ".join(f"each {word}" for word in words) or "nothing"


def _post_face(railing: Railing, piece: PostPiece, face: PostFace) -> FlatPart:
    kit, post = railing.kit, piece.post
    wide, foot = kit.post.width_mm, post.surface_z_mm + kit.plate.thickness_mm
    edge_left = (railing.spec.side is Side.LEFT) == (face.end is End.UPHILL)
    across = kit.rail_across_mm

    def x(from_side_edge: float) -> float:
        return from_side_edge if edge_left else wide - from_side_edge

    scribed = []
    for mount in face.mounts:
        middle = x(sum(mount.across_mm) / 2)
        up, half = mount.centre_z_mm - foot, mount.height_mm / 2
        aside = mount.width_mm / 2
        scribed.append(_rect(middle - aside, up - half, middle + aside, up + half))
    # A top cut to the rake is lower at the downhill face.
    fall = post.top_slope * wide if face.end is End.UPHILL else 0.0
    low = face.underside_z_mm - foot
    holes = tuple(
        RoundHole((x(across), low + bore.over_underside_mm), bore.diameter_mm)
        for bore in face.bores
    )
    edge = "left" if edge_left else "right"
    remarks = [
        f"y from the plate's top, step's side edge at the {edge}; scribed: {_scribed_words(face)}"
    ]
    if post.top_slope:
        remarks.append("the top is cut to the rail's rake, not square: see the post sheet")
    if holes and railing.line.rake_rad:
        remarks.append("holes are bored along the rails, not square to this face")
    through = f", {face.side} face" if post.through else ""
    name = f"{piece.mark}-{face.side}" if post.through else piece.mark
    return FlatPart(
        name=name,
        marks=(piece.mark,),
        count=1,
        title=f"{kit.post.name}{through}: face toward its rails",
        outline=_rect(0.0, 0.0, wide, post.height_mm - fall - kit.plate.thickness_mm),
        holes=holes,
        scribed=tuple(scribed),
        remarks=tuple(remarks),
    )


def fill_part(fill: FillPiece) -> FlatPart | None:
    """A cut piece of the infill from its side; None for what comes off a coil."""
    piece = fill.piece
    if not piece.stock_mm:
        return None
    shift = piece.depth_mm * math.tan(piece.saw_rad)
    return FlatPart(
        name=fill.mark,
        marks=(fill.mark,),
        count=piece.count,
        title=f"{piece.name}: side",
        outline=(
            (0.0, 0.0),
            (piece.edge_mm, 0.0),
            (piece.edge_mm + shift, piece.depth_mm),
            (shift, piece.depth_mm),
        ),
        remarks=(piece.how,),
    )


def template_parts(run: str, bay: Bay) -> Iterator[FlatPart]:
    """The panes of a bay, as cut to their templates."""
    for template in bay.infill.templates:
        left = min(s for s, _ in template.outline)
        low = min(z for _, z in template.outline)
        mark = f"{run}{bay.number}-{template.suffix}"
        yield FlatPart(
            name=mark,
            marks=(mark,),
            count=1,
            title=template.name,
            outline=tuple((s - left, z - low) for s, z in template.outline),
            remarks=("seen from the walking side, uphill to the right",),
        )


def together(parts: Sequence[FlatPart]) -> tuple[FlatPart, ...]:
    """Each distinct part once, with every mark and the number of all that are made like it."""
    groups: dict[tuple[object, ...], list[FlatPart]] = {}
    for part in parts:
        groups.setdefault(part._shape, []).append(part)
    return tuple(
        replace(
            first,
            marks=tuple(mark for part in (first, *rest) for mark in part.marks),
            count=sum(part.count for part in (first, *rest)),
        )
        for first, *rest in groups.values()
    )


def _rect(left: float, low: float, right: float, high: float) -> Outline:
    return (left, low), (right, low), (right, high), (left, high)

"""One bay between two post faces: its two rails, and what fills the space between them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import SQUARE, FlightSpec, PostKind, PostSpec, Side, Skew
from railsheet.layout.ends.door import piece_beyond, rail_end
from railsheet.layout.ends.kind import EndPlace, ToWall
from railsheet.layout.infill.door import kind_of
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.rail_ends import End
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Bay, Rail, Working
from railsheet.layout.section import Section
from railsheet.tolerance import SAME_MM

if TYPE_CHECKING:
    from railsheet.job.wall_return import WallReturn


@dataclass(frozen=True)
class Station:
    """What stands at one end of a bay.

    Attributes:
        post: what it is.
        through: whether rails of this run go on past it.
        skew: how the rails leave it.
        wall: what the top rail is returned to past it, and the way there; None where it is not.
    """

    post: PostKind = PostKind.POST
    through: bool = False
    skew: Skew = SQUARE
    wall: tuple[WallReturn, float] | None = None

    def place(
        self, kit: Kit, rail: RailPlace, end: End, line: RailLine, section: Section, face_mm: float
    ) -> EndPlace:
        """Where an end of a rail comes to it."""
        wall = None
        if self.wall is not None:
            asked, aside = self.wall
            wall = ToWall(asked.clear_mm, asked.clear_mm + kit.post.width_mm / 2, aside)
        return EndPlace(
            kit, rail, end, line, section, face_mm, self.post, self.through, self.skew, wall
        )


POST = Station()
LINE_POST = Station(through=True)


def station_of(post: PostSpec, side: Side) -> Station:
    """What stands at the end of a run whose rail is on a side."""
    wall = None if post.wall is None else (post.wall, post.wall.aside(side))
    return Station(post.kind, False, post.skew, wall)


def stations(spec: FlightSpec, number: int, bays: int) -> tuple[Station, Station]:
    """What stands at either end of one of a run's bays, counted uphill from 1."""
    low = station_of(spec.bottom_post, spec.side) if number == 1 else LINE_POST
    return low, station_of(spec.top_post, spec.side) if number == bays else LINE_POST


def fill_bay(
    kit: Kit,
    number: int,
    line: RailLine,
    section: Section,
    faces_mm: tuple[float, float],
    members: int,
    stations: tuple[Station, Station] = (POST, POST),
) -> Bay:
    """Fill the space between two post faces.

    Args:
        kit: the rail system.
        number: the bay's, counted uphill.
        line: the top of the top rail.
        section: how far apart the rails stand.
        faces_mm: s of the downhill and the uphill face; they must leave a gap at both ends.
        members: how many balusters; the least where infill goes on in line; not used by other
            infill that has no row.
        stations: what stands at either face.
    """
    places = {
        place: tuple(
            at.place(kit, place, end, line, section, face)
            for end, face, at in zip(End, faces_mm, stations, strict=True)
        )
        for place in RailPlace
    }
    top, bottom = (_plain_rail(*ends) for ends in places.values())
    beyond = [piece_beyond(at) for at in places[RailPlace.TOP]]
    filled = kind_of(kit).fill(BayFrame(kit, line, section, faces_mm, top, bottom), members)
    return Bay(
        number=number,
        line=line,
        section=section,
        downhill_face_mm=faces_mm[0],
        uphill_face_mm=faces_mm[1],
        infill=filled.infill,
        top_rail=filled.top,
        bottom_rail=filled.bottom,
        # Cut from the same bar, a return has the rail's groove.
        returns=tuple(
            replace(each, rail=replace(each.rail, groove_mm=filled.top.groove_mm))
            for each in beyond
            if each is not None
        ),
    )


def fill_bays(
    kit: Kit,
    line: RailLine,
    section: Section,
    spans_mm: Sequence[tuple[float, float]],
    members: Sequence[int],
    wishes: FlightSpec,
    fill: Callable[..., Bay] = fill_bay,
) -> tuple[Bay, ...]:
    """Fill every bay of a run, going uphill; what goes on in line has as many in each.

    Args:
        spans_mm: s of each bay's downhill and uphill face.
        members: how many balusters each takes; not used by infill that has no row.
        wishes: what stands at the run's ends.
        fill: ``fill_bay``, or what remembers the bays it filled.
    """

    def filled(members: Sequence[int]) -> tuple[Bay, ...]:
        return tuple(
            fill(kit, number, line, section, span, count, stations(wishes, number, len(spans_mm)))
            for number, (span, count) in enumerate(zip(spans_mm, members, strict=True), start=1)
        )

    bays = filled(members)
    if not kind_of(kit).in_line:
        return bays
    most = max(bay.infill.count for bay in bays)
    return bays if all(b.infill.count == most for b in bays) else filled([most] * len(bays))


def _plain_rail(low: EndPlace, high: EndPlace) -> Rail:
    """One rail between two faces, before its infill asks anything of it."""
    rail = low.kit.rail(low.place)
    half_plumb = low.depth_plumb_mm / 2
    top = low.place is RailPlace.TOP
    return Rail(
        place=low.place,
        kit=rail,
        axis_drop_mm=half_plumb if top else low.section.height_plumb_mm - half_plumb,
        punched_offset_mm=-rail.depth_mm / 2 if top else rail.depth_mm / 2,
        downhill=rail_end(low),
        uphill=rail_end(high),
        working=Working.PLAIN,
        hole_mm=0.0,
        holes=(),
    )


def mouth_covers_mm(rail: Rail, end: End) -> float:
    """How far the bracket's mouth reaches over the edge of the end baluster's hole; 0 if clear."""
    mouth = rail.mouth_from_uphill_mm(end)
    hole = rail.end_hole(end).from_uphill_mm
    clear = hole - mouth if end is End.UPHILL else mouth - hole
    covered = rail.hole_mm / 2 - clear
    return covered if covered > SAME_MM else 0.0


def corner_clearance_mm(rail: Rail, end: End, rake_rad: float, skew_rad: float) -> float:
    """Level, from the post's face to the nearest corner of the rail's cut end, along the run.

    On a rake a square cut turns one of its corners toward the post; where the rail leaves askew,
    one of its sides comes nearer to the face by half its width's share.
    """
    cut = rail.end(end)
    clearances = []
    for offset in (-rail.kit.depth_mm / 2, rail.kit.depth_mm / 2):
        corner_s = (cut.u_at(offset) - offset * math.tan(rake_rad)) * math.cos(rake_rad)
        clearances.append(end.inward * (corner_s - cut.face_s_mm))
    return min(clearances) - rail.kit.width_mm / 2 * math.tan(abs(skew_rad))


def past_face_mm(rail: Rail, end: End, post_mm: float, skew_rad: float) -> float:
    """How far a cut parallel to a face turned in plan reaches past that face's edge; 0 within it.

    The rail's line runs through the post's middle and so leaves the face aside of its middle, and
    across the face a rail of width w is w / cos(skew) wide. Lengths in mm.
    """
    if not rail.end(end).slant or rail.end(end).held_by == "post":
        return 0.0
    aside = post_mm / 2 * math.tan(abs(skew_rad))
    reach = aside + rail.kit.width_mm / 2 / math.cos(skew_rad)
    return max(reach - post_mm / 2, 0.0)

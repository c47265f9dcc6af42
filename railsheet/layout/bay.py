"""One bay between two post faces: its two rails, and what fills the space between them."""

from __future__ import annotations

import math

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import SQUARE, Skew
from railsheet.layout.infill.door import kind_of
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.rail_ends import End, rail_end
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Bay, Rail, Working
from railsheet.layout.section import Section
from railsheet.layout.turned_post import end_bracket
from railsheet.tolerance import SAME_MM


def fill_bay(
    kit: Kit,
    number: int,
    line: RailLine,
    section: Section,
    faces_mm: tuple[float, float],
    members: int,
    skews: tuple[Skew, Skew] = (SQUARE, SQUARE),
) -> Bay:
    """Fill the space between two post faces.

    Args:
        kit: the rail system.
        number: the bay's, counted uphill.
        line: the top of the top rail.
        section: how far apart the rails stand.
        faces_mm: s of the downhill and the uphill face; they must leave a gap at both ends.
        members: how many balusters; not used by infill that has no row.
        skews: how the rails leave the downhill and the uphill post.
    """
    top, bottom = (_plain_rail(kit, place, section, faces_mm, skews) for place in RailPlace)
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
    )


def _plain_rail(
    kit: Kit,
    place: RailPlace,
    section: Section,
    faces_mm: tuple[float, float],
    skews: tuple[Skew, Skew],
) -> Rail:
    """One rail between two faces, before its infill asks anything of it."""
    rail, rake = kit.rail(place), section.rake_rad
    lower, upper = (end_bracket(kit, place, skew) for skew in skews)
    half_plumb = rail.depth_mm / 2 / math.cos(rake)
    top = place is RailPlace.TOP
    return Rail(
        place=place,
        kit=rail,
        axis_drop_mm=half_plumb if top else section.height_plumb_mm - half_plumb,
        punched_offset_mm=-rail.depth_mm / 2 if top else rail.depth_mm / 2,
        downhill=rail_end(lower, End.DOWNHILL, faces_mm[0], rake),
        uphill=rail_end(upper, End.UPHILL, faces_mm[1], rake),
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
    face_s = cut.pin_s_mm - end.inward * cut.bracket.stand_off_mm
    clearances = []
    for offset in (-rail.kit.depth_mm / 2, rail.kit.depth_mm / 2):
        corner_s = (cut.u_at(offset) - offset * math.tan(rake_rad)) * math.cos(rake_rad)
        clearances.append(end.inward * (corner_s - face_s))
    return min(clearances) - rail.kit.width_mm / 2 * math.tan(abs(skew_rad))

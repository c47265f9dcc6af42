"""One bay between two post faces: its balusters, and its two rails with every hole and mark."""

from __future__ import annotations

import math
from dataclasses import replace

from railsheet.job.kit import Kit, RailPlace
from railsheet.layout.punched import Punching
from railsheet.layout.rail_ends import End, along, rail_end
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Bay, Hole, Rail
from railsheet.layout.section import Section
from railsheet.tolerance import SAME_MM


def fill_bay(
    kit: Kit,
    number: int,
    line: RailLine,
    section: Section,
    faces_mm: tuple[float, float],
    balusters: int,
) -> Bay:
    """Fill the space between two post faces with so many balusters, both gaps equal.

    Args:
        faces_mm: s of the downhill and the uphill face; they must leave a gap at both ends.
    """
    punching = Punching(section.spacing_mm, kit.baluster.width_mm, kit.gap)
    clear = faces_mm[1] - faces_mm[0]
    gap = punching.gap_mm(clear, balusters)
    places = _baluster_places(faces_mm[0], gap, balusters, section, kit.baluster.width_mm)
    return Bay(
        number=number,
        line=line,
        section=section,
        downhill_face_mm=faces_mm[0],
        uphill_face_mm=faces_mm[1],
        gap_mm=gap,
        baluster_s_mm=places,
        top_rail=_cut_rail(kit, RailPlace.TOP, section, faces_mm, places),
        bottom_rail=_cut_rail(kit, RailPlace.BOTTOM, section, faces_mm, places),
        bands=_bands_near(punching, clear),
    )


def _bands_near(punching: Punching, clear_mm: float) -> tuple[tuple[int, float, float], ...]:
    reach = 2 * punching.spacing_mm
    return punching.bands_within(max(clear_mm - reach, 0.0), clear_mm + reach)


def _baluster_places(
    downhill_face_mm: float, gap_mm: float, balusters: int, section: Section, width_mm: float
) -> tuple[float, ...]:
    """The s of each baluster's centre, each from the face itself, none from its neighbour."""
    first = downhill_face_mm + gap_mm + width_mm / 2
    return tuple(first + number * section.spacing_mm for number in range(balusters))


def _cut_rail(
    kit: Kit,
    place: RailPlace,
    section: Section,
    faces_mm: tuple[float, float],
    balusters_mm: tuple[float, ...],
) -> Rail:
    """One rail between two faces, with the balusters' holes and the empty ones beyond them.

    Args:
        faces_mm: s of the downhill and the uphill face.
        balusters_mm: s of each baluster's centre.
    """
    rail, bracket, rake = kit.rail(place), kit.bracket(place), section.rake_rad
    half_plumb = rail.depth_mm / 2 / math.cos(rake)
    top = place is RailPlace.TOP
    punched = -rail.depth_mm / 2 if top else rail.depth_mm / 2
    downhill = rail_end(bracket, End.DOWNHILL, faces_mm[0], rake)
    uphill = rail_end(bracket, End.UPHILL, faces_mm[1], rake)
    bare = Rail(
        place=place,
        kit=rail,
        bracket=bracket,
        axis_drop_mm=half_plumb if top else section.height_plumb_mm - half_plumb,
        punched_offset_mm=punched,
        downhill=downhill,
        uphill=uphill,
        holes=(),
    )
    filled = [along(s, punched, rake) for s in balusters_mm]
    span = downhill.u_at(punched), uphill.u_at(punched)
    holes = [Hole(bare.from_uphill_mm(u), number) for number, u in enumerate(filled, start=1)] + [
        Hole(bare.from_uphill_mm(u), None)
        for u in _empty_holes(filled, span, kit.holes.pitch_mm, kit.holes.size_mm)
    ]
    return replace(bare, holes=tuple(sorted(holes, key=lambda hole: hole.from_uphill_mm)))


def _empty_holes(
    filled: list[float], span: tuple[float, float], pitch_mm: float, size_mm: float
) -> list[float]:
    """Holes of the bar beyond the end balusters that the cut piece still holds, even in part."""
    empty = []
    half = size_mm / 2
    u = filled[0] - pitch_mm
    while u + half > span[0] + SAME_MM:
        empty.append(u)
        u -= pitch_mm
    u = filled[-1] + pitch_mm
    while u - half < span[1] - SAME_MM:
        empty.append(u)
        u += pitch_mm
    return empty


def mouth_covers_mm(rail: Rail, end: End, hole_size_mm: float) -> float:
    """How far the bracket's mouth reaches over the edge of the end baluster's hole; 0 if clear."""
    covered = hole_size_mm / 2 - _signed_hole_to_mouth(rail, end)
    return covered if covered > SAME_MM else 0.0


def _signed_hole_to_mouth(rail: Rail, end: End) -> float:
    mouth = rail.mouth_from_uphill_mm(end)
    hole = rail.end_hole(end).from_uphill_mm
    return hole - mouth if end is End.UPHILL else mouth - hole


def corner_clearance_mm(rail: Rail, end: End, rake_rad: float) -> float:
    """Level, from the post's face to the nearest corner of the rail's cut end.

    On a rake a square cut turns one of its corners toward the post.
    """
    cut = rail.end(end)
    face_s = cut.pin_s_mm - end.inward * rail.bracket.stand_off_mm
    clearances = []
    for offset in (-rail.kit.depth_mm / 2, rail.kit.depth_mm / 2):
        corner_s = (cut.u_at(offset) - offset * math.tan(rake_rad)) * math.cos(rake_rad)
        clearances.append(end.inward * (corner_s - face_s))
    return min(clearances)

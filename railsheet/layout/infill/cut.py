"""Balusters cut to fit between plain rails, square or on the rake, with or without fillets."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_infill import BalusterEnd, CutKit, FilletKit
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind
from railsheet.layout.infill.parts import Infill, InfillPiece, Row, Weighed, WeighedBars
from railsheet.layout.infill.row_rule import EqualSpacing
from railsheet.layout.infill.rows import (
    marks_on,
    raked_ended,
    row_facts,
    row_members,
    set_out,
    square_ended,
    worked,
)
from railsheet.layout.infill.seating import depths_mm, hole_needed_mm, seat_notices, seats_mm
from railsheet.layout.infill.weighed import weighed_balusters
from railsheet.layout.notice import Notice, look, stop
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail, Working
from railsheet.layout.section import Section, section_from_over_all
from railsheet.tolerance import SAME_MM


def _kit(kit: Kit) -> CutKit:
    assert isinstance(kit.infill, CutKit)
    return kit.infill


def _section(kit: Kit, rake_rad: float) -> Section:
    return section_from_over_all(rake_rad, _kit(kit).over_all_mm, depths_mm(kit))


def _rule(kit: Kit, _: float) -> EqualSpacing:
    infill = _kit(kit)
    return EqualSpacing(infill.baluster.width_mm, infill.greatest_opening_mm)


def _fill(frame: BayFrame, count: int) -> Filled:
    kit, infill = frame.kit, _kit(frame.kit)
    row = set_out(frame, _rule(kit, frame.rake_rad), count)
    baluster = _baluster(frame, count)
    pieces = [baluster]
    body = raked_ended(frame, row.width_mm)
    if infill.ends is BalusterEnd.SQUARE:
        body = square_ended(frame, row.width_mm, baluster.length_mm)
    if infill.fillet is not None:
        pieces += _fillets(frame, row, infill.fillet)
    size = hole_needed_mm(infill.baluster.width_mm, frame.rake_rad)
    return Filled(
        Infill(
            word=infill.word,
            noun="baluster",
            count=count,
            members=row_members(frame, row, body),
            row=row,
            pieces=tuple(pieces),
            parts=(),
            facts=row_facts(frame, row, "baluster"),
        ),
        top=_grooved(worked(frame, RailPlace.TOP, row, Working.MARKED, size), row),
        bottom=_grooved(worked(frame, RailPlace.BOTTOM, row, Working.MARKED, size), row),
    )


def _grooved(rail: Rail, row: Row) -> Rail:
    """A rail with a seat is ploughed along its whole face, as wide as the balusters."""
    return replace(rail, groove_mm=row.width_mm if rail.kit.seat_mm else 0.0)


def _baluster(frame: BayFrame, count: int) -> InfillPiece:
    """The baluster that fills the plumb distance between the seats.

    Between stops D apart, square to the rails, at a rake t, a baluster of width w cut on the rake
    is ``D / cos t`` along each edge and ``w tan t`` longer over all; a square-ended one bears
    with opposite corners and is ``(D - w sin t) / cos t`` long.
    """
    kit, infill = frame.kit, _kit(frame.kit)
    cos, sin = math.cos(frame.rake_rad), math.sin(frame.rake_rad)
    apart, width = frame.section.clear_square_mm + seats_mm(kit), infill.baluster.width_mm
    if infill.ends is BalusterEnd.SQUARE:
        edge = over_all = (apart - width * sin) / cos
        saw = 0.0
    else:
        edge, saw = apart / cos, frame.rake_rad
        over_all = edge + width * sin / cos
    return InfillPiece(
        suffix="BL",
        group="baluster",
        name=infill.baluster.name,
        count=count,
        length_mm=over_all,
        edge_mm=edge,
        saw_rad=saw,
        depth_mm=width,
        stock_mm=(infill.baluster.length_mm,),
        spared=True,
        how="both ends alike, the cuts parallel" if saw else "both ends square",
    )


def _fillets(frame: BayFrame, row: Row, fillet: FilletKit) -> list[InfillPiece]:
    """Fillets along both ploughs: between balusters, and from the end ones to the brackets."""
    cos, tan = math.cos(frame.rake_rad), math.tan(frame.rake_rad)
    half = row.width_mm / 2 / cos
    edges: Counter[float] = Counter()
    edges[round((row.spacing_mm - row.width_mm) / cos, 9)] += 2 * (len(row.centres_mm) - 1)
    for place in RailPlace:
        rail = frame.rail(place)
        marks = marks_on(frame, place, row)
        for end, mark in ((End.DOWNHILL, marks[0]), (End.UPHILL, marks[-1])):
            mouth = rail.end(end).mouth_at(rail.punched_offset_mm)
            edges[round(abs(mark - mouth) - half, 9)] += 1
    return [
        InfillPiece(
            suffix=f"F{number}" if number else "F",
            group="fillet",
            name=fillet.name,
            count=count,
            length_mm=edge + fillet.thickness_mm * tan,
            edge_mm=edge,
            saw_rad=frame.rake_rad,
            depth_mm=fillet.thickness_mm,
            stock_mm=fillet.stock_mm,
            spared=False,
            how="ends cut parallel, plumb in place",
        )
        for number, (edge, count) in enumerate(sorted(edges.items(), key=lambda e: -e[1]))
        if count and edge > SAME_MM
    ]


def _notices(kit: Kit, rake_rad: float, infill: Infill) -> list[Notice]:
    found = [
        stop(
            f"{piece.group} stock",
            f"{piece.name} must be {{needs}} long; the longest stock is {{longest}}",
            needs=piece.length_mm,
            longest=piece.stock_mm[-1],
        )
        for piece in infill.pieces
        if piece.length_mm > piece.stock_mm[-1] + SAME_MM
    ]
    if _kit(kit).ends is BalusterEnd.SQUARE:
        found += seat_notices(kit, rake_rad)
    if _kit(kit).fillet is not None:
        found.append(
            look(
                "moisture",
                "wood moves with its moisture: these figures are of the wood as it will be cut; "
                "bring it to its place's moisture first, and leave what the maker asks for",
            )
        )
    return found


def _weighed(kit: Kit, infill: Infill) -> Weighed:
    balusters, fillet = weighed_balusters(kit, infill), _kit(kit).fillet
    if fillet is None:
        return balusters
    long = sum(piece.edge_mm * piece.count for piece in infill.pieces if piece.group == "fillet")
    section = fillet.thickness_mm * _kit(kit).baluster.width_mm
    about = f"{fillet.name}, all of them"
    return (*balusters, WeighedBars("fillet", "fillets", "F", about, section, long, 1))


CUT = Kind(_section, _rule, _fill, _notices, weighed=_weighed)

"""Enter one handrail into the book of figures."""

from __future__ import annotations

import math

from railsheet.cuts.job_stock import JobStock
from railsheet.cuts.take_off import TakeOffLine
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import enter_noticed, enter_parts
from railsheet.layout.handrail_model import Handrail, HandrailPiece
from railsheet.layout.notice import Notice


def piece_key(handrail: Handrail, piece: HandrailPiece) -> str:
    """Where a piece's figures stand."""
    return f"{handrail.mark}.piece.{handrail.pieces.index(piece) + 1}"


def corner_key(handrail: Handrail, number: int) -> str:
    """Where a corner's figures stand; corners are numbered from 0 in the layout."""
    return f"{handrail.mark}.corner.{number + 1}"


def bracket_key(handrail: Handrail, number: int) -> str:
    """Where a bracket's figures stand; numbered from 1."""
    return f"{handrail.mark}.bracket.{number}"


def straight_datum_mm(handrail: Handrail, straight: int) -> float:
    """What places along a straight are printed from.

    On the first straight the rail's lower end, so that no figure is below nothing; on another its
    corner.
    """
    return handrail.ends[0].along_mm if straight == 0 else 0.0


def roll_words(book: FigureBook, handrail: Handrail, piece: HandrailPiece) -> str:
    """How the two long points of a piece stand to each other; empty where an end is square."""
    key = f"{piece_key(handrail, piece)}.roll"
    if key not in book:
        return ""
    way = "clockwise" if piece.roll_rad > 0 else "counter-clockwise"
    return f"{book.text(key)} {way}, seen from the lower end"


def enter_handrail(book: FigureBook, handrail: Handrail) -> None:
    """Enter every figure of a handrail's layout, its keys starting with its mark."""
    at, spec = handrail.mark, handrail.spec
    section = spec.kit.section
    book.length(f"{at}.height_wanted", spec.height_mm, "wanted height over the noses")
    book.length(f"{at}.clear", spec.clear_mm, "clear to the wall or the posts' faces")
    book.length(f"{at}.face", handrail.way.face_mm, "from the face to the rail's middle")
    book.length(f"{at}.section.depth", section.depth_mm, "depth of its section")
    book.length(f"{at}.section.width", section.width_mm, "width of its section")
    book.length(f"{at}.spacing_most", spec.spacing_mm, "greatest distance between brackets")
    book.length(f"{at}.first_most", spec.first_mm, "greatest distance from an end to a bracket")
    book.length(f"{at}.drop", spec.kit.bracket.drop_mm, "rail's underside to its plates' middles")
    book.length(f"{at}.run", handrail.run_mm, "along its middle, corner to corner, end to end")
    _ends(book, handrail)
    _noses(book, handrail)
    for number in range(len(handrail.corners)):
        _corner(book, handrail, number)
    for joint in handrail.joints:
        key = corner_key(handrail, joint.corner)
        name = f"corner {joint.corner + 1}"
        book.angle(f"{key}.turn", joint.turn_rad, f"{name}: turn between the two pieces")
        book.length(f"{key}.set_back", joint.set_back_mm, f"{name}: from it to each piece's end")
    for piece in handrail.pieces:
        _piece(book, handrail, piece)
    _brackets(book, handrail)


def _ends(book: FigureBook, handrail: Handrail) -> None:
    at = handrail.mark
    low, _ = handrail.ends
    # A tape is hooked over nose 1, and the lower end is downhill of it or uphill.
    book.length(f"{at}.start.from_nose", abs(low.along_mm), "lower end from nose 1, level")
    for name, end in (("bottom", handrail.bottom), ("top", handrail.top)):
        book.length(f"{at}.{name}.level", end.level_mm, f"{name}: level part past the riser")
        book.length(f"{at}.{name}.sloping", end.sloping_mm, f"{name}: sloping part past it, level")
        book.length(f"{at}.{name}.reach", end.reach_mm, f"{name}: past the riser, level")


def _noses(book: FigureBook, handrail: Handrail) -> None:
    for straight in handrail.way.straights:
        for flight in straight.flights:
            line = handrail.line(flight.mark)
            key = f"{handrail.mark}.over.{flight.mark}"
            book.angle(f"{key}.rake", line.rake_rad, f"rake over flight {flight.mark}")
            for number, nose in enumerate(flight.stair.noses, start=1):
                name = f"top over nose {number} of flight {flight.mark}"
                book.length(f"{key}.nose.{number}.height", line.height_over(nose), name)


def _corner(book: FigureBook, handrail: Handrail, number: int) -> None:
    corner, key = handrail.corners[number], corner_key(handrail, number)
    name = f"corner {number + 1}, {corner.words}"
    straight = handrail.way.straights[corner.straight]
    if not corner.past_wall:
        datum = straight_datum_mm(handrail, corner.straight)
        book.length(f"{key}.along", corner.along_mm - datum, f"{name}: level along the straight")
        if corner.words == "turn":
            book.length(f"{key}.after", corner.after_mm, f"{name}: past the wall's corner")
    half = handrail.spec.kit.section.depth_mm / 2
    over = corner.at[2] - straight.surface_mm(corner.along_mm)
    book.length(f"{key}.middle", over, f"{name}: rail's middle over the surface below")
    book.length(f"{key}.z", corner.at[2], f"{name}: rail's middle over the lowest surface")
    book.length(f"{key}.level_top", over + half, f"{name}: top of a level rail there, over it")


def _piece(book: FigureBook, handrail: Handrail, piece: HandrailPiece) -> None:
    key, name = piece_key(handrail, piece), piece.mark
    book.length(f"{key}.length", piece.length_mm, f"{name}: long point to long point")
    book.length(f"{key}.middle", piece.middle_mm, f"{name}: along its middle, cut to cut")
    corners = piece.corner_to_corner_mm
    book.length(f"{key}.corner_to_corner", corners, f"{name}: from corner to corner")
    level = corners * math.hypot(piece.way[0], piece.way[1])
    book.length(f"{key}.level", level, f"{name}: corner to corner in plan")
    book.angle(f"{key}.rake", abs(piece.rake_rad), f"{name}: its rake")
    for which, end in (("lower", piece.lower), ("upper", piece.upper)):
        book.angle(f"{key}.{which}.saw", end.lean_rad, f"{name}: its {which} cut, off square")
        book.length(f"{key}.{which}.back", end.back_mm, f"{name}: {which} corner to its cut")
        book.length(f"{key}.{which}.reach", end.reach_mm, f"{name}: long point past the middle")
    if piece.lower.lean_rad and piece.upper.lean_rad:
        about = f"{name}: from its lower long point round to its upper one"
        book.angle(f"{key}.roll", abs(piece.roll_rad), about)
    for number, mark in zip(piece.brackets, piece.marks_mm, strict=True):
        about = f"{name}: bracket {number}'s middle from its lower end"
        book.length(f"{key}.mark.{number}", mark, about)


def _brackets(book: FigureBook, handrail: Handrail) -> None:
    for bracket in handrail.brackets:
        key, name = bracket_key(handrail, bracket.number), f"bracket {bracket.number}"
        datum = straight_datum_mm(handrail, bracket.straight)
        along = bracket.along_mm - datum
        book.length(f"{key}.along", along, f"{name}: level along the straight, from its datum")
        book.length(f"{key}.height", bracket.height_mm, f"{name}: plate's middle over the surface")
        book.length(f"{key}.z", bracket.plate_z_mm, f"{name}: plate over the lowest surface")
        book.length(f"{key}.from_end", bracket.from_end_mm, f"{name}: along the rail's middle")
    for number, spacing in enumerate(handrail.spacings_mm, start=1):
        about = f"brackets {number} to {number + 1}, along the rail"
        book.length(f"{handrail.mark}.spacing.{number}", spacing, about)


def enter_handrail_work(
    book: FigureBook,
    handrail: Handrail,
    parts: tuple[TakeOffLine, ...],
    notices: tuple[Notice, ...],
    stock: JobStock,
) -> None:
    """Enter a handrail's parts, its pieces' bars and the lengths its notices name."""
    at = handrail.mark
    enter_parts(book, at, parts)
    enter_noticed(book, at, notices)
    for piece in handrail.pieces:
        placed = stock.placed.get(piece.mark)
        if placed is None:
            continue
        bar, laid = placed
        key = f"{piece_key(handrail, piece)}.bar"
        long = bar.cuts.bar.source.length_mm
        book.length(f"{key}.stock", long, f"{piece.mark}: bar or drop to cut it from")
        book.length(f"{key}.from_left", laid.start_mm, f"{piece.mark}: from its bar's left end")

"""A handrail's tables: pieces to cut, brackets, corners, parts, and its labels."""

from __future__ import annotations

from collections.abc import Sequence

from railsheet.figures.book import FigureBook
from railsheet.figures.handrail import bracket_key, corner_key, piece_key, roll_words
from railsheet.layout.handrail_model import HandrailPiece, PieceEnd
from railsheet.sheets.handrail_work import HandrailWork
from railsheet.sheets.labels import Label, label_of
from railsheet.sheets.tables import TextTable
from railsheet.units.length import Unit


def _unit(book: FigureBook) -> str:
    return "" if book.tape.unit is Unit.INCH else " (mm)"


def handrail_cut_rows(
    works: Sequence[HandrailWork], book: FigureBook
) -> tuple[tuple[str, ...], ...]:
    """Every piece as a row of the cut list: the upper end stands for the uphill one."""
    rows = []
    for work in works:
        handrail = work.handrail
        for piece in handrail.pieces:
            key = piece_key(handrail, piece)
            stock = f"{key}.bar.stock"
            rows.append(
                (
                    piece.mark,
                    handrail.spec.kit.section.name,
                    "1",
                    book.text(f"{key}.length"),
                    book.text(f"{key}.upper.saw"),
                    book.text(f"{key}.lower.saw"),
                    book.text(stock) if stock in book else "none long enough",
                    "; ".join(_how(work, piece, book)),
                )
            )
    return tuple(rows)


def _how(work: HandrailWork, piece: HandrailPiece, book: FigureBook) -> list[str]:
    handrail = work.handrail
    key = piece_key(handrail, piece)
    words = []
    if piece.mark in work.stock.placed:
        bar, _ = work.stock.placed[piece.mark]
        words.append(f"{bar.mark}, starts {book.text(f'{key}.bar.from_left')} from its left")
    if not piece.square:
        words.append("square to its length over all, then each end to its own sheet")
    within = f"{key}.length.plus_minus"
    if within in book:
        words.append(f"± {book.text(within)} by the readings")
    return words


def handrail_tables(works: Sequence[HandrailWork], book: FigureBook) -> tuple[TextTable, ...]:
    """Every handrail's brackets, corners, pieces, heights over the noses, and parts."""
    tables: list[TextTable] = []
    for work in works:
        tables += [
            _brackets(work, book),
            _corners(work, book),
            _pieces(work, book),
            _heights(work, book),
            _parts(work, book),
        ]
    return tuple(tables)


def _brackets(work: HandrailWork, book: FigureBook) -> TextTable:
    handrail = work.handrail
    marked = {number: piece for piece in handrail.pieces for number in piece.brackets}
    rows = []
    for bracket in handrail.brackets:
        key, piece = bracket_key(handrail, bracket.number), marked[bracket.number]
        mark = f"{piece_key(handrail, piece)}.mark.{bracket.number}"
        rows.append(
            (
                f"{bracket.number}",
                "lower end" if bracket.straight == 0 else f"corner {bracket.straight}",
                book.text_within(f"{key}.along"),
                book.text_within(f"{key}.height"),
                bracket.on or "anywhere",
                piece.mark,
                book.text_within(mark),
                book.text(f"{key}.from_end"),
            )
        )
    return TextTable(
        title=f"{work.title}: brackets{_unit(book)}",
        headers=(
            "No.",
            "Datum",
            "Level from it",
            "Plate's middle over the surface",
            "Fixed to",
            "Piece",
            "From its lower end",
            "Along the rail from its lower end",
        ),
        rows=tuple(rows),
        right=frozenset({0, 2, 3, 6, 7}),
        shares=(5, 13, 14, 16, 16, 8, 14, 14),
    )


def _corners(work: HandrailWork, book: FigureBook) -> TextTable:
    handrail = work.handrail
    rows = []
    for joint in handrail.joints:
        key = corner_key(handrail, joint.corner)
        corner = handrail.corners[joint.corner]
        before, after = handrail.pieces[joint.corner - 1 : joint.corner + 1]
        rows.append(
            (
                f"{joint.corner + 1}",
                corner.words,
                f"{before.mark} and {after.mark}",
                book.text_within(f"{key}.turn"),
                "mitre" if joint.fitting is None else joint.fitting.name,
                book.text(f"{key}.set_back"),
                book.text_within(f"{key}.along"),
                book.text_within(f"{key}.middle"),
            )
        )
    return TextTable(
        title=f"{work.title}: corners, where the rails' middles cross{_unit(book)}",
        headers=(
            "No.",
            "What",
            "Pieces",
            "Turn",
            "Joined by",
            "Set back",
            "Level from the datum",
            "Middle over the surface",
        ),
        rows=tuple(rows),
        right=frozenset({0, 3, 5, 6, 7}),
        shares=(5, 14, 15, 9, 19, 9, 14, 15),
    )


def _pieces(work: HandrailWork, book: FigureBook) -> TextTable:
    handrail = work.handrail
    rows = []
    for piece in handrail.pieces:
        key = piece_key(handrail, piece)
        rows.append(
            (
                piece.mark,
                book.text_within(f"{key}.length"),
                book.text(f"{key}.corner_to_corner"),
                book.text(f"{key}.rake"),
                _end_words(piece.lower, book.text(f"{key}.lower.saw")),
                _end_words(piece.upper, book.text(f"{key}.upper.saw")),
                roll_words(book, handrail, piece),
            )
        )
    return TextTable(
        title=f"{work.title}: pieces{_unit(book)}",
        headers=(
            "Mark",
            "Over all",
            "Corner to corner",
            "Rake",
            "Lower end",
            "Upper end",
            "Upper long point from the lower one",
        ),
        rows=tuple(rows),
        right=frozenset({1, 2, 3}),
        shares=(7, 11, 11, 7, 24, 24, 16),
    )


def _end_words(end: PieceEnd, saw: str) -> str:
    if not end.lean_rad:
        return f"square, {end.words}"
    return f"{saw} off square, {end.words}, long on the {end.long_side}"


def _heights(work: HandrailWork, book: FigureBook) -> TextTable:
    handrail = work.handrail
    rows = [
        (
            flight.mark,
            f"{number}",
            book.text_within(f"{work.mark}.over.{flight.mark}.nose.{number}.height"),
        )
        for straight in handrail.way.straights
        for flight in straight.flights
        for number in range(1, len(flight.stair.noses) + 1)
    ]
    return TextTable(
        title=f"{work.title}: its top over the noses{_unit(book)}",
        headers=("Flight", "Nose", "Height"),
        rows=tuple(rows),
        right=frozenset({1, 2}),
        shares=(20, 20, 60),
    )


def _parts(work: HandrailWork, book: FigureBook) -> TextTable:
    return TextTable(
        title=f"{work.title}: parts of {work.handrail.spec.kit.name}",
        headers=("Kind", "Part", "Needed", "To buy"),
        rows=tuple(
            (
                part.group,
                part.item,
                book.text(f"{work.mark}.part.{number}.count"),
                book.text(f"{work.mark}.part.{number}.buy"),
            )
            for number, part in enumerate(work.parts, start=1)
        ),
        right=frozenset({2, 3}),
        shares=(14, 62, 12, 12),
    )


def handrail_labels(works: Sequence[HandrailWork], book: FigureBook) -> tuple[Label, ...]:
    """A label for every piece."""
    made = []
    for work in works:
        for piece in work.handrail.pieces:
            key = piece_key(work.handrail, piece)
            up, down = book.text(f"{key}.upper.saw"), book.text(f"{key}.lower.saw")
            what = "return" if piece in work.handrail.returns else "rail"
            where = f"handrail {work.mark}, {what}"
            cuts = f"upper cut {up}, lower {down}"
            made.append(label_of(piece.mark, where, f"{key}.length", cuts, book, uphill=True))
    return tuple(made)

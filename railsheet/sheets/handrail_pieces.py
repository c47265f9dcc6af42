"""A handrail's pieces on the bench, each with its cuts and its brackets' marks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.figures.handrail import piece_key, roll_words
from railsheet.layout.handrail_model import Handrail, HandrailPiece, PieceEnd
from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM, document_unit
from railsheet.sheets.handrail_work import HandrailWork
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, Pen, Point, RunningMark
from railsheet.sheets.scales import NoScaleError, Scale, standard_scales
from railsheet.sheets.sheet import SheetFrame

# Paper mm, from the top of a piece's block down.
_HEADING, _WORDS, _OVERALL, _BAR = 4.8, 9.4, 16.0, 19.0
_LEADER, _AFTER = 4.0, 5.0
_SIDES_MM = 20.0
# Between two drawings in model space, so that no view sees another's.
_APART_MM = 40.0


def block_mm(handrail: Handrail, piece: HandrailPiece, book: FigureBook, scale: Scale) -> float:
    """How high a piece's block is on paper."""
    depth = handrail.spec.kit.section.depth_mm / scale.denominator
    key = piece_key(handrail, piece)
    figures = max(
        (
            text_width_mm(f"{book.text(f'{key}.mark.{number}')} {_mark(number)}", FIGURE_MM)
            for number in piece.brackets
        ),
        default=0.0,
    )
    return _BAR + depth + (_LEADER + figures if figures else 0.0) + _AFTER


def _mark(number: int) -> str:
    return f"bracket {number}"


def bench_scale(handrail: Handrail, frame: SheetFrame, unit: Literal["in", "mm"]) -> Scale:
    """The largest standard scale at which the longest piece fits across a sheet."""
    wide = frame.room(False).size[0] - 2 * _SIDES_MM
    longest = max(piece.length_mm for piece in handrail.pieces)
    for scale in standard_scales(unit):
        # A short piece drawn at full size would fill the sheet with nothing.
        if scale.denominator >= 4 and longest / scale.denominator <= wide:
            return scale
    raise NoScaleError(f"{handrail.mark} fits the paper at no standard scale")


def bench_pages(
    handrail: Handrail, book: FigureBook, frame: SheetFrame, unit: Literal["in", "mm"]
) -> tuple[tuple[HandrailPiece, ...], ...]:
    """Which pieces each sheet shows: as many as it holds."""
    most, scale = frame.room(False).size[1], bench_scale(handrail, frame, unit)
    pages: list[list[HandrailPiece]] = [[]]
    used = 0.0
    for piece in handrail.pieces:
        high = block_mm(handrail, piece, book, scale)
        if pages[-1] and used + high > most:
            pages.append([])
            used = 0.0
        pages[-1].append(piece)
        used += high
    return tuple(tuple(page) for page in pages)


def draw_bench(
    doc: Drawing,
    work: HandrailWork,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    below_mm: float,
) -> float:
    """Add the bench sheets; their drawings lie in model space below ``below_mm``.

    Returns:
        How far down model space is taken by them, mm.
    """
    handrail, unit = work.handrail, document_unit(doc)
    scale = bench_scale(handrail, frame, unit)
    room = frame.room(False)
    for page, pieces in enumerate(bench_pages(handrail, book, frame, unit)):
        name = f"{work.mark} pieces" + (f" {page + 1}" if page else "")
        layout, _ = frame.start(doc, name, f"{work.title}: pieces", number + page, scale)
        top = room.top
        for piece in pieces:
            high = block_mm(handrail, piece, book, scale)
            pen = Pen(doc.modelspace(), scale, book, (0.0, below_mm))
            _draw_piece(pen, work, piece, room.size[0] - 2.0)
            view = Rect(room.left, top - high, room.right, top)
            centre = pen.at((pen.paper(view.size[0] / 2 - _SIDES_MM), -pen.paper(high / 2)))
            add_view(layout, view, centre, scale)
            top -= high
            below_mm -= pen.paper(high + _APART_MM)
    return below_mm


def _draw_piece(pen: Pen, work: HandrailWork, piece: HandrailPiece, wide_mm: float) -> None:
    handrail, book = work.handrail, pen.book
    key = piece_key(handrail, piece)
    left = -pen.paper(_SIDES_MM - 1)
    section = handrail.spec.kit.section
    stock = f"{key}.bar.stock"
    source = f"from a bar of {book.text(stock)}" if stock in book else "NO BAR IS LONG ENOUGH"
    what = "return" if piece in handrail.returns else "rail"
    pen.note(
        f"{piece.mark}   {section.name}, {what}, {source}",
        (left, -pen.paper(_HEADING)),
        height_mm=HEADING_MM,
        bold=True,
    )
    words = _words(handrail, piece, book)
    if piece.marks_mm:
        # Each mark names its bracket; where the line is full that is enough.
        whole = (*words, "brackets' middles from the lower end")
        words = whole if text_width_mm("; ".join(whole), FIGURE_MM) <= wide_mm else words
    pen.note("; ".join(words), (left, -pen.paper(_WORDS)))
    top = -pen.paper(_BAR)
    low = top - section.depth_mm
    pen.outline(_outline(piece, top, section.depth_mm), "RAIL")
    length = piece.length_mm
    pen.dim(
        (0.0, top),
        (length, top),
        (0.0, -pen.paper(_OVERALL)),
        LEVEL,
        f"{key}.length",
        note="over all",
        outside="end",
    )
    marks = []
    for bracket, at in zip(piece.brackets, piece.marks_mm, strict=True):
        pen.line((at, low), (at, top), "CENTRE")
        marks.append(RunningMark((at, low), f"{key}.mark.{bracket}", _mark(bracket)))
    if marks:
        pen.running((0.0, low), marks, -pen.paper(_LEADER), "x")
    pen.note(
        "LOWER",
        (-pen.paper(2.0), (top + low) / 2),
        align=MTextEntityAlignment.MIDDLE_RIGHT,
        bold=True,
    )


def _outline(piece: HandrailPiece, top: float, depth: float) -> list[Point]:
    """The bar from long point to long point; each cut drawn as if its long point were on top."""
    lower, upper = (2 * end.reach_mm for end in (piece.lower, piece.upper))
    low = top - depth
    length = piece.length_mm
    return [(0.0, top), (length, top), (length - upper, low), (lower, low)]


def _words(handrail: Handrail, piece: HandrailPiece, book: FigureBook) -> Sequence[str]:
    key = piece_key(handrail, piece)
    words = [
        f"{name} end {_cut(end, book.text(f'{key}.{which}.saw'))}"
        for name, which, end in (("Lower", "lower", piece.lower), ("upper", "upper", piece.upper))
    ]
    if rolled := roll_words(book, handrail, piece):
        words.append(f"upper long point round from the lower one: {rolled}")
    return words


def _cut(end: PieceEnd, saw: str) -> str:
    if not end.lean_rad:
        return f"square, to the {end.words}"
    return f"{saw} off square, {end.words}, long point on the {end.long_side}"

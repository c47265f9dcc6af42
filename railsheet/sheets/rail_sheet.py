"""The rail sheet: each rail as a bar on the bench, its holes and cuts in running dimensions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.cuts.alike import Alike, alike_rails
from railsheet.cuts.pieces import RailPiece
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import rail_key
from railsheet.job.kit import RailPlace
from railsheet.layout.infill.door import supply_of
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail, Working
from railsheet.sheets.drawing import HEADING_MM, document_unit
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, Point, RunningMark
from railsheet.sheets.saw_settings import draw_settings, face_toward_reader, settings_high_mm
from railsheet.sheets.scales import Scale, standard_scales
from railsheet.sheets.schedule import RunWork, from_bar_words
from railsheet.sheets.sheet import SheetFrame

_FACE_WORDS = {
    Working.PUNCHED: "punched face",
    Working.DRILLED: "face to drill",
    Working.MARKED: "face to mark",
    Working.PLAIN: "face toward the infill",
}
# What a butted end is held by: nothing begins before its cut.
_UNCOVERED = "cut"
# Paper mm, from the top of a rail's block down.
_HEADING, _OVERALL, _TO_CUT, _TO_MOUTH, _BAR = 4.8, 14.5, 19.5, 24.0, 27.0
_BETWEEN_VIEWS, _LEADER = 3.0, 4.5
_SIDES_MM = 14.0
# The longest running figure, with the gap before it.
_FIGURE_LONG = 13.0
_ROOMY_MM = 130.0


def draw_rails(
    doc: Drawing,
    work: RunWork,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    below_mm: float,
) -> float:
    """Add the rail sheets; their drawings lie in model space below ``below_mm``.

    Returns:
        How far down model space is taken by them, mm.
    """
    for page, pieces in enumerate(rail_pages(work)):
        name = f"{work.mark} rails" + (f" {page + 1}" if page else "")
        below_mm = _draw_page(doc, work, pieces, book, frame, name, number + page, below_mm)
    return below_mm


def rail_pages(work: RunWork) -> tuple[tuple[Alike[RailPiece], ...], ...]:
    """Which rails each rail sheet shows: two to a sheet, like ones once."""
    pieces = alike_rails(work.pieces.rails)
    return tuple(pieces[i : i + 2] for i in range(0, len(pieces), 2))


def _draw_page(
    doc: Drawing,
    work: RunWork,
    shown: Sequence[Alike[RailPiece]],
    book: FigureBook,
    frame: SheetFrame,
    name: str,
    number: int,
    below_mm: float,
) -> float:
    """One rail sheet; what it takes of model space, down to the height returned, mm."""
    pieces = [alike.piece for alike in shown]
    room = frame.room(False)
    unit = document_unit(doc)
    saw_high = settings_high_mm(work, pieces, room.size[0])
    block = (room.size[1] - saw_high) / len(pieces)
    scale = _scale(pieces, unit, room.size[0] - 2 * _SIDES_MM, block)
    layout, _ = frame.start(doc, name, f"{work.title}: rails", number, scale)
    for index, alike in enumerate(shown):
        top = room.top - index * block
        origin = (0.0, below_mm - index * block * scale.denominator)
        pen = Pen(doc.modelspace(), scale, book, origin)
        _draw_rail(pen, work, alike)
        view = Rect(room.left, top - block, room.right, top)
        # The view's left edge stands a side's width before the uphill end.
        centre = pen.at((pen.paper(view.size[0] / 2 - _SIDES_MM), -pen.paper(block / 2)))
        add_view(layout, view, centre, scale)
    strip = Rect(room.left, room.bottom, room.right, room.bottom + saw_high)
    origin = (0.0, below_mm - (len(pieces) + 0.5) * block * scale.denominator)
    pen = Pen(doc.modelspace(), scale, book, origin)
    draw_settings(pen, work, pieces, room.size[0], work.railing.spec.side)
    centre = pen.at((pen.paper(strip.size[0] / 2), -pen.paper(saw_high / 2)))
    add_view(layout, strip, centre, scale)
    return origin[1] - pen.paper(saw_high * 2)


def _scale(
    pieces: Sequence[RailPiece], unit: Literal["in", "mm"], wide_mm: float, high_mm: float
) -> Scale:
    """The largest standard scale at which each rail fits its block with all its figures."""
    for scale in standard_scales(unit):
        if all(
            piece.rail.length_mm / scale.denominator <= wide_mm
            and _BAR
            + (piece.rail.kit.depth_mm + piece.rail.kit.width_mm) / scale.denominator
            + _BETWEEN_VIEWS
            + _LEADER
            + _FIGURE_LONG
            <= high_mm
            for piece in pieces
        ):
            return scale
    raise ValueError(f"{pieces[0].mark} fits the paper at no standard scale")


def _draw_rail(pen: Pen, work: RunWork, alike: Alike[RailPiece]) -> None:
    piece, rail = alike.piece, alike.piece.rail
    key = rail_key(work.mark, piece)
    half = rail.kit.depth_mm / 2
    bar_top = -pen.paper(_BAR)
    axis = bar_top - half

    def at(from_uphill: float, offset: float) -> Point:
        return from_uphill, axis + offset

    def end_line(end: End, offset: float, aside: float) -> Point:
        return at(rail.from_uphill_mm(rail.end(end).u_at(offset, aside)), offset)

    up, down = (_long_side(rail, end) for end in (End.UPHILL, End.DOWNHILL))
    corners = [
        end_line(End.UPHILL, -half, up),
        end_line(End.UPHILL, half, up),
        end_line(End.DOWNHILL, half, down),
        end_line(End.DOWNHILL, -half, down),
    ]
    pen.outline(corners, "RAIL")
    for end, aside in ((End.UPHILL, -up), (End.DOWNHILL, -down)):
        if aside:
            # The other arris of a compound cut: seen on the face toward the reader, hidden behind.
            line = end_line(end, -half, aside), end_line(end, half, aside)
            pen.line(*line, "RAIL" if aside > 0 else "HIDDEN")
    for end in _held_ends(rail):
        mouth = rail.end(end).mouth_at
        pen.line(
            at(rail.from_uphill_mm(mouth(half)), half),
            at(rail.from_uphill_mm(mouth(-half)), -half),
            "CENTRE",
        )
    _name(pen, work, alike, key)
    _side_dimensions(pen, rail, key, axis)
    face_low = bar_top - rail.kit.depth_mm - pen.paper(_BETWEEN_VIEWS)
    _punched_face(pen, rail, key, face_low)


def _long_side(rail: Rail, end: End) -> float:
    """How far aside the longer arris of an end lies; 0 where both are alike.

    With the uphill end at the left the face toward the reader is the left one going up.
    """
    slant = rail.end(end).inward_slant
    return math.copysign(rail.kit.width_mm / 2, -slant) if slant else 0.0


def _name(pen: Pen, work: RunWork, alike: Alike[RailPiece], key: str) -> None:
    piece, rail, book = alike.piece, alike.piece.rail, pen.book
    left = -pen.paper(_SIDES_MM - 1)
    title = f"{piece.mark}{alike.short}   {rail.kit.name}"
    pen.note(title, (left, -pen.paper(_HEADING)), height_mm=HEADING_MM, bold=True)
    stock = f"{key}.bar.stock"
    kind = supply_of(work.railing.kit).word
    length = f"a {book.text(stock)} {kind}" if stock in book else "NO STOCK BAR IS LONG ENOUGH"
    where = f"From {length}: {from_bar_words(work, piece, book)}"
    if alike.others:
        # Like pieces lie at places of their own on their bars.
        where = "Each at its own place on its bar: see Pieces to cut"
    pen.note(
        where,
        (left + pen.paper(text_width_mm(title, HEADING_MM, True) + 6), -pen.paper(_HEADING)),
    )
    face = "down" if rail.place is RailPlace.TOP else "up"
    pen.note(
        f"Top up, {_FACE_WORDS[rail.working]} {face}, "
        f"{face_toward_reader(work.railing.spec.side)} toward you. {_row_words(rail)}",
        (left, -pen.paper(_HEADING + 5.0)),
    )


def _held_ends(rail: Rail) -> tuple[End, ...]:
    """The ends that something covers: a bracket, a plate, the post itself."""
    return tuple(end for end in End if rail.end(end).held_by != _UNCOVERED)


def _row_words(rail: Rail) -> str:
    """What the rows of figures over a rail are, and what its chain lines mark."""
    held = " or ".join(dict.fromkeys(rail.end(end).held_by for end in _held_ends(rail)))
    words = ""
    if rail.takes_balusters:
        mark = _mark_word(rail)
        to_held = f", {mark} to {held}" if held else ""
        words = f"Over it: length, {mark} to cut{to_held}. "
    return f"{words}Chain lines: where the {held} begins." if held else words


def _mark_word(rail: Rail) -> str:
    return "mark" if rail.working is Working.MARKED else "hole"


def _side_dimensions(pen: Pen, rail: Rail, key: str, axis: float) -> None:
    half, offset = rail.kit.depth_mm / 2, rail.punched_offset_mm
    ends = [
        pick(
            (rail.from_uphill_mm(rail.end(end).u_at(y, _long_side(rail, end))), axis + y)
            for y in (-half, half)
        )
        for end, pick in ((End.UPHILL, min), (End.DOWNHILL, max))
    ]
    pen.dim(ends[0], ends[1], (0.0, -pen.paper(_OVERALL)), LEVEL, f"{key}.length")
    word = _mark_word(rail)
    for end in End if rail.takes_balusters else ():
        hole = (rail.end_hole(end).from_uphill_mm, axis + offset)
        cut = (rail.from_uphill_mm(rail.end(end).u_at(offset)), axis + offset)
        mouth = (rail.mouth_from_uphill_mm(end), axis + offset)
        inward = "end" if end is End.UPHILL else "start"
        # On a short rail the words of both ends would meet; the line above says which row is which.
        roomy = rail.length_mm / pen.scale.denominator > _ROOMY_MM
        for far, row, name, note in (
            (cut, _TO_CUT, "hole_to_cut", f"{word} to cut"),
            (mouth, _TO_MOUTH, "hole_to_mouth", f"{word} to {rail.end(end).held_by}"),
        ):
            if name == "hole_to_mouth" and end not in _held_ends(rail):
                continue
            near, away = sorted((hole, far))
            pen.dim(
                near,
                away,
                (near[0], -pen.paper(row)),
                LEVEL,
                f"{key}.{end.value}.{name}",
                note=note if roomy else "",
                outside=inward,  # type: ignore[arg-type]
            )
    pen.note(
        "UPHILL",
        (-pen.paper(2.0), axis),
        rotation_rad=PLUMB,
        align=MTextEntityAlignment.BOTTOM_CENTER,
        bold=True,
    )
    pen.note(
        "TOP",
        (rail.length_mm + pen.paper(2), axis + half),
        align=MTextEntityAlignment.TOP_LEFT,
    )


def _punched_face(pen: Pen, rail: Rail, key: str, top: float) -> None:
    """The punched face seen square on, its holes measured from the uphill end."""
    offset = rail.punched_offset_mm
    low = top - rail.kit.width_mm
    middle = (top + low) / 2
    left = rail.from_uphill_mm(rail.uphill.u_at(offset))
    right = rail.from_uphill_mm(rail.downhill.u_at(offset))
    # Seen from below, the face toward the reader of the view above lies at the top.
    toward = rail.kit.width_mm / 2 * (1 if rail.place is RailPlace.TOP else -1)
    corners = [
        (rail.from_uphill_mm(rail.end(end).u_at(offset, aside)), y)
        for end, aside, y in (
            (End.UPHILL, -toward, low),
            (End.UPHILL, toward, top),
            (End.DOWNHILL, toward, top),
            (End.DOWNHILL, -toward, low),
        )
    ]
    pen.outline(corners, "RAIL")
    half = rail.hole_mm / 2
    marks = []
    for number, hole in enumerate(rail.holes, start=1):
        x = hole.from_uphill_mm
        edges = max(x - half, left), min(x + half, right)
        pen.rect((edges[0], middle - half), (edges[1], middle + half), "HOLE")
        if rail.working in (Working.DRILLED, Working.MARKED):
            pen.line((x, low), (x, top), "CENTRE")
        if hole.baluster is None:
            pen.line((edges[0], middle - half), (edges[1], middle + half), "HOLE")
            pen.line((edges[0], middle + half), (edges[1], middle - half), "HOLE")
        if left <= x <= right:
            marks.append(RunningMark((x, low), f"{key}.hole.{number}"))
    for end in _held_ends(rail):
        mouth = rail.mouth_from_uphill_mm(end)
        pen.line((mouth, low), (mouth, top), "CENTRE")
        marks.append(RunningMark((mouth, low), f"{key}.{end.value}.mouth"))
    marks.append(RunningMark((rail.length_mm, low), f"{key}.length"))
    pen.running((0.0, low), marks, -pen.paper(_LEADER), "x")

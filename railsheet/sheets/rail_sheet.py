"""The rail sheet: each rail as a bar on the bench, its holes and cuts in running dimensions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.cuts.alike import Alike, alike_rails
from railsheet.cuts.pieces import RailPiece
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import rail_key
from railsheet.job.kit import RailPlace
from railsheet.job.kit_bracket import EndCut
from railsheet.job.model import Side
from railsheet.layout.infill.door import supply_of
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail, Working
from railsheet.sheets.drawing import HEADING_MM, document_unit
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, Point, RunningMark
from railsheet.sheets.scales import NoScaleError, Scale, standard_scales
from railsheet.sheets.schedule import RunWork, from_bar_words
from railsheet.sheets.sheet import SheetFrame

_FACE_WORDS = {
    Working.PUNCHED: "punched face",
    Working.DRILLED: "face to drill",
    Working.MARKED: "face to mark",
    Working.PLAIN: "face toward the infill",
}
_ROW_WORDS = {
    Working.PUNCHED: "Over it: length, hole to cut, hole to bracket. ",
    Working.DRILLED: "Over it: length, hole to cut, hole to bracket. ",
    Working.MARKED: "Over it: length, mark to cut, mark to bracket. ",
    Working.PLAIN: "",
}
# Paper mm, from the top of a rail's block down.
_HEADING, _OVERALL, _TO_CUT, _TO_MOUTH, _BAR = 4.8, 14.5, 19.5, 24.0, 27.0
_BETWEEN_VIEWS, _LEADER = 3.0, 4.5
_SIDES_MM = 14.0
# The longest running figure, with the gap before it.
_FIGURE_LONG = 13.0
_ROOMY_MM = 130.0
_SAW_HIGH_MM, _SAW_WIDE_MM = 31.0, 80.0


@dataclass(frozen=True)
class _Cut:
    """One setting of the saw, and the ends it makes."""

    cut: EndCut
    end: End
    key: str
    saw_rad: float
    made: tuple[str, ...]


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
    block = (room.size[1] - _SAW_HIGH_MM) / len(pieces)
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
    strip = Rect(room.left, room.bottom, room.right, room.bottom + _SAW_HIGH_MM)
    origin = (0.0, below_mm - (len(pieces) + 0.5) * block * scale.denominator)
    pen = Pen(doc.modelspace(), scale, book, origin)
    _draw_saw_settings(pen, work, pieces)
    centre = pen.at((pen.paper(strip.size[0] / 2), -pen.paper(_SAW_HIGH_MM / 2)))
    add_view(layout, strip, centre, scale)
    return origin[1] - pen.paper(_SAW_HIGH_MM * 2)


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
    raise NoScaleError(f"{pieces[0].mark} fits the paper at no standard scale")


def face_toward_reader(side: Side) -> str:
    """Which face of a rail is seen with its uphill end at the left.

    Standing on the steps and facing a rail on the left going up, uphill is to the right: with
    uphill at the left one looks at its outer face.
    """
    return "outer face" if side is Side.LEFT else "walking-side face"


def _draw_rail(pen: Pen, work: RunWork, alike: Alike[RailPiece]) -> None:
    piece, rail = alike.piece, alike.piece.rail
    key = rail_key(work.mark, piece)
    half = rail.kit.depth_mm / 2
    bar_top = -pen.paper(_BAR)
    axis = bar_top - half

    def at(from_uphill: float, offset: float) -> Point:
        return from_uphill, axis + offset

    def end_line(end: End, offset: float) -> Point:
        return at(rail.from_uphill_mm(rail.end(end).u_at(offset)), offset)

    corners = [
        end_line(End.UPHILL, -half),
        end_line(End.UPHILL, half),
        end_line(End.DOWNHILL, half),
        end_line(End.DOWNHILL, -half),
    ]
    pen.outline(corners, "RAIL")
    for end in End:
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
        f"{face_toward_reader(work.railing.spec.side)} toward you. {_ROW_WORDS[rail.working]}"
        "Chain lines: where the brackets end.",
        (left, -pen.paper(_HEADING + 5.0)),
    )


def _side_dimensions(pen: Pen, rail: Rail, key: str, axis: float) -> None:
    half, offset = rail.kit.depth_mm / 2, rail.punched_offset_mm
    ends = [
        max((rail.from_uphill_mm(rail.end(e).u_at(y)), axis + y) for y in (-half, half))
        if e is End.DOWNHILL
        else min((rail.from_uphill_mm(rail.end(e).u_at(y)), axis + y) for y in (-half, half))
        for e in (End.UPHILL, End.DOWNHILL)
    ]
    pen.dim(ends[0], ends[1], (0.0, -pen.paper(_OVERALL)), LEVEL, f"{key}.length")
    word = "mark" if rail.working is Working.MARKED else "hole"
    for end in End if rail.takes_balusters else ():
        hole = (rail.end_hole(end).from_uphill_mm, axis + offset)
        cut = (rail.from_uphill_mm(rail.end(end).u_at(offset)), axis + offset)
        mouth = (rail.mouth_from_uphill_mm(end), axis + offset)
        inward = "end" if end is End.UPHILL else "start"
        # On a short rail the words of both ends would meet; the line above says which row is which.
        roomy = rail.length_mm / pen.scale.denominator > _ROOMY_MM
        for far, row, name, note in (
            (cut, _TO_CUT, "hole_to_cut", f"{word} to cut"),
            (mouth, _TO_MOUTH, "hole_to_mouth", f"{word} to bracket"),
        ):
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
    pen.rect((left, low), (right, top), "RAIL")
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
    for end in End:
        mouth = rail.mouth_from_uphill_mm(end)
        pen.line((mouth, low), (mouth, top), "CENTRE")
        marks.append(RunningMark((mouth, low), f"{key}.{end.value}.mouth"))
    marks.append(RunningMark((rail.length_mm, low), f"{key}.length"))
    pen.running((0.0, low), marks, -pen.paper(_LEADER), "x")


def _cuts(work: RunWork, pieces: Sequence[RailPiece]) -> list[_Cut]:
    """The saw settings these rails need, square cuts together."""
    found: dict[tuple[EndCut, End | None], list[tuple[str, str, End, float]]] = {}
    for piece in pieces:
        for end in (End.UPHILL, End.DOWNHILL):
            cut = piece.rail.end(end)
            key = f"{rail_key(work.mark, piece)}.{end.value}.saw"
            kind = (cut.cut, None if cut.cut is EndCut.SQUARE else end)
            found.setdefault(kind, []).append((f"{piece.mark} {end.value}", key, end, cut.saw_rad))
    return [
        _Cut(
            cut=cut,
            end=ends[0][2],
            key=ends[0][1],
            saw_rad=ends[0][3],
            made=tuple(name for name, *_ in ends),
        )
        for (cut, _), ends in found.items()
    ]


def _draw_saw_settings(pen: Pen, work: RunWork, pieces: Sequence[RailPiece]) -> None:
    """Each saw setting as seen from above the table, not to scale."""
    for number, cut in enumerate(_cuts(work, pieces)):
        _draw_saw(pen, cut, number * pen.paper(_SAW_WIDE_MM), work.railing.spec.side)


def _draw_saw(pen: Pen, cut: _Cut, left: float, side: Side) -> None:
    mm = pen.paper
    fence, depth = -mm(13.0), mm(7.0)
    blade = left + mm(24.0)
    shift = depth * math.tan(cut.saw_rad)
    # Uphill at the left: a plumb cut's long point is at the top uphill, at the bottom downhill.
    keeps_right = cut.end is End.UPHILL
    head = (blade - shift / 2, fence)
    foot = (blade + shift / 2, fence - depth)
    far = left + (mm(44.0) if keeps_right else mm(4.0))
    pen.line((left + mm(2), fence + mm(0.8)), (left + mm(46), fence + mm(0.8)), "STAIR")
    pen.note("fence", (left + mm(46.5), fence), height_mm=2.0)
    pen.outline([head, (far, fence), (far, fence - depth), foot], "RAIL")
    waste = left + (mm(6.0) if keeps_right else mm(42.0))
    pen.outline([head, (waste, fence), (waste, fence - depth), foot], "HIDDEN", close=False)
    slope = (foot[0] - head[0]) / depth
    low = (foot[0] + slope * mm(3.5), foot[1] - mm(3.5))
    high = (head[0] - slope * mm(4), head[1] + mm(4))
    pen.line(high, low, "CENTRE")
    names = ", ".join(cut.made)
    title = "Square cut" if cut.cut is EndCut.SQUARE else f"Plumb cut, {cut.end.value} ends"
    pen.note(f"{title}: saw at {pen.book.text(cut.key)}", (left, -mm(3.4)), bold=True)
    pen.note(names, (left, -mm(7.4)), height_mm=2.0)
    for word, edge in (("keep", far), ("off", waste)):
        pen.note(
            word,
            ((blade + edge) / 2, fence - depth / 2),
            align=MTextEntityAlignment.MIDDLE_CENTER,
            height_mm=2.0,
        )
    for row, words in enumerate((f"{face_toward_reader(side)} up,", "top to the fence")):
        pen.note(words, (left + mm(46.5), fence - mm(4.0 + 3.4 * row)), height_mm=2.0)
    if cut.saw_rad:
        square = (foot[0], foot[1] - mm(6.5))
        down = (foot[0] + slope * mm(6.5), foot[1] - mm(6.5))
        pen.line(foot, square, "HIDDEN")
        first, second = (square, down) if slope > 0 else (down, square)
        pen.angle(foot, first, second, mm(5), cut.key)

"""The rail sheet: each rail as a bar on the bench, its holes and cuts in running dimensions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial

from ezdxf.enums import MTextEntityAlignment

from railsheet.cuts.alike import Alike, alike_rails
from railsheet.cuts.pieces import RailPiece
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import rail_key
from railsheet.job.kit import RailPlace
from railsheet.job.model import Side
from railsheet.layout.infill.door import supply_of
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail, Working
from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM
from railsheet.sheets.lettering import text_width_mm, wrap
from railsheet.sheets.packing import Hook, Hung, Picture, fewest_sheets
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, Point, RunningMark
from railsheet.sheets.saw_settings import saw_pictures
from railsheet.sheets.scales import NoScaleError, Scale, Unit, standard_scales
from railsheet.sheets.schedule import RunWork, from_bar_words

_FACE_WORDS = {
    Working.PUNCHED: "punched face",
    Working.DRILLED: "face to drill",
    Working.MARKED: "face to mark",
    Working.PLAIN: "face toward the infill",
}
# What a butted end is held by: nothing begins before its cut.
_UNCOVERED = "cut"
# Paper mm: from the top of a rail's picture down to its title, and from there line by line.
_HEADING, _ROW = 4.8, 4.3
# Paper mm from the bar up: what stands over it, and the rows of its figures.
_OVER_BAR, _OVERALL, _TO_CUT, _TO_MOUTH = 17.0, 12.5, 7.5, 3.0
_BETWEEN_VIEWS, _LEADER = 3.0, 4.5
_SIDES_MM = 14.0
# What a running figure takes besides its own length.
_AFTER_FIGURE = 2.0
_ROOMY_MM = 130.0
# A rail's picture is as wide as its words need, however short it is.
_NARROWEST_MM = 110.0
_APART_MM = 30.0
# The smallest scale at which a bar's holes are told apart: 1 in to the foot, or 1:10.
# common practice, no source
_SMALLEST: dict[Unit, float] = {"in": 12.0, "mm": 10.0}
# The line at the foot of a sheet that says what its rows are, mm.
LEGEND_MM = 5.0


def rail_sheets(
    works: Sequence[RunWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    """Rails of all runs, like ones once, each run's saw settings after its own.

    Returns:
        For each sheet, its pictures in place.
    """
    space = Rect(room.left, room.bottom + LEGEND_MM, room.right, room.top)
    shown = _shown(works)
    choices = []
    for largest in (s for s in standard_scales(unit) if s.denominator <= _SMALLEST[unit]):
        pictures = []
        for work, rails in shown:
            pictures += [_rail_picture(work, alike, book, space, unit, largest) for alike in rails]
            shown_pieces = [alike.piece for alike in rails]
            pictures += saw_pictures(work, shown_pieces, book)
            if any(piece.beyond is not None for piece in shown_pieces):
                from railsheet.sheets.return_plan import return_pictures

                pictures += return_pictures(work, shown_pieces, book, unit)
        choices.append(pictures)
    return fewest_sheets(choices, space)


def _shown(works: Sequence[RunWork]) -> list[tuple[RunWork, list[Alike[RailPiece]]]]:
    """Each run with those of its rails that are drawn: one of those that are cut alike."""
    first: dict[str, Alike[RailPiece]] = {}
    # A rail's words say which face is toward the reader, which goes by the side.
    for side in Side:
        rails = [
            piece for work in works if work.railing.spec.side is side for piece in work.pieces.rails
        ]
        first |= {alike.piece.mark: alike for alike in alike_rails(rails)}
    return [
        (work, [first[piece.mark] for piece in work.pieces.rails if piece.mark in first])
        for work in works
    ]


def _rail_picture(
    work: RunWork,
    alike: Alike[RailPiece],
    book: FigureBook,
    space: Rect,
    unit: Unit,
    largest: Scale,
) -> Picture:
    """A rail at a scale, or at the largest smaller one at which it fits a sheet."""
    rail, key = alike.piece.rail, rail_key(work.mark, alike.piece)
    longest = _AFTER_FIGURE + max(
        text_width_mm(book.text(each), FIGURE_MM)
        for each in (
            f"{key}.length",
            *(f"{key}.hole.{number}" for number in range(1, len(rail.holes) + 1)),
            *(f"{key}.{end.value}.mouth" for end in End),
        )
    )
    for scale in (s for s in standard_scales(unit) if s.denominator >= largest.denominator):
        wide = max(rail.length_mm / scale.denominator + 2 * _SIDES_MM, _NARROWEST_MM)
        rows = _heading_rows(work, alike, book, wide)
        high = (
            _bar_down_mm(rows)
            + (rail.kit.depth_mm + rail.kit.width_mm) / scale.denominator
            + _BETWEEN_VIEWS
            + _LEADER
            + longest
        )
        if wide <= space.size[0] and high <= space.size[1]:
            draw = partial(_hang_rail, work, alike, book, scale)
            return Picture(work.mark, (wide, high), scale, draw)
    raise NoScaleError(f"{alike.piece.mark} fits the paper at no standard scale")


def _hang_rail(
    work: RunWork, alike: Alike[RailPiece], book: FigureBook, scale: Scale, hook: Hook
) -> float:
    wide, high = hook.place.size
    pen = Pen(hook.doc.modelspace(), scale, book, (0.0, hook.below_mm))
    _draw_rail(pen, work, alike, _heading_rows(work, alike, book, wide), noted=hook.noted)
    # The view's left edge stands a side's width before the uphill end.
    centre = pen.at((pen.paper(wide / 2 - _SIDES_MM), -pen.paper(high / 2)))
    add_view(hook.layout, hook.place, centre, scale)
    return hook.below_mm - pen.paper(high + _APART_MM)


def rails_legend(works: Sequence[RunWork]) -> str:
    """What is alike on every rail's picture, said once a sheet."""
    rails = [piece.rail for work in works for piece in work.pieces.rails]
    held = _either(rail.end(end).held_by for rail in rails for end in _held_ends(rail))
    return _row_words(rails) + (f"Chain lines: where the {held} begins." if held else "")


def _held_ends(rail: Rail) -> tuple[End, ...]:
    """The ends that something covers: a bracket, a plate, the post itself."""
    return tuple(end for end in End if rail.end(end).held_by != _UNCOVERED)


def _row_words(rails: Sequence[Rail]) -> str:
    """What the rows of figures over the rails are."""
    marked = [rail for rail in rails if rail.takes_balusters]
    if not marked:
        return ""
    mark = _either(_mark_word(rail) for rail in marked)
    held = _either(rail.end(end).held_by for rail in marked for end in _held_ends(rail))
    to_held = f", {mark} to {held}" if held else ""
    return f"Over it: length, {mark} to cut{to_held}. "


def _either(words: Iterable[str]) -> str:
    """Words, each once, as a choice among them."""
    return " or ".join(dict.fromkeys(words))


def _mark_word(rail: Rail) -> str:
    return "mark" if rail.working is Working.MARKED else "hole"


def _draw_rail(
    pen: Pen, work: RunWork, alike: Alike[RailPiece], rows: Sequence[str], *, noted: bool
) -> None:
    piece, rail = alike.piece, alike.piece.rail
    key = rail_key(work.mark, piece)
    half = rail.kit.depth_mm / 2
    down = _bar_down_mm(rows)
    bar_top = -pen.paper(down)
    axis = bar_top - half

    def at(from_uphill: float, offset: float) -> Point:
        return from_uphill, axis + offset

    def end_line(end: End, offset: float, aside: float) -> Point:
        return at(rail.from_uphill_mm(rail.end(end).u_at(offset, aside)), offset)

    sides = {end: rail.long_side_mm(end) for end in End}
    corners = [
        end_line(end, offset, sides[end])
        for end, offset in (
            (End.UPHILL, -half),
            (End.UPHILL, half),
            (End.DOWNHILL, half),
            (End.DOWNHILL, -half),
        )
    ]
    pen.outline(corners, "RAIL")
    for end, long_side in sides.items():
        if long_side:
            # A cope's middle, or the other arris of a compound cut: seen on the face toward the
            # reader (the left one going up, with the uphill end at the left), hidden behind.
            other = 0.0 if rail.end(end).cope_mm else -long_side
            line = end_line(end, -half, other), end_line(end, half, other)
            pen.line(*line, "HIDDEN" if long_side > 0 else "RAIL")
    for end in _held_ends(rail):
        mouth = rail.end(end).mouth_at
        pen.line(
            at(rail.from_uphill_mm(mouth(half)), half),
            at(rail.from_uphill_mm(mouth(-half)), -half),
            "CENTRE",
        )
    _name(pen, alike, rows, noted=noted)
    _side_dimensions(pen, piece, key, axis, down)
    face_low = bar_top - rail.kit.depth_mm - pen.paper(_BETWEEN_VIEWS)
    _punched_face(pen, rail, key, face_low)


def _heading_rows(
    work: RunWork, alike: Alike[RailPiece], book: FigureBook, wide_mm: float
) -> tuple[str, ...]:
    """What is said over a rail, in lines as wide as its picture."""
    piece, rail = alike.piece, alike.piece.rail
    stock = f"{rail_key(work.mark, piece)}.bar.stock"
    kind = supply_of(work.railing.kit).word
    length = f"a {book.text(stock)} {kind}" if stock in book else "NO STOCK BAR IS LONG ENOUGH"
    where = f"From {length}: {from_bar_words(work, piece, book)}"
    if alike.others:
        # Like pieces lie at places of their own on their bars.
        where = f"{alike.words}Each at its own place on its bar: see Pieces to cut"
    face = "down" if rail.place is RailPlace.TOP else "up"
    stance = (
        f"Top up, {_FACE_WORDS[rail.working]} {face}, "
        f"{piece.left_face(work.railing.spec.side)} toward you."
    )
    room = wide_mm - 2.0
    return (*wrap(where, FIGURE_MM, room), *wrap(stance, FIGURE_MM, room))


def _bar_down_mm(rows: Sequence[str]) -> float:
    """How far under its picture's top a bar is drawn, mm of paper."""
    return _HEADING + len(rows) * _ROW + _OVER_BAR


def _name(pen: Pen, alike: Alike[RailPiece], rows: Sequence[str], *, noted: bool) -> None:
    left = -pen.paper(_SIDES_MM - 1)
    title = f"{alike.piece.mark}{alike.short}   {alike.piece.rail.kit.name}"
    pen.note(title, (left, -pen.paper(_HEADING)), height_mm=HEADING_MM, bold=True)
    if noted:
        beside = left + pen.paper(text_width_mm(title, HEADING_MM, True) + 4)
        pen.note(f"Scale {pen.scale.name}", (beside, -pen.paper(_HEADING)))
    for number, words in enumerate(rows, start=1):
        pen.note(words, (left, -pen.paper(_HEADING + number * _ROW)))


def _side_dimensions(pen: Pen, piece: RailPiece, key: str, axis: float, down_mm: float) -> None:
    rail = piece.rail
    half, offset = rail.kit.depth_mm / 2, rail.punched_offset_mm
    ends = [
        pick(
            (rail.from_uphill_mm(rail.end(end).u_at(y, rail.long_side_mm(end))), axis + y)
            for y in (-half, half)
        )
        for end, pick in ((End.UPHILL, min), (End.DOWNHILL, max))
    ]
    pen.dim(ends[0], ends[1], (0.0, -pen.paper(down_mm - _OVERALL)), LEVEL, f"{key}.length")
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
                (near[0], -pen.paper(down_mm - row)),
                LEVEL,
                f"{key}.{end.value}.{name}",
                note=note if roomy else "",
                outside=inward,  # type: ignore[arg-type]
            )
    pen.note(
        piece.end_word(End.UPHILL).upper(),
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
    flip = 1.0 if toward > 0 else -1.0
    cut = {
        end: [
            (rail.from_uphill_mm(u), top - (rail.kit.width_mm / 2 - flip * aside))
            for u, aside in rail.end(end).edge(offset, rail.kit.width_mm)[:: int(flip)]
        ]
        for end in End
    }
    corners = [*cut[End.UPHILL], *cut[End.DOWNHILL][::-1]]
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

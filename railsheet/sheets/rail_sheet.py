"""The rail sheet: each rail as a bar on the bench, its holes and cuts in running dimensions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

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
from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM, SMALL_MM, document_unit
from railsheet.sheets.lettering import text_width_mm, wrap
from railsheet.sheets.packing import Hook, Hung, Picture, fewest_sheets
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, Point, RunningMark
from railsheet.sheets.scales import NoScaleError, Scale, Unit, standard_scales
from railsheet.sheets.schedule import RunWork, from_bar_words

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
# Paper mm: from the top of a rail's picture down to its title, and from there line by line.
_HEADING, _ROW = 4.8, 4.3
# Paper mm from the bar up: what stands over it, and the rows of its figures.
_OVER_BAR, _OVERALL, _TO_CUT, _TO_MOUTH = 17.0, 12.5, 7.5, 3.0
_BETWEEN_VIEWS, _LEADER = 3.0, 4.5
_SIDES_MM = 14.0
# What a running figure takes besides its own length.
_AFTER_FIGURE = 2.0
_ROOMY_MM = 130.0
_SAW_HIGH_MM, _SAW_WIDE_MM = 27.0, 80.0
_SAW_NAME_MM = 3.4
# A rail's picture is as wide as its words need, however short it is.
_NARROWEST_MM = 110.0
_APART_MM = 30.0
# The smallest scale at which a bar's holes are told apart: 1 in to the foot, or 1:10.
# common practice, no source
_SMALLEST: dict[Unit, float] = {"in": 12.0, "mm": 10.0}
# The line at the foot of a sheet that says what its rows are, mm.
LEGEND_MM = 5.0


@dataclass(frozen=True)
class _Cut:
    """One setting of the saw, and the ends it makes."""

    cut: EndCut
    end: End
    key: str
    saw_rad: float
    made: tuple[str, ...]


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
            pictures += [
                _saw_picture(work, cut, book)
                for cut in _cuts(work, [alike.piece for alike in rails])
            ]
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


def _saw_picture(work: RunWork, cut: _Cut, book: FigureBook) -> Picture:
    size = _SAW_WIDE_MM, _saw_high_mm(cut)
    return Picture(work.mark, size, None, partial(_hang_saw, work, cut, book))


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


def _hang_saw(work: RunWork, cut: _Cut, book: FigureBook, hook: Hook) -> float:
    """A saw setting as seen from above the table, not to scale."""
    wide, high = hook.place.size
    scale = standard_scales(document_unit(hook.doc))[0]
    pen = Pen(hook.doc.modelspace(), scale, book, (0.0, hook.below_mm))
    _draw_saw(pen, cut, work.railing.spec.side)
    add_view(hook.layout, hook.place, pen.at((pen.paper(wide / 2), -pen.paper(high / 2))), scale)
    return hook.below_mm - pen.paper(high + _APART_MM)


def rails_legend(works: Sequence[RunWork]) -> str:
    """What is alike on every rail's picture, said once a sheet."""
    rows = dict.fromkeys(
        _ROW_WORDS[piece.rail.working] for work in works for piece in work.pieces.rails
    )
    return "".join(rows) + "Chain lines: where the brackets end."


def face_toward_reader(side: Side) -> str:
    """Which face of a rail is seen with its uphill end at the left.

    Standing on the steps and facing a rail on the left going up, uphill is to the right: with
    uphill at the left one looks at its outer face.
    """
    return "outer face" if side is Side.LEFT else "walking-side face"


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
    _name(pen, alike, rows, noted=noted)
    _side_dimensions(pen, rail, key, axis, down)
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
        f"{face_toward_reader(work.railing.spec.side)} toward you."
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


def _side_dimensions(pen: Pen, rail: Rail, key: str, axis: float, down_mm: float) -> None:
    half, offset = rail.kit.depth_mm / 2, rail.punched_offset_mm
    ends = [
        max((rail.from_uphill_mm(rail.end(e).u_at(y)), axis + y) for y in (-half, half))
        if e is End.DOWNHILL
        else min((rail.from_uphill_mm(rail.end(e).u_at(y)), axis + y) for y in (-half, half))
        for e in (End.UPHILL, End.DOWNHILL)
    ]
    pen.dim(ends[0], ends[1], (0.0, -pen.paper(down_mm - _OVERALL)), LEVEL, f"{key}.length")
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
                (near[0], -pen.paper(down_mm - row)),
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


def _saw_names(cut: _Cut) -> tuple[str, ...]:
    """The ends that a setting makes, in lines; a piece with both ends is named once."""
    ends: dict[str, list[str]] = {}
    for name in cut.made:
        mark, end = name.rsplit(" ", 1)
        ends.setdefault(mark, []).append(end)
    words = [f"{mark} {'both ends' if len(e) > 1 else e[0]}" for mark, e in ends.items()]
    if all(len(e) > 1 for e in ends.values()):
        words = [f"{', '.join(ends)}: both ends"]
    return wrap(", ".join(words), SMALL_MM, _SAW_WIDE_MM - 4.0)


def _saw_high_mm(cut: _Cut) -> float:
    """A setting's picture, lower where it has no angle to show."""
    low = 0.0 if cut.saw_rad else 4.0
    return _SAW_HIGH_MM - low + len(_saw_names(cut)) * _SAW_NAME_MM


def _draw_saw(pen: Pen, cut: _Cut, side: Side) -> None:
    mm = pen.paper
    names = _saw_names(cut)
    fence, depth = -mm(9.4 + len(names) * _SAW_NAME_MM), mm(7.0)
    blade = mm(24.0)
    shift = depth * math.tan(cut.saw_rad)
    # Uphill at the left: a plumb cut's long point is at the top uphill, at the bottom downhill.
    keeps_right = cut.end is End.UPHILL
    head = (blade - shift / 2, fence)
    foot = (blade + shift / 2, fence - depth)
    far = mm(44.0) if keeps_right else mm(4.0)
    pen.line((mm(2), fence + mm(0.8)), (mm(46), fence + mm(0.8)), "STAIR")
    pen.note("fence", (mm(46.5), fence), height_mm=SMALL_MM)
    pen.outline([head, (far, fence), (far, fence - depth), foot], "RAIL")
    waste = mm(6.0) if keeps_right else mm(42.0)
    pen.outline([head, (waste, fence), (waste, fence - depth), foot], "HIDDEN", close=False)
    slope = (foot[0] - head[0]) / depth
    low = (foot[0] + slope * mm(3.5), foot[1] - mm(3.5))
    high = (head[0] - slope * mm(4), head[1] + mm(4))
    pen.line(high, low, "CENTRE")
    title = "Square cut" if cut.cut is EndCut.SQUARE else f"Plumb cut, {cut.end.value} ends"
    pen.note(f"{title}: saw at {pen.book.text(cut.key)}", (0.0, -mm(3.4)), bold=True)
    for row, words in enumerate(names, start=1):
        pen.note(words, (0.0, -mm(3.6 + row * _SAW_NAME_MM)), height_mm=SMALL_MM)
    for word, edge in (("keep", far), ("off", waste)):
        pen.note(
            word,
            ((blade + edge) / 2, fence - depth / 2),
            align=MTextEntityAlignment.MIDDLE_CENTER,
            height_mm=SMALL_MM,
        )
    for row, words in enumerate((f"{face_toward_reader(side)} up,", "top to the fence")):
        pen.note(words, (mm(46.5), fence - mm(4.0 + 3.4 * row)), height_mm=SMALL_MM)
    if cut.saw_rad:
        square = (foot[0], foot[1] - mm(6.5))
        down = (foot[0] + slope * mm(6.5), foot[1] - mm(6.5))
        pen.line(foot, square, "HIDDEN")
        first, second = (square, down) if slope > 0 else (down, square)
        pen.angle(foot, first, second, mm(5), cut.key)

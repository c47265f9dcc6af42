"""The saw sheet: every bar in cutting order, its cuts in running distances from its left end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from ezdxf.document import Drawing

from railsheet.cuts.alike_bars import AlikeBars, CutBar
from railsheet.cuts.job_stock import JobStock, SectionCuts
from railsheet.cuts.saw_order import Cut
from railsheet.cuts.stock_model import Drop
from railsheet.figures.book import FigureBook
from railsheet.figures.stock import bar_key, cut_key
from railsheet.sheets.dimensions import TEXT_GAP_MM, TEXT_SIDE_MM, TICK_MM
from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM, add_note, document_unit
from railsheet.sheets.lettering import text_width_mm, wrap
from railsheet.sheets.packing import GAP_MM, Hook, Hung, Picture, fewest_sheets
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, Pen, Point, RunningMark
from railsheet.sheets.scales import Scale, Unit, standard_scales
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.stacked_rows import stacked_rows
from railsheet.sheets.stock_tables import (
    cut_remarks,
    cut_words,
    drop_words,
    mirror_words,
    section_words,
)

# Paper mm, from the top of a bar's block down.
_HEADING, _ABOVE, _BAR = 4.5, 10.0, 13.5
# What a second row of figures over the bar takes.
_SECOND_ROW = 5.0
# Rows of lengths over a bar, up to which a figure may climb over its neighbours' lines.
_MOST_ROWS = 4
_LEADER, _FIGURE_GAP, _ROW, _AFTER = 3.0, 2.0, 4.4, 2.0
_INTRO_ROW = 4.6
_LEFT_MM, _RIGHT_MM = 8.0, 14.0
_APART_MM = 50.0
_BESIDE_MM = 6.0
_RUN = "saw"
# What a dimension's ends take beside its figure.
_ARROWS_MM = 4.0
# The smallest scale at which bars are drawn where a larger one fits: 3/8 in to the foot, or 1:25.
# common practice, no source
_SMALLEST: dict[Unit, float] = {"in": 32.0, "mm": 25.0}


@dataclass(frozen=True)
class _Block:
    """Bars cut alike, drawn once, and what stands round them. Heights in mm of paper.

    Attributes:
        intro: what is said over the first bar of a section.
        beside: what is said beside the title.
        remarks: what is said under the bar.
        rows: for each run of alike neighbours, the row over the bar that its length stands in.
    """

    section: SectionCuts
    bars: AlikeBars
    intro: tuple[str, ...]
    beside: str
    remarks: tuple[str, ...]
    figures_mm: float
    high_mm: float
    rows: tuple[int, ...]

    @property
    def bar(self) -> CutBar:
        """The one that is drawn."""
        return self.bars.first


def saw_page_count(stock: JobStock, book: FigureBook, frame: SheetFrame, unit: Unit) -> int:
    """How many sheets the bars take."""
    return len(_sheets(stock, book, frame, unit))


def draw_saw(
    doc: Drawing, stock: JobStock, book: FigureBook, frame: SheetFrame, number: int
) -> None:
    """Add the saw sheets to a document of their own, numbered from ``number``."""
    sheets = _sheets(stock, book, frame, document_unit(doc))
    below = 0.0
    for index, hung in enumerate(sheets):
        name = "saw" if index == 0 else f"saw {index + 1}"
        title = "Saw sheet" if len(sheets) == 1 else f"Saw sheet {index + 1} of {len(sheets)}"
        scale = next(picture.scale for picture, _ in hung if picture.scale)
        layout, _ = frame.start(doc, name, title, number + index, scale)
        for picture, place in hung:
            hook = Hook(doc, layout, place, below, False, False, number + index, {})
            below = picture.draw(hook)


def _sheets(stock: JobStock, book: FigureBook, frame: SheetFrame, unit: Unit) -> tuple[Hung, ...]:
    """The bars in order on the fewest sheets, at one scale at which every piece can be named."""
    room = frame.room(False)
    wide = room.size[0] - _LEFT_MM - _RIGHT_MM
    bars = [alike.first for section in stock.sections for alike in section.alike]
    longest = max(bar.cuts.bar.source.length_mm for bar in bars)
    fitting = [s for s in standard_scales(unit) if longest / s.denominator <= wide]
    shortest = min(
        (
            (piece.end_mm - piece.start_mm) / _label_mm(bar, number, book)
            for bar in bars
            for number, piece in enumerate(bar.pieces, start=1)
        ),
        default=0.0,
    )
    readable = [s for s in fitting[1:] if s.denominator <= min(_SMALLEST[unit], shortest)]
    words = _words_picture(_saw_words(book, frame), room)
    choices = []
    for scale in (fitting[0], *readable):
        size = longest / scale.denominator + _LEFT_MM + _RIGHT_MM, room.size[1]
        size = size[0], size[1] - words.size_mm[1] - GAP_MM
        pictures = [words]
        for number, section in enumerate(stock.sections, start=1):
            for index, alike in enumerate(section.alike):
                intro = [] if index else _intro(number, section, book)
                block = _block(section, alike, intro, book, scale, size)
                high = block.high_mm
                pictures.append(
                    Picture(_RUN, (size[0], high), scale, partial(_hang, block, book, scale))
                )
        choices.append(pictures)
    return fewest_sheets(choices, room)


def _label_mm(bar: CutBar, number: int, book: FigureBook) -> float:
    """How long a piece's length and mark are over it, mm of paper."""
    length = book.text(f"{bar_key(bar)}.piece.{number}.length")
    return text_width_mm(f"{length} {bar.pieces[number - 1].mark}", FIGURE_MM) + _ARROWS_MM


def _words_picture(words: Sequence[str], room: Rect) -> Picture:
    lines = [line for text in words for line in wrap(text, FIGURE_MM, room.size[0])]

    def draw(hook: Hook) -> float:
        at = (hook.place.left, hook.place.top)
        add_note(hook.layout, "\n".join(lines), at, height_mm=FIGURE_MM)
        return hook.below_mm

    return Picture(_RUN, (room.size[0], len(lines) * _INTRO_ROW), None, draw)


def _hang(block: _Block, book: FigureBook, scale: Scale, hook: Hook) -> float:
    wide, high = hook.place.size
    pen = Pen(hook.doc.modelspace(), scale, book, (0.0, hook.below_mm))
    _draw_block(pen, block)
    centre = pen.at((pen.paper(wide / 2 - _LEFT_MM), -pen.paper(high / 2)))
    add_view(hook.layout, hook.place, centre, scale)
    return hook.below_mm - pen.paper(high + _APART_MM)


def _block(
    section: SectionCuts,
    bars: AlikeBars,
    intro: Sequence[str],
    book: FigureBook,
    scale: Scale,
    room_mm: tuple[float, float],
) -> _Block:
    wide_mm, most_mm = room_mm[0] - _LEFT_MM, room_mm[1]
    bar = bars.first
    beside, title = _left_words(bars, book), _title(section, bars, book)
    taken = text_width_mm(title, HEADING_MM, True) + _BESIDE_MM
    remarks: list[str] = []
    if taken + text_width_mm(beside, FIGURE_MM) > wide_mm:
        remarks, beside = list(wrap(beside, FIGURE_MM, wide_mm)), ""
    remarks += [
        line
        for cut in bar.cuts.cuts
        if (words := "; ".join(cut_remarks(bars, cut, book, leaving=False)))
        for line in wrap(f"Cut {cut.number}: {words}", FIGURE_MM, wide_mm)
    ]
    lines = [line for text in intro for line in wrap(text, FIGURE_MM, wide_mm)]
    depth = section.plan.section.depth_mm / scale.denominator
    figures = max(
        (
            text_width_mm(
                f"{book.text(f'{cut_key(bar, cut.number)}.at')} "
                f"{cut_words(bars, cut, book, square=_square(bar))}",
                FIGURE_MM,
            )
            for cut in bar.cuts.cuts
        ),
        default=0.0,
    )
    rows_over = _rows_over(bar, book, scale)
    high = len(lines) * _INTRO_ROW + _bar_down(rows_over) + depth + _LEADER + figures + _FIGURE_GAP
    # A bar never runs off its sheet: what finds no room stands in the table all the same.
    rows = max(1, int((most_mm - high - _AFTER) // _ROW))
    if len(remarks) > rows:
        remarks = [*remarks[: rows - 1], "More to look to: see the table of cuts in order."]
    high += len(remarks) * _ROW + _AFTER
    return _Block(section, bars, tuple(lines), beside, tuple(remarks), figures, high, rows_over)


def _saw_words(book: FigureBook, frame: SheetFrame) -> list[str]:
    words = [
        f"Bar by bar in their order: set out each bar's cuts from its left end, then cut in "
        f"order. Distances run from that end to the long point of the piece a cut frees, else of "
        f"the piece it starts; the blade takes {book.text('saw.kerf')} on the other side. "
        f"{book.text('saw.end_trim')} at least comes off each end of a bar; what is left is kept "
        f"from {book.text('saw.keep')}. Drawn as it lies: the upper edge to the fence; right or "
        f"left says where a cut leans at the fence."
    ]
    if frame.job.saw.assumed:
        assumed = ", ".join(frame.job.saw.assumed)
        words.append(f"Assumed, for the job does not say: {assumed}.")
    return words


def _intro(number: int, section: SectionCuts, book: FigureBook) -> list[str]:
    mirrored = mirror_words(section)
    return [section_words(number, section, book), *([mirrored] if mirrored else [])]


def _square(bar: CutBar) -> bool:
    """Whether every cut of a bar is square, so that one word says it."""
    return bool(bar.cuts.cuts) and not any(cut.lean_rad or cut.bevel_rad for cut in bar.cuts.cuts)


def _rows_over(bar: CutBar, book: FigureBook, scale: Scale) -> tuple[int, ...]:
    """Which row over the bar each run's length stands in, so that none lies over another.

    Neighbours pass one another where they share a leaning cut: every other one stands higher, and
    a short piece's figure, which stands past its end, higher still: over whatever it reaches past,
    so that no line rises through it. On a bar of many short pieces that would take more height
    than there is, and only the figures are kept apart.
    """
    spans = []
    for number, count in _runs(bar):
        piece = bar.pieces[number - 1]
        start, end = (at / scale.denominator for at in (piece.start_mm, piece.end_mm))
        text = f"{book.text(f'{bar_key(bar)}.piece.{number}.length')} {_name(piece.mark, count)}"
        wide = text_width_mm(text, FIGURE_MM)
        outside = wide + 2 * TEXT_SIDE_MM > end - start
        spans.append((start, end, end + outside * (wide + TICK_MM + 2 * TEXT_GAP_MM)))
    rows = stacked_rows(spans, over_lines=True)
    return rows if max(rows, default=0) <= _MOST_ROWS else stacked_rows(spans, over_lines=False)


def _name(mark: str, count: int) -> str:
    return mark if count == 1 else f"{mark}, {count} alike"


def _bar_down(rows: Sequence[int]) -> float:
    """How far under its block's top a bar is drawn, mm of paper."""
    return _BAR + _SECOND_ROW * max(rows, default=0)


def _runs(bar: CutBar) -> list[tuple[int, int]]:
    """Neighbours of one mark, which are alike: the first's number on its bar, and how many."""
    runs: list[tuple[int, int]] = []
    for number, piece in enumerate(bar.pieces, start=1):
        if runs and bar.pieces[number - 2].mark == piece.mark:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((number, 1))
    return runs


def _draw_block(pen: Pen, block: _Block) -> None:
    left = -pen.paper(_LEFT_MM - 1.0)
    for row, line in enumerate(block.intro):
        pen.note(line, (left, -pen.paper((row + 1) * _INTRO_ROW - 1.0)))
    top = -pen.paper(len(block.intro) * _INTRO_ROW)
    _draw_heading(pen, block, left, top)
    depth = block.section.plan.section.depth_mm
    bar_top = top - pen.paper(_bar_down(block.rows))
    _draw_bar(pen, block, bar_top, depth)
    low = bar_top - depth
    key = bar_key(block.bar)
    marks = [
        RunningMark(
            (cut.at_mm, low),
            f"{cut_key(block.bar, cut.number)}.at",
            cut_words(block.bars, cut, pen.book, square=_square(block.bar)),
        )
        for cut in block.bar.cuts.cuts
    ]
    if marks:
        pen.running((0.0, low), marks, -pen.paper(_LEADER), "x")
    for (number, count), row in zip(_runs(block.bar), block.rows, strict=True):
        piece = block.bar.pieces[number - 1]
        over = _BAR - _ABOVE + _SECOND_ROW * row
        pen.dim(
            (piece.start_mm, bar_top),
            (piece.end_mm, bar_top),
            (piece.start_mm, bar_top + pen.paper(over)),
            LEVEL,
            f"{key}.piece.{number}.length",
            note=_name(piece.mark, count),
        )
    first = low - pen.paper(_LEADER + block.figures_mm + _FIGURE_GAP + _ROW - 1.0)
    for row, words in enumerate(block.remarks):
        pen.note(words, (left, first - pen.paper(row * _ROW)))


def _title(section: SectionCuts, bars: AlikeBars, book: FigureBook) -> str:
    source = bars.first.cuts.bar.source
    what = section.plan.section.profile
    if isinstance(source, Drop):
        what = f"drop {source.mark} of {what}"
    length = book.text(f"{bar_key(bars.first)}.length")
    return f"{bars.words.capitalize()}   {what}, {length}"


def _left_words(bars: AlikeBars, book: FigureBook) -> str:
    """What is left of a bar, and its saw setting where it has but the one."""
    words = f"Left of it: {drop_words(bars, book)}"
    if _square(bars.first):
        saw = book.text(f"{cut_key(bars.first, bars.first.cuts.cuts[0].number)}.saw")
        words += f". Every cut square, {saw}"
    return words


def _draw_heading(pen: Pen, block: _Block, left: float, top: float) -> None:
    title = _title(block.section, block.bars, pen.book)
    pen.note(title, (left, top - pen.paper(_HEADING)), height_mm=HEADING_MM, bold=True)
    beside = left + pen.paper(text_width_mm(title, HEADING_MM, True) + _BESIDE_MM)
    if block.beside:
        pen.note(block.beside, (beside, top - pen.paper(_HEADING)))


def _draw_bar(pen: Pen, block: _Block, top: float, depth: float) -> None:
    bar = block.bar
    pen.rect((0.0, top - depth), (bar.cuts.bar.source.length_mm, top), "HIDDEN")
    _draw_holes(pen, block, top, depth)
    for piece in bar.pieces:
        pen.outline(
            [
                _edge(piece.start_mm, piece.left_rad, depth, top, low=True, right=False),
                _edge(piece.start_mm, piece.left_rad, depth, top, low=False, right=False),
                _edge(piece.end_mm, piece.right_rad, depth, top, low=False, right=True),
                _edge(piece.end_mm, piece.right_rad, depth, top, low=True, right=True),
            ],
            "RAIL",
        )
    for cut in bar.cuts.cuts:
        _draw_kerf(pen, cut, depth, top)
    if bar.drop is not None:
        start = bar.cuts.bar.source.length_mm - bar.cuts.leftover.length_mm
        end = bar.cuts.bar.source.length_mm
        base = (start, top + pen.paper(_BAR - _ABOVE))
        key = f"{bar_key(bar)}.left"
        pen.dim((start, top), (end, top), base, LEVEL, key, note=f"drop {block.bars.drops}")


def _draw_holes(pen: Pen, block: _Block, top: float, depth: float) -> None:
    """A tick at each hole of a punched bar, on the face that is punched."""
    source, pitch = block.bar.cuts.bar.source, block.section.plan.section.pitch_mm
    if pitch is None or source.first_hole_mm is None:
        return
    face, inward = (top - depth, depth) if block.section.punched_down else (top, -depth)
    last = source.length_mm - (source.last_hole_mm or 0.0)
    for number in range(math.floor((last - source.first_hole_mm) / pitch + 1e-6) + 1):
        at = source.first_hole_mm + number * pitch
        pen.line((at, face), (at, face + inward / 3), "HIDDEN")


def _edge(at: float, lean_rad: float, depth: float, top: float, *, low: bool, right: bool) -> Point:
    """A corner of a piece: its long point lies at ``at``, on the edge that its lean reaches out."""
    reach = depth * math.tan(lean_rad)
    outward = reach if right else -reach
    # A right cut that leans right reaches furthest at the top, a left cut at the bottom.
    at_long_point = (outward > 0) != low
    back = 0.0 if at_long_point or not reach else abs(reach)
    return (at - back if right else at + back), (top - depth if low else top)


def _draw_kerf(pen: Pen, cut: Cut, depth: float, top: float) -> None:
    right = cut.ends is not None
    along = cut.kerf_mm if right else -cut.kerf_mm
    low = _edge(cut.at_mm, cut.lean_rad, depth, top, low=True, right=right)
    high = _edge(cut.at_mm, cut.lean_rad, depth, top, low=False, right=right)
    pen.fill([low, high, (high[0] + along, high[1]), (low[0] + along, low[1])], "HIDDEN")
    beyond = pen.paper(1.0)
    slope = (high[0] - low[0]) / depth
    pen.line(
        (low[0] - slope * beyond, low[1] - beyond),
        (high[0] + slope * beyond, high[1] + beyond),
        "CENTRE",
    )

"""Elevations of level runs on sheets: several to a sheet, a long run in parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from railsheet.figures.book import FigureBook
from railsheet.sheets.elevation import attention, bay_lines, gap_lines
from railsheet.sheets.level_elevation import (
    Part,
    name_posts,
    parts_at,
    show_part,
    side_mm,
    view_high_mm,
)
from railsheet.sheets.packing import Hook, Hung, Picture, fits, pack
from railsheet.sheets.panel import Line, lines_high_mm, set_lines
from railsheet.sheets.paper import Rect
from railsheet.sheets.pen import Pen
from railsheet.sheets.scales import NoScaleError, Scale, Unit, standard_scales
from railsheet.sheets.schedule import LevelWork

# The smallest scale at which the figures of a bay stand well clear of each other: 1/2 in to the
# foot, or 1:25. common practice, no source
_SMALLEST: dict[Unit, float] = {"in": 24.0, "mm": 25.0}
_HEADING_MM, _COLUMN_MM, _BETWEEN_MM, _UNDER_MM = 6.0, 86.0, 4.0, 2.0
_STEP_MM = 2.0
_MORE = Line(
    "MORE on the schedule sheet, under Attention and Set out by: read it before cutting.",
    layer="FINDING",
)


@dataclass(frozen=True)
class _Words:
    """The lines of one part in columns: how wide each is, how high they are, what each holds.

    Attributes:
        beside: whether they stand to the right of the view, else over it.
        short: whether some lines found no room.
    """

    columns: tuple[tuple[Line, ...], ...]
    wide_mm: float
    high_mm: float
    beside: bool
    short: bool = False


def level_elevations(
    works: Sequence[LevelWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    """The sheets that all level runs' elevations take: the fewest at one scale that reads well.

    Raises:
        NoScaleError: they fit the paper at no standard scale.
    """
    if not works:
        return ()
    best: tuple[Hung, ...] = ()
    for scale in standard_scales(unit):
        if best and scale.denominator > _SMALLEST[unit]:
            break
        pictures = [picture for work in works for picture in _pictures(work, book, room, scale)]
        if not all(fits(picture, room) for picture in pictures):
            continue
        packed = pack(pictures, room)
        if not best or len(packed) < len(best):
            best = packed
    if not best:
        raise NoScaleError("the level runs fit the paper at no standard scale")
    return best


def _pictures(work: LevelWork, book: FigureBook, room: Rect, scale: Scale) -> list[Picture]:
    side = side_mm(work.railing, scale)
    parts = parts_at(work.railing, scale, room.size[0] - 2 * side)
    pictures = []
    for number, part in enumerate(parts, start=1):
        view = (part.high_mm - part.low_mm) / scale.denominator + 2 * side
        high = view_high_mm(work.railing, scale)
        words = _set_out(_lines(work, book, part, number == 1), view, high, room)
        size = (
            (view + _BETWEEN_MM + words.wide_mm, max(high, words.high_mm) + _HEADING_MM)
            if words.beside
            else (view, high + words.high_mm + _UNDER_MM + _HEADING_MM)
        )
        draw = partial(_hang, work, book, part, (number, len(parts)), scale, words)
        pictures.append(Picture(work.mark, size, scale, draw, number, words.short))
    return pictures


def _set_out(lines: Sequence[Line], view_mm: float, high_mm: float, room: Rect) -> _Words:
    """Words beside the view where that makes it no higher; else over it, in even columns."""
    tall = lines_high_mm(lines, _COLUMN_MM)
    if view_mm + _BETWEEN_MM + _COLUMN_MM <= room.size[0] and tall <= high_mm:
        return _Words((tuple(lines),), _COLUMN_MM, tall, beside=True)
    count = max(1, int((view_mm + _BETWEEN_MM) // (_COLUMN_MM + _BETWEEN_MM)))
    wide = (view_mm - (count - 1) * _BETWEEN_MM) / count
    most = room.size[1] - high_mm - _UNDER_MM - _HEADING_MM
    deep = min(lines_high_mm(lines, wide) / count, most)
    while True:
        columns, rest = _filled(lines, count, wide, deep)
        if not rest:
            return _Words(columns, wide, deep, beside=False)
        if deep >= most:
            break
        deep = min(deep + _STEP_MM, most)
    # What finds no room is pointed at, never dropped in silence.
    columns, _ = _filled(lines, count, wide, most - lines_high_mm((_MORE,), wide))
    return _Words((*columns[:-1], (*columns[-1], _MORE)), wide, most, beside=False, short=True)


def _filled(
    lines: Sequence[Line], count: int, wide_mm: float, deep_mm: float
) -> tuple[tuple[tuple[Line, ...], ...], tuple[Line, ...]]:
    """So many columns filled one after another, and the lines that are left over."""
    columns, rest = [], tuple(lines)
    for _ in range(count):
        column, rest = _fill(rest, wide_mm, deep_mm)
        columns.append(column)
    return tuple(columns), rest


def _fill(
    lines: tuple[Line, ...], wide_mm: float, deep_mm: float
) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """The first lines that fill a column, no heading last, and the rest."""
    taken = 0
    high = 0.0
    while taken < len(lines):
        # A heading has space over it but at the head of its column.
        over = 1.5 if lines[taken].heading and taken else 0.0
        high += lines_high_mm(lines[taken : taken + 1], wide_mm) + over
        if high > deep_mm:
            break
        taken += 1
    while taken and taken < len(lines) and lines[taken - 1].heading:
        taken -= 1
    return lines[:taken], lines[taken:]


def _hang(
    work: LevelWork,
    book: FigureBook,
    part: Part,
    numbered: tuple[int, int],
    scale: Scale,
    words: _Words,
    hook: Hook,
) -> float:
    """One part's view onto the run, which is drawn already, with its words."""
    place, (number, total) = hook.place, numbered
    top = place.top
    if hook.shared or total > 1:
        hook.heading(f"{work.title}: elevation", scale, numbered)
    top -= _HEADING_MM
    high = view_high_mm(work.railing, scale)
    side = side_mm(work.railing, scale)
    view = (part.high_mm - part.low_mm) / scale.denominator + 2 * side
    left, foot = place.left, place.bottom
    if words.beside:
        left, foot = place.left + view + _BETWEEN_MM, place.top - _HEADING_MM - high
    for index, column in enumerate(words.columns):
        x = left + index * (words.wide_mm + _BETWEEN_MM)
        # Room to spare under the last line, so that its column is never found too low.
        set_lines(hook.layout, column, Rect(x, top - words.high_mm - 20.0, x + words.wide_mm, top))
    matched = (hook.elsewhere.get(number - 1), hook.elsewhere.get(number + 1))
    room = Rect(place.left, foot, place.left + view, foot + high)
    pen = Pen(hook.doc.modelspace(), scale, book)
    show_part(pen, hook.layout, part, matched, room, high, side)
    name_posts(hook.layout, work.railing, part, scale, room)
    return hook.below_mm


def set_out_lines(work: LevelWork, book: FigureBook) -> tuple[Line, ...]:
    """What a level run is set out by, all of it."""
    railing = work.railing
    whole = Part(railing.bays, railing.downhill_post.centre_s_mm, railing.uphill_post.centre_s_mm)
    said = len(attention(work, book))
    return _lines(work, book, whole, first=True)[said:]


def _lines(work: LevelWork, book: FigureBook, part: Part, first: bool) -> tuple[Line, ...]:
    at = work.mark

    def say(key: str) -> str:
        return book.text(f"{at}.{key}")

    lines: list[Line] = []
    if first:
        lines += [*attention(work, book)]
    lines.append(Line("Set out by", heading=True))
    if first:
        lines += [
            Line(f"Rail height {say('rail_height_wanted')} over the deck"),
            *gap_lines(at, book),
            Line(f"{say('section_height')} rails over all"),
            Line("Below: each post's face from the first post's plan point"),
        ]
    for bay in part.bays:
        lines += bay_lines(bay, f"{at}.bay.{bay.number}", book)
    return tuple(lines)

"""Elevations of flights on sheets: several where they can be read, a long one in parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.layout.railing import Railing
from railsheet.sheets.drawing import DETAIL, FIGURE_MM, add_text
from railsheet.sheets.elevation import attention, dimension_part, key_figures, window_lines
from railsheet.sheets.flight_part import FlightPart, draw_part, flight_in_parts, whole_flight
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.packing import GAP_MM, Hook, Hung, Picture
from railsheet.sheets.panel import Line, lines_high_mm, set_lines
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import PLUMB, Pen
from railsheet.sheets.profile import draw_window_band
from railsheet.sheets.scales import NoScaleError, Scale, Unit, standard_scales
from railsheet.sheets.schedule import FlightWork
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.spheres import draw_spheres

# Room on paper for what stands round the drawn flight, mm.
_LEFT, _RIGHT, _BELOW, _ABOVE = 30.0, 34.0, 30.0, 12.0
_PANEL_WIDE_MM = 86.0
# What stands over the rail on paper: the heights at the noses and the spacing above them.
_OVER_RAIL_MM = 24.0
# The smallest scale at which the figures of a flight stand clear of each other: 1/2 in to the
# foot, or 1:25; a flight that needs a smaller one is drawn in parts. common practice, no source
_SMALLEST: dict[Unit, float] = {"in": 24.0, "mm": 25.0}
_MOST_BESIDE = 3
_HEADING_MM = 8.0


@dataclass(frozen=True)
class _Panel:
    """Paragraphs and the column they stand in, mm."""

    lines: tuple[Line, ...]
    room: Rect

    @property
    def fits(self) -> bool:
        """Whether the column holds them all."""
        return lines_high_mm(self.lines, self.room.size[0]) <= self.room.size[1]


@dataclass(frozen=True)
class _Arrangement:
    """How an elevation is laid out: scale, drawing and panels, mm.

    Attributes:
        round_it: whether the words stand round the flight, which then stands at the lower right.
    """

    round_it: bool
    scale: Scale
    drawing: Rect
    panels: tuple[_Panel, ...]


@dataclass(frozen=True)
class ElevationSheet:
    """One sheet of elevations, with the words for its title."""

    hung: Hung
    portrait: bool = False
    words: str = "elevation"


def flight_elevations(
    works: Sequence[FlightWork], book: FigureBook, frame: SheetFrame, unit: Unit
) -> tuple[ElevationSheet, ...]:
    """The sheets that all flights' elevations take, in order."""
    sheets: list[ElevationSheet] = []
    queue = list(works)
    while queue:
        beside = _beside(queue, book, frame, unit)
        if beside is not None:
            sheets.append(ElevationSheet(beside))
            queue = queue[len(beside) :]
            continue
        sheets += _alone(queue.pop(0), book, frame, unit)
    return tuple(sheets)


@dataclass(frozen=True)
class _Words:
    """What stands beside a flight: what to set out by, what to look to, the post window."""

    figures: tuple[Line, ...]
    attention: tuple[Line, ...] = ()
    windows: tuple[Line, ...] = ()

    @property
    def one(self) -> tuple[Line, ...]:
        """All of it down one column, what to look to first."""
        return (*self.attention, *self.windows, *self.figures)

    @property
    def two(self) -> tuple[tuple[tuple[Line, ...], tuple[Line, ...]], ...]:
        """Ways to share it between two columns."""
        return (
            (self.figures, (*self.attention, *self.windows)),
            ((*self.figures, *self.windows), self.attention),
        )


def _words(work: FlightWork, book: FigureBook, part: FlightPart) -> _Words:
    figures = key_figures(work, book, part)
    if part.first:
        return _Words(figures, attention(work, book), tuple(window_lines(work, book)))
    note = Line("Along from nose 1, up from the bottom walking surface, as on the first part.")
    return _Words((*figures, note))


def _beside(
    works: Sequence[FlightWork], book: FigureBook, frame: SheetFrame, unit: Unit
) -> Hung | None:
    """As many of the first flights as can be read side by side; None where no two can."""
    room = frame.room(False)
    for count in range(min(_MOST_BESIDE, len(works)), 1, -1):
        wide = (room.size[0] - (count - 1) * GAP_MM) / count
        cells = [
            Rect(left, room.bottom, left + wide, room.top)
            for left in (room.left + n * (wide + GAP_MM) for n in range(count))
        ]
        hung = []
        for work, cell in zip(works, cells, strict=False):
            inner = Rect(cell.left, cell.bottom, cell.right, cell.top - _HEADING_MM)
            whole = whole_flight(work.railing)
            arranged = _arrange(whole, inner, unit, _words(work, book, whole))
            if arranged is None:
                break
            hung.append((_picture(work, book, whole, arranged), cell))
        if len(hung) == count:
            return tuple(hung)
    return None


def _alone(
    work: FlightWork, book: FigureBook, frame: SheetFrame, unit: Unit
) -> list[ElevationSheet]:
    """One flight on a sheet of its own, turned as serves it best, or on several in parts."""
    railing = work.railing
    whole = whole_flight(railing)
    words = _words(work, book, whole)
    wide, tall = frame.room(False), frame.room(True)
    for scale in standard_scales(unit):
        if scale.denominator > _SMALLEST[unit] and len(railing.bays) > 1:
            break
        # Words left for the schedule are the last resort at a scale.
        for portrait, short in ((False, False), (True, False), (False, True)):
            room = tall if portrait else wide
            arranged = _at_scale(whole, room, scale, words, short=short)
            if arranged is not None:
                return [ElevationSheet(((_picture(work, book, whole, arranged), room),), portrait)]
    for count in range(2, len(railing.bays) + 1):
        sheets = _in_parts(work, book, flight_in_parts(railing, count), wide, unit)
        if sheets or count == len(railing.bays):
            return sheets
    raise NoScaleError(f"flight {railing.spec.mark} fits the paper at no standard scale")


def _in_parts(
    work: FlightWork, book: FigureBook, parts: Sequence[FlightPart], room: Rect, unit: Unit
) -> list[ElevationSheet]:
    """A sheet for each part at one scale; none where they cannot be read."""
    most = max(_SMALLEST[unit], 0.0 if len(parts) < len(work.railing.bays) else float("inf"))
    for scale in standard_scales(unit):
        if scale.denominator > most:
            break
        arranged = [_at_scale(part, room, scale, _words(work, book, part)) for part in parts]
        if all(each is not None and not each.round_it for each in arranged):
            total = len(parts)
            return [
                ElevationSheet(
                    ((_picture(work, book, part, each, number), room),),
                    words=f"elevation, part {number} of {total}",
                )
                for number, (part, each) in enumerate(zip(parts, arranged, strict=True), start=1)
                if each is not None
            ]
    return []


def _arrange(part: FlightPart, room: Rect, unit: Unit, words: _Words) -> _Arrangement | None:
    """The largest readable scale at which a flight and all its words fit a place."""
    for scale in standard_scales(unit):
        if scale.denominator > _SMALLEST[unit]:
            return None
        arranged = _at_scale(part, room, scale, words)
        if arranged is not None and all(panel.fits for panel in arranged.panels):
            return arranged
    return None


def _at_scale(
    part: FlightPart,
    room: Rect,
    scale: Scale,
    words: _Words,
    *,
    short: bool = True,
) -> _Arrangement | None:
    """The words beside the flight if it fits so, else round it; None where it fits neither way.

    ``short``: whether a column beside the flight may leave lines for the schedule.
    """
    column = Rect(room.right - _PANEL_WIDE_MM, room.bottom, room.right, room.top)
    beside = Rect(room.left, room.bottom, column.left - 4.0, room.top)
    if _fits(part, scale, beside):
        panel = _Panel(words.one, column)
        if short or panel.fits:
            return _Arrangement(False, scale, beside, (panel,))
    if _fits(part, scale, room):
        for left, right in words.two:
            panels = _round_it(part, scale, room, left, right)
            if all(panel.fits for panel in panels):
                return _Arrangement(True, scale, room, panels)
    return None


def _fits(part: FlightPart, scale: Scale, room: Rect) -> bool:
    wide, high = (size / scale.denominator for size in part.reach.size)
    return wide + _LEFT + _RIGHT <= room.size[0] and high + _BELOW + _ABOVE <= room.size[1]


def _round_it(
    part: FlightPart, scale: Scale, room: Rect, left: Sequence[Line], right: Sequence[Line]
) -> tuple[_Panel, ...]:
    """Two columns of text over a flight set to the lower right of its place.

    The left one reaches down into the free corner over the lower end of the rail; the right one
    stands over the top post.
    """
    railing: Railing = part.railing
    reach = part.reach
    low, high = part.posts[0], part.posts[-1]

    def x(s: float) -> float:
        return room.right - _RIGHT - (reach.right - s) / scale.denominator

    def y(z: float) -> float:
        return room.bottom + _BELOW + (z - reach.bottom) / scale.denominator

    edge = room.left + _PANEL_WIDE_MM + 3.0
    strip = Rect(edge + 3.0, y(railing.crown_z_mm(high)) + _ABOVE, room.right, room.top)
    if x(high.face_s_mm) < edge:
        floor = strip.bottom
    else:
        under = low.face_s_mm + max(edge - x(low.face_s_mm), 0.0) * scale.denominator
        floor = _OVER_RAIL_MM + max(y(railing.line.z_at(under)), y(railing.crown_z_mm(low)))
    corner = Rect(room.left, floor, edge - 3.0, room.top)
    return _Panel(tuple(left), corner), _Panel(tuple(right), strip)


def _picture(
    work: FlightWork,
    book: FigureBook,
    part: FlightPart,
    arranged: _Arrangement,
    number: int = 1,
) -> Picture:
    draw = partial(_hang, work, book, part, arranged, number)
    short = not all(panel.fits for panel in arranged.panels)
    return Picture(work.mark, arranged.drawing.size, arranged.scale, draw, number, short)


def _hang(
    work: FlightWork,
    book: FigureBook,
    part: FlightPart,
    arranged: _Arrangement,
    number: int,
    hook: Hook,
) -> float:
    scale, space, reach = arranged.scale, arranged.drawing, part.reach
    # The flight itself lies where it stands in its run's frame, later parts below it.
    origin = (0.0, 0.0 if part.first else hook.below_mm - reach.top - _ABOVE * scale.denominator)
    pen = Pen(hook.doc.modelspace(), scale, book, origin)
    draw_part(pen, part)
    if part.first:
        draw_window_band(pen, work.railing)
    dimension_part(pen, work, part)
    if work.checks is not None:
        ends = (part.posts[0].centre_s_mm, part.posts[-1].centre_s_mm)
        low, high = -math.inf if part.first else ends[0], math.inf if part.last else ends[1]
        draw_spheres(pen, work, outside_only=True, between_mm=(low, high))
    # The flight stands to the lower right of its space, which leaves the upper left corner free.
    centre = (
        reach.right + pen.paper(_RIGHT - space.size[0] / 2),
        reach.bottom + pen.paper(space.size[1] / 2 - _BELOW),
    )
    if not arranged.round_it:
        spare = space.size[0] - _LEFT - _RIGHT - reach.size[0] / scale.denominator
        lift = space.size[1] - _BELOW - _ABOVE - reach.size[1] / scale.denominator
        centre = centre[0] + pen.paper(spare / 2), centre[1] - pen.paper(lift / 2)
    add_view(hook.layout, space, pen.at(centre), scale, hidden_layers=(DETAIL,))
    for panel in arranged.panels:
        _set_panel(hook.layout, panel)
    if hook.shared:
        hook.heading(f"{work.title}: elevation", scale)
    for post, missing, step in (
        (part.posts[0], not part.first, -1),
        (part.posts[-1], not part.last, 1),
    ):
        if missing:
            x = space.centre[0] + (post.centre_s_mm - centre[0]) / scale.denominator
            _match_line(hook.layout, space, x, hook.elsewhere[number + step], step)
    return origin[1] + reach.bottom - pen.paper(space.size[1])


def _match_line(layout: Paperspace, space: Rect, x: float, sheet: int, way: int) -> None:
    """A line down the sheet where the flight goes on elsewhere, and where.

    ``way``: -1 where it goes on downhill, over what is drawn here; 1 uphill, under it.
    """
    layout.add_line((x, space.bottom), (x, space.top), dxfattribs={"layer": "CENTRE"})
    words = f"match line, sheet {sheet}"
    foot = space.bottom + 1.0
    if way < 0:
        foot = space.top - 1.0 - text_width_mm(words, FIGURE_MM)
    beside = -1.5 if way < 0 else FIGURE_MM + 1.5
    add_text(
        layout,
        words,
        (x + beside, foot),
        align=TextEntityAlignment.LEFT,
        rotation_rad=PLUMB,
    )


def _set_panel(layout: Paperspace, panel: _Panel) -> None:
    """Set a panel; what finds no room is pointed at, never dropped in silence."""
    room = panel.room
    if panel.fits:
        set_lines(layout, panel.lines, room)
        return
    more = Line(
        "MORE on the schedule sheet, under Attention and Set out by: read it before cutting.",
        layer="FINDING",
    )
    high = lines_high_mm((more,), room.size[0]) + 1.0
    last = Rect(room.left, room.bottom, room.right, room.bottom + high)
    set_lines(layout, panel.lines, Rect(room.left, last.top, room.right, room.top))
    set_lines(layout, (more,), last)

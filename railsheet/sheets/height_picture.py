"""A picture of how even a flight is: rail heights against their band, steps against their mean."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.sheets.drawing import HEADING_MM, SMALL_MM, add_note, new_document
from railsheet.sheets.packing import GAP_MM, Hook, Hung, Picture, pack
from railsheet.sheets.paper import Rect
from railsheet.sheets.schedule import FlightWork
from railsheet.sheets.sheet import SheetFrame

# Room on paper round a chart for its words, mm.
_RIGHT, _BELOW, _ABOVE = 26.0, 8.0, 12.0
_TICK_MM = 1.2
# The widest figure of a riser or a height, 36 15/16", at SMALL_MM.
_FIGURE_WIDE_MM = 13.0
# Narrower than this, or with dots closer than that, a picture has a sheet to itself, mm.
_LEAST_WIDE_MM, _LEAST_PITCH_MM = 180.0, 6.0
# A chart of readings that are all alike still spans this many of the tape's divisions.
_LEAST_SPAN_STEPS = 4


@dataclass(frozen=True)
class _Level:
    """A level line across a chart: the figure it stands for, what it is, and its layer."""

    key: str
    name: str
    value_mm: float
    layer: str


@dataclass(frozen=True)
class _Point:
    """One value of a chart: its figure's key, and the name under it."""

    key: str
    name: str


@dataclass(frozen=True)
class _Chart:
    """Values side by side over one scale. ``at`` maps a value to paper, mm."""

    layout: Paperspace
    book: FigureBook
    room: Rect
    low_mm: float
    high_mm: float

    def at(self, value_mm: float) -> float:
        """Height on paper of a value."""
        share = (value_mm - self.low_mm) / (self.high_mm - self.low_mm)
        return self.room.bottom + share * (self.room.top - self.room.bottom)

    def line(self, start: tuple[float, float], end: tuple[float, float], layer: str) -> None:
        """A stroke on paper."""
        self.layout.add_line(start, end, dxfattribs={"layer": layer})

    def level(self, level: _Level, y_text: float) -> None:
        """A level line, its figure at its right end, at a height where it has room."""
        y = self.at(level.value_mm)
        self.line((self.room.left, y), (self.room.right, y), level.layer)
        self.line((self.room.right, y), (self.room.right + 2.5, y_text), "DIM")
        add_note(
            self.layout,
            f"{self.book.text(level.key)} {level.name}",
            (self.room.right + 3.2, y_text),
            align=MTextEntityAlignment.MIDDLE_LEFT,
            height_mm=SMALL_MM,
            key=level.key,
        )

    def point(self, point: _Point, x: float, pitch: float) -> None:
        """A dot with its error bar of two sigma, its figure over it and its name below.

        ``pitch``: how far apart the dots stand, mm; figures that would meet stand upright.
        """
        upright = pitch < _FIGURE_WIDE_MM
        value = self.book.value(point.key)
        y = self.at(value)
        self.layout.add_circle((x, y), 0.8, dxfattribs={"layer": "RAIL"})
        top = y
        sigma = self.book.sigma(point.key)
        if sigma:
            low, top = self.at(value - 2 * sigma), self.at(value + 2 * sigma)
            self.line((x, low), (x, top), "DIM")
            for end in (low, top):
                self.line((x - _TICK_MM, end), (x + _TICK_MM, end), "DIM")
        add_note(
            self.layout,
            self.book.text(point.key),
            (x, self.room.top + 2.0),
            align=(
                MTextEntityAlignment.MIDDLE_LEFT if upright else MTextEntityAlignment.BOTTOM_CENTER
            ),
            rotation_rad=math.pi / 2 if upright else 0.0,
            height_mm=SMALL_MM,
            key=point.key,
        )
        add_note(
            self.layout,
            point.name.removeprefix("nose ") if upright else point.name,
            (x, self.room.bottom - 2.0),
            align=MTextEntityAlignment.TOP_CENTER,
            height_mm=SMALL_MM,
        )


def height_sheets(works: Sequence[FlightWork], book: FigureBook, room: Rect) -> tuple[Hung, ...]:
    """The pictures of all flights, two to a sheet where their figures have the room.

    Returns:
        For each sheet, its pictures in place.
    """
    half = (room.size[0] - GAP_MM) / 2
    narrow = all(
        half >= _LEAST_WIDE_MM
        and len(work.railing.stair.noses) * _LEAST_PITCH_MM <= half / 2 - _RIGHT
        for work in works
    )
    size = (half if narrow and len(works) > 1 else room.size[0]), room.size[1]
    return pack(
        [Picture(work.mark, size, None, partial(_hang, work, book)) for work in works], room
    )


def _hang(work: FlightWork, book: FigureBook, hook: Hook) -> float:
    room = hook.place
    if hook.shared:
        heading = f"Flight {work.mark}"
        add_note(hook.layout, heading, (room.left, room.top), height_mm=HEADING_MM, bold=True)
        room = Rect(room.left, room.bottom, room.right, room.top - 2 * HEADING_MM)
    draw_heights(hook.layout, work, book, room)
    return hook.below_mm


def picture_alone(work: FlightWork, book: FigureBook, frame: SheetFrame, number: int) -> Paperspace:
    """One flight's picture on a sheet of its own, in a document of its own."""
    doc = new_document("mm", 1.0)
    title = f"Flight {work.mark}: heights and steps"
    layout, _ = frame.start(doc, f"{work.mark} heights", title, number, None)
    draw_heights(layout, work, book, frame.room(False))
    return layout


def draw_heights(layout: Paperspace, work: FlightWork, book: FigureBook, room: Rect) -> None:
    """Draw the picture on a sheet."""
    at = work.mark
    middle = (room.bottom + room.top) / 2
    upper = Rect(room.left, middle + 1.0, room.right, room.top)
    left = Rect(room.left, room.bottom, room.centre[0] - 2.0, middle - 1.0)
    right = Rect(room.centre[0] + 2.0, room.bottom, room.right, middle - 1.0)
    noses = range(1, len(work.railing.stair.noses) + 1)
    wanted = f"{at}.rail_height_wanted"
    levels = [_Level(wanted, "wanted", book.value(wanted), "CENTRE")]
    for key, name in ((f"{at}.band.least", "least"), (f"{at}.band.most", "most")):
        if key in book:
            levels.append(_Level(key, name, book.value(key), "FINDING"))
    rule = work.railing.spec.rail_rule.value
    band = "" if len(levels) > 1 else "; no band given"
    _draw(
        layout,
        book,
        upper,
        f"Top of the rail over each nose, by {rule}{band}. Bars: two sigma of the readings",
        [_Point(f"{at}.nose.{n}.rail_height", f"nose {n}") for n in noses],
        levels,
    )
    for space, what, one, count in (
        (left, "risers", "riser", len(noses)),
        (right, "runs", "run", len(noses) - 1),
    ):
        points = [_Point(f"{at}.{one}.{n}", f"{n}") for n in range(1, count + 1)]
        _draw(
            layout, book, space, _even_words(book, at, what), points, _steps(book, at, what, points)
        )


def _even_words(book: FigureBook, at: str, what: str) -> str:
    allowed = f"{at}.{what}.allowed"
    words = f"{what.capitalize()}: greatest less least {book.text(f'{at}.{what}.variation')}"
    if allowed in book:
        return f"{words}; the code named allows {book.text(allowed)}"
    return f"{words}; no allowed variation known"


def _steps(book: FigureBook, at: str, what: str, points: Sequence[_Point]) -> list[_Level]:
    mean = f"{at}.{what}.mean"
    levels = [_Level(mean, "mean", book.value(mean), "CENTRE")]
    allowed = f"{at}.{what}.allowed"
    if allowed in book:
        # What the code allows is a width; it is drawn about the middle of the readings.
        values = [book.value(point.key) for point in points]
        middle = (min(values) + max(values)) / 2
        half = book.value(allowed) / 2
        levels.append(_Level(allowed, "allowed", middle + half, "FINDING"))
        levels.append(_Level(allowed, "wide", middle - half, "FINDING"))
    return levels


def _draw(
    layout: Paperspace,
    book: FigureBook,
    space: Rect,
    title: str,
    points: Sequence[_Point],
    levels: Sequence[_Level],
) -> None:
    add_note(
        layout, title, (space.left, space.top), height_mm=2.5, bold=True, width_mm=space.size[0]
    )
    low, high = space.left + 6.0, space.right - _RIGHT
    pitch = (high - low) / len(points)
    above = _ABOVE if pitch >= _FIGURE_WIDE_MM else _FIGURE_WIDE_MM + 3.0
    room = Rect(low, space.bottom + _BELOW, high, space.top - above - HEADING_MM)
    reach = [level.value_mm for level in levels]
    for point in points:
        value, sigma = book.value(point.key), book.sigma(point.key) or 0.0
        reach += [value - 2 * sigma, value + 2 * sigma]
    spare = max(max(reach) - min(reach), _LEAST_SPAN_STEPS * book.tape.step_mm) * 0.08
    chart = _Chart(layout, book, room, min(reach) - spare, max(reach) + spare)
    layout.add_lwpolyline(
        [
            (room.left, room.bottom),
            (room.right, room.bottom),
            (room.right, room.top),
            (room.left, room.top),
        ],
        close=True,
        dxfattribs={"layer": "DIM"},
    )
    lowest = -1e9
    for level in sorted(levels, key=lambda level: level.value_mm):
        lowest = max(chart.at(level.value_mm), lowest + 4.0)
        chart.level(level, lowest)
    for index, point in enumerate(points):
        chart.point(point, room.left + (index + 0.5) * pitch, pitch)

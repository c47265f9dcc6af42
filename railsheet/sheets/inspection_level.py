"""The elevation of a level run that an inspector is shown: its heights and its spheres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from railsheet.figures.book import FigureBook
from railsheet.sheets.heights import draw_checked_heights
from railsheet.sheets.level_elevation import (
    BELOW_MM,
    Part,
    draw_deck,
    draw_first_heights,
    parts_at,
    show_part,
    side_mm,
    view_high_mm,
)
from railsheet.sheets.packing import Hook, Hung, Picture, fewest_sheets, fits
from railsheet.sheets.panel import Line, lines_high_mm, set_lines
from railsheet.sheets.paper import Rect
from railsheet.sheets.pen import Pen
from railsheet.sheets.profile import draw_bays
from railsheet.sheets.scales import NoScaleError, Scale, Unit, standard_scales
from railsheet.sheets.schedule import LevelWork
from railsheet.sheets.spheres import draw_spheres, numbered_lines, shortened

_LEGEND = (
    Line("Heights and openings", heading=True),
    Line(
        "At the first post stand its heights over the deck; over a bay stands the height of the "
        "top of the top rail, where it is outside a limit there. "
        "A circle is the greatest sphere that passes the opening it stands in, with its diameter. "
        "Through the infill there stand those at the posts, those outside a limit, and the widest."
    ),
    Line(
        "Red: outside a limit that applies there. The findings give each figure, limit, margin "
        "and clause.",
        layer="FINDING",
    ),
)
_LEGEND_WIDE_MM = 66.0


_BESIDE_MM, _HEADING_MM = 4.0, 8.0
# The smallest scale at which a sphere's figure stands in its opening: 1/2 in to the foot, or 1:25.
# Common practice, no source.
_SMALLEST: dict[Unit, float] = {"in": 24.0, "mm": 25.0}
# Room under the legend for the numbered circles that every run may have.
_SPARE_MM = 24.0
# Room under the deck of a run on one sheet: the spheres' figures there. A match line wants more.
_BELOW_MM = 16.0


def checked_levels(
    works: Sequence[LevelWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    """Every level run's checked elevation, several to a sheet where they can be read.

    Returns:
        For each sheet, its pictures in place.

    Raises:
        NoScaleError: they fit the paper at no standard scale.
    """
    if not works:
        return ()
    choices: list[list[Picture]] = []
    for scale in standard_scales(unit):
        if choices and scale.denominator > _SMALLEST[unit]:
            break
        pictures = [picture for work in works for picture in _pictures(work, book, room, scale)]
        if all(fits(picture, room) for picture in pictures):
            choices.append(pictures)
    if not choices:
        raise NoScaleError("the level runs fit the paper at no standard scale")
    return fewest_sheets(choices, room)


@dataclass
class _Drawn:
    """A run as it is drawn in model space, once for all its parts.

    Attributes:
        up_mm: where its deck lies; None before it is drawn.
        numbers: a line for each sphere that a number stands for.
    """

    up_mm: float | None = None
    numbers: tuple[Line, ...] = ()


def _pictures(work: LevelWork, book: FigureBook, room: Rect, scale: Scale) -> list[Picture]:
    side, railing = side_mm(work.railing, scale), work.railing
    wide = room.size[0] - 2 * side - _BESIDE_MM - _LEGEND_WIDE_MM
    # What is left over at a scale too large for any bay fits no sheet, and that scale falls out.
    parts = parts_at(railing, scale, max(wide, 1.0))
    drawn = _Drawn()
    below = BELOW_MM if len(parts) > 1 else _BELOW_MM
    high = max(
        view_high_mm(railing, scale, below), lines_high_mm(_LEGEND, _LEGEND_WIDE_MM) + _SPARE_MM
    )
    pictures = []
    for number, part in enumerate(parts, start=1):
        view = (part.high_mm - part.low_mm) / scale.denominator + 2 * side
        size = view + _BESIDE_MM + _LEGEND_WIDE_MM, high + _HEADING_MM
        draw = partial(_hang, work, book, part, (number, len(parts)), scale, drawn)
        pictures.append(Picture(work.mark, size, scale, draw, number))
    return pictures


def _hang(
    work: LevelWork,
    book: FigureBook,
    part: Part,
    numbered: tuple[int, int],
    scale: Scale,
    drawn: _Drawn,
    hook: Hook,
) -> float:
    """One part's view onto the run, which the first of them draws, with its legend beside it."""
    place, (number, total) = hook.place, numbered
    below = hook.below_mm
    if drawn.up_mm is None:
        drawn.up_mm = below - place.size[1] * scale.denominator
        drawn.numbers = _draw(Pen(hook.doc.modelspace(), scale, book, (0.0, drawn.up_mm)), work)
        below = drawn.up_mm - place.size[1] * scale.denominator
    hook.heading(f"{work.title}: heights and openings", scale, numbered)
    top = place.top - _HEADING_MM
    below_deck = BELOW_MM if total > 1 else _BELOW_MM
    high = view_high_mm(work.railing, scale, below_deck)
    room = Rect(place.left, top - high, place.right - _LEGEND_WIDE_MM - _BESIDE_MM, top)
    matched = (hook.elsewhere.get(number - 1), hook.elsewhere.get(number + 1))
    pen = Pen(hook.doc.modelspace(), scale, book, (0.0, drawn.up_mm))
    side = side_mm(work.railing, scale)
    show_part(pen, hook.layout, part, matched, room, high, side, below_deck)
    column = Rect(place.right - _LEGEND_WIDE_MM, place.bottom, place.right, top)
    words = (*_LEGEND, *numbered_lines(drawn.numbers))
    set_lines(hook.layout, shortened(words, column), column)
    return below


def _draw(pen: Pen, work: LevelWork) -> tuple[Line, ...]:
    draw_deck(pen, work.railing)
    draw_bays(pen, work.railing)
    draw_first_heights(pen, work)
    draw_checked_heights(pen, work)
    return draw_spheres(pen, work, outside_only=False)

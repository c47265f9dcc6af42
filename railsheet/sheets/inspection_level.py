"""The elevation of a level run that an inspector is shown: its heights and its spheres."""

from __future__ import annotations

from ezdxf.document import Drawing

from railsheet.figures.book import FigureBook
from railsheet.sheets.drawing import document_unit
from railsheet.sheets.heights import draw_checked_heights
from railsheet.sheets.level_elevation import (
    draw_deck,
    draw_first_heights,
    level_parts,
    level_scale,
    show_part,
    side_mm,
    view_high_mm,
)
from railsheet.sheets.panel import Line, set_lines
from railsheet.sheets.paper import Rect
from railsheet.sheets.pen import Pen
from railsheet.sheets.profile import draw_bays
from railsheet.sheets.schedule import LevelWork
from railsheet.sheets.sheet import SheetFrame
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
_LEGEND_WIDE_MM = 90.0


def draw_checked_level(
    doc: Drawing,
    work: LevelWork,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    above_mm: float,
) -> None:
    """Add the run's checked elevation, on as many sheets as its shop elevation takes.

    Args:
        number: the first sheet's.
        above_mm: how far up model space is taken already.
    """
    railing, unit = work.railing, document_unit(doc)
    scale = level_scale(railing, frame, unit)
    parts = level_parts(railing, frame, unit)
    room = frame.room(False)
    pen = Pen(doc.modelspace(), scale, book, (0.0, above_mm + room.size[1] * scale.denominator))
    draw_deck(pen, railing)
    draw_bays(pen, railing)
    draw_first_heights(pen, work)
    draw_checked_heights(pen, work)
    numbers = draw_spheres(pen, work, outside_only=False)
    high = view_high_mm(railing, scale)
    for index, part in enumerate(parts):
        title = f"{work.title}: heights and openings"
        if len(parts) > 1:
            title += f", part {index + 1} of {len(parts)}"
        name = f"{work.mark} checked" + (f" {index + 1}" if index else "")
        layout, _ = frame.start(doc, name, title, number + index, scale)
        here, last = number + index, index == len(parts) - 1
        matched = (here - 1 if index else None, None if last else here + 1)
        show_part(pen, layout, part, matched, room, high, side_mm(railing, scale))
        over = Rect(room.left, room.bottom + high + 2.0, room.left + _LEGEND_WIDE_MM, room.top)
        more = set_lines(layout, (*_LEGEND, *numbered_lines(numbers)), over)
        beside = Rect(over.right + 4.0, over.bottom, room.right, room.top)
        set_lines(layout, shortened(more, beside), beside)

"""Lines of text set into columns on a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import FIGURE_MM, LINE_PITCH, add_note
from railsheet.sheets.lettering import wrap
from railsheet.sheets.paper import Rect

_BETWEEN_MM = 6.0


@dataclass(frozen=True)
class Line:
    """One paragraph.

    Attributes:
        text: as printed.
        heading: bold, with space above.
        layer: TEXT, or FINDING for what must be settled.
    """

    text: str
    heading: bool = False
    layer: str = "TEXT"


def set_lines(
    layout: Paperspace, lines: Sequence[Line], columns: Sequence[Rect]
) -> tuple[Line, ...]:
    """Set paragraphs down one column after another.

    Returns:
        The paragraphs that found no room.
    """
    places = iter(columns)
    column = next(places)
    y = column.top
    for number, line in enumerate(lines):
        rows = wrap(line.text, FIGURE_MM, column.size[0], line.heading)
        height = (len(rows) - 1) * FIGURE_MM * LINE_PITCH + FIGURE_MM
        # A heading stays with the line it heads.
        needed = height + (FIGURE_MM * LINE_PITCH * 2 if line.heading else 0)
        if line.heading and y < column.top:
            y -= 1.5
        while y - needed < column.bottom:
            following = next(places, None)
            if following is None:
                return tuple(lines[number:])
            column, y = following, following.top
        add_note(
            layout,
            "\n".join(rows),
            (column.left, y),
            align=MTextEntityAlignment.TOP_LEFT,
            layer=line.layer,
            bold=line.heading,
        )
        y -= height + FIGURE_MM * 0.75
    return ()


def split_columns(room: Rect, count: int) -> tuple[Rect, ...]:
    """A space divided into columns of equal width."""
    width = (room.size[0] - _BETWEEN_MM * (count - 1)) / count
    return tuple(
        Rect(
            room.left + number * (width + _BETWEEN_MM),
            room.bottom,
            room.left + number * (width + _BETWEEN_MM) + width,
            room.top,
        )
        for number in range(count)
    )

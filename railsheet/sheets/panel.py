"""Lines of text set into columns on a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import FIGURE_MM, LINE_PITCH, add_note
from railsheet.sheets.lettering import wrap
from railsheet.sheets.paper import Rect


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


def set_lines(layout: Paperspace, lines: Sequence[Line], room: Rect) -> tuple[Line, ...]:
    """Set paragraphs down a column.

    Returns:
        The paragraphs that found no room.
    """
    y = room.top
    for number, line in enumerate(lines):
        rows = wrap(line.text, FIGURE_MM, room.size[0], line.heading)
        before, height = _heights(line, len(rows), first=number == 0)
        # A heading stays with the line it heads.
        follows = FIGURE_MM * LINE_PITCH * 2 if line.heading else 0.0
        if y - before - height - follows < room.bottom:
            return tuple(lines[number:])
        y -= before
        add_note(
            layout,
            "\n".join(rows),
            (room.left, y),
            align=MTextEntityAlignment.TOP_LEFT,
            layer=line.layer,
            bold=line.heading,
        )
        y -= height
    return ()


def lines_high_mm(lines: Sequence[Line], width_mm: float) -> float:
    """How much of a column of this width the paragraphs take."""
    total = 0.0
    for number, line in enumerate(lines):
        rows = wrap(line.text, FIGURE_MM, width_mm, line.heading)
        total += sum(_heights(line, len(rows), first=number == 0))
    return total


def _heights(line: Line, rows: int, *, first: bool) -> tuple[float, float]:
    """Space before a paragraph, and the paragraph with the space after it, mm."""
    before = 1.5 if line.heading and not first else 0.0
    return before, (rows - 1) * FIGURE_MM * LINE_PITCH + FIGURE_MM * 1.75

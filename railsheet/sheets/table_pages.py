"""Tables set onto sheets, split where a sheet ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, black
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, Spacer, Table, TableStyle

from railsheet.figures.marked import CHANGED
from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM, SMALL_MM
from railsheet.sheets.fonts import OTHER, PT_PER_MM, font_name, font_size_pt, register
from railsheet.sheets.layers import INKS
from railsheet.sheets.lettering import stretches
from railsheet.sheets.paper import Rect
from railsheet.sheets.tables import TextTable

_SHADE = Color(0.93, 0.93, 0.93)
_RULE = Color(0.6, 0.6, 0.6)
_REVISED = Color(*(part / 255 for part in INKS["REVISION"]))


@dataclass(frozen=True)
class Placed:
    """A block on a sheet: where its lower left corner stands, mm."""

    flowable: Flowable
    left_mm: float
    bottom_mm: float


def set_tables(tables: Sequence[TextTable], room: Rect) -> tuple[tuple[Placed, ...], ...]:
    """Set tables one under another into as many sheets as they take.

    Returns:
        For each sheet, its blocks in place.
    """
    register()
    width_pt, height_pt = (size * PT_PER_MM for size in room.size)
    queue: list[Flowable] = []
    for table in tables:
        queue += [_heading(table.title), _table(table, width_pt), Spacer(1, 4 * PT_PER_MM)]
    sheets: list[tuple[Placed, ...]] = []
    placed: list[Placed] = []
    used = 0.0
    while queue:
        block = queue.pop(0)
        _, high = block.wrap(width_pt, height_pt)
        following = queue[0].wrap(width_pt, height_pt)[1] if queue else 0.0
        # A title never ends a sheet: the head and first rows of its table must follow it.
        lonely = isinstance(block, Paragraph) and height_pt - used - high < min(following, 90.0)
        if high <= height_pt - used and not lonely:
            used += high
            bottom = room.top - used / PT_PER_MM
            placed.append(Placed(block, room.left, bottom))
            continue
        parts = [] if lonely else block.split(width_pt, height_pt - used)
        if len(parts) > 1:
            queue = [*parts, *queue]
            continue
        if not placed:
            raise ValueError("one row of a table is taller than a sheet")
        sheets.append(tuple(placed))
        placed, used = [], 0.0
        if not isinstance(block, Spacer):
            queue.insert(0, block)
    if placed:
        sheets.append(tuple(placed))
    return tuple(sheets)


def _style(height_mm: float, *, bold: bool = False, right: bool = False) -> ParagraphStyle:
    size = font_size_pt(height_mm, bold)
    return ParagraphStyle(
        "cell",
        fontName=font_name(bold),
        fontSize=size,
        leading=size * 1.25,
        alignment=TA_RIGHT if right else 0,
    )


def _heading(text: str) -> Paragraph:
    style = _style(HEADING_MM, bold=True)
    style.spaceAfter = 4
    return Paragraph(_escape(text), style)


def _table(table: TextTable, width_pt: float) -> Table:
    total = sum(table.shares)
    widths = [width_pt * share / total for share in table.shares]
    plain, bold = _style(FIGURE_MM), _style(SMALL_MM, bold=True)
    plain_right = _style(FIGURE_MM, right=True)
    bold_right = _style(SMALL_MM, bold=True, right=True)
    head = [
        Paragraph(_escape(text), bold_right if column in table.right else bold)
        for column, text in enumerate(table.headers)
    ]
    body = [
        [
            Paragraph(
                _escape(text.replace(CHANGED, "")), plain_right if column in table.right else plain
            )
            for column, text in enumerate(row)
        ]
        for row in table.rows
    ]
    made = Table([head, *body], colWidths=widths, repeatRows=1)
    made.setStyle(
        TableStyle(
            [
                # Else reportlab lists Helvetica, unembedded, on every page with a table.
                ("FONTNAME", (0, 0), (-1, -1), font_name()),
                ("GRID", (0, 0), (-1, -1), 0.4, _RULE),
                ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
                ("BACKGROUND", (0, 0), (-1, 0), _SHADE),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("TOPPADDING", (0, 0), (-1, -1), 2.2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3.2),
                ("LEFTPADDING", (0, 0), (-1, -1), 4),
                ("RIGHTPADDING", (0, 0), (-1, -1), 4),
                *(
                    ("LINEBEFORE", (0, row), (0, row), 2.5, _REVISED)
                    for row, cells in enumerate(table.rows, start=1)
                    if any(CHANGED in text for text in cells)
                ),
            ]
        )
    )
    return made


def _escape(text: str) -> str:
    return "".join(
        f'<font name="{OTHER}">{escape(part)}</font>' if other else escape(part)
        for part, other in stretches(text)
    )

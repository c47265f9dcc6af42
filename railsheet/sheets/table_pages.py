"""Tables set onto sheets, split where a sheet ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, cycle, groupby, repeat

from reportlab.lib.colors import Color, black
from reportlab.platypus import Flowable, Paragraph, Spacer, Table, TableStyle

from railsheet.figures.marked import CHANGED
from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM, SMALL_MM
from railsheet.sheets.fonts import PT_PER_MM, register
from railsheet.sheets.layers import INKS
from railsheet.sheets.paper import Rect
from railsheet.sheets.table_cells import Cell, cell, paragraph, text_style
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


# Narrower than this, the shop's tables do not read well; common practice, no source.
_COLUMN_MM = 165.0
_BETWEEN_MM = 6.0
_UNDER_MM = 4.0
# A title takes at least so much of its table with it, points.
_WITH_TITLE_PT = 90.0
# How much lower each try at even columns reaches, mm.
_STEP_MM = 6.0
# Columns in turn that may stay empty: the rest of a sheet's, too low for a row.
_BARREN = 4


def set_tables(tables: Sequence[TextTable], room: Rect) -> tuple[tuple[Placed, ...], ...]:
    """Set tables one under another into as many sheets as they take.

    Returns:
        For each sheet, its blocks in place.
    """
    register()
    filled, _ = _flow(_blocks(tables, room), repeat(room))
    return tuple(filled)


def set_in_columns(tables: Sequence[TextTable], room: Rect) -> tuple[tuple[Placed, ...], ...]:
    """Set tables in order, those that are not wide side by side where a sheet has the room.

    Returns:
        For each sheet, its blocks in place.
    """
    register()
    count = max(1, int((room.size[0] + _BETWEEN_MM) // (_COLUMN_MM + _BETWEEN_MM)))
    sheets: list[tuple[Placed, ...]] = [()]
    top = room.top
    for wide, group in groupby(tables, key=lambda table: table.wide):
        top = _set_group(sheets, tuple(group), _columns(room, 1 if wide else count), top)
    return tuple(sheet for sheet in sheets if sheet)


def _columns(room: Rect, count: int) -> tuple[Rect, ...]:
    wide = (room.size[0] - (count - 1) * _BETWEEN_MM) / count
    lefts = (room.left + index * (wide + _BETWEEN_MM) for index in range(count))
    return tuple(Rect(left, room.bottom, left + wide, room.top) for left in lefts)


def _set_group(
    sheets: list[tuple[Placed, ...]],
    tables: Sequence[TextTable],
    across: Sequence[Rect],
    top: float,
) -> float:
    """Set tables of one width from a height down; the height that is free below them, mm."""
    count = len(across)
    blocks = _blocks(tables, across[0])
    high = sum(_high_mm(block, across[0]) for block in blocks)
    free = top - across[0].bottom
    # Columns of about one height, where that is all that the group takes of this sheet.
    depth = high / count
    while depth < free:
        even = [Rect(c.left, top - depth, c.right, top) for c in across]
        filled, left = _flow(blocks, even)
        if not left:
            sheets[-1] += tuple(chain(*filled))
            return _lowest(chain(*filled), top) - _UNDER_MM
        depth += _STEP_MM
    rest = [Rect(c.left, c.bottom, c.right, top) for c in across]
    filled, _ = _flow(blocks, chain(rest, cycle(across)))
    for number, column in enumerate(filled):
        if number and number % count == 0:
            sheets.append(())
            top = across[0].top
        sheets[-1] += column
    last = filled[(len(filled) - 1) // count * count :]
    return _lowest(chain(*last), top) - _UNDER_MM


def _lowest(placed: Iterable[Placed], top: float) -> float:
    return min((block.bottom_mm for block in placed), default=top)


def _blocks(tables: Sequence[TextTable], column: Rect) -> list[Flowable]:
    blocks: list[Flowable] = []
    for table in tables:
        made = _table(table, column.size[0] * PT_PER_MM)
        blocks += [_heading(table.title), made, Spacer(1, _UNDER_MM * PT_PER_MM)]
    return blocks


def _high_mm(block: Flowable, column: Rect) -> float:
    width_pt, height_pt = (size * PT_PER_MM for size in column.size)
    high: float = block.wrap(width_pt, height_pt)[1]
    return high / PT_PER_MM


def _flow(
    blocks: Iterable[Flowable], columns: Iterable[Rect]
) -> tuple[list[tuple[Placed, ...]], list[Flowable]]:
    """Blocks down one column after another; what each holds, and what found no column.

    Raises:
        ValueError: one row of a table is taller than a column on an empty sheet.
    """
    queue = list(blocks)
    filled: list[tuple[Placed, ...]] = []
    barren = 0
    for column in columns:
        if not queue:
            break
        queue, placed = _fill(queue, column)
        barren = 0 if placed else barren + 1
        if barren > _BARREN:
            raise ValueError("one row of a table is taller than a sheet")
        filled.append(placed)
    return filled, queue


def _fill(queue: list[Flowable], column: Rect) -> tuple[list[Flowable], tuple[Placed, ...]]:
    """One column filled; what is left over, and what it holds."""
    width_pt, height_pt = (size * PT_PER_MM for size in column.size)
    placed: list[Placed] = []
    used = 0.0
    while queue:
        block = queue[0]
        _, high = block.wrap(width_pt, height_pt)
        following = queue[1].wrap(width_pt, height_pt)[1] if len(queue) > 1 else 0.0
        # A title never ends a sheet: the head and first rows of its table must follow it.
        ahead = min(following, _WITH_TITLE_PT)
        lonely = isinstance(block, Paragraph) and height_pt - used - high < ahead
        if high <= height_pt - used and not lonely:
            used += high
            placed.append(Placed(block, column.left, column.top - used / PT_PER_MM))
            queue = queue[1:]
            continue
        if isinstance(block, Spacer):
            return queue[1:], tuple(placed)
        parts = [] if lonely else block.split(width_pt, height_pt - used)
        if len(parts) < 2:
            break
        queue = [*parts, *queue[1:]]
    return queue, tuple(placed)


def _heading(text: str) -> Paragraph:
    return paragraph(text, text_style(HEADING_MM, bold=True, after_pt=4))


def _table(table: TextTable, width_pt: float) -> Table:
    total = sum(table.shares)
    widths = [width_pt * share / total for share in table.shares]
    rows = [
        _row(table.headers, widths, SMALL_MM, table.right, bold=True),
        *(
            _row([text.replace(CHANGED, "") for text in row], widths, FIGURE_MM, table.right)
            for row in table.rows
        ),
    ]
    made = Table(
        [[each.held for each in row] for row in rows],
        colWidths=widths,
        # With these told, reportlab does not ask each cell again for every place it is tried in.
        rowHeights=[max(each.high_pt for each in row) for row in rows],
        repeatRows=1,
        cellStyles=[[each.style for each in row] for row in rows],
    )
    made.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.4, _RULE),
                ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
                ("BACKGROUND", (0, 0), (-1, 0), _SHADE),
                *(
                    ("LINEBEFORE", (0, row), (0, row), 2.5, _REVISED)
                    for row, cells in enumerate(table.rows, start=1)
                    if any(CHANGED in text for text in cells)
                ),
            ]
        )
    )
    return made


def _row(
    texts: Sequence[str],
    widths_pt: Sequence[float],
    height_mm: float,
    right: frozenset[int],
    *,
    bold: bool = False,
) -> list[Cell]:
    """A row's cells; those of some columns stand to the right."""
    return [
        cell(text, width, height_mm, bold=bold, right=column in right)
        for column, (text, width) in enumerate(zip(texts, widths_pt, strict=True))
    ]

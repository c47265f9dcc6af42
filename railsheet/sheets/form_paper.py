"""What the measuring forms are drawn with: a page, measured spans by letter, and boxes to fill."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM, LINE_PITCH, SMALL_MM, add_note
from railsheet.sheets.lettering import text_width_mm, wrap
from railsheet.sheets.paper import Paper, Rect, add_sheet

Point = tuple[float, float]
Where = Literal["on", "left", "right", "above", "below"]

_ALIGN = {
    "on": MTextEntityAlignment.MIDDLE_CENTER,
    "left": MTextEntityAlignment.MIDDLE_RIGHT,
    "right": MTextEntityAlignment.MIDDLE_LEFT,
    "above": MTextEntityAlignment.BOTTOM_CENTER,
    "below": MTextEntityAlignment.TOP_CENTER,
}
_OFF: dict[Where, Point] = {
    "on": (0.0, 0.0),
    "left": (-1.6, 0.0),
    "right": (1.6, 0.0),
    "above": (0.0, 1.2),
    "below": (0.0, -1.2),
}
_ROW_MM = 8.0
_HEAD_MM = 6.0


@dataclass(frozen=True)
class Box:
    """A box to write in: its key, what it is, and whether it is worth taking as a check.

    Attributes:
        within: where the key's value is a table of its own, the keys in it.
    """

    key: str
    about: str
    worth: bool = False
    within: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What it is, the keys of a table of its own in braces, as TOML has them."""
        return f"{self.about} {{ {', '.join(self.within)} }}" if self.within else self.about


@dataclass(frozen=True)
class KeyTable:
    """The boxes of one table of a TOML file, under its heading as the file writes it."""

    heading: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class FormPage:
    """One sheet of a form and the pen on it. All in millimetres of paper."""

    layout: Paperspace
    room: Rect

    def line(self, start: Point, end: Point, layer: str = "DIM") -> None:
        """A straight line."""
        self.layout.add_line(start, end, dxfattribs={"layer": layer})

    def outline(self, points: Sequence[Point], layer: str = "STAIR", *, close: bool = True) -> None:
        """A run of straight lines."""
        self.layout.add_lwpolyline(list(points), close=close, dxfattribs={"layer": layer})

    def rect(self, room: Rect, layer: str = "POST") -> None:
        """An upright rectangle."""
        self.outline(
            [
                (room.left, room.bottom),
                (room.right, room.bottom),
                (room.right, room.top),
                (room.left, room.top),
            ],
            layer,
        )

    def text(
        self,
        text: str,
        at: Point,
        *,
        where: Where = "right",
        height_mm: float = FIGURE_MM,
        bold: bool = False,
        mask: bool = False,
    ) -> None:
        """Lettering at a point: on it, or beside it."""
        off = _OFF[where]
        add_note(
            self.layout,
            text,
            (at[0] + off[0], at[1] + off[1]),
            align=_ALIGN[where],
            height_mm=height_mm,
            bold=bold,
            mask=mask,
        )

    def span(
        self, start: Point, end: Point, key: str, where: Where = "on", layer: str = "DIM"
    ) -> None:
        """What is measured: from point to point, with its key; empty where it is lettered apart."""
        self.line(start, end, layer)
        length = math.dist(start, end)
        along = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        for point in (start, end):
            # An oblique stroke through each end, as on the sheets' own dimensions.
            across = (along[0] - along[1]) * 0.9, (along[1] + along[0]) * 0.9
            self.line(
                (point[0] - across[0], point[1] - across[1]),
                (point[0] + across[0], point[1] + across[1]),
                layer,
            )
        if not key:
            return
        middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        self.text(key, middle, where=where, bold=True, mask=where == "on")

    def paragraph(
        self, text: str, left: float, top: float, wide: float, height_mm: float = FIGURE_MM
    ) -> float:
        """Words within a width; returns where the next may begin."""
        rows = wrap(text, height_mm, wide)
        add_note(self.layout, "\n".join(rows), (left, top), height_mm=height_mm)
        return top - (len(rows) * LINE_PITCH + 0.5) * height_mm

    def columns(self) -> tuple[float, float, float]:
        """Left edges of two columns of boxes, and their width."""
        half = (self.room.size[0] - 8.0) / 2
        return self.room.left, self.room.left + half + 8.0, half

    def heading(self, text: str, left: float, top: float) -> float:
        """A heading; returns where what it heads may begin."""
        add_note(self.layout, text, (left, top), height_mm=3.0, bold=True)
        return top - 6.0

    def boxes(self, boxes: Sequence[Box], left: float, top: float, wide: float) -> float:
        """Boxes one under another, each with its key and what it is; returns where they end."""
        key_wide = max(text_width_mm(box.key, FIGURE_MM, True) for box in boxes) + 6.0
        write_wide = 28.0
        y = top
        for box in boxes:
            star = " *" if box.worth else ""
            self.text(box.key + star, (left - 1.6, y - _ROW_MM / 2), bold=True)
            words = wrap(box.words, SMALL_MM, wide - key_wide - write_wide - 4.0)
            add_note(
                self.layout,
                "\n".join(words),
                (left + key_wide, y - _ROW_MM / 2),
                height_mm=SMALL_MM,
                align=MTextEntityAlignment.MIDDLE_LEFT,
            )
            right = left + wide
            self.rect(Rect(right - write_wide, y - _ROW_MM + 0.8, right, y - 0.8), "TEXT")
            y -= _ROW_MM
        return y

    def tables(self, tables: Sequence[KeyTable], left: float, top: float, wide: float) -> float:
        """Tables' boxes one under another; returns where they end."""
        y = top
        for table in tables:
            y = self.boxes(table.boxes, left, self.heading(table.heading, left, y), wide) - 2.0
        return y

    def grid(
        self, heads: Sequence[str], rows: Sequence[Sequence[str | None]], left: float, top: float
    ) -> float:
        """A table of boxes, each with its key in its corner; None leaves a place out."""
        wide = (self.room.right - left) / len(heads)
        for column, head in enumerate(heads):
            lines = wrap(head, SMALL_MM, wide - 2.0, True)
            add_note(
                self.layout,
                "\n".join(lines),
                (left + column * wide + 0.8, top),
                height_mm=SMALL_MM,
                bold=True,
            )
        y = top - _HEAD_MM - 1.5
        for row in rows:
            for column, key in enumerate(row):
                if key is None:
                    continue
                x = left + column * wide
                self.rect(Rect(x, y - _ROW_MM, x + wide, y), "TEXT")
                self.text(key, (x - 0.4, y - 2.0), height_mm=SMALL_MM)
            y -= _ROW_MM
        return y


def rows_in(height_mm: float) -> int:
    """How many rows of a grid a height holds."""
    return int((height_mm - _HEAD_MM - 1.5) // _ROW_MM)


def boxes_high_mm(count: int) -> float:
    """How high so many boxes stand."""
    return count * _ROW_MM


def start_page(doc: Drawing, paper: Paper, name: str, title: str, number: int, of: int) -> FormPage:
    """A new sheet of a form, upright, with its title over the room to draw in."""
    layout = add_sheet(doc, name, paper)
    frame = paper.frame
    page = FormPage(layout, Rect(frame.left + 4, frame.bottom + 8, frame.right - 4, frame.top - 14))
    page.rect(frame, "BORDER")
    add_note(layout, title, (page.room.left, frame.top - 4), height_mm=HEADING_MM, bold=True)
    page.line((frame.left, frame.top - 11), (frame.right, frame.top - 11), "BORDER")
    add_note(
        layout,
        f"Sheet {number} of {of}",
        (page.room.right, frame.bottom + 2.5),
        height_mm=SMALL_MM,
        align=MTextEntityAlignment.BOTTOM_RIGHT,
    )
    return page

"""Labels as a PDF for label paper, each with its QR code."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from reportlab.graphics.barcode.qr import QrCode
from reportlab.pdfgen.canvas import Canvas

from railsheet.sheets.fonts import (
    PT_PER_MM,
    WIDTH_FACTOR,
    font_name,
    register,
    text_width_mm,
    write_line,
)
from railsheet.sheets.labels import Label, LabelGrid

# Printers of label paper wander by a millimetre or so: common practice, no source.
_SIDE_MM = 2.5
_ARROW_MM = 4.0
# ISO/IEC 18004: four modules of quiet zone round a QR code (from memory).
_QUIET_MODULES = 4


def write_labels(labels: Sequence[Label], grid: LabelGrid, path: Path, title: str) -> None:
    """Write labels row by row, as many sheets as they take; the same labels give the same bytes."""
    register()
    canvas = Canvas(
        str(path),
        pagesize=(grid.paper[0] * PT_PER_MM, grid.paper[1] * PT_PER_MM),
        invariant=1,
        pageCompression=1,
        initialFontName=font_name(),  # type: ignore[arg-type]
    )
    canvas.setTitle(f"{title}: labels, {grid.name}, {grid.words}")
    canvas.setCreator("railsheet")
    for number, label in enumerate(labels):
        place = number % grid.to_a_sheet
        if number and not place:
            canvas.showPage()
        left, bottom = grid.corner(place)
        _draw(canvas, label, left, bottom, grid.label)
    canvas.showPage()
    canvas.save()


def _draw(
    canvas: Canvas, label: Label, left: float, bottom: float, size: tuple[float, float]
) -> None:
    wide, high = size
    code = min(high - 2 * _SIDE_MM, wide * 0.35)
    _draw_code(canvas, label.code, left + wide - _SIDE_MM - code, bottom + (high - code) / 2, code)
    room = wide - code - 3 * _SIDE_MM
    text_left = left + _SIDE_MM
    # Capitals, baseline under the top edge: shares of the label's height.
    for text, bold, capital, down in (
        (label.mark, True, 0.15, 0.22),
        (label.where, False, 0.075, 0.37),
        (label.length, True, 0.14, 0.58),
        (label.cuts, False, 0.075, 0.73),
    ):
        _text(canvas, text, text_left, bottom + high * (1 - down), high * capital, room, bold)
    low = bottom + _SIDE_MM - 0.5
    small = min(2.0, high * 0.075)
    _arrow(canvas, text_left + 1.0, low, 0.0, _ARROW_MM)
    _text(canvas, "top", text_left + 2.8, low + 0.6, small, room, False)
    if label.uphill:
        _arrow(canvas, text_left + 13.0 + _ARROW_MM, low + 1.5, -_ARROW_MM, 0.0)
        _text(canvas, "uphill", text_left + 18.0, low + 0.6, small, room, False)


def _text(
    canvas: Canvas, text: str, left: float, base: float, high: float, room: float, bold: bool
) -> None:
    # A long line is set smaller rather than cut short.
    wide = text_width_mm(text, high, bold)
    if wide > room:
        high *= room / wide
    line = canvas.beginText(left * PT_PER_MM, base * PT_PER_MM)
    line.setHorizScale(WIDTH_FACTOR * 100)
    write_line(line, text, high, bold)
    canvas.drawText(line)


def _arrow(canvas: Canvas, x: float, y: float, dx: float, dy: float) -> None:
    """An arrow from a point, along an axis, mm."""
    head = 1.2
    tip = x + dx, y + dy
    along = (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)
    back = tip[0] - along[0] * head, tip[1] - along[1] * head
    across = along[1] * head * 0.6, along[0] * head * 0.6
    canvas.setLineWidth(0.25 * PT_PER_MM)
    for end in (
        (x, y),
        (back[0] + across[0], back[1] + across[1]),
        (back[0] - across[0], back[1] - across[1]),
    ):
        canvas.line(*(v * PT_PER_MM for v in (*end, *tip)))


def _draw_code(canvas: Canvas, payload: str, left: float, bottom: float, side: float) -> None:
    side_pt = side * PT_PER_MM
    # As a flowable: a widget is drawn through a renderer that lists Helvetica, unembedded.
    drawn = QrCode(payload, width=side_pt, height=side_pt, qrBorder=_QUIET_MODULES, qrLevel="M")
    drawn.drawOn(canvas, left * PT_PER_MM, bottom * PT_PER_MM)

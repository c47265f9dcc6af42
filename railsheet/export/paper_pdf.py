"""Paper layouts as pages of a PDF: vector lines, real text, embedded fonts."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from ezdxf.layouts.layout import Paperspace
from reportlab.lib.colors import Color, HexColor
from reportlab.pdfgen.canvas import Canvas

from railsheet.export.paper import Lettering, PageReport, Painter, render_layout
from railsheet.export.pens import Pen
from railsheet.export.pieces import Outline
from railsheet.export.sight import Sight
from railsheet.sheets.fonts import PT_PER_MM, WIDTH_FACTOR, line_shown, register
from railsheet.sheets.pdf_number import pdf_number

# Thinner than this, a line is lost on an office printer.
THINNEST_MM = 0.1


@cache
def _ink(color: str) -> Color:
    return HexColor(color)


class PdfPainter(Painter):
    """Paints on the current page of a reportlab canvas, in millimetres from its lower left.

    Args:
        canvas: the canvas; its current page is drawn on and left open.
        origin_mm: where the sheet's lower left corner lies on the page.
    """

    def __init__(self, canvas: Canvas, origin_mm: tuple[float, float] = (0.0, 0.0)) -> None:
        super().__init__()
        register()
        self.canvas = canvas
        self._pen: tuple[str, float] | None = None
        self._filled: str | None = None
        canvas.saveState()
        canvas.translate(origin_mm[0] * PT_PER_MM, origin_mm[1] * PT_PER_MM)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        canvas.addLiteral(f"{pdf_number(WIDTH_FACTOR * 100.0)} Tz")

    def finish(self) -> None:
        """Give the canvas back as it was."""
        self.canvas.restoreState()

    def stroke(self, outlines: Sequence[Outline], pen: Pen) -> None:
        """Draw outlines with one pen."""
        taken = pen.color, pen.weight_mm
        if taken != self._pen:
            self._pen = taken
            self.canvas.setStrokeColor(_ink(pen.color))
            self.canvas.setLineWidth(max(pen.weight_mm, THINNEST_MM) * PT_PER_MM)
        self.canvas.addLiteral(f"n {' '.join(map(_drawn, outlines))} S")

    def fill(self, outlines: Sequence[Outline], pen: Pen) -> None:
        """Fill an area; where outlines overlap, holes by the even-odd rule."""
        self._fill_with(pen)
        self.canvas.addLiteral(f"n {' '.join(map(_drawn, outlines))} f*")

    def letter(self, lettering: Lettering, pen: Pen) -> None:
        """One line of text, as text."""
        self._fill_with(pen)
        k = PT_PER_MM
        a, b, c, d, e, f = lettering.matrix
        # The size goes into the font, so that the matrix only turns and places: readers of the
        # file then see the true point size.
        size = (c * c + d * d) ** 0.5
        turned = f"{a / size:.6f} {b / size:.6f} {c / size:.6f} {d / size:.6f}"
        shown = line_shown(self.canvas, lettering.text, lettering.cap_height * size, lettering.bold)
        self.canvas.addLiteral(f"BT {turned} {pdf_number(e * k)} {pdf_number(f * k)} Tm {shown} ET")

    def _fill_with(self, pen: Pen) -> None:
        if pen.color != self._filled:
            self._filled = pen.color
            self.canvas.setFillColor(_ink(pen.color))


def _drawn(outline: Outline) -> str:
    """An outline as operators of PDF, in points."""
    k = PT_PER_MM
    places = [f"{pdf_number(point.x * k)} {pdf_number(point.y * k)}" for point in outline.points]
    end = " h" if outline.closed else ""
    if not outline.parts:
        return f"{places[0]} m {' l '.join(places[1:])} l{end}"
    words, at = [f"{places[0]} m"], 1
    for count in outline.parts:
        part = places[at : at + count]
        if count == 2:
            # A quadratic curve raised to a cubic.
            start, handle, last = outline.points[at - 1 : at + 2]
            raised = start.lerp(handle, 2 / 3) * k, last.lerp(handle, 2 / 3) * k
            part = [*(f"{pdf_number(point.x)} {pdf_number(point.y)}" for point in raised), part[1]]
        words.append(f"{' '.join(part)} {'l' if count == 1 else 'c'}")
        at += count
    return " ".join(words) + end


def draw_layout(
    canvas: Canvas,
    layout: Paperspace,
    origin_mm: tuple[float, float] = (0.0, 0.0),
    without: Sequence[str] = (),
    sight: Sight | None = None,
) -> PageReport:
    """Draw a layout on the canvas's current page, which stays open for more.

    Args:
        canvas: a reportlab canvas.
        layout: paper space in millimetres.
        origin_mm: where the sheet's lower left corner lies on the page.
        without: layers of the sheet itself, not of its views, that are left out.
        sight: what is known already of what model space shows where.

    Raises:
        UnknownEntityError: something on the sheet cannot be drawn.
    """
    return render_layout(layout, PdfPainter(canvas, origin_mm), without, sight)

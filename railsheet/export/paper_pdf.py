"""Paper layouts as pages of a PDF: vector lines, real text, embedded fonts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from ezdxf.addons.drawing.backend import BkPath2d, BkPoints2d
from ezdxf.addons.drawing.properties import BackendProperties
from ezdxf.layouts.layout import Paperspace
from ezdxf.math import Vec2
from ezdxf.path import Command
from reportlab.lib.colors import Color, HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from railsheet.export.paper import Lettering, PageReport, Painter, render_layout
from railsheet.export.sight import Sight
from railsheet.sheets.fonts import PT_PER_MM, WIDTH_FACTOR, register, write_line

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
        canvas.saveState()
        canvas.translate(origin_mm[0] * PT_PER_MM, origin_mm[1] * PT_PER_MM)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)

    def finalize(self) -> None:
        """Give the canvas back as it was."""
        self.canvas.restoreState()

    def _pen(self, properties: BackendProperties) -> None:
        self.canvas.setStrokeColor(_ink(properties.color[:7]))
        self.canvas.setLineWidth(max(properties.lineweight, THINNEST_MM) * PT_PER_MM)

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None:
        """A dot one pen wide."""
        self.draw_line(pos, pos, properties)

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        """One straight stroke."""
        self._pen(properties)
        k = PT_PER_MM
        self.canvas.line(start.x * k, start.y * k, end.x * k, end.y * k)

    def draw_solid_lines(
        self, lines: Iterable[tuple[Vec2, Vec2]], properties: BackendProperties
    ) -> None:
        """Many strokes of one pen: the dashes of a line, the lines of a hatch."""
        k = PT_PER_MM
        strokes = [(s.x * k, s.y * k, e.x * k, e.y * k) for s, e in lines]
        # Of a line that lies outside its view no stroke is left.
        if strokes:
            self._pen(properties)
            self.canvas.lines(strokes)

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        """An outline."""
        self._pen(properties)
        self.canvas.drawPath(self._path([path], close=False), stroke=1, fill=0)

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        """An area; where outlines overlap, holes by the even-odd rule."""
        self.canvas.setFillColor(_ink(properties.color[:7]))
        self.canvas.drawPath(self._path(paths, close=True), stroke=0, fill=1, fillMode=0)

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        """A filled polygon."""
        vertices = points.vertices()
        if len(vertices) < 3:
            return
        path = self.canvas.beginPath()
        k = PT_PER_MM
        path.moveTo(vertices[0].x * k, vertices[0].y * k)
        for v in vertices[1:]:
            path.lineTo(v.x * k, v.y * k)
        path.close()
        self.canvas.setFillColor(_ink(properties.color[:7]))
        self.canvas.drawPath(path, stroke=0, fill=1)

    def _path(self, paths: Iterable[BkPath2d], close: bool) -> PDFPathObject:
        out = self.canvas.beginPath()
        k = PT_PER_MM
        for numpy_path in paths:
            for path in numpy_path.to_path().sub_paths():
                at = path.start
                out.moveTo(at.x * k, at.y * k)
                for command in path.commands():
                    end = command.end
                    if command.type == Command.LINE_TO:
                        out.lineTo(end.x * k, end.y * k)
                    elif command.type == Command.CURVE4_TO:
                        c1, c2 = command.ctrl1, command.ctrl2  # type: ignore[union-attr]
                        out.curveTo(c1.x * k, c1.y * k, c2.x * k, c2.y * k, end.x * k, end.y * k)
                    elif command.type == Command.CURVE3_TO:
                        # A quadratic curve raised to a cubic.
                        q = command.ctrl  # type: ignore[union-attr]
                        c1, c2 = at.lerp(q, 2.0 / 3.0), end.lerp(q, 2.0 / 3.0)
                        out.curveTo(c1.x * k, c1.y * k, c2.x * k, c2.y * k, end.x * k, end.y * k)
                    at = end
                if close or path.is_closed:
                    out.close()
        return out

    def draw_lettering(self, lettering: Lettering, properties: BackendProperties) -> None:
        """One line of text, as text."""
        canvas = self.canvas
        k = PT_PER_MM
        a, b, c, d, e, f = lettering.matrix
        # The size goes into the font, so that the matrix only turns and places: readers of the
        # file then see the true point size.
        size = (c * c + d * d) ** 0.5
        out = canvas.beginText()
        out.setHorizScale(WIDTH_FACTOR * 100.0)
        out.setFillColor(_ink(properties.color[:7]))
        out.setTextTransform(a / size, b / size, c / size, d / size, e * k, f * k)
        write_line(out, lettering.text, lettering.cap_height * size, lettering.bold)
        canvas.drawText(out)


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

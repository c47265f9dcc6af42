"""Paper layouts as SVG pictures: the same page as the PDF, its text still text."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from ezdxf.addons.drawing.backend import BkPath2d, BkPoints2d
from ezdxf.addons.drawing.properties import BackendProperties
from ezdxf.layouts.layout import Paperspace
from ezdxf.math import Vec2

from railsheet.export.paper import (
    FLATTENING_MM,
    Lettering,
    PageReport,
    Painter,
    paper_size_mm,
    render_layout,
)
from railsheet.right_to_left import in_setting_order
from railsheet.sheets.faces import face
from railsheet.sheets.lettering import text_width_mm

_FAMILY = "Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"


class SvgPainter(Painter):
    """Collects SVG elements, in millimetres from the upper left.

    Args:
        height_mm: height of the sheet; SVG counts downwards.
    """

    def __init__(self, height_mm: float) -> None:
        super().__init__()
        self.height_mm = height_mm
        self.elements: list[str] = []

    def _at(self, v: Vec2) -> str:
        return f"{v.x:.4f} {self.height_mm - v.y:.4f}"

    def _stroke(self, data: str, properties: BackendProperties) -> None:
        self.elements.append(
            f'<path d="{data}" fill="none" stroke="{properties.color[:7]}" '
            f'stroke-width="{properties.lineweight:g}"/>'
        )

    def _fill(self, data: str, properties: BackendProperties) -> None:
        self.elements.append(
            f'<path d="{data}" fill="{properties.color[:7]}" fill-rule="evenodd"/>'
        )

    def _polyline(self, vertices: Iterable[Vec2], close: bool) -> str:
        return "M" + " L".join(self._at(v) for v in vertices) + (" Z" if close else "")

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None:
        """A dot one pen wide."""
        self.draw_line(pos, pos, properties)

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        """One straight stroke."""
        self._stroke(self._polyline((start, end), close=False), properties)

    def draw_solid_lines(
        self, lines: Iterable[tuple[Vec2, Vec2]], properties: BackendProperties
    ) -> None:
        """Many strokes of one pen."""
        data = " ".join(self._polyline(line, close=False) for line in lines)
        if data:
            self._stroke(data, properties)

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        """An outline."""
        for part in path.sub_paths():
            vertices = Vec2.list(part.flattening(FLATTENING_MM))
            self._stroke(self._polyline(vertices, close=False), properties)

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        """An area; where outlines overlap, holes by the even-odd rule."""
        parts = (part for path in paths for part in path.sub_paths())
        data = " ".join(
            self._polyline(Vec2.list(p.flattening(FLATTENING_MM)), close=True) for p in parts
        )
        if data:
            self._fill(data, properties)

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        """A filled polygon."""
        self._fill(self._polyline(points.vertices(), close=True), properties)

    def draw_lettering(self, lettering: Lettering, properties: BackendProperties) -> None:
        """One line of text, as text, as wide as the PDF shows it."""
        a, b, c, d, e, f = lettering.matrix
        matrix = f"{a:.6g} {-b:.6g} {-c:.6g} {d:.6g} {e:.4f} {self.height_mm - f:.4f}"
        cap = lettering.cap_height
        attributes = (
            f'transform="matrix({matrix})" font-size="{cap * face().em_per_cap:.4f}" '
            f'textLength="{text_width_mm(lettering.text, cap, lettering.bold):.4f}" '
            f'lengthAdjust="spacingAndGlyphs" fill="{properties.color[:7]}"'
        )
        if lettering.bold:
            attributes += ' font-weight="bold"'
        glyphs = in_setting_order(lettering.text)
        if glyphs != lettering.text:
            # The viewer must not turn them once more.
            attributes += ' direction="ltr" unicode-bidi="bidi-override"'
        text = f'<text xml:space="preserve" {attributes}>{escape(glyphs)}</text>'
        self.elements.append(text)


def save_svg(layout: Paperspace, path: Path, title: str) -> PageReport:
    """Write one sheet as a picture of its paper's size.

    Raises:
        UnknownEntityError: something on the sheet cannot be drawn.
    """
    width, height = paper_size_mm(layout)
    painter = SvgPainter(height)
    report = render_layout(layout, painter)
    lines = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" font-family={quoteattr(_FAMILY)} '
        f'stroke-linecap="round" stroke-linejoin="round">',
        f"<title>{escape(title)}</title>",
        '<rect width="100%" height="100%" fill="#ffffff"/>',
        *painter.elements,
        "</svg>",
    )
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return report

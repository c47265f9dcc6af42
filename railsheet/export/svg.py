"""Paper layouts as SVG pictures: the same page as the PDF, its text still text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path

from ezdxf.layouts.layout import Paperspace
from ezdxf.math import Vec2

from railsheet.export.paper import (
    Lettering,
    PageReport,
    Painter,
    flattened,
    paper_size_mm,
    render_layout,
)
from railsheet.export.pens import Pen
from railsheet.export.pieces import Outline
from railsheet.export.sight import Sight
from railsheet.right_to_left import in_setting_order
from railsheet.sheets.faces import face
from railsheet.sheets.lettering import text_width_mm

_FAMILY = "Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"
# As many chords to a curve at least.
_CHORDS = 4


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

    def _line(self, vertices: Iterable[Vec2], close: bool) -> str:
        return "M" + " L".join(self._at(v) for v in vertices) + (" Z" if close else "")

    def stroke(self, outlines: Sequence[Outline], pen: Pen) -> None:
        """Draw outlines with one pen."""
        data = " ".join(self._line(flattened(each, _CHORDS), close=False) for each in outlines)
        self.elements.append(
            f'<path d="{data}" fill="none" stroke="{pen.color}" stroke-width="{pen.weight_mm:g}"/>'
        )

    def fill(self, outlines: Sequence[Outline], pen: Pen) -> None:
        """Fill an area; where outlines overlap, holes by the even-odd rule."""
        data = " ".join(self._line(flattened(each, _CHORDS), close=True) for each in outlines)
        self.elements.append(f'<path d="{data}" fill="{pen.color}" fill-rule="evenodd"/>')

    def finish(self) -> None:
        """Elements are complete as they come."""

    def letter(self, lettering: Lettering, pen: Pen) -> None:
        """One line of text, as text, as wide as the PDF shows it."""
        a, b, c, d, e, f = lettering.matrix
        matrix = f"{a:.6g} {-b:.6g} {-c:.6g} {d:.6g} {e:.4f} {self.height_mm - f:.4f}"
        cap = lettering.cap_height
        attributes = (
            f'transform="matrix({matrix})" font-size="{cap * face().em_per_cap:.4f}" '
            f'textLength="{text_width_mm(lettering.text, cap, lettering.bold):.4f}" '
            f'lengthAdjust="spacingAndGlyphs" fill="{pen.color}"'
        )
        if lettering.bold:
            attributes += ' font-weight="bold"'
        glyphs = in_setting_order(lettering.text)
        if glyphs != lettering.text:
            # The viewer must not turn them once more.
            attributes += ' direction="ltr" unicode-bidi="bidi-override"'
        text = f'<text xml:space="preserve" {attributes}>{escape(glyphs, quote=False)}</text>'
        self.elements.append(text)


def save_svg(layout: Paperspace, path: Path, title: str, sight: Sight | None = None) -> PageReport:
    """Write one sheet as a picture of its paper's size.

    Args:
        layout: the sheet.
        path: the file.
        title: of the picture.
        sight: what is known already of what model space shows.

    Raises:
        UnknownEntityError: something on the sheet cannot be drawn.
    """
    width, height = paper_size_mm(layout)
    painter = SvgPainter(height)
    report = render_layout(layout, painter, sight=sight)
    lines = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" font-family="{_FAMILY}" '
        f'stroke-linecap="round" stroke-linejoin="round">',
        f"<title>{escape(title, quote=False)}</title>",
        '<rect width="100%" height="100%" fill="#ffffff"/>',
        *painter.elements,
        "</svg>",
    )
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return report

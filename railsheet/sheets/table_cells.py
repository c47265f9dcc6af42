"""The cells of a table as reportlab takes them: most are a line of text, the others paragraphs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from xml.sax.saxutils import escape

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Paragraph
from reportlab.platypus.tables import CellStyle

from railsheet.right_to_left import in_setting_order
from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.fonts import PT_PER_MM, font_name, font_size_pt, other_font
from railsheet.sheets.lettering import WIDTH_FACTOR, stretches, wrap

# At either side of a cell, above it and below it.
PADDING_PT = 4.0
_ABOVE_PT = 2.2
_BELOW_PT = 3.2


@dataclass(frozen=True)
class Cell:
    """A cell as reportlab's table takes it.

    Attributes:
        held: its text, where that has room on one line; a paragraph, or of no text nothing.
        style: where it stands within its ruling, and in which font a text does.
        high_pt: what it needs of its row, points.
    """

    held: str | Flowable | tuple[()]
    style: CellStyle
    high_pt: float


class _Text(Paragraph):
    """A text that is broken into lines once for a width, however often a table asks."""

    _width: float | None = None
    _size: tuple[float, float] = (0.0, 0.0)

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:
        if aW != self._width:
            self._size = super().wrap(aW, aH)
            self._width = aW
        return self._size


@cache
def text_style(
    height_mm: float, *, bold: bool = False, right: bool = False, after_pt: float = 0.0
) -> ParagraphStyle:
    """Lettering of a height, and the side it stands at; what is kept free after it."""
    size = font_size_pt(height_mm, bold)
    return ParagraphStyle(
        "cell",
        fontName=font_name(bold),
        fontSize=size,
        leading=size * 1.25,
        alignment=TA_RIGHT if right else 0,
        spaceAfter=after_pt,
    )


def cell(
    text: str, width_pt: float, height_mm: float, *, bold: bool = False, right: bool = False
) -> Cell:
    """A text as a cell of a width, broken into lines where it must be.

    Args:
        width_pt: the column's, ruling to ruling.
        height_mm: of a capital.
        right: whether it stands to the right.
    """
    style = text_style(height_mm, bold=bold, right=right)
    room = width_pt - PADDING_PT - PADDING_PT
    around = _BELOW_PT + _ABOVE_PT
    if not text:
        return Cell((), _cell_style(height_mm, bold, False), around)
    if _one_font(text) and _one_line_pt(text, style) <= room:
        return Cell(text, _cell_style(height_mm, bold, right), style.leading + around)
    # A paragraph is as wide as its cell, and stands to the right by itself.
    held = _Text(_broken(text, room), style)
    return Cell(held, _cell_style(height_mm, bold, False), held.wrap(room, 0.0)[1] + around)


@cache
def _cell_style(height_mm: float, bold: bool, right: bool) -> CellStyle:
    style, text = CellStyle("cell"), text_style(height_mm, bold=bold)
    style.fontname, style.fontsize, style.leading = text.fontName, text.fontSize, text.leading
    style.alignment = "RIGHT" if right else "LEFT"
    style.valign = "MIDDLE"
    style.topPadding, style.bottomPadding = _ABOVE_PT, _BELOW_PT
    style.leftPadding = style.rightPadding = PADDING_PT
    return style


def paragraph(text: str, style: ParagraphStyle) -> Paragraph:
    """A text by itself, as wide as its place."""
    return _Text(_marked_up(text), style)


def _one_font(text: str) -> bool:
    """Whether the lettering's own font has it all in the order of writing, its spaces plain."""
    plain = text == " ".join(text.split()) and "\xad" not in text
    return plain and stretches(text) == ((text, None),)


def _one_line_pt(text: str, style: ParagraphStyle) -> float:
    """How long the text is on one line; summed as `Paragraph` sums it."""
    font, size = style.fontName, style.fontSize
    space = _word_pt(" ", font, size)
    wide = -space
    for word in text.split():
        wide = wide + space + _word_pt(word, font, size)
    return wide


@lru_cache(maxsize=4096)
def _word_pt(word: str, font: str, size_pt: float) -> float:
    """A word's width: of the words of a set's tables, most come often."""
    return stringWidth(word, font, size_pt)


def _broken(text: str, width_pt: float) -> str:
    """A cell's text; broken into lines here where a line in order of setting cannot be broken."""
    if in_setting_order(text) == text:
        return _marked_up(text)
    # A table's lettering is not drawn narrower, as a drawing's is.
    lines = wrap(text, FIGURE_MM, width_pt / PT_PER_MM * WIDTH_FACTOR)
    return "<br/>".join(_marked_up(line) for line in lines)


def _marked_up(text: str) -> str:
    return "".join(
        f'<font name="{other_font(other)}">{escape(part)}</font>' if other else escape(part)
        for part, other in stretches(text)
    )

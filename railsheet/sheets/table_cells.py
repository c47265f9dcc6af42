"""The cells of a table as reportlab's flowables: most hold one line, and cost no more than that."""

from __future__ import annotations

from functools import cache, lru_cache
from xml.sax.saxutils import escape

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Paragraph

from railsheet.right_to_left import in_setting_order
from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.fonts import PT_PER_MM, font_name, font_size_pt, other_font
from railsheet.sheets.lettering import WIDTH_FACTOR, stretches, wrap

# What `Paragraph` reads as markup, or as a place where a word may be parted.
_READ_AS_MORE = frozenset("&<>\xad")


class _Line(Flowable):
    """A text that has room on one line; drawn as `Paragraph` draws one, which it costs ten times.

    Args:
        text: words with one space between each two.
        style: its font, leading and side.
        beside_pt: what its line leaves free of the column's width.
    """

    def __init__(self, text: str, style: ParagraphStyle, beside_pt: float) -> None:
        super().__init__()
        self._text = text
        self._style = style
        self._indent = beside_pt if style.alignment == TA_RIGHT else 0.0
        self._high = style.leading if text else 0.0

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:
        return aW, self._high

    def draw(self) -> None:
        if not self._text:
            return
        style, canvas = self._style, self.canv
        canvas.saveState()
        canvas.setFillColor(style.textColor)
        line = canvas.beginText(0.0, self._high - style.fontSize)
        line.setFont(style.fontName, style.fontSize, style.leading)
        if self._indent > 1e-6:
            line.setXPos(self._indent)
        line.textLine(self._text)
        if self._indent > 1e-6:
            line.setXPos(-self._indent)
        canvas.drawText(line)
        canvas.restoreState()


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


def cell(text: str, style: ParagraphStyle, width_pt: float) -> Flowable:
    """What a cell of a width holds, its text broken into lines where it must be."""
    if _one_font(text):
        beside = _beside_pt(text, style, width_pt)
        if beside >= 0.0:
            return _Line(text, style, beside)
    return _Text(_broken(text, width_pt), style)


def paragraph(text: str, style: ParagraphStyle) -> Paragraph:
    """A text by itself, as wide as its place."""
    return _Text(_marked_up(text), style)


def _one_font(text: str) -> bool:
    """Whether the lettering's own font has it all, as it is written, and nothing asks for more."""
    if text != " ".join(text.split()) or not _READ_AS_MORE.isdisjoint(text):
        return False
    return stretches(text) == (((text, None),) if text else ())


def _beside_pt(text: str, style: ParagraphStyle, width_pt: float) -> float:
    """What one line of the text leaves free of a width; summed as `Paragraph` sums it."""
    font, size = style.fontName, style.fontSize
    space = _word_pt(" ", font, size)
    wide = -space
    for word in text.split():
        wide = wide + space + _word_pt(word, font, size)
    return width_pt - wide


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

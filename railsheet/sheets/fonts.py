"""The sheet lettering set in a PDF."""

from __future__ import annotations

from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from railsheet.sheets.faces import BOLD, REGULAR, face, font_name, other_font, register
from railsheet.sheets.lettering import WIDTH_FACTOR, stretches, text_width_mm
from railsheet.sheets.pdf_number import pdf_number

__all__ = ["BOLD", "REGULAR", "WIDTH_FACTOR", "font_name", "font_size_pt", "other_font"]
__all__ += ["line_shown", "register", "text_width_mm"]

PT_PER_MM = 72.0 / 25.4


def font_size_pt(cap_height_mm: float, bold: bool = False) -> float:
    """Font size in points whose capitals stand `cap_height_mm` high."""
    return cap_height_mm * face(bold).em_per_cap * PT_PER_MM


def line_shown(canvas: Canvas, text: str, cap_height_mm: float, bold: bool = False) -> str:
    """The operators that show one line within a text object, each letter in the font that has it.

    reportlab's own text object measures each line besides and keeps a state that is not asked for
    here, which costs more than the line.
    """
    size = font_size_pt(cap_height_mm, bold)
    # What that object asks in its turn.
    doc, escaped = canvas._doc, canvas._escape  # type: ignore[attr-defined]
    shown = []
    for part, other in stretches(text):
        font: Any = pdfmetrics.getFont(other_font(other) if other else font_name(bold))
        for subset, glyphs in font.splitString(part, doc):
            name = font.getSubsetInternalName(subset, doc)
            shown.append(f"{name} {pdf_number(size)} Tf ({escaped(glyphs)}) Tj")
    return " ".join(shown)

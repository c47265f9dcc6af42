"""The sheet lettering set in a PDF."""

from __future__ import annotations

from reportlab.pdfgen.textobject import PDFTextObject

from railsheet.sheets.faces import BOLD, REGULAR, face, font_name, other_font, register
from railsheet.sheets.lettering import WIDTH_FACTOR, stretches, text_width_mm

__all__ = ["BOLD", "REGULAR", "WIDTH_FACTOR", "font_name", "font_size_pt", "other_font"]
__all__ += ["register", "text_width_mm", "write_line"]

PT_PER_MM = 72.0 / 25.4


def font_size_pt(cap_height_mm: float, bold: bool = False) -> float:
    """Font size in points whose capitals stand `cap_height_mm` high."""
    return cap_height_mm * face(bold).em_per_cap * PT_PER_MM


def write_line(out: PDFTextObject, text: str, cap_height_mm: float, bold: bool = False) -> None:
    """Write one line where the text object stands, each letter in the font that has it."""
    size = font_size_pt(cap_height_mm, bold)
    for part, other in stretches(text):
        out.setFont(other_font(other) if other else font_name(bold), size)
        out.textOut(part)

"""The sheet lettering as fonts a PDF can embed."""

from __future__ import annotations

from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.textobject import PDFTextObject

from railsheet.sheets.lettering import WIDTH_FACTOR, face, stretches, text_width_mm

__all__ = ["BOLD", "REGULAR", "WIDTH_FACTOR", "font_name", "font_size_pt", "other_font"]
__all__ += ["register", "text_width_mm", "write_line"]

REGULAR = "Railsheet"
BOLD = "Railsheet-Bold"
PT_PER_MM = 72.0 / 25.4


def register() -> None:
    """Make the sheets' own faces known to reportlab; harmless when done before.

    Raises:
        RuntimeError: the font files are missing.
    """
    known = set(pdfmetrics.getRegisteredFontNames())
    for name, bold in ((REGULAR, False), (BOLD, True)):
        if name not in known:
            pdfmetrics.registerFont(TTFont(name, str(face(bold).path)))
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )


def other_font(path: Path) -> str:
    """The name reportlab knows a face for other scripts by; its file is large, and read here."""
    name = f"Railsheet-{path.stem}"
    if name not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(name, str(path)))
        pdfmetrics.registerFontFamily(name, normal=name, bold=name, italic=name, boldItalic=name)
    return name


def font_name(bold: bool = False) -> str:
    """The name reportlab knows a face by, once registered."""
    return BOLD if bold else REGULAR


def font_size_pt(cap_height_mm: float, bold: bool = False) -> float:
    """Font size in points whose capitals stand `cap_height_mm` high."""
    return cap_height_mm * face(bold).em_per_cap * PT_PER_MM


def write_line(out: PDFTextObject, text: str, cap_height_mm: float, bold: bool = False) -> None:
    """Write one line where the text object stands, each letter in the font that has it."""
    size = font_size_pt(cap_height_mm, bold)
    for part, other in stretches(text):
        out.setFont(other_font(other) if other else font_name(bold), size)
        out.textOut(part)

"""The sheet lettering as fonts a PDF can embed."""

from __future__ import annotations

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from railsheet.sheets.lettering import WIDTH_FACTOR, face, text_width_mm

__all__ = ["BOLD", "REGULAR", "WIDTH_FACTOR", "font_name", "font_size_pt", "register"]
__all__ += ["text_width_mm"]

REGULAR = "Railsheet"
BOLD = "Railsheet-Bold"
PT_PER_MM = 72.0 / 25.4


def register() -> None:
    """Make both faces known to reportlab; harmless when done before.

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


def font_name(bold: bool = False) -> str:
    """The name reportlab knows a face by, once registered."""
    return BOLD if bold else REGULAR


def font_size_pt(cap_height_mm: float, bold: bool = False) -> float:
    """Font size in points whose capitals stand `cap_height_mm` high."""
    return cap_height_mm * face(bold).em_per_cap * PT_PER_MM

"""The faces of the lettering: each font file is read once, by reportlab, and measured there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from struct import unpack_from

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont, TTFontFace

from railsheet.letters import other_path, sheet_font_path

REGULAR = "Railsheet"
BOLD = "Railsheet-Bold"


@dataclass(frozen=True)
class Face:
    """One weight of the lettering, measured for capitals of height 1.

    Attributes:
        path: the TrueType file.
        em_per_cap: em size over the height of a capital.
        x_per_cap: height of a lower-case x over the height of a capital.
        descent_per_cap: depth of a descender below the baseline over the height of a capital.
    """

    path: Path
    em_per_cap: float
    x_per_cap: float
    descent_per_cap: float


@cache
def register() -> None:
    """Make the sheets' own faces known to reportlab; harmless when done before.

    Raises:
        RuntimeError: the font files are missing.
    """
    for bold in (False, True):
        _read(font_name(bold), sheet_font_path(bold))
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )


def font_name(bold: bool = False) -> str:
    """The name reportlab knows a face by, once registered."""
    return BOLD if bold else REGULAR


@cache
def other_font(path: Path) -> str:
    """The name reportlab knows a face for other scripts by; its file is large, and read here."""
    name = f"Railsheet-{path.stem}"
    _read(name, path)
    pdfmetrics.registerFontFamily(name, normal=name, bold=name, italic=name, boldItalic=name)
    return name


@cache
def face(bold: bool = False) -> Face:
    """The regular or the bold face.

    Raises:
        RuntimeError: the font file is not where matplotlib keeps it.
    """
    path = sheet_font_path(bold)
    read = _read(font_name(bold), path)
    cap = float(_reach(read, "H")[1])
    return Face(
        path=path,
        em_per_cap=read.unitsPerEm / cap,
        x_per_cap=_reach(read, "x")[1] / cap,
        descent_per_cap=-_reach(read, "p")[0] / cap,
    )


class _Advances(dict[str, float]):
    """Widths of characters, for capitals of height 1, each found when it is first asked for."""

    def __init__(self, bold: bool) -> None:
        super().__init__()
        self._read = _read(font_name(bold), sheet_font_path(bold))
        self._cap = float(_reach(self._read, "H")[1])
        self._em_per_cap = face(bold).em_per_cap

    def __missing__(self, char: str) -> float:
        if other := other_path(char):
            read = _read(other_font(other), other)
            em: int = read.unitsPerEm
            wide = _advance(read, char) / em * self._em_per_cap
        else:
            wide = _advance(self._read, char) / self._cap
        self[char] = wide
        return wide


@cache
def advances(bold: bool) -> dict[str, float]:
    """How far each character of the lettering moves the pen, for capitals of height 1."""
    return _Advances(bold)


@cache
def _read(name: str, path: Path) -> TTFontFace:
    """A font file as reportlab reads it, which goes by that name there from now on."""
    font = TTFont(name, str(path))
    pdfmetrics.registerFont(font)
    read: TTFontFace = font.face
    return read


def _advance(read: TTFontFace, char: str) -> int:
    """An advance in the font's own units; of a glyph that it lacks, .notdef's, its first."""
    advance: int = read.hmetrics[read.charToGlyph.get(ord(char), 0)][0]
    return advance


def _reach(read: TTFontFace, char: str) -> tuple[int, int]:
    """Lowest and highest point of a glyph, in the font's own units (OpenType: head, loca, glyf)."""
    glyph = read.charToGlyph[ord(char)]
    (long_offsets,) = unpack_from(">h", _table(read, "head"), 50)
    offset, size, unit = (">L", 4, 1) if long_offsets else (">H", 2, 2)
    (start,) = unpack_from(offset, _table(read, "loca"), size * glyph)
    low, high = unpack_from(">4xh2xh", _table(read, "glyf"), start * unit)
    return low, high


def _table(read: TTFontFace, tag: str) -> bytes:
    table: bytes = read.get_table(tag)  # type: ignore[no-untyped-call]
    return table

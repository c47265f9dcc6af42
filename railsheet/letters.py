"""Which font files letter the sheets, and which characters they have.

DejaVu Sans, shipped with matplotlib and free to embed, letters the sheets; what it has no glyph
for is taken from Droid Sans Fallback (Apache licence), then from Nanum Gothic Coding (SIL Open Font
Licence; Korean), both in `railsheet/data/fonts`.
"""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path

_FONTS = Path(__file__).parent / "data" / "fonts"
# Asked in this order.
OTHER_PATHS = (_FONTS / "DroidSansFallbackFull.ttf", _FONTS / "NanumGothicCoding.ttf")

# Latin and the punctuation of this project's own texts: in both weights of DejaVu Sans, so that
# an ordinary job is read without opening a font.
_SURE_BELOW = 0x250
_SURE_MARKS = frozenset("–—‘’“”…†′″")


def sheet_font_path(bold: bool) -> Path:
    """The TrueType file of the regular or the bold lettering.

    Raises:
        RuntimeError: it is not where matplotlib keeps it.
    """
    spec = importlib.util.find_spec("matplotlib")
    if spec is None or spec.origin is None:
        raise RuntimeError("matplotlib is not installed: its DejaVu Sans letters the sheets")
    folder = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
    path = folder / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")
    if not path.is_file():
        raise RuntimeError(f"{path} is missing: DejaVu Sans letters the sheets")
    return path


@cache
def _characters(path: Path) -> frozenset[int]:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(path, lazy=True) as font:
        return frozenset(font.getBestCmap())


def _on_sheets(char: str) -> bool:
    """Whether DejaVu Sans has a character in both weights."""
    if ord(char) < _SURE_BELOW or char in _SURE_MARKS:
        return True
    return all(ord(char) in _characters(sheet_font_path(bold)) for bold in (False, True))


def other_path(char: str) -> Path | None:
    """The other font a character is taken from; None where it is DejaVu's, or no font has it."""
    if _on_sheets(char):
        return None
    return next((path for path in OTHER_PATHS if ord(char) in _characters(path)), None)


def missing_glyphs(text: str) -> tuple[str, ...]:
    """The characters of a text that no font of the sheets has, each once, in order."""
    return tuple(
        char
        for char in dict.fromkeys(text)
        if not (char.isspace() or _on_sheets(char) or other_path(char))
    )

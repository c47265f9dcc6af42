"""Which font files letter the sheets, and which characters they have.

DejaVu Sans, shipped with matplotlib and free to embed, letters the sheets; what it has no glyph
for is taken from Droid Sans Fallback (Apache licence, `railsheet/data/fonts`).
"""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path

OTHER_PATH = Path(__file__).parent / "data" / "fonts" / "DroidSansFallbackFull.ttf"

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


def lettered_by_other(char: str) -> bool:
    """Whether a character is taken from the other font: one weight of DejaVu lacks it."""
    if ord(char) < _SURE_BELOW or char in _SURE_MARKS:
        return False
    sheet = all(ord(char) in _characters(sheet_font_path(bold)) for bold in (False, True))
    return not sheet and ord(char) in _characters(OTHER_PATH)


def missing_glyphs(text: str) -> tuple[str, ...]:
    """The characters of a text that no font of the sheets has, each once, in order."""
    return tuple(
        char
        for char in dict.fromkeys(text)
        if not (char.isspace() or ord(char) < _SURE_BELOW or char in _SURE_MARKS)
        and not all(ord(char) in _characters(sheet_font_path(bold)) for bold in (False, True))
        and ord(char) not in _characters(OTHER_PATH)
    )

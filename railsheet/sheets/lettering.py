"""The drawing's lettering: which fonts stand for it, and how much room a line of it takes.

A drawing names Arial, which a fabricator's machine has. Paper carries DejaVu Sans (free to embed,
shipped with matplotlib), drawn narrower so that figures take the width they would in Arial: what
fits in the one fits in the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from railsheet.letters import other_path, sheet_font_path
from railsheet.right_to_left import in_setting_order

# Arial's figures are 1139/2048 em wide under capitals 1466/2048 em high; DejaVu Sans has 1303 and
# 1493 (both read from the glyphs). Arial's pair is from memory.
ARIAL_FIGURE_TO_CAP = 1139.0 / 1466.0
DEJAVU_FIGURE_TO_CAP = 1303.0 / 1493.0
WIDTH_FACTOR = ARIAL_FIGURE_TO_CAP / DEJAVU_FIGURE_TO_CAP


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
def _glyphs(bold: bool) -> tuple[Face, dict[int, float], float]:
    path = sheet_font_path(bold)
    with TTFont(path, lazy=True) as font:
        outlines = font["glyf"]
        cap = float(outlines["H"].yMax)
        advances = font["hmtx"]
        widths = {code: advances[name][0] / cap for code, name in font.getBestCmap().items()}
        face = Face(
            path=path,
            em_per_cap=font["head"].unitsPerEm / cap,
            x_per_cap=outlines["x"].yMax / cap,
            descent_per_cap=-outlines["p"].yMin / cap,
        )
        missing = advances[".notdef"][0] / cap
    return face, widths, missing


def face(bold: bool = False) -> Face:
    """The regular or the bold face.

    Raises:
        RuntimeError: the font file is not where matplotlib keeps it.
    """
    return _glyphs(bold)[0]


@cache
def _other_widths(path: Path) -> dict[int, float]:
    """Advances of a font for other scripts, in em."""
    with TTFont(path, lazy=True) as font:
        advances, em = font["hmtx"], font["head"].unitsPerEm
        return {code: advances[name][0] / em for code, name in font.getBestCmap().items()}


def _advance(char: str, bold: bool) -> float:
    measured, widths, missing = _glyphs(bold)
    if other := other_path(char):
        return _other_widths(other)[ord(char)] * measured.em_per_cap
    return widths.get(ord(char), missing)


def text_width_mm(text: str, height_mm: float, bold: bool = False) -> float:
    """Printed width of one line of lettering, mm, for capitals `height_mm` high."""
    if text.isascii():
        _, widths, missing = _glyphs(bold)
        return height_mm * WIDTH_FACTOR * sum(widths.get(ord(c), missing) for c in text)
    return height_mm * WIDTH_FACTOR * sum(_advance(char, bold) for char in in_setting_order(text))


def stretches(text: str) -> tuple[tuple[str, Path | None], ...]:
    """A line of lettering, in the order of setting, cut where its font changes.

    Each part comes with the other font that has it, None where DejaVu Sans does. The others, of one
    weight and set at the same em, letter what it lacks.
    """
    if text.isascii():
        return ((text, None),) if text else ()
    glyphs = in_setting_order(text)
    return tuple(("".join(chars), other) for other, chars in groupby(glyphs, key=other_path))


@lru_cache(maxsize=1024)
def wrap(text: str, height_mm: float, width_mm: float, bold: bool = False) -> tuple[str, ...]:
    """Break `text` at its spaces into lines no wider than `width_mm`.

    A single word wider than that stands on a line of its own, unbroken.
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if line and text_width_mm(longer, height_mm, bold) > width_mm:
                lines.append(line)
                line = word
            else:
                line = longer
        lines.append(line)
    return tuple(lines)

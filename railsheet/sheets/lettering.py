"""The drawing's lettering: which fonts stand for it, and how much room a line of it takes.

A drawing names Arial, which a fabricator's machine has. Paper carries DejaVu Sans (free to embed,
shipped with matplotlib), drawn narrower so that figures take the width they would in Arial: what
fits in the one fits in the other.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from pathlib import Path

from railsheet.letters import other_path
from railsheet.right_to_left import in_setting_order
from railsheet.sheets.faces import advances

# Arial's figures are 1139/2048 em wide under capitals 1466/2048 em high; DejaVu Sans has 1303 and
# 1493 (both read from the glyphs). Arial's pair is from memory.
ARIAL_FIGURE_TO_CAP = 1139.0 / 1466.0
DEJAVU_FIGURE_TO_CAP = 1303.0 / 1493.0
WIDTH_FACTOR = ARIAL_FIGURE_TO_CAP / DEJAVU_FIGURE_TO_CAP


def text_width_mm(text: str, height_mm: float, bold: bool = False) -> float:
    """Printed width of one line of lettering, mm, for capitals `height_mm` high."""
    set_out = text if text.isascii() else in_setting_order(text)
    return height_mm * WIDTH_FACTOR * sum(map(advances(bold).__getitem__, set_out))


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

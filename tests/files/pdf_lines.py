"""The lines of text on a PDF page as they were drawn, each with its box."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pdfplumber


@dataclass(frozen=True)
class TextLine:
    """One drawn line: its characters and its box (left, top, right, bottom), pt from top left."""

    page: int
    text: str
    box: tuple[float, float, float, float]

    def overlaps(self, other: TextLine, slack: float) -> bool:
        """Whether two lines' boxes share more than the slack both ways."""
        wide = min(self.box[2], other.box[2]) - max(self.box[0], other.box[0])
        high = min(self.box[3], other.box[3]) - max(self.box[1], other.box[1])
        return wide > slack and high > slack


def read_lines(path: Path) -> tuple[list[TextLine], list[tuple[float, float]]]:
    """Every line of text, page by page in drawing order, and each page's size in pt."""
    lines: list[TextLine] = []
    sizes = []
    with pdfplumber.open(path) as pdf:
        for number, page in enumerate(pdf.pages, start=1):
            sizes.append((float(page.width), float(page.height)))
            run: list[dict] = []
            for char in page.chars:
                if run and not _continues(run[-1], char):
                    lines.append(_line(number, run))
                    run = []
                run.append(char)
            if run:
                lines.append(_line(number, run))
    return [line for line in lines if line.text], sizes


def _continues(before: dict, char: dict) -> bool:
    if before["matrix"][:4] != char["matrix"][:4]:
        return False
    a, b, _, _, x0, y0 = before["matrix"]
    _, _, _, _, x1, y1 = char["matrix"]
    size = (a * a + b * b) ** 0.5
    along = ((x1 - x0) * a + (y1 - y0) * b) / size
    across = ((y1 - y0) * a - (x1 - x0) * b) / size
    return abs(across) < 0.05 * before["size"] and -0.1 < along < 2.0 * before["size"]


def _line(page: int, chars: list[dict]) -> TextLine:
    text = "".join(char["text"] for char in chars).strip()
    inked = [char for char in chars if char["text"].strip()] or chars
    # A face's box is taller than its letters; the middle of it is where the ink is.
    box = (
        min(c["x0"] for c in inked),
        min(c["top"] for c in inked),
        max(c["x1"] for c in inked),
        max(c["bottom"] for c in inked),
    )
    return TextLine(page, text, box)

"""Where the lines of a drawing's text stand, by the sheets' own lettering.

ezdxf's text placement does the same for any face; here the lettering is known beforehand, and the
text of a sheet, which hardly ever holds a code, need not be searched letter by letter.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.enums import TextEntityAlignment
from ezdxf.math import Vec2, Vec3
from ezdxf.tools.text import text_wrap

from railsheet.sheets.drawing import LINE_PITCH
from railsheet.sheets.faces import face
from railsheet.sheets.lettering import text_width_mm

# (a, b, c, d, e, f): x' = a x + c y + e, y' = b x + d y + f.
Affine = tuple[float, float, float, float, float, float]

_STRETCHED = (TextEntityAlignment.FIT, TextEntityAlignment.ALIGNED)
_CODES_OF_A_LINE = re.compile(r"[%^\n\r]")
_CODES_OF_A_BLOCK = re.compile(r"[\\{}%^]")
# MTEXT escapes that put a letter, or begin a line; any other sets letters otherwise.
_ESCAPES = re.compile(r"\\[\\{}P~]")


class Unplaced(Exception):
    """Text set in a way that paper does not know; it says which."""


class TextLine(NamedTuple):
    """One line of text where it stands.

    Attributes:
        text: the characters.
        matrix: text axes to drawing units; (0, 0) is the left end of the baseline.
        cap_height: height of a capital, in text axes before `matrix`.
        width: of the whole line, in text axes before `matrix`.
    """

    text: str
    matrix: Affine
    cap_height: float
    width: float

    def corners(self, margin: float = 0.0, depth: float = 0.0) -> list[Vec2]:
        """The box from the baseline, or so far below it, to the height of a capital.

        Args:
            margin: room added on every side.
            depth: how far below the baseline it begins.
        """
        a, b, c, d, e, f = self.matrix
        left, right = -margin, self.width + margin
        low, high = -margin - depth, self.cap_height + margin
        return [
            Vec2(a * x + c * y + e, b * x + d * y + f)
            for x, y in ((left, low), (right, low), (right, high), (left, high))
        ]


def line_of(entity: Text, bold: bool) -> TextLine:
    """The line of a TEXT or an ATTRIB.

    Raises:
        Unplaced: it is mirrored, or stretched between two points.
    """
    dxf = entity.dxf
    align = entity.get_align_enum()
    if align in _STRETCHED or dxf.text_generation_flag or not _lies_flat(dxf.extrusion):
        raise Unplaced("mirrored or stretched text")
    text = dxf.text if not _CODES_OF_A_LINE.search(dxf.text) else entity.plain_text()
    cap = dxf.height
    width = text_width_mm(text, cap, bold)
    at = dxf.insert if align is TextEntityAlignment.LEFT else dxf.align_point
    name = align.name
    down = 0.0
    if name.startswith("TOP"):
        down = cap
    elif name == "MIDDLE":
        down = face(bold).x_per_cap * cap / 2.0
    elif name.startswith("MIDDLE"):
        down = cap / 2.0
    elif name.startswith("BOTTOM"):
        down = -face(bold).descent_per_cap * cap
    share = 1.0 if name.endswith("RIGHT") else 0.0 if name.endswith("LEFT") else 0.5
    turned = _turned(at, dxf.rotation, dxf.width, -share * width, -down)
    return TextLine(text, turned, cap, width)


def lines_of(entity: MText, bold: bool) -> list[TextLine]:
    """The lines of an MTEXT, the first on top.

    Raises:
        Unplaced: some of its letters are set otherwise than the rest.
    """
    dxf = entity.dxf
    if not _lies_flat(dxf.extrusion):
        raise Unplaced("mirrored text")
    cap = dxf.char_height
    lines = _broken(entity, bold)
    across, row = (dxf.attachment_point - 1) % 3, (dxf.attachment_point - 1) // 3
    pitch = cap * LINE_PITCH * dxf.line_spacing_factor
    last = -cap - (len(lines) - 1) * pitch
    # Level with the attachment point: the top, between the first line's x and the last baseline,
    # or below the last line's descenders.
    between = (face(bold).x_per_cap * cap - cap + last) / 2.0
    level = (0.0, between, last - face(bold).descent_per_cap * cap)[row]
    degrees = entity.get_rotation()
    placed = []
    for number, line in enumerate(lines):
        width = text_width_mm(line, cap, bold)
        up = -cap - number * pitch - level
        turned = _turned(dxf.insert, degrees, 1.0, -across * width / 2.0, up)
        placed.append(TextLine(line, turned, cap, width))
    return placed


def _broken(entity: MText, bold: bool) -> list[str]:
    """The text of an MTEXT in lines, as a reader of the drawing breaks it."""
    text = entity.text
    if _CODES_OF_A_BLOCK.search(text):
        if "\\" in _ESCAPES.sub("", text) or entity.has_columns:
            raise Unplaced(f"MTEXT with inline formatting: {text!r}")
        text = str(entity.plain_text())
    column = entity.dxf.get("width", 0.0)
    if "\n" not in text and not column:
        return [text.rstrip()] if text.strip() else []
    cap = entity.dxf.char_height
    return text_wrap(text, column or None, lambda part: text_width_mm(part, cap, bold))


def _turned(at: Vec3, degrees: float, stretch: float, along: float, up: float) -> Affine:
    """Text axes whose zero stands so far along and up from a point, turned about it."""
    if not degrees:
        return (stretch, 0.0, 0.0, 1.0, at.x + along * stretch, at.y + up)
    angle = math.radians(degrees)
    cos, sin = math.cos(angle), math.sin(angle)
    return (
        cos * stretch,
        sin * stretch,
        -sin,
        cos,
        at.x + along * stretch * cos - up * sin,
        at.y + along * stretch * sin + up * cos,
    )


def _lies_flat(extrusion: Vec3) -> bool:
    return extrusion.z > 0.0 and not extrusion.x and not extrusion.y

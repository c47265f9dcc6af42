"""The box that lettering takes, by the sheets' own face whatever faces a machine has."""

from __future__ import annotations

from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.math import Matrix44, Vec2

from railsheet.sheets.drawing import BOLD, LINE_PITCH
from railsheet.sheets.lettering import text_width_mm


def text_corners(text: Text) -> list[Vec2]:
    """The corners of one line, in drawing units."""
    high = text.dxf.height
    wide = text_width_mm(text.plain_text(), high, _bold(text)) * text.dxf.width
    align, start, _ = text.get_placement()
    return _turned(Vec2(start), wide, high, _share(align.name), text.dxf.rotation)


def mtext_corners(text: MText) -> list[Vec2]:
    """The corners of a block of lines, in drawing units."""
    cap = text.dxf.char_height
    lines = text.plain_text(split=True)
    wide = max((text_width_mm(line, cap, _bold(text)) for line in lines), default=0.0)
    high = cap + (len(lines) - 1) * cap * LINE_PITCH
    column, row = (text.dxf.attachment_point - 1) % 3, (text.dxf.attachment_point - 1) // 3
    share = (column / 2.0, (2 - row) / 2.0)
    return _turned(Vec2(text.dxf.insert), wide, high, share, text.get_rotation())


def _share(align: str) -> tuple[float, float]:
    """How much of a line of text lies left of and below its anchor, by its alignment's name."""
    middle = align.endswith("CENTER") or align == "MIDDLE"
    across = 1.0 if align.endswith("RIGHT") else 0.5 if middle else 0.0
    up = 1.0 if align.startswith("TOP") else 0.5 if align.startswith("MIDDLE") else 0.0
    return across, up


def _turned(
    anchor: Vec2, wide: float, high: float, share: tuple[float, float], degrees: float
) -> list[Vec2]:
    """The corners of a box of lettering, so much of it left of and below its anchor, turned."""
    left, low = -share[0] * wide, -share[1] * high
    turn = Matrix44.z_rotate(Vec2.from_deg_angle(degrees).angle)
    corners = ((left, low), (left + wide, low), (left + wide, low + high), (left, low + high))
    return [anchor + moved for moved in turn.fast_2d_transform(Vec2.list(corners))]


def _bold(text: Text | MText) -> bool:
    return str(text.dxf.get("style", "")) == BOLD

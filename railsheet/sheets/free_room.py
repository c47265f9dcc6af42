"""Where there is room for one more line of lettering in model space.

Only lettering stands in the way of lettering: a figure may stand over a line, on a ground of its
own, but never over another figure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import shapely
from ezdxf.entities.dimension import Dimension
from ezdxf.entities.mtext import MText
from ezdxf.enums import MTextEntityAlignment
from shapely import STRtree
from shapely.geometry import Polygon

from railsheet.sheets.drawing import BOLD, FIGURE_MM
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.pen import Pen, Point

# Paper mm kept clear round a line of lettering.
_CLEAR_MM = 0.7
# The baselines of MTEXT stand 5/3 of its height apart (DXF reference, group 44 at 1).
_LINE = 5.0 / 3.0


class FreeRoom:
    """What lettering there is, so that more can be set clear of it."""

    def __init__(self, pen: Pen) -> None:
        self._pen = pen
        self._taken = list(_lettering(pen))
        self._tree = STRtree(self._taken)
        self._known = len(self._taken)
        self._circles: dict[str, Polygon] = {}

    def stand(self, key: str, centre: Point, radius_mm: float) -> None:
        """Keep lettering off a circle, but for its own."""
        self._circles[key] = shapely.Point(centre).buffer(radius_mm)

    def free(self, text: str, at: Point, rotation_rad: float = 0.0, own: str = "") -> bool:
        """Whether a line of figures centred there would stand clear of all other lettering.

        Args:
            at: its middle, mm of the view.
            own: the key of the circle that it may stand in.
        """
        block = self._block(text, at, rotation_rad)
        if any(key != own and block.intersects(c) for key, c in self._circles.items()):
            return False
        if len(self._tree.query(block, predicate="intersects")):
            return False
        return not any(block.intersects(other) for other in self._taken[self._known :])

    def first_free(
        self, text: str, places: Iterable[tuple[Point, float]], own: str = ""
    ) -> tuple[Point, float] | None:
        """The first of some places (middle, rotation) that is free, which is then taken."""
        for at, rotation in places:
            if self.free(text, at, rotation, own):
                self.take(text, at, rotation)
                return at, rotation
        return None

    def take(self, text: str, at: Point, rotation_rad: float = 0.0) -> None:
        """Keep a place for a line of figures centred there."""
        self._taken.append(self._block(text, at, rotation_rad))

    def mark(self) -> int:
        """How much is taken, for ``back_to``."""
        return len(self._taken)

    def back_to(self, mark: int) -> None:
        """Give up every place taken since."""
        del self._taken[mark:]

    def _block(self, text: str, at: Point, rotation_rad: float) -> Polygon:
        wide = self._pen.paper(text_width_mm(text, FIGURE_MM) + 2 * _CLEAR_MM)
        high = self._pen.paper(FIGURE_MM + 2 * _CLEAR_MM)
        return _turned(at, (-wide / 2, -high / 2, wide / 2, high / 2), rotation_rad)


def _lettering(pen: Pen) -> Iterator[Polygon]:
    """Every line of lettering in model space, as it stands in the pen's view."""
    per = pen.at((1.0, 0.0))[0] - pen.at((0.0, 0.0))[0]
    left, low = pen.at((0.0, 0.0))
    for entity in pen.msp:
        parts: Iterable[object] = [entity]
        if isinstance(entity, Dimension):
            parts = entity.get_geometry_block() or ()
        for text in parts:
            if not isinstance(text, MText):
                continue
            x, y, _ = text.dxf.insert
            at = (x - left) / per, (y - low) / per
            high = text.dxf.char_height / per
            lines = text.plain_text(split=True)
            bold = text.dxf.style == BOLD
            wide = max(text_width_mm(line, high, bold) for line in lines)
            deep = high * (1 + _LINE * (len(lines) - 1))
            yield _turned(
                at, _about(text.dxf.attachment_point, wide, deep), math.radians(text.dxf.rotation)
            )


def _about(attachment: int, wide: float, high: float) -> tuple[float, float, float, float]:
    """A block's left, bottom, right and top from its attachment point."""
    column = (attachment - 1) % 3
    row = (MTextEntityAlignment(attachment) - 1) // 3
    left, top = -wide * column / 2, high * row / 2
    return left, top - high, left + wide, top


def _turned(at: Point, box: tuple[float, float, float, float], rotation_rad: float) -> Polygon:
    cos, sin = math.cos(rotation_rad), math.sin(rotation_rad)
    left, bottom, right, top = box
    corners = (left, bottom), (right, bottom), (right, top), (left, top)
    return Polygon([(at[0] + x * cos - y * sin, at[1] + x * sin + y * cos) for x, y in corners])

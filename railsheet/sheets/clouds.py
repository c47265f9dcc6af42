"""Revision clouds: a scalloped line round every figure that changed."""

from __future__ import annotations

import math
from collections.abc import Set as AbstractSet

from ezdxf.document import Drawing
from ezdxf.entities.dimension import Dimension
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.layouts.base import BaseLayout
from ezdxf.math import BoundingBox2d, Vec2

from railsheet.sheets.drawing import DETAIL, figure_key
from railsheet.sheets.layers import INKS
from railsheet.sheets.text_box import mtext_corners, text_corners

LAYER = "REVISION"
# Over the height of a capital: room between figure and cloud, and the chord of one scallop.
_ROOM, _CHORD = 0.4, 1.2
# A bulge of tan(angle / 4) for arcs of 110 degrees, outward on a line that runs anticlockwise.
_BULGE = math.tan(math.radians(110.0) / 4.0)
# How far an arc rises over its chord: half the bulge.
_RISE = _BULGE / 2.0
_PEN = 35


def cloud_changes(doc: Drawing, keys: AbstractSet[str]) -> int:
    """Draw a cloud round each dimension and each piece of lettering whose figure is among the keys.

    Clouds that would run into each other are drawn as one.

    Returns:
        How many figures stand in clouds.
    """
    count = 0
    for layout in doc.layouts:
        boxes: dict[tuple[str, float], list[BoundingBox2d]] = {}
        for entity in layout:
            text = _lettering(entity) if figure_key(entity) in keys else None
            if text is None:
                continue
            cap = text.dxf.char_height if isinstance(text, MText) else text.dxf.height
            corners = mtext_corners(text) if isinstance(text, MText) else text_corners(text)
            box = BoundingBox2d(corners)
            box.grow(_ROOM * cap)
            # What only a larger view shows keeps its cloud to itself.
            layer = DETAIL if entity.dxf.layer == DETAIL else LAYER
            boxes.setdefault((layer, cap), []).append(box)
            count += 1
        for (layer, cap), found in boxes.items():
            for box in _merged(found, cap):
                _cloud(layout, box, cap, layer)
    return count


def _lettering(entity: DXFEntity) -> Text | MText | None:
    """The text of a dimension, or lettering itself."""
    if isinstance(entity, Dimension):
        return next((e for e in entity.get_geometry_block() or () if isinstance(e, MText)), None)
    return entity if isinstance(entity, Text | MText) else None


def _merged(boxes: list[BoundingBox2d], cap: float) -> list[BoundingBox2d]:
    """Boxes whose clouds would touch, as one box each."""
    merged: list[BoundingBox2d] = []
    for box in boxes:
        grown = box
        while True:
            reach = BoundingBox2d(grown)
            reach.grow(2 * _CHORD * cap * _RISE)
            near = [other for other in merged if reach.has_overlap(other)]
            if not near:
                break
            merged = [other for other in merged if other not in near]
            for other in near:
                grown = BoundingBox2d((grown.extmin, grown.extmax, other.extmin, other.extmax))
        merged.append(grown)
    return merged


def _cloud(layout: BaseLayout, box: BoundingBox2d, cap: float, layer: str) -> None:
    low, high = box.extmin, box.extmax
    corners = [low, Vec2(high.x, low.y), high, Vec2(low.x, high.y)]
    points = []
    for start, end in zip(corners, [*corners[1:], corners[0]], strict=True):
        pieces = max(1, round(start.distance(end) / (_CHORD * cap)))
        points += [(*start.lerp(end, n / pieces), _BULGE) for n in range(pieces)]
    line = layout.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer})
    line.rgb = INKS[LAYER]
    line.dxf.lineweight = _PEN

"""How far a drawing reaches, and the views that open on all of it."""

from __future__ import annotations

from collections.abc import Iterable

from ezdxf import bbox
from ezdxf.disassemble import recursive_decompose
from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.layouts.layout import Paperspace
from ezdxf.math import BoundingBox2d, Matrix44, Vec2

from railsheet.sheets.drawing import BOLD, LINE_PITCH
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import sheet_layouts

# A window on a screen is about this much wider than high; common practice, no source.
_SCREEN = 16.0 / 10.0
# Room left round the drawing when it is opened.
_AROUND = 1.05


def fit_views(doc: Drawing) -> None:
    """State how far model space and each sheet reach, and open each on the whole of it."""
    reach = extents(doc.modelspace())
    msp = doc.modelspace()
    if reach.has_data:
        low, high = reach.extmin, reach.extmax
        msp.reset_extents((low.x, low.y, 0.0), (high.x, high.y, 0.0))
        msp.reset_limits((low.x, low.y), (high.x, high.y))
        wide, tall = reach.size.x, reach.size.y
        doc.set_modelspace_vport(
            max(tall, wide / _SCREEN) * _AROUND,
            (reach.center.x, reach.center.y),
            dxfattribs={"aspect_ratio": _SCREEN},
        )
    for layout in sheet_layouts(doc):
        _fit_sheet(layout)


def _fit_sheet(layout: Paperspace) -> None:
    wide, high = float(layout.dxf.paper_width), float(layout.dxf.paper_height)
    layout.reset_extents((0.0, 0.0, 0.0), (wide, high, 0.0))
    layout.reset_limits((0.0, 0.0), (wide, high))
    shown = max(high, wide / _SCREEN) * _AROUND
    main = layout.reset_main_viewport((wide / 2, high / 2), (shown * _SCREEN, shown))
    main.dxf.view_center_point = (wide / 2, high / 2)
    main.dxf.view_height = shown


def extents(entities: Iterable[DXFEntity]) -> BoundingBox2d:
    """The box round everything drawn, in drawing units.

    Lettering counts with the widths of the sheets' own face, so that the box does not depend on
    which faces a machine has.
    """
    box = BoundingBox2d()
    shapes: list[DXFEntity] = []
    for entity in recursive_decompose(entities):
        if isinstance(entity, MText):
            box.extend(_mtext_corners(entity))
        elif isinstance(entity, Text):
            if not entity.dxf.get("invisible", 0) and not getattr(entity, "is_invisible", False):
                box.extend(_text_corners(entity))
        else:
            shapes.append(entity)
    drawn = bbox.extents(shapes, fast=True)
    if drawn.has_data:
        box.extend((drawn.extmin.vec2, drawn.extmax.vec2))
    return box


def _text_corners(text: Text) -> list[Vec2]:
    high = text.dxf.height
    wide = text_width_mm(text.plain_text(), high, _bold(text)) * text.dxf.width
    align, start, _ = text.get_placement()
    return _turned(Vec2(start), wide, high, _share(align.name), text.dxf.rotation)


def _share(align: str) -> tuple[float, float]:
    """How much of a line of text lies left of and below its anchor, by its alignment's name."""
    middle = align.endswith("CENTER") or align == "MIDDLE"
    across = 1.0 if align.endswith("RIGHT") else 0.5 if middle else 0.0
    up = 1.0 if align.startswith("TOP") else 0.5 if align.startswith("MIDDLE") else 0.0
    return across, up


def _mtext_corners(text: MText) -> list[Vec2]:
    cap = text.dxf.char_height
    lines = text.plain_text(split=True)
    wide = max((text_width_mm(line, cap, _bold(text)) for line in lines), default=0.0)
    high = cap + (len(lines) - 1) * cap * LINE_PITCH
    column, row = (text.dxf.attachment_point - 1) % 3, (text.dxf.attachment_point - 1) // 3
    share = (column / 2.0, (2 - row) / 2.0)
    return _turned(Vec2(text.dxf.insert), wide, high, share, text.get_rotation())


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

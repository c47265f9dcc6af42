"""How far a drawing reaches, and the views that open on all of it."""

from __future__ import annotations

from collections.abc import Iterable

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace
from ezdxf.math import BoundingBox2d, Vec2

from railsheet.export.pieces import Fill, Piece, Words
from railsheet.export.sight import Sight
from railsheet.sheets.paper import sheet_layouts

# A window on a screen is about this much wider than high; common practice, no source.
_SCREEN = 16.0 / 10.0
# Room left round the drawing when it is opened.
_AROUND = 1.05


def fit_views(doc: Drawing, sight: Sight) -> None:
    """State how far model space and each sheet reach, and open each on the whole of it."""
    reach = extents(piece for shown in sight.model(doc) for piece in shown.pieces)
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


def extents(pieces: Iterable[Piece]) -> BoundingBox2d:
    """The box round everything drawn, in drawing units.

    Lettering counts with the widths of the sheets' own face, so that the box does not depend on
    which faces a machine has.
    """
    points: list[Vec2] = []
    for piece in pieces:
        if isinstance(piece, Words):
            # Hidden words are what a part says of itself to a program.
            if piece.pen.shown:
                points += piece.line.corners()
        elif not (isinstance(piece, Fill) and piece.mask):
            points += (point for outline in piece.outlines for point in outline.points)
    return BoundingBox2d(points)

"""Areas of a drawing: filled, or hatched at a spacing that is the same on paper at every scale."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ezdxf.entities.hatch import Hatch
from ezdxf.layouts.base import BaseLayout

from railsheet.sheets.drawing import per_paper_mm
from railsheet.sheets.scales import Scale

SPACING_MM = 1.8
# What is cut through is small: a 2 in post at 1:24 is 2 mm of paper.
SECTION_SPACING_MM = 0.8
SLOPE_RAD = math.pi / 4.0


def add_hatching(
    layout: BaseLayout,
    outline: Sequence[tuple[float, float]],
    *,
    scale: Scale | None = None,
    spacing_mm: float = SPACING_MM,
    slope_rad: float = SLOPE_RAD,
    layer: str = "WINDOW",
) -> Hatch:
    """Hatch a polygon with parallel lines.

    Args:
        layout: model space, or a sheet's paper space.
        outline: its corners, drawing units.
        scale: the scale model space will be seen at; None on paper.
        spacing_mm: between lines, square to them, on paper.
        slope_rad: direction of the lines.
        layer: layer name.
    """
    hatch = layout.add_hatch(color=256, dxfattribs={"layer": layer})
    step = spacing_mm * per_paper_mm(layout, scale)
    offset = (-step * math.sin(slope_rad), step * math.cos(slope_rad))
    # The pattern is spelled out in drawing units: the ready-made one's spacing depends on a
    # setting of the reader's.
    # Begun a little off zero, no line runs through a corner of a shape drawn at round figures.
    start = (step * 0.3183, step * 0.1234)
    hatch.set_pattern_fill("RS-HATCH", definition=[[math.degrees(slope_rad), start, offset, []]])
    hatch.paths.add_polyline_path(outline, is_closed=True)
    return hatch


def add_fill(
    layout: BaseLayout,
    outline: Sequence[tuple[float, float]],
    *,
    layer: str,
    true_color: tuple[int, int, int] | None = None,
) -> Hatch:
    """Fill a polygon in its layer's colour, or in a colour of its own."""
    hatch = layout.add_hatch(color=256, dxfattribs={"layer": layer})
    hatch.set_solid_fill(color=256)
    if true_color is not None:
        hatch.rgb = true_color
    hatch.paths.add_polyline_path(outline, is_closed=True)
    return hatch

"""The strip along the foot of a sheet: whose stair, which sheet, what scale, on what terms."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import (
    FIGURE_MM,
    HEADING_MM,
    LINE_PITCH,
    SMALL_MM,
    add_note,
    add_text,
    document_unit,
)
from railsheet.sheets.lettering import text_width_mm, wrap
from railsheet.sheets.paper import Paper, Rect
from railsheet.sheets.scales import Scale, scale_bar

STRIP_MM = 25.0
PAD_MM = 2.5
GAP_ABOVE_MM = 4.0
# Columns of the strip as shares of its width: the job; the sheet and its basis; scale; number.
_COLUMNS = (0.29, 0.33, 0.25, 0.13)
# Squeezed further, figures are hard to tell apart; common practice, no source.
_NARROWEST = 0.75

# A sheet of views at several scales.
EACH: Literal["each"] = "each"
Shown = Scale | Literal["each"] | None


@dataclass(frozen=True)
class TitleBlock:
    """What the strip says.

    Attributes:
        job: name of the job.
        place: where the stair is.
        measured_by: who took the measurements.
        date: of the measurements, as it is to be printed.
        title: of this sheet.
        number: of this sheet, from 1.
        of: how many sheets the set has.
        scale: of the views; EACH where each says its own; None for a sheet not drawn to scale.
        rounding: units and rounding, a sentence.
        kit: the rail system.
        code: the code profile.
        caution: the line across the foot.
    """

    job: str
    place: str
    measured_by: str
    date: str
    title: str
    number: int
    of: int
    scale: Shown
    rounding: str
    kit: str
    code: str
    caution: str


def _caution_lines(sheet: Paper, caution: str) -> tuple[str, ...]:
    width, _ = sheet.frame.size
    return wrap(caution, SMALL_MM, width - 2.0 * PAD_MM) if caution else ()


def _caution_mm(sheet: Paper, caution: str) -> float:
    lines = len(_caution_lines(sheet, caution))
    return (lines - 1) * SMALL_MM * LINE_PITCH + SMALL_MM + 2.0 * PAD_MM if lines else 0.0


def room_for(sheet: Paper, caution: str) -> Rect:
    """The space a sheet leaves for drawing, mm, above a strip with this caution."""
    frame = sheet.frame
    foot = frame.bottom + _caution_mm(sheet, caution) + STRIP_MM + GAP_ABOVE_MM
    return Rect(
        frame.left + GAP_ABOVE_MM, foot, frame.right - GAP_ABOVE_MM, frame.top - GAP_ABOVE_MM
    )


def fitted(text: str, height_mm: float, width_mm: float, bold: bool = False) -> tuple[str, float]:
    """Text and width factor that keep one line within `width_mm`, shortened only as a last resort.

    A shortened text ends in an ellipsis.
    """
    text = " ".join(text.split())
    width = text_width_mm(text, height_mm, bold)
    if width <= width_mm:
        return text, 1.0
    if width * _NARROWEST <= width_mm:
        return text, width_mm / width
    while text and text_width_mm(text + "…", height_mm, bold) * _NARROWEST > width_mm:
        text = text[:-1].rstrip()
    return text + "…", _NARROWEST


def title_block(layout: Paperspace, sheet: Paper, block: TitleBlock) -> Rect:
    """Draw border and strip.

    Returns:
        The space left for drawing, mm: what `room_for` gives.
    """
    frame = sheet.frame
    corners = [
        (frame.left, frame.bottom),
        (frame.right, frame.bottom),
        (frame.right, frame.top),
        (frame.left, frame.top),
    ]
    layout.add_lwpolyline(corners, close=True, dxfattribs={"layer": "BORDER"})
    caution = _caution_mm(sheet, block.caution)
    foot = frame.bottom + caution
    head = foot + STRIP_MM
    _rule(layout, (frame.left, head), (frame.right, head), "BORDER")
    if caution:
        _rule(layout, (frame.left, foot), (frame.right, foot), "TITLE")
        lines = "\n".join(_caution_lines(sheet, block.caution))
        add_note(
            layout,
            lines,
            (frame.left + PAD_MM, foot - PAD_MM),
            height_mm=SMALL_MM,
            layer="TITLE",
        )
    edges = [frame.left]
    for share in _COLUMNS:
        edges.append(edges[-1] + share * frame.size[0])
    for x in edges[1:-1]:
        _rule(layout, (x, foot), (x, head), "TITLE")
    job, basis, scale, number = (
        Rect(left, foot, right, head).inset(PAD_MM) for left, right in pairwise(edges)
    )
    _stack(
        layout,
        job,
        (
            (block.job, HEADING_MM, True),
            (block.place, FIGURE_MM, False),
            (f"Measured by {block.measured_by}" if block.measured_by else "", FIGURE_MM, False),
            (block.date, FIGURE_MM, False),
        ),
    )
    _stack(
        layout,
        basis,
        (
            (block.title, HEADING_MM, True),
            (f"Rail: {block.kit}" if block.kit else "", FIGURE_MM, False),
            (f"Checked against: {block.code}" if block.code else "", FIGURE_MM, False),
            (block.rounding, FIGURE_MM, False),
        ),
    )
    _scale_box(layout, scale, block)
    _stack(
        layout,
        number,
        (
            ("Sheet", FIGURE_MM, False),
            (f"{block.number} of {block.of}", HEADING_MM, True),
            (sheet.name, FIGURE_MM, False),
        ),
    )
    return room_for(sheet, block.caution)


def _rule(
    layout: Paperspace, start: tuple[float, float], end: tuple[float, float], layer: str
) -> None:
    layout.add_line(start, end, dxfattribs={"layer": layer})


def _stack(layout: Paperspace, box: Rect, lines: tuple[tuple[str, float, bool], ...]) -> None:
    """Lines of text from the top of a box down; an empty one keeps its place."""
    y = box.top
    for text, height, bold in lines:
        y -= height
        if text:
            shown, factor = fitted(text, height, box.size[0], bold)
            add_text(
                layout,
                shown,
                (box.left, y),
                height_mm=height,
                layer="TITLE",
                bold=bold,
                width_factor=factor,
            )
        y -= height * 0.95


def _scale_box(layout: Paperspace, box: Rect, block: TitleBlock) -> None:
    if block.scale is None:
        _stack(layout, box, (("Not to scale", FIGURE_MM, False),))
        return
    if block.scale == EACH:
        _stack(layout, box, (("Scale", FIGURE_MM, False), ("at each view", HEADING_MM, True)))
        return
    assert isinstance(block.scale, Scale)
    assert layout.doc is not None
    unit = document_unit(layout.doc)
    _stack(
        layout,
        box,
        (("Scale", FIGURE_MM, False), (block.scale.name, HEADING_MM, True)),
    )
    # The last label overhangs its block's end by half its width and the unit's name.
    bar = scale_bar(block.scale, unit, box.size[0] - 8.0)
    block_mm = block.scale.paper_mm(bar.block, unit)
    left, bottom, thick = box.left + 1.0, box.bottom + SMALL_MM + 1.2, 1.6
    for i in range(bar.blocks):
        x0, x1 = left + i * block_mm, left + (i + 1) * block_mm
        y0, y1 = bottom, bottom + thick
        layout.add_lwpolyline(
            [(x0, y0), (x1, y0), (x1, y1), (x0, y1)], close=True, dxfattribs={"layer": "TITLE"}
        )
        if i % 2 == 0:
            layout.add_solid(
                [(x0, y0), (x1, y0), (x0, y1), (x1, y1)], dxfattribs={"layer": "TITLE"}
            )
    free_from = -1.0e9
    for i, label in enumerate(bar.labels):
        x = left + i * block_mm
        figure = label.split()[0]
        half = text_width_mm(figure, SMALL_MM) / 2.0
        last = i == bar.blocks
        # A label that would touch its neighbour is left out; the two ends always stay.
        end_from = left + bar.blocks * block_mm - text_width_mm(bar.labels[-1], SMALL_MM) / 2.0
        if not last and (x - half < free_from or (i and x + half + 0.8 > end_from)):
            continue
        add_text(
            layout,
            label,
            (x - half, box.bottom),
            height_mm=SMALL_MM,
            align=TextEntityAlignment.LEFT,
            layer="TITLE",
        )
        free_from = x + half + 0.8

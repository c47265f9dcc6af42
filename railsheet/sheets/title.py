"""The strip along the foot of a sheet: whose stair, which sheet, what scale, on what terms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.base import BaseLayout
from ezdxf.layouts.blocklayout import BlockLayout
from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import (
    BOLD,
    FIGURE_MM,
    HEADING_MM,
    LINE_PITCH,
    REGULAR,
    SMALL_MM,
    add_note,
    add_text,
    document_unit,
    one_line,
)
from railsheet.sheets.lettering import text_width_mm, wrap
from railsheet.sheets.paper import Paper, Rect
from railsheet.sheets.scales import Scale, scale_bar

if TYPE_CHECKING:
    from railsheet.job.revision import Revision

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
_UNSCALED: dict[Literal["each"] | None, str] = {
    None: "Not to scale",
    EACH: "Scale: at each view",
}


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
        revision: of the job; None before the first.
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
    revision: Revision | None = None


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


def _on_one_line(text: str, width_mm: float) -> bool:
    """Whether a line of the strip need not be shortened, in letters as high as a figure."""
    return text_width_mm(text, FIGURE_MM) * _NARROWEST <= width_mm


def title_block(layout: Paperspace, sheet: Paper, block: TitleBlock) -> Rect:
    """Draw border and strip: one block, its fields as attributes of its insertion.

    Returns:
        The space left for drawing, mm: what `room_for` gives.
    """
    frame = sheet.frame
    foot = frame.bottom + _caution_mm(sheet, block.caution)
    edges = [frame.left]
    for share in _COLUMNS:
        edges.append(edges[-1] + share * frame.size[0])
    job, basis, scale, number = (
        Rect(left, foot, right, foot + STRIP_MM).inset(PAD_MM) for left, right in pairwise(edges)
    )
    fields = (
        *_stack(
            job,
            (
                Field("JOB", "Job", block.job, HEADING_MM, True),
                Field("PLACE", "Where it is", block.place),
                Field(
                    "MEASURED_BY",
                    "Who measured",
                    f"Measured by {block.measured_by}" if block.measured_by else "",
                ),
                Field("DATE", "Date of the measurements", block.date),
            ),
        ),
        *_stack(
            basis,
            (
                Field("TITLE", "Title of the sheet", block.title, HEADING_MM, True),
                Field("RAIL", "Rail system", f"Rail: {block.kit}" if block.kit else ""),
                Field(
                    "CODE",
                    "What it was checked against",
                    f"Checked against: {block.code}" if block.code else "",
                ),
                Field("ROUNDING", "Unit and rounding", block.rounding),
            ),
        ),
        *_stack(
            scale,
            (Field("SCALE", "Scale of the main view", _UNSCALED[block.scale]),)
            if not isinstance(block.scale, Scale)
            else (
                Field("SCALE_HEAD", "Heading", "Scale"),
                Field("SCALE", "Scale of the main view", block.scale.name, HEADING_MM, True),
            ),
        ),
        *_stack(number, _numbered(sheet, block, number.size[0])),
    )
    _insert(layout, _definition(layout, sheet, block, edges, fields), fields)
    if isinstance(block.scale, Scale):
        _draw_scale_bar(layout, scale, block.scale)
    return room_for(sheet, block.caution)


@dataclass(frozen=True)
class Field:
    """One line of the strip.

    Attributes:
        tag: its attribute's name.
        prompt: what a CAD program asks for.
        text: as it stands on this sheet; empty keeps its place.
        height_mm: height of a capital.
        at_mm: left end of its baseline.
        factor: how far it is squeezed along its line.
    """

    tag: str
    prompt: str
    text: str
    height_mm: float = FIGURE_MM
    bold: bool = False
    at_mm: tuple[float, float] = (0.0, 0.0)
    factor: float = 1.0

    @property
    def lettering(self) -> dict[str, object]:
        """How a DXF attribute shows it."""
        return {
            "layer": "TITLE",
            "style": BOLD if self.bold else REGULAR,
            "height": self.height_mm,
            "width": self.factor,
        }


def _numbered(sheet: Paper, block: TitleBlock, width_mm: float) -> tuple[Field, ...]:
    """Which sheet of which revision: a date that would be cut short takes a line of its own."""
    asked, revision = "Revision of the job", block.revision
    count = f"{block.number} of {block.of}"
    number = Field("SHEET", "Number of the sheet", count, HEADING_MM, True)
    if revision is not None and not _on_one_line(revision.words, width_mm):
        return (
            Field("PAPER", "Size of paper", f"Sheet, {sheet.name}"),
            number,
            Field("REVISION", asked, f"Rev {revision.mark}"),
            Field("REVISION_DATE", "Date of the revision", revision.date.isoformat()),
        )
    return (
        Field("SHEET_HEAD", "Heading", "Sheet"),
        number,
        Field("PAPER", "Size of paper", sheet.name),
        Field("REVISION", asked, "" if revision is None else revision.words),
    )


def _stack(box: Rect, fields: tuple[Field, ...]) -> Iterator[Field]:
    """Lines of text from the top of a box down; an empty one keeps its place."""
    y = box.top
    for field in fields:
        y -= field.height_mm
        shown, factor = fitted(field.text, field.height_mm, box.size[0], field.bold)
        yield replace(field, text=shown, at_mm=(box.left, y), factor=factor)
        y -= field.height_mm * 0.95


def _definition(
    layout: Paperspace,
    sheet: Paper,
    block: TitleBlock,
    edges: Sequence[float],
    fields: Sequence[Field],
) -> BlockLayout:
    """The document's block for strips of this paper, turn, caution, kind of scale and fields."""
    assert layout.doc is not None
    lines = _caution_lines(sheet, block.caution)
    turned = "UPRIGHT" if sheet.height_mm > sheet.width_mm else "LEVEL"
    scaled = "SCALED" if isinstance(block.scale, Scale) else "TEXT"
    name = f"TITLE-{sheet.name.upper()}-{turned}-{scaled}-{len(lines)}"
    if any(field.tag == "REVISION_DATE" for field in fields):
        name += "-DATED"
    blocks = layout.doc.blocks
    if name in blocks:
        return blocks.get(name)
    made = blocks.new(name)
    frame = sheet.frame
    foot = frame.bottom + _caution_mm(sheet, block.caution)
    head = foot + STRIP_MM
    corners = [
        (frame.left, frame.bottom),
        (frame.right, frame.bottom),
        (frame.right, frame.top),
        (frame.left, frame.top),
    ]
    made.add_lwpolyline(corners, close=True, dxfattribs={"layer": "BORDER"})
    _rule(made, (frame.left, head), (frame.right, head), "BORDER")
    if lines:
        _rule(made, (frame.left, foot), (frame.right, foot), "TITLE")
        add_note(
            made,
            "\n".join(lines),
            (frame.left + PAD_MM, foot - PAD_MM),
            height_mm=SMALL_MM,
            layer="TITLE",
        )
    for x in edges[1:-1]:
        _rule(made, (x, foot), (x, head), "TITLE")
    for field in fields:
        definition = made.add_attdef(
            field.tag, field.at_mm, dxfattribs={**field.lettering, "width": 1.0}
        )
        definition.dxf.prompt = field.prompt
    return made


def _insert(layout: Paperspace, block: BlockLayout, fields: Sequence[Field]) -> None:
    insert = layout.add_blockref(block.name, (0.0, 0.0), dxfattribs={"layer": "TITLE"})
    for field in fields:
        insert.add_attrib(field.tag, one_line(field.text), field.at_mm, dxfattribs=field.lettering)


def _rule(
    layout: BaseLayout, start: tuple[float, float], end: tuple[float, float], layer: str
) -> None:
    layout.add_line(start, end, dxfattribs={"layer": layer})


def _draw_scale_bar(layout: Paperspace, box: Rect, scale: Scale) -> None:
    assert layout.doc is not None
    unit = document_unit(layout.doc)
    # The last label overhangs its block's end by half its width and the unit's name.
    bar = scale_bar(scale, unit, box.size[0] - 8.0)
    block_mm = scale.paper_mm(bar.block, unit)
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

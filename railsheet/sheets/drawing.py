"""The drawing the whole sheet set lives in: document, layers, lettering and figure keys.

One DXF document holds a set. Model space is the stair at full size in the job's unit; each sheet is
a paper space in millimetres of paper whose viewports look at model space at a standard scale.
"""

from __future__ import annotations

import math

from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.enums import MTextEntityAlignment, TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.base import BaseLayout

from railsheet.right_to_left import guarded
from railsheet.sheets.dimension_parts import WithoutPoints
from railsheet.sheets.layers import LineType, add_layers
from railsheet.sheets.lettering import wrap
from railsheet.sheets.scales import MM_PER_UNIT, Scale, Unit

APPID = "RAILSHEET"
REGULAR = "RAILSHEET"
BOLD = "RAILSHEET-BOLD"
# What a larger view of a place adds there; hidden in the view that shows the whole.
DETAIL = "DETAIL"

# Heights of capitals on paper, mm. 2.5 and 3.5 are from the ISO 3098 series; nothing a saw is set
# by is smaller than 2.5.
FIGURE_MM = 2.5
HEADING_MM = 3.5
SMALL_MM = 2.0

# Distance from one baseline to the next over the height of a capital: MTEXT's own, at factor 1.
LINE_PITCH = 5.0 / 3.0

# Dash patterns in millimetres of paper, as the viewports show them ($PSLTSCALE = 1). Lengths follow
# the proportions of ISO 128-20 for a 0.25 mm pen: dash 12, gap 3, long dash 24, dot 0.5 pen widths.
_LINETYPES: tuple[tuple[LineType, str, tuple[float, ...]], ...] = (
    ("RS-HIDDEN", "Hidden __ __ __", (3.0, -0.9)),
    ("RS-DASHED", "Dashed ____ ____", (6.0, -1.5)),
    ("RS-CENTRE", "Centre ____ _ ____ _", (8.0, -1.2, 1.2, -1.2)),
)


def new_document(unit: Unit, rounding: float) -> Drawing:
    """An empty sheet set.

    Args:
        unit: the job's unit; model space is measured in it.
        rounding: what dimensions are rounded to, in that unit: 1/16 in, 1 mm. Kept in the document
            for the dimension styles.

    Raises:
        ValueError: an inch rounding that is not one over a power of two, or no rounding at all.
    """
    if rounding <= 0.0 or (unit == "in" and not math.log2(1.0 / rounding).is_integer()):
        raise ValueError(f"{rounding} {unit} is no rounding a tape or a drawing can show")
    doc = new("R2010", setup=False)
    doc.units = units.IN if unit == "in" else units.MM
    doc.header["$MEASUREMENT"] = 0 if unit == "in" else 1
    doc.header["$LUNITS"] = 5 if unit == "in" else 2
    doc.header["$LUPREC"] = fraction_places(rounding) if unit == "in" else 1
    doc.header["$PSLTSCALE"] = 1
    doc.header["$LTSCALE"] = 1.0
    doc.header["$LWDISPLAY"] = 1
    doc.header["$DIMRND"] = rounding
    doc.dimension_renderer = WithoutPoints()
    doc.appids.add(APPID)
    doc.styles.add(REGULAR, font="arial.ttf")
    doc.styles.add(BOLD, font="arialbd.ttf")
    for name, description, pattern in _LINETYPES:
        total = sum(abs(p) for p in pattern)
        doc.linetypes.add(name, [total, *pattern], description=description)
    add_layers(doc)
    return doc


def document_unit(doc: Drawing) -> Unit:
    """The unit model space is measured in."""
    return "in" if doc.units == units.IN else "mm"


def document_rounding(doc: Drawing) -> float:
    """What dimensions are rounded to, in the document's unit."""
    return float(doc.header["$DIMRND"])


def fraction_places(rounding: float) -> int:
    """The DXF precision of an inch fraction: 4 for sixteenths."""
    return round(math.log2(1.0 / rounding))


def per_paper_mm(layout: BaseLayout, scale: Scale | None) -> float:
    """Drawing units that show as 1 mm on paper: 1 in paper space, by the scale in model space."""
    if scale is None:
        return 1.0
    assert layout.doc is not None
    return scale.true(1.0, document_unit(layout.doc))


def tag(entity: DXFEntity, key: str | None) -> None:
    """Attach the key of the figure an entity shows, so that it can be held against its table."""
    if key is not None:
        entity.set_xdata(APPID, [(1000, key)])


def figure_key(entity: DXFEntity) -> str | None:
    """The key of the figure an entity shows, if it shows one."""
    if not entity.has_xdata(APPID):
        return None
    return str(entity.get_xdata(APPID)[0].value)


def one_line(text: str) -> str:
    """Text as a TEXT entity must hold it so that it reads back as written."""
    flat = guarded(" ".join(text.split()))
    # A zero-width space between percent signs keeps %%d from turning into a degree sign.
    return flat.replace("^", "^ ").replace("%%", "%\u200b%")


def mtext_escape(text: str) -> str:
    """Text as an MTEXT entity must hold it so that it reads back as written."""
    text = guarded(text)
    for char in "\\{}":
        text = text.replace(char, "\\" + char)
    return text.replace("^", "^ ").replace("%%", "%\u200b%").replace("\n", "\\P")


def add_text(
    layout: BaseLayout,
    text: str,
    at: tuple[float, float],
    *,
    scale: Scale | None = None,
    height_mm: float = FIGURE_MM,
    align: TextEntityAlignment = TextEntityAlignment.LEFT,
    rotation_rad: float = 0.0,
    layer: str = "TEXT",
    bold: bool = False,
    width_factor: float = 1.0,
    key: str | None = None,
) -> Text:
    """One line of lettering.

    Args:
        layout: model space, or a sheet's paper space.
        text: shown as written, on one line.
        at: the alignment point, in drawing units.
        scale: the scale model space will be seen at; None on paper.
        height_mm: height of a capital on paper, mm.
        align: which point of the text lies at `at`.
        rotation_rad: counter-clockwise from the x axis.
        layer: layer name.
        bold: the bold face.
        width_factor: stretches the text along its line.
        key: the key of the figure it shows.
    """
    entity = layout.add_text(
        one_line(text),
        height=height_mm * per_paper_mm(layout, scale),
        rotation=math.degrees(rotation_rad),
        dxfattribs={"style": BOLD if bold else REGULAR, "layer": layer, "width": width_factor},
    )
    entity.set_placement(at, align=align)
    tag(entity, key)
    return entity


def add_note(
    layout: BaseLayout,
    text: str,
    at: tuple[float, float],
    *,
    width_mm: float | None = None,
    scale: Scale | None = None,
    height_mm: float = FIGURE_MM,
    align: MTextEntityAlignment = MTextEntityAlignment.TOP_LEFT,
    rotation_rad: float = 0.0,
    layer: str = "TEXT",
    bold: bool = False,
    mask: bool = False,
    key: str | None = None,
) -> MText:
    """A block of lettering, broken into lines here so that every reader breaks it alike.

    Args:
        layout: model space, or a sheet's paper space.
        text: shown as written; a newline starts a new line.
        at: the attachment point, in drawing units.
        width_mm: breaks lines at this width on paper; None leaves them.
        scale: the scale model space will be seen at; None on paper.
        height_mm: height of a capital on paper, mm.
        align: which point of the block lies at `at`.
        rotation_rad: counter-clockwise from the x axis.
        layer: layer name.
        bold: the bold face.
        mask: a white ground, for a label over lines.
        key: the key of the figure it shows.
    """
    if width_mm is not None:
        text = "\n".join(wrap(text, height_mm, width_mm, bold))
    entity = layout.add_mtext(
        mtext_escape(text),
        dxfattribs={
            "style": BOLD if bold else REGULAR,
            "layer": layer,
            "char_height": height_mm * per_paper_mm(layout, scale),
            "attachment_point": int(align),
            "rotation": math.degrees(rotation_rad),
            "insert": at,
        },
    )
    if mask:
        entity.set_bg_color("canvas", scale=1.4)
    tag(entity, key)
    return entity


def mm_per_unit(doc: Drawing) -> float:
    """Millimetres in one unit of model space."""
    return MM_PER_UNIT[document_unit(doc)]

"""Sheets of paper and the views they hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ezdxf.document import Drawing
from ezdxf.entities.viewport import Viewport
from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import document_unit
from railsheet.sheets.scales import Scale

# DXF reference, VIEWPORT, group 90.
_SCALE_LOCKED = 0x4000


@dataclass(frozen=True)
class Rect:
    """An upright rectangle, on paper (mm) or in model space (drawing units).

    Attributes:
        left: least x.
        bottom: least y.
        right: greatest x.
        top: greatest y.
    """

    left: float
    bottom: float
    right: float
    top: float

    @property
    def size(self) -> tuple[float, float]:
        """Width and height."""
        return self.right - self.left, self.top - self.bottom

    @property
    def centre(self) -> tuple[float, float]:
        """Where the diagonals cross."""
        return (self.left + self.right) / 2.0, (self.bottom + self.top) / 2.0

    def inset(self, by: float) -> Rect:
        """The rectangle drawn in by `by` on every side."""
        return Rect(self.left + by, self.bottom + by, self.right - by, self.top - by)


@dataclass(frozen=True)
class Paper:
    """A sheet of paper as it is turned.

    Attributes:
        name: trade name of the size.
        width_mm: width as read.
        height_mm: height as read.
        margin_mm: unprinted edge all round; office printers need about 6.
    """

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float = 8.0

    @property
    def frame(self) -> Rect:
        """The space inside the margins."""
        m = self.margin_mm
        return Rect(m, m, self.width_mm - m, self.height_mm - m)


# Short and long edge, mm. ANSI/ASME Y14.1 sizes A and B (8.5 x 11 and 11 x 17 in); ISO 216.
PAPER_SIZES: dict[str, tuple[float, float]] = {
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
}


def paper(name: str, *, portrait: bool = False) -> Paper:
    """A sheet of a standard size, landscape unless said otherwise.

    Raises:
        KeyError: a size that is not in `PAPER_SIZES`.
    """
    short, long = PAPER_SIZES[name]
    return Paper(name, short, long) if portrait else Paper(name, long, short)


def add_sheet(doc: Drawing, name: str, sheet: Paper) -> Paperspace:
    """A new paper space in millimetres, its origin at the paper's lower left corner.

    The document's first sheet takes the place of the empty one every document starts with.

    Raises:
        ezdxf.DXFValueError: the document has a sheet of that name.
    """
    after = max(existing.dxf.taborder for existing in doc.layouts)
    layout = doc.layouts.new(name)
    assert isinstance(layout, Paperspace)
    layout.dxf.taborder = after + 1
    layout.page_setup(
        size=(sheet.width_mm, sheet.height_mm),
        margins=(0, 0, 0, 0),
        units="mm",
        scale=(1, 1),
        name=sheet.name,
    )
    if "Layout1" in doc.layouts and name != "Layout1" and not len(doc.layouts.get("Layout1")):
        doc.layouts.delete("Layout1")
    return layout


def add_view(
    layout: Paperspace,
    at_mm: Rect,
    centre: tuple[float, float],
    scale: Scale,
    hidden_layers: Sequence[str] = (),
) -> Viewport:
    """A window onto model space, exactly at a scale.

    Args:
        layout: the sheet.
        at_mm: where on the sheet.
        centre: the point of model space seen at the window's centre, drawing units.
        scale: how much smaller it is shown.
        hidden_layers: layers not shown in this window.
    """
    assert layout.doc is not None
    width, height = at_mm.size
    viewport = layout.add_viewport(
        center=at_mm.centre,
        size=(width, height),
        view_center_point=centre,
        view_height=scale.true(height, document_unit(layout.doc)),
        dxfattribs={"layer": "VIEW"},
    )
    viewport.frozen_layers = list(hidden_layers)
    # A view that is zoomed by accident is no longer at the scale its sheet states.
    viewport.dxf.flags |= _SCALE_LOCKED
    return viewport


def window(view: Viewport) -> Rect:
    """The part of model space a view shows, drawing units."""
    return Rect(*view.get_modelspace_limits())


def sheet_layouts(doc: Drawing) -> tuple[Paperspace, ...]:
    """The sheets in the order they were added."""
    layouts = (doc.layouts.get(name) for name in doc.layouts.names_in_taborder())
    return tuple(layout for layout in layouts if isinstance(layout, Paperspace))

"""Draws a paper layout of a DXF document, piece by piece, onto any painter.

Views are drawn as a plotter draws them: at their scale, cut at their edge, without the layers that
they hide. Text reaches the painter as text.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ezdxf import reorder
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.viewport import Viewport
from ezdxf.layouts.layout import Paperspace
from ezdxf.lldxf.validator import make_table_key
from ezdxf.math import Bezier3P, Bezier4P, Vec2
from ezdxf.math.clipping import ClippingRect2d
from ezdxf.render.linetypes import LineTypeRenderer

from railsheet.export.lines_of_text import Affine
from railsheet.export.pens import Pen
from railsheet.export.pieces import KNOWN, Fill, Outline, Piece, Stroke, UnknownEntityError, Words
from railsheet.export.sight import Box, Sight, box_round
from railsheet.sheets.faces import face

__all__ = ["KNOWN", "Lettering", "PageReport", "Painter", "UnknownEntityError"]
__all__ += ["flattened", "paper_size_mm", "render_layout"]

# Curves are replaced by chords no further than this from them, on paper: a tenth of a pen width.
FLATTENING_MM = 0.01
# Text may stand on the very edge of a viewport without counting as crossing it.
EDGE_TOLERANCE_MM = 0.05


class Lettering(NamedTuple):
    """One line of text as it lies on the paper.

    Attributes:
        text: the characters.
        matrix: (a, b, c, d, e, f): text axes to paper, mm; (0, 0) is the left end of the baseline.
        cap_height: height of a capital, in text axes before `matrix`.
        bold: whether the bold face is meant.
    """

    text: str
    matrix: Affine
    cap_height: float
    bold: bool


@dataclass(frozen=True)
class PageReport:
    """What a reader of the page should know about how it was drawn.

    Attributes:
        texts: every line of text on the page, in drawing order.
        overhanging: text that crosses a viewport's edge. A CAD program cuts it there; here it is
            drawn whole if its middle is in the viewport, else not at all, since half a figure is a
            wrong figure. A finished sheet has none.
    """

    texts: tuple[str, ...]
    overhanging: tuple[str, ...]


class Painter(ABC):
    """Where a page is drawn: paper millimetres, origin at the lower left corner."""

    @abstractmethod
    def stroke(self, outlines: Sequence[Outline], pen: Pen) -> None:
        """Draw outlines with one pen; there is at least one."""

    @abstractmethod
    def fill(self, outlines: Sequence[Outline], pen: Pen) -> None:
        """Fill an area in a pen's colour; where outlines overlap, holes by the even-odd rule."""

    @abstractmethod
    def letter(self, lettering: Lettering, pen: Pen) -> None:
        """Draw one line of text as text, in a pen's colour."""

    @abstractmethod
    def finish(self) -> None:
        """Nothing more is drawn."""


class _Page:
    """The sheet itself: what is drawn on it lies where it is put."""

    def __init__(self, painter: Painter) -> None:
        self.painter = painter
        self.texts: list[str] = []
        self.overhanging: list[str] = []

    def draw(self, pieces: Iterable[Piece]) -> None:
        """Draw what is not hidden."""
        for piece in pieces:
            if not piece.pen.shown:
                continue
            if isinstance(piece, Words):
                self.letter(piece, piece.line.matrix)
            elif isinstance(piece, Fill):
                self.painter.fill(piece.outlines, piece.pen)
            else:
                self.stroke(piece.outlines, piece.pen)

    def stroke(self, outlines: Sequence[Outline], pen: Pen) -> None:
        """Draw outlines that lie on the paper, dashed where the pen is."""
        if pen.dashes:
            renderer = LineTypeRenderer(pen.dashes)
            outlines = [
                Outline((Vec2(start), Vec2(end)))
                for outline in outlines
                for start, end in renderer.line_segments(flattened(outline, 16))
            ]
        # Of a line that lies outside its view no stroke is left.
        if outlines:
            self.painter.stroke(outlines, pen)

    def letter(self, words: Words, matrix: Affine) -> None:
        """Write a line of text."""
        line = words.line
        text = line.text.replace("\t", "    ")
        if text.strip():
            self.texts.append(text)
            self.painter.letter(Lettering(text, matrix, line.cap_height, words.bold), words.pen)


class _View:
    """A window on model space: what is drawn in it is scaled, and cut at its edge."""

    def __init__(self, page: _Page, view: Viewport) -> None:
        if not view.is_top_view or view.dxf.view_twist_angle or view.has_extended_clipping_path:
            raise UnknownEntityError(f"{view}: only upright views from above can be drawn on paper")
        self.page = page
        self.hidden = {make_table_key(name) for name in view.frozen_layers}
        self.window = Box(*view.get_modelspace_limits())
        self.scale = view.get_scale()
        self.to_paper = view.get_transformation_matrix()
        corners = [Vec2(corner) for corner in view.clipping_rect_corners()]
        self.edge = box_round(corners)
        self.clip = ClippingRect2d(corners[0], corners[2])

    def draw(self, box: Box, pieces: Iterable[Piece]) -> None:
        """Draw what shows of one entity that a box holds."""
        whole = self.window.holds(box)
        for piece in pieces:
            if not piece.pen.shown or not self.hidden.isdisjoint(piece.under):
                continue
            if isinstance(piece, Words):
                self._letter(piece)
                continue
            outlines = [self._placed(outline) for outline in piece.outlines]
            if not whole:
                outlines = [part for each in outlines for part in self._cut(each, piece)]
            if isinstance(piece, Stroke):
                self.page.stroke(outlines, piece.pen)
            elif outlines:
                self.page.painter.fill(outlines, piece.pen)

    def _placed(self, outline: Outline) -> Outline:
        return outline._replace(points=list(self.to_paper.fast_2d_transform(outline.points)))

    def _cut(self, outline: Outline, piece: Stroke | Fill) -> Iterable[Outline]:
        """What of an outline on the paper lies within the view."""
        box = box_round(outline.points)
        if self.edge.holds(box):
            return (outline,)
        if not self.edge.meets(box):
            return ()
        points = flattened(outline, 4)
        if isinstance(piece, Fill):
            return [Outline(part, (), True) for part in self.clip.clip_polygon(points) if part]
        if len(points) == 2:
            return [Outline(part) for part in self.clip.clip_line(*points)]
        return [Outline(part) for part in self.clip.clip_polyline(points) if part]

    def _letter(self, words: Words) -> None:
        line = words.line
        a, b, c, d, e, f = line.matrix
        k = self.scale
        at = self.to_paper.transform((e, f, 0.0))
        on_paper = line._replace(matrix=(a * k, b * k, c * k, d * k, at.x, at.y))
        depth = face(words.bold).descent_per_cap * line.cap_height
        box = box_round(on_paper.corners(0.0, depth))
        grown = Box(
            self.edge.left - EDGE_TOLERANCE_MM,
            self.edge.bottom - EDGE_TOLERANCE_MM,
            self.edge.right + EDGE_TOLERANCE_MM,
            self.edge.top + EDGE_TOLERANCE_MM,
        )
        if not grown.holds(box):
            if not line.text.strip():
                return
            if grown.meets(box):
                self.page.overhanging.append(line.text.replace("\t", "    "))
            if not grown.holds(box.middle):
                return
        self.page.letter(words, on_paper.matrix)


def flattened(outline: Outline, segments: int) -> list[Vec2]:
    """An outline in straight parts, so many at least to a curve."""
    points = outline.points
    if not outline.parts:
        return list(points)
    flat, at = [points[0]], 0
    for count in outline.parts:
        part = points[at : at + count + 1]
        if count == 1:
            flat.append(part[1])
        else:
            curve = Bezier3P(part) if count == 2 else Bezier4P(part)
            flat += Vec2.list(curve.flattening(FLATTENING_MM, segments))[1:]
        at += count
    return flat


def paper_size_mm(layout: Paperspace) -> tuple[float, float]:
    """Width and height of a layout's sheet of paper, mm."""
    return float(layout.dxf.paper_width), float(layout.dxf.paper_height)


def render_layout(
    layout: Paperspace,
    painter: Painter,
    without: Sequence[str] = (),
    sight: Sight | None = None,
) -> PageReport:
    """Draw the layout's viewports, and over them its own entities.

    Layers that are off, frozen or not to be plotted are left out, as on a plotter.

    Args:
        without: layers whose entities on the sheet itself are left out besides.
        sight: what is known already of what model space shows where.

    Raises:
        UnknownEntityError: something on the sheet, or in the model space that it shows, cannot be
            drawn.
    """
    assert layout.doc is not None
    sight = sight or Sight()
    page = _Page(painter)
    for viewport in layout:
        # The viewport with id 1 is the sheet's own window on the screen, not a view.
        if isinstance(viewport, Viewport) and viewport.dxf.id != 1 and viewport.dxf.status > 0:
            view = _View(page, viewport)
            for shown in sight.within(viewport):
                view.draw(shown.box, shown.pieces)
    take = sight.pieces(layout.doc).of
    for entity in _in_order(layout):
        if not isinstance(entity, Viewport) and entity.dxf.get("layer") not in without:
            page.draw(take(entity))
    painter.finish()
    return PageReport(tuple(page.texts), tuple(page.overhanging))


def _in_order(layout: Paperspace) -> Iterable[DXFEntity]:
    """What stands on a sheet, what is drawn over other things last."""
    order = list(layout.get_redraw_order())
    return reorder.ascending(layout, order) if order else layout

"""Draws a paper layout of a DXF document, piece by piece, onto any painter.

ezdxf resolves layers, colours, line types, blocks and viewports; what is added here is that text
reaches the painter as text, that one lettering measures it, and that nothing is left out in
silence: an entity this file does not know is an error.
"""

from __future__ import annotations

import re
from abc import abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from ezdxf import xclip
from ezdxf.addons.acadctb import ColorDependentPlotStyles, new_ctb
from ezdxf.addons.drawing.backend import Backend, BkPath2d, ImageData
from ezdxf.addons.drawing.config import BackgroundPolicy, Configuration, ProxyGraphicPolicy
from ezdxf.addons.drawing.frontend import UniversalFrontend
from ezdxf.addons.drawing.pipeline import RenderPipeline2d
from ezdxf.addons.drawing.properties import (
    BackendProperties,
    Filling,
    LayerProperties,
    Properties,
    RenderContext,
)
from ezdxf.addons.drawing.text import simplified_text_chunks
from ezdxf.addons.drawing.text_renderer import TextRenderer
from ezdxf.addons.drawing.type_hints import Color
from ezdxf.bbox import Cache
from ezdxf.entities.dimension import Dimension
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.entities.mtext import MText
from ezdxf.entities.polygon import DXFPolygon
from ezdxf.entities.viewport import Viewport
from ezdxf.fonts.font_face import FontFace
from ezdxf.fonts.font_measurements import FontMeasurements
from ezdxf.layouts.layout import Paperspace
from ezdxf.math import BoundingBox2d, Matrix44, Vec2
from ezdxf.path import Path
from ezdxf.render.hatching import hatch_paths, pattern_baselines

from railsheet.export.drawn_parts import drawn_block
from railsheet.export.sight import Sight
from railsheet.sheets.faces import face
from railsheet.sheets.layers import INKS
from railsheet.sheets.lettering import text_width_mm

# Curves are replaced by chords no further than this from them, on paper: a tenth of a pen width.
FLATTENING_MM = 0.01
# The shortest mark of a dashed line; a dot of this length still prints.
SHORTEST_DASH_MM = 0.1
# Text may stand on the very edge of a viewport without counting as crossing it.
EDGE_TOLERANCE_MM = 0.05

KNOWN = frozenset(
    {"LINE", "LWPOLYLINE", "POLYLINE", "CIRCLE", "ARC", "ELLIPSE", "SPLINE", "TEXT", "MTEXT"}
    | {"INSERT", "ATTRIB", "DIMENSION", "LEADER", "HATCH", "SOLID", "TRACE"}
    | {"POINT", "VIEWPORT"}
)

_ESCAPES = re.compile(r"\\[\\{}P~]")


class UnknownEntityError(Exception):
    """The drawing holds something the paper renderer cannot show; it says what and where."""


@dataclass(frozen=True)
class Lettering:
    """One line of text as it lies on the paper.

    Attributes:
        text: the characters.
        matrix: (a, b, c, d, e, f): text axes to paper, mm; (0, 0) is the left end of the baseline.
        cap_height: height of a capital, in text axes before `matrix`.
        bold: whether the bold face is meant.
    """

    text: str
    matrix: tuple[float, float, float, float, float, float]
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


class Painter(Backend):
    """Where a page is drawn: paper millimetres, origin at the lower left corner."""

    @abstractmethod
    def draw_lettering(self, lettering: Lettering, properties: BackendProperties) -> None:
        """Draw one line of text as text."""

    def set_background(self, color: Color) -> None:
        """Paper is white and is not painted."""

    def draw_image(self, image_data: ImageData, properties: BackendProperties) -> None:
        """Images are not among the known entities."""
        raise UnknownEntityError("IMAGE")

    def clear(self) -> None:
        """A page is drawn once."""


class _Measures(TextRenderer):
    """The lettering's sizes, in the form ezdxf's text placement asks for."""

    def get_font_measurements(
        self, font_face: FontFace, cap_height: float = 1.0
    ) -> FontMeasurements:
        f = face(font_face.is_bold)
        return FontMeasurements(
            baseline=0.0,
            cap_height=cap_height,
            x_height=f.x_per_cap * cap_height,
            descender_height=f.descent_per_cap * cap_height,
        )

    def get_text_line_width(self, text: str, font_face: FontFace, cap_height: float = 1.0) -> float:
        return text_width_mm(text, cap_height, font_face.is_bold)

    def get_text_path(self, text: str, font_face: FontFace, cap_height: float = 1.0) -> BkPath2d:
        raise NotImplementedError("text is never drawn as outlines here")

    def get_text_glyph_paths(
        self, text: str, font_face: FontFace, cap_height: float = 1.0
    ) -> list[BkPath2d]:
        raise NotImplementedError("text is never drawn as outlines here")

    def is_stroke_font(self, font_face: FontFace) -> bool:
        return False


_REGULAR = FontFace(filename="sheet-lettering", weight=400)
_BOLD = FontFace(filename="sheet-lettering-bold", weight=700)


class _Pipeline(RenderPipeline2d):
    text_engine = _Measures()  # type: ignore[assignment]

    def __init__(self, painter: Painter, sight: Sight) -> None:
        super().__init__(painter)
        self.painter = painter
        self.sight = sight
        self.texts: list[str] = []
        self.overhanging: list[str] = []

    def draw_viewport(
        self, vp: Viewport, layout_ctx: RenderContext, bbox_cache: Cache | None = None
    ) -> None:
        if self.enter_viewport(vp):
            self.draw_entities(layout_ctx.from_viewport(vp), self.sight.entities(vp))
            self.exit_viewport()  # type: ignore[no-untyped-call]

    def get_vp_ltype_scale(self) -> float:
        # Lines reach the dash stage already in paper millimetres, where dash patterns are defined
        # ($PSLTSCALE = 1).
        return 1.0

    def draw_text(
        self,
        text: str,
        transform: Matrix44,
        properties: Properties,
        cap_height: float,
        dxftype: str = "TEXT",
    ) -> None:
        if not text.strip():
            return
        text = text.replace("\t", "    ")
        bold = properties.font is not None and properties.font.is_bold
        to_paper = self.clipping_portal.transform_matrix(transform.copy())
        viewport = self._viewport_edge()
        if viewport is not None:
            depth = face(bold).descent_per_cap * cap_height
            width = text_width_mm(text, cap_height, bold)
            corners = ((0, -depth), (width, -depth), (width, cap_height), (0, cap_height))
            box = BoundingBox2d(to_paper.fast_2d_transform(Vec2.list(corners)))
            grown = BoundingBox2d(viewport)
            grown.grow(EDGE_TOLERANCE_MM)
            inside = grown.inside(box.extmin) and grown.inside(box.extmax)
            if not inside and grown.has_intersection(box):
                self.overhanging.append(text)
            if not grown.inside(box.center):
                return
        self.texts.append(text)
        a, b, _, _, c, d, _, _, _, _, _, _, e, f, _, _ = tuple(to_paper)
        self.painter.draw_lettering(
            Lettering(text, (a, b, c, d, e, f), cap_height, bold),
            self.get_backend_properties(properties),
        )

    def _viewport_edge(self) -> BoundingBox2d | None:
        edges: list[BoundingBox2d] = []

        def take(stage: object) -> bool:
            edges.append(stage.portal.bbox())  # type: ignore[attr-defined]
            return True

        self.clipping_portal.foreach_stage(take)
        return edges[-1] if edges else None


class _Frontend(UniversalFrontend):
    def __init__(self, ctx: RenderContext, pipeline: _Pipeline) -> None:
        super().__init__(
            ctx,
            pipeline,
            Configuration(
                background_policy=BackgroundPolicy.WHITE,
                proxy_graphic_policy=ProxyGraphicPolicy.IGNORE,
                max_flattening_distance=FLATTENING_MM,
                min_dash_length=SHORTEST_DASH_MM,
                pdmode=0,
                pdsize=1,
            ),
        )

    def skip_entity(self, entity: DXFEntity, msg: str) -> None:
        if msg != "invisible":
            raise UnknownEntityError(f"{entity}: {msg}")

    def override_properties(self, entity: DXFGraphic, properties: Properties) -> None:
        if entity.dxftype() in ("TEXT", "MTEXT", "ATTRIB") and entity.doc is not None:
            style = entity.doc.styles.get(entity.dxf.get("style", "Standard"))
            name = style.dxf.font.lower()
            properties.font = _BOLD if name.endswith("bd.ttf") or "bold" in name else _REGULAR

    def draw_entity(self, entity: DXFGraphic, properties: Properties) -> None:
        kind = entity.dxftype()
        if kind not in KNOWN:
            raise UnknownEntityError(f"{entity}: {kind} cannot be drawn on paper")
        if isinstance(entity, Dimension) and not (
            entity.virtual_block_content or entity.get_geometry_block()
        ):
            raise UnknownEntityError(f"{entity}: the dimension was never rendered")
        if isinstance(entity, Insert) and xclip.XClip(entity).has_clipping_path:
            raise UnknownEntityError(f"{entity}: a clipped block cannot be drawn on paper")
        super().draw_entity(entity, properties)

    def draw_composite_entity(self, entity: DXFGraphic, properties: Properties) -> None:
        block = drawn_block(entity) if isinstance(entity, Dimension) else None
        if block is None:
            super().draw_composite_entity(entity, properties)
        else:
            self.draw_entities(block)

    def draw_entities_callback(self, ctx: RenderContext, entities: Iterable[DXFGraphic]) -> None:
        # What a view hides is hidden within blocks too; ezdxf asks the sheet's context there.
        outer, self.ctx = self.ctx, ctx
        try:
            super().draw_entities_callback(ctx, entities)
        finally:
            self.ctx = outer

    def draw_hatch_pattern(
        self, polygon: DXFPolygon, paths: list[Path], properties: Properties
    ) -> None:
        # ezdxf moves a pattern by a little chance, and gives up by the clock: either would make
        # another page of the same drawing.
        properties.linetype_pattern = ()
        lines = [
            stroke
            for baseline in pattern_baselines(
                polygon, min_hatch_line_distance=self.config.min_hatch_line_distance
            )
            for line in hatch_paths(baseline, paths)
            for stroke in baseline.pattern_renderer(line.distance).render(line.start, line.end)
        ]
        self.pipeline.draw_solid_lines(lines, properties)

    def draw_mtext_entity(self, entity: DXFGraphic, properties: Properties) -> None:
        assert isinstance(entity, MText)
        if "\\" in _ESCAPES.sub("", entity.text) or entity.has_columns:
            raise UnknownEntityError(f"{entity}: MTEXT with inline formatting: {entity.text!r}")
        chunks = list(
            simplified_text_chunks(
                entity, self.text_engine, font_face=self.get_font_face(properties)
            )
        )
        if entity.dxf.get("bg_fill", 0):
            self._mask(entity, chunks, properties)
        for line, transform, cap_height in chunks:
            self.pipeline.draw_text(line, transform, properties, cap_height, "MTEXT")

    def _mask(
        self, mtext: MText, chunks: list[tuple[str, Matrix44, float]], properties: Properties
    ) -> None:
        # The margin follows the DXF reference's fill box scale: 1.5 leaves half a text height.
        margin = (mtext.dxf.get("box_fill_scale", 1.5) - 1.0) * mtext.dxf.char_height
        white = Properties()
        white.color = "#ffffff"
        white.layer = properties.layer
        white.filling = Filling()
        bold = self.get_font_face(properties).is_bold
        for line, transform, cap in chunks:
            if not line.strip():
                continue
            width = text_width_mm(line, cap, bold)
            corners = Vec2.list(
                (
                    (-margin, -margin),
                    (width + margin, -margin),
                    (width + margin, cap + margin),
                    (-margin, cap + margin),
                )
            )
            self.pipeline.draw_filled_polygon(transform.fast_2d_transform(corners), white)

    def draw_viewport(self, vp: Viewport) -> None:
        if not vp.is_top_view:
            raise UnknownEntityError(f"{vp}: only views from above can be drawn on paper")
        super().draw_viewport(vp)


def _in_ink(layers: Sequence[LayerProperties]) -> None:
    """Give each layer its ink in place of its colour on a screen."""
    for layer in layers:
        if layer.layer in INKS:
            layer.color = "#{:02x}{:02x}{:02x}".format(*INKS[layer.layer])


@cache
def _plot_styles() -> ColorDependentPlotStyles:
    """The plain table: ezdxf would look for one in the user's folders for every view."""
    return new_ctb()


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
        UnknownEntityError: something on the sheet, or in sight of a viewport, cannot be drawn.
    """
    assert layout.doc is not None
    context = RenderContext(layout.doc, ctb=_plot_styles(), export_mode=True)
    context.set_layer_properties_override(_in_ink)
    context.set_current_layout(layout)
    pipeline = _Pipeline(painter, sight or Sight())
    frontend = _Frontend(context, pipeline)
    frontend.set_background("#ffffff")
    for viewport in layout:
        # The viewport with id 1 is the sheet's own window on the screen, not a view.
        if isinstance(viewport, Viewport) and viewport.dxf.id != 1:
            frontend.draw_viewport(viewport)

    def own(entity: DXFEntity) -> bool:
        return not isinstance(entity, Viewport) and entity.dxf.get("layer") not in without

    frontend.draw_layout(layout, filter_func=own)
    return PageReport(tuple(pipeline.texts), tuple(pipeline.overhanging))

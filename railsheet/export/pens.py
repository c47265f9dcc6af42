"""With which pen, and whether at all, each entity of a drawing is plotted.

An entity's colour, weight and line type are its own, its layer's or its block's, as the DXF
reference has them; a layer of the sheets takes its ink in place of its colour on a screen.
"""

from __future__ import annotations

from typing import NamedTuple

from ezdxf.colors import RGB, aci2rgb, int2rgb
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.layer import Layer
from ezdxf.lldxf.const import (
    BYBLOCK,
    BYLAYER,
    LINEWEIGHT_BYBLOCK,
    LINEWEIGHT_BYLAYER,
)
from ezdxf.lldxf.validator import make_table_key

from railsheet.sheets.layers import INKS

# A weight that a drawing leaves to its reader: common practice, no source.
USUAL_MM = 0.25
# The shortest mark of a dashed line; a dot of this length still prints.
SHORTEST_DASH_MM = 0.1
# Colour 7 is black or white, whichever the ground is not (DXF reference, group 62).
_BLACK = "#000000"
_BLACK_OR_WHITE = 7


class Pen(NamedTuple):
    """What an entity is drawn with.

    Attributes:
        color: red, green and blue, as ``#rrggbb``.
        weight_mm: width of a stroke on paper.
        dashes: marks and gaps by turns, mm of paper; none for a whole line.
        layer: the key of the layer that it stands on.
        shown: whether it is plotted: neither its layer nor it itself is hidden.
    """

    color: str
    weight_mm: float
    dashes: tuple[float, ...]
    layer: str
    shown: bool

    @property
    def whole(self) -> Pen:
        """The same pen without dashes."""
        return self._replace(dashes=())

    @property
    def hidden(self) -> Pen:
        """The same pen for what is not plotted."""
        return self._replace(shown=False)


class Pens:
    """The pens of one document, each worked out once."""

    def __init__(self, doc: Drawing) -> None:
        self._scale = float(doc.header.get("$LTSCALE", 1.0))
        self._patterns = {
            line.dxf.name.upper(): tuple(line.simplified_line_pattern()) for line in doc.linetypes
        }
        self._layers = {make_table_key(layer.dxf.name): layer for layer in doc.layers}
        self._bold = {style.dxf.name: _is_bold(style.dxf.font.lower()) for style in doc.styles}
        self._known: dict[tuple[object, ...], Pen] = {}

    def bold(self, style: str) -> bool:
        """Whether a text style means the bold face."""
        return self._bold[style]

    def of(self, entity: DXFGraphic, within: Pen | None) -> Pen:
        """An entity's pen.

        Args:
            entity: the entity.
            within: the pen of the block's insertion that it is drawn in, if it is in one.
        """
        has = entity.dxf.all_existing_dxf_attribs().get
        key = (
            has("layer", "0"),
            has("color", BYLAYER),
            has("true_color"),
            has("linetype", "BYLAYER"),
            has("lineweight", LINEWEIGHT_BYLAYER),
            has("ltscale", 1.0),
            has("invisible", 0),
            within,
        )
        pen = self._known.get(key)
        if pen is None:
            pen = self._known[key] = self._worked_out(entity, within)
        return pen

    def _worked_out(self, entity: DXFGraphic, within: Pen | None) -> Pen:
        dxf = entity.dxf
        key = make_table_key(dxf.layer)
        if dxf.layer == "0" and within is not None:
            key = within.layer
        layer = self._layers.get(key)
        return Pen(
            self._color(entity, layer, within),
            max(0.01, self._weight_mm(dxf.lineweight, layer, within)),
            self._dashes(dxf.linetype.upper(), dxf.ltscale, layer, within),
            key,
            not dxf.invisible and (layer is None or _plotted(layer)),
        )

    def _color(self, entity: DXFGraphic, layer: Layer | None, within: Pen | None) -> str:
        dxf = entity.dxf
        if dxf.hasattr("true_color"):
            return _hex(int2rgb(dxf.true_color))
        if dxf.color == BYLAYER:
            return _layer_color(layer)
        if dxf.color == BYBLOCK:
            return _BLACK if within is None else within.color
        return _indexed(dxf.color)

    def _weight_mm(self, weight: int, layer: Layer | None, within: Pen | None) -> float:
        if weight == LINEWEIGHT_BYLAYER:
            weight = -1 if layer is None else layer.dxf.lineweight
        elif weight == LINEWEIGHT_BYBLOCK and within is not None:
            return within.weight_mm
        return USUAL_MM if weight < 0 else weight / 100.0

    def _dashes(
        self, name: str, scale: float, layer: Layer | None, within: Pen | None
    ) -> tuple[float, ...]:
        if name == "BYBLOCK":
            return () if within is None else within.dashes
        if name == "BYLAYER":
            name = "CONTINUOUS" if layer is None else str(layer.dxf.linetype).upper()
        pattern = self._patterns.get(name, ())
        by = scale * self._scale
        # A mark without a gap after it joins the next.
        return tuple(max(part * by, SHORTEST_DASH_MM) for part in pattern[: len(pattern) // 2 * 2])


def _is_bold(font: str) -> bool:
    return font.endswith("bd.ttf") or "bold" in font


def _plotted(layer: Layer) -> bool:
    return layer.is_on() and not layer.is_frozen() and bool(layer.dxf.plot)


def _layer_color(layer: Layer | None) -> str:
    if layer is None:
        return _BLACK
    ink = INKS.get(layer.dxf.name)
    if ink is not None:
        return _hex(RGB(*ink))
    if layer.dxf.hasattr("true_color"):
        return _hex(int2rgb(layer.dxf.true_color))
    # The colour of a layer that is off is kept negative; the property undoes that.
    return _indexed(layer.color)


def _indexed(index: int) -> str:
    if index == _BLACK_OR_WHITE or not BYBLOCK < index < BYLAYER:
        return _BLACK
    return _hex(aci2rgb(index))


def _hex(color: RGB) -> str:
    return "#{:02x}{:02x}{:02x}".format(*color)

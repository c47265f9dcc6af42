"""Pens and places of text against ezdxf's own drawing add-on, which paper does not use."""

from __future__ import annotations

import itertools
import math

import pytest
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.addons.drawing.text import simplified_text_chunks
from ezdxf.addons.drawing.text_renderer import TextRenderer
from ezdxf.document import Drawing
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.enums import MTextEntityAlignment, TextEntityAlignment
from ezdxf.fonts.font_face import FontFace
from ezdxf.fonts.font_measurements import FontMeasurements

from railsheet.export.lines_of_text import TextLine, Unplaced, line_of, lines_of
from railsheet.export.pens import Pens
from railsheet.export.pieces import Pieces, Stroke
from railsheet.sheets.drawing import add_note, add_text, new_document
from railsheet.sheets.faces import face
from railsheet.sheets.lettering import text_width_mm

_FACE = FontFace(filename="sheet-lettering")


class _Measures(TextRenderer):
    """The sheets' lettering, as the add-on asks for it."""

    def get_font_measurements(
        self, font_face: FontFace, cap_height: float = 1.0
    ) -> FontMeasurements:
        found = face()
        return FontMeasurements(
            0.0, cap_height, found.x_per_cap * cap_height, found.descent_per_cap * cap_height
        )

    def get_text_line_width(self, text: str, font_face: FontFace, cap_height: float = 1.0) -> float:
        return text_width_mm(text, cap_height)

    def get_text_path(self, text, font_face, cap_height=1.0):
        raise NotImplementedError

    def get_text_glyph_paths(self, text, font_face, cap_height=1.0):
        raise NotImplementedError

    def is_stroke_font(self, font_face: FontFace) -> bool:
        return False


def same_places(entity: Text | MText, mine: list[TextLine]) -> None:
    theirs = list(simplified_text_chunks(entity, _Measures(), font_face=_FACE))
    assert [line.text for line in mine] == [text for text, _, _ in theirs]
    for line, (_, matrix, cap) in zip(mine, theirs, strict=True):
        m = tuple(matrix)
        assert line.cap_height == cap
        assert line.matrix == pytest.approx((m[0], m[1], m[4], m[5], m[12], m[13]), abs=1e-9)


PLACED = [align for align in TextEntityAlignment if align.name not in ("FIT", "ALIGNED")]


@pytest.mark.parametrize("align", PLACED)
@pytest.mark.parametrize(("degrees", "stretch"), [(0.0, 1.0), (0.0, 0.8), (127.3, 0.8)])
def test_a_line_stands_where_the_add_on_puts_it(align, degrees, stretch):
    text = add_text(
        new_document("mm", 1.0).modelspace(),
        'Post 7/16" gq',
        (31.7, -12.9),
        align=align,
        rotation_rad=math.radians(degrees),
        width_factor=stretch,
    )
    same_places(text, [line_of(text, False)])


@pytest.mark.parametrize("align", MTextEntityAlignment)
@pytest.mark.parametrize(
    ("words", "degrees", "column"),
    [
        ("one line", 0.0, 0.0),
        ("one\nlonger line\n\ntwo", 33.0, 0.0),
        ("  broken by a narrow column, {and} escaped 50%%d a^b\\", 0.0, 17.0),
        ("", 0.0, 0.0),
    ],
)
def test_lines_stand_where_the_add_on_puts_them(align, words, degrees, column):
    note = add_note(
        new_document("mm", 1.0).modelspace(),
        words,
        (31.7, -12.9),
        align=align,
        rotation_rad=math.radians(degrees),
    )
    note.dxf.width = column
    note.dxf.line_spacing_factor = 1.2
    same_places(note, lines_of(note, False))


@pytest.mark.parametrize("how", ["mirrored", "stretched", "turned over"])
def test_text_that_paper_cannot_set_is_refused(how):
    text = add_text(new_document("mm", 1.0).modelspace(), "x", (0.0, 0.0))
    if how == "mirrored":
        text.dxf.text_generation_flag = 2
    elif how == "stretched":
        text.set_placement((0, 0), (5, 0), align=TextEntityAlignment.FIT)
    else:
        text.dxf.extrusion = (0, 0, -1)
    with pytest.raises(Unplaced, match="mirrored"):
        line_of(text, False)


COLOURS = [{}, {"color": 7}, {"color": 30}, {"color": 0}, {"true_color": 0x102030}]
LINES = [{}, {"linetype": "RS-CENTRE", "ltscale": 0.5}, {"linetype": "BYBLOCK"}]
WEIGHTS = [{}, {"lineweight": 70}, {"lineweight": -2}, {"lineweight": -3}, {"lineweight": 0}]


def sheet_with_a_layer_of_its_own() -> Drawing:
    doc = new_document("mm", 1.0)
    doc.layers.add("OWN", color=30, lineweight=35, linetype="RS-HIDDEN")
    return doc


@pytest.mark.parametrize("layer", ["OWN", "0"])
@pytest.mark.parametrize("in_block", [False, True])
@pytest.mark.parametrize(
    "own", [a | b | c for a, b, c in itertools.product(COLOURS, LINES, WEIGHTS)], ids=str
)
def test_a_pen_is_what_the_add_on_resolves(layer, in_block, own):
    doc = sheet_with_a_layer_of_its_own()
    doc.blocks.new("B").add_line((0, 0), (1, 1), dxfattribs={**own, "layer": layer})
    given = {"color": 140, "lineweight": 100, "linetype": "RS-DASHED", "layer": "OWN"}
    insert = doc.modelspace().add_blockref("B", (0, 0), dxfattribs=given)
    context = RenderContext(doc, export_mode=True)
    # The add-on puts white for colour 7 on model space's dark ground; paper is white.
    context.current_layout_properties.set_colors("#ffffff")
    line = next(iter(doc.blocks.get("B")))
    pens = Pens(doc)
    within = None
    if in_block:
        context.push_state(context.resolve_all(insert))
        within = pens.of(insert, None)
    theirs = context.resolve_all(line)
    mine = pens.of(line, within)
    assert (mine.color, mine.weight_mm) == (theirs.color, theirs.lineweight)
    assert mine.dashes == pytest.approx(
        [part * theirs.linetype_scale for part in theirs.linetype_pattern]
    )
    assert mine.layer == theirs.layer.casefold()
    assert mine.shown


def test_parts_of_nested_blocks_stand_where_the_add_on_explodes_them():
    doc = sheet_with_a_layer_of_its_own()
    inner = doc.blocks.new("INNER", base_point=(1, 2))
    inner.add_line((0, 0), (3, 1))
    outer = doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (4, 0), dxfattribs={"rotation": 30, "xscale": -2, "yscale": 1.5})
    insert = doc.modelspace().add_blockref("OUTER", (20, 5), dxfattribs={"rotation": -75})
    insert.dxf.column_count, insert.dxf.column_spacing = 3, 11.0
    theirs = [
        [(line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)]
        for single in insert.multi_insert()
        for nested in single.virtual_entities()
        for line in nested.virtual_entities()
    ]
    mine = []
    for piece in Pieces(Pens(doc)).of(insert):
        assert isinstance(piece, Stroke)
        mine += [[tuple(point) for point in outline.points] for outline in piece.outlines]
    assert len(mine) == 3
    for ours, exploded in zip(mine, theirs, strict=True):
        for here, there in zip(ours, exploded, strict=True):
            assert here == pytest.approx(there, abs=1e-9)

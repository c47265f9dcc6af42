"""Write sheets as PDF and read them back with pdfplumber and pypdf."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pdfplumber
import pytest
from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment, TextEntityAlignment
from ezdxf.layouts.layout import Paperspace
from pypdf import PdfReader

from railsheet.export.paper import KNOWN, PageReport, UnknownEntityError
from railsheet.export.sheet_pdf import write_sheets
from railsheet.sheets.dimensions import linear_dim
from railsheet.sheets.drawing import add_note, add_text, new_document
from railsheet.sheets.faces import face
from railsheet.sheets.hatching import add_fill, add_hatching
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import Rect, add_sheet, add_view, paper
from railsheet.sheets.scales import Scale
from railsheet.sheets.sheet_set import SheetPage

MM = 25.4 / 72.0  # millimetres in a PDF point: ISO 32000-1, 8.3.2.3, 1/72 inch
EIGHTH = Scale("1:8", 8.0)
VIEW = Rect(20.0, 60.0, 250.0, 200.0)


def inch_sheet() -> tuple[Drawing, Paperspace]:
    doc = new_document("in", 1.0 / 16.0)
    return doc, add_sheet(doc, "1", paper("Letter"))


def show(doc: Drawing, layout: Paperspace, tmp_path: Path) -> tuple[PageReport, object]:
    report = write_sheets([SheetPage(layout, ())], tmp_path / "out.pdf", "Test")[0]
    with pdfplumber.open(tmp_path / "out.pdf") as pdf:
        page = pdf.pages[0]
        _ = page.objects
    return report, page


def line_lengths_mm(page) -> list[float]:
    return [math.dist(*(line["pts"])) * MM for line in page.lines]


def origin_mm(char) -> tuple[float, float]:
    return char["matrix"][4] * MM, char["matrix"][5] * MM


def test_page_is_the_paper(tmp_path):
    doc, layout = inch_sheet()
    _, page = show(doc, layout, tmp_path)
    # ANSI/ASME Y14.1 size A: 8.5 x 11 in.
    assert (page.width, page.height) == pytest.approx((11 * 72, 8.5 * 72), abs=1e-3)


def test_forty_inches_at_one_to_eight(tmp_path):
    doc, layout = inch_sheet()
    doc.modelspace().add_line((3, 4), (43, 4), dxfattribs={"layer": "RAIL"})
    doc.modelspace().add_line((3, 4), (3, 4 + 12), dxfattribs={"layer": "POST"})
    add_view(layout, VIEW, (23.0, 10.0), EIGHTH)
    _, page = show(doc, layout, tmp_path)
    # 40 in x 25.4 mm / 8 = 127 mm; 12 in: 38.1 mm.
    assert sorted(line_lengths_mm(page)) == pytest.approx([38.1, 127.0], abs=0.01)
    rail = max(page.lines, key=lambda line: line["width"])
    centre = VIEW.centre
    assert rail["x0"] * MM == pytest.approx(centre[0] - 20 * 25.4 / 8, abs=0.01)
    assert rail["pts"][0][1] * MM == pytest.approx(215.9 - (centre[1] - 6 * 25.4 / 8), abs=0.01)


def test_view_cuts_lines_at_its_edge(tmp_path):
    doc, layout = inch_sheet()
    doc.modelspace().add_line((-500, 0), (500, 0), dxfattribs={"layer": "RAIL"})
    doc.modelspace().add_circle((0, 0), 400)
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
    _, page = show(doc, layout, tmp_path)
    (line,) = page.lines
    assert line["x0"] * MM == pytest.approx(VIEW.left, abs=0.01)
    assert line["x1"] * MM == pytest.approx(VIEW.right, abs=0.01)
    assert not page.curves


ALIGNMENTS = [
    (align, across, up)
    for (up, names), (across, name) in itertools.product(
        (
            ("baseline", ("LEFT", "CENTER", "RIGHT")),
            ("bottom", ("BOTTOM_LEFT", "BOTTOM_CENTER", "BOTTOM_RIGHT")),
            ("middle", ("MIDDLE_LEFT", "MIDDLE_CENTER", "MIDDLE_RIGHT")),
            ("top", ("TOP_LEFT", "TOP_CENTER", "TOP_RIGHT")),
        ),
        enumerate(("left", "centre", "right")),
    )
    for align in (TextEntityAlignment[names[across]],)
]


@pytest.mark.parametrize(("align", "across", "up"), ALIGNMENTS)
@pytest.mark.parametrize("angle_deg", [0.0, 37.5, 90.0])
def test_text_stands_where_it_is_put(tmp_path, align, across, up, angle_deg):
    doc, layout = inch_sheet()
    text, h = '37 7/16"', 3.0
    add_text(
        layout,
        text,
        (120.0, 100.0),
        height_mm=h,
        align=align,
        rotation_rad=math.radians(angle_deg),
    )
    _, page = show(doc, layout, tmp_path)
    a, b, _, _, e, f = page.chars[0]["matrix"]
    assert math.degrees(math.atan2(b, a)) == pytest.approx(angle_deg, abs=1e-3)
    # Fold the start of the baseline back into the text's own axes.
    t = -math.radians(angle_deg)
    dx, dy = e * MM - 120.0, f * MM - 100.0
    x, y = dx * math.cos(t) - dy * math.sin(t), dx * math.sin(t) + dy * math.cos(t)
    width = text_width_mm(text, h)
    assert x == pytest.approx((0.0, -width / 2, -width)[across], abs=0.02)
    down = {"baseline": 0.0, "bottom": face().descent_per_cap * h, "middle": -h / 2, "top": -h}
    assert y == pytest.approx(down[up], abs=0.02)
    assert "".join(ch["text"] for ch in page.chars) == text


def test_text_is_as_high_and_wide_as_said(tmp_path):
    doc, layout = inch_sheet()
    add_text(layout, "H24 9/16", (50.0, 50.0), height_mm=2.5)
    _, page = show(doc, layout, tmp_path)
    first, last = page.chars[0], page.chars[-1]
    assert (last["x1"] - first["x0"]) * MM == pytest.approx(text_width_mm("H24 9/16", 2.5), 1e-3)
    # DejaVu Sans: capital H 1493 of 2048 units (read from its glyf table).
    assert first["size"] * MM * 1493 / 2048 == pytest.approx(2.5, abs=0.005)


def test_text_in_a_view_has_its_paper_size_at_any_scale(tmp_path):
    doc, layout = inch_sheet()
    add_text(doc.modelspace(), "A", (10.0, 5.0), scale=EIGHTH, height_mm=2.5)
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
    _, page = show(doc, layout, tmp_path)
    (char,) = page.chars
    assert char["size"] * MM == pytest.approx(2.5 * face().em_per_cap, abs=0.005)
    assert origin_mm(char) == pytest.approx(
        (VIEW.centre[0] + 10 * 25.4 / 8, VIEW.centre[1] + 5 * 25.4 / 8), abs=0.01
    )


def test_width_factor_and_bold(tmp_path):
    doc, layout = inch_sheet()
    add_text(layout, "Sheet 12", (50.0, 50.0), height_mm=3.0, bold=True, width_factor=0.8)
    _, page = show(doc, layout, tmp_path)
    wide = (page.chars[-1]["x1"] - page.chars[0]["x0"]) * MM
    assert wide == pytest.approx(0.8 * text_width_mm("Sheet 12", 3.0, bold=True), rel=1e-3)
    assert "Bold" in page.chars[0]["fontname"]


def test_awkward_text_reads_back_as_written(tmp_path):
    doc, layout = inch_sheet()
    awkward = "5% \\ {x} a^b \"#' é × – ° ½ 100 % C:\\new\\Path"
    add_text(layout, awkward, (20.0, 50.0))
    add_note(layout, awkward, (20.0, 80.0))
    report, page = show(doc, layout, tmp_path)
    assert report.texts == (awkward, awkward)
    lines = page.extract_text().splitlines()
    assert [line.replace(" ", "") for line in lines] == [awkward.replace(" ", "")] * 2


def test_percent_codes_stay_what_the_user_wrote(tmp_path):
    doc, layout = inch_sheet()
    add_text(layout, "50%%d", (20.0, 50.0))
    add_note(layout, "50%%d", (20.0, 80.0))
    report, _ = show(doc, layout, tmp_path)
    assert [t.replace("\u200b", "") for t in report.texts] == ["50%%d", "50%%d"]


def test_note_lines_step_down_at_the_dxf_pitch(tmp_path):
    doc, layout = inch_sheet()
    add_note(layout, "first\nsecond", (50.0, 100.0), height_mm=3.0)
    _, page = show(doc, layout, tmp_path)
    first = next(c for c in page.chars if c["text"] == "f")
    second = next(c for c in page.chars if c["text"] == "s" and origin_mm(c)[1] < 96)
    assert origin_mm(first)[1] == pytest.approx(97.0, abs=0.02)
    # DXF reference, MTEXT group 44: line spacing factor 1 is 5/3 of the text height.
    assert origin_mm(first)[1] - origin_mm(second)[1] == pytest.approx(5.0, abs=0.02)


def test_mask_is_white_under_its_text(tmp_path):
    doc, layout = inch_sheet()
    layout.add_line((50, 100), (150, 100), dxfattribs={"layer": "RAIL"})
    add_note(layout, "Post", (100.0, 100.0), mask=True, align=MTextEntityAlignment.MIDDLE_CENTER)
    _, page = show(doc, layout, tmp_path)
    (box,) = [r for r in page.rects + page.curves if r["fill"]]
    assert tuple(box["non_stroking_color"]) == (1, 1, 1)
    assert box["x0"] < page.chars[0]["x0"]
    assert box["x1"] > page.chars[-1]["x1"]


def test_every_font_is_embedded(tmp_path):
    _, layout = inch_sheet()
    add_text(layout, "regular", (20.0, 50.0))
    add_text(layout, "bold", (20.0, 60.0), bold=True)
    write_sheets([SheetPage(layout, ())], tmp_path / "out.pdf", "Test")
    fonts = PdfReader(tmp_path / "out.pdf").pages[0]["/Resources"]["/Font"]
    names = set()
    for font in fonts.values():
        descriptor = font.get_object()["/FontDescriptor"]
        assert "/FontFile2" in descriptor
        names.add(str(font.get_object()["/BaseFont"]).split("+")[-1])
    assert names == {"DejaVuSans", "DejaVuSans-Bold"}


def test_same_drawing_same_bytes(tmp_path):
    def once(name: str) -> bytes:
        doc, layout = inch_sheet()
        linear_dim(doc.modelspace(), (0, 0), (10, 0), (0, -3), 0.0, "10", "k", EIGHTH)
        add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
        write_sheets([SheetPage(layout, ())], tmp_path / name, "Test")
        return (tmp_path / name).read_bytes()

    assert once("a.pdf") == once("b.pdf")


@pytest.mark.parametrize("hide", ["off", "freeze", "noplot", "view"])
def test_hidden_layers_are_left_out(tmp_path, hide):
    doc, layout = inch_sheet()
    layer = doc.layers.get("POST")
    for name in ("POST", "RAIL"):
        doc.modelspace().add_line((0, 0), (8, 0), dxfattribs={"layer": name})
        add_text(doc.modelspace(), name, (0, 5), scale=EIGHTH, layer=name)
    if hide == "off":
        layer.off()
    elif hide == "freeze":
        layer.freeze()
    elif hide == "noplot":
        layer.dxf.plot = 0
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH, hidden_layers=["POST"] if hide == "view" else ())
    report, page = show(doc, layout, tmp_path)
    assert report.texts == ("RAIL",)
    assert len(page.lines) == 1


def test_pens_and_colours(tmp_path):
    doc, layout = inch_sheet()
    layout.add_line((10, 10), (110, 10), dxfattribs={"layer": "RAIL"})
    layout.add_line((10, 20), (110, 20), dxfattribs={"layer": "FINDING"})
    layout.add_line((10, 30), (110, 30), dxfattribs={"layer": "RAIL", "lineweight": 100})
    layout.add_line((10, 40), (110, 40), dxfattribs={"layer": "RAIL", "color": 7})
    _, page = show(doc, layout, tmp_path)
    by_height = {round(215.9 - line["top"] * MM): line for line in page.lines}
    assert by_height[10]["linewidth"] * MM == pytest.approx(0.5, abs=1e-3)
    assert by_height[30]["linewidth"] * MM == pytest.approx(1.0, abs=1e-3)
    assert tuple(by_height[10]["stroking_color"]) == (0, 0, 0)
    assert tuple(by_height[40]["stroking_color"]) == (0, 0, 0)
    assert tuple(by_height[20]["stroking_color"]) == pytest.approx(
        (190 / 255, 20 / 255, 20 / 255), abs=1e-3
    )


@pytest.mark.parametrize("scale", [EIGHTH, Scale("1:24", 24.0)])
def test_dashes_are_the_same_on_paper_at_every_scale(tmp_path, scale):
    doc, layout = inch_sheet()
    doc.modelspace().add_line((-30, 0), (30, 0), dxfattribs={"layer": "HIDDEN"})
    add_view(layout, VIEW, (0.0, 0.0), scale)
    _, page = show(doc, layout, tmp_path)
    dashes = sorted(page.lines, key=lambda line: line["x0"])
    assert len(dashes) > 10
    assert line_lengths_mm(page)[1] == pytest.approx(3.0, abs=0.01)
    gap = (dashes[2]["x0"] - dashes[1]["x1"]) * MM
    assert gap == pytest.approx(0.9, abs=0.01)


def test_curves_have_their_true_extent(tmp_path):
    doc, layout = inch_sheet()
    layout.add_circle((60, 60), 10)
    layout.add_ellipse((120, 60), (20, 0), 0.5)
    # A bulge of 1 is half a circle: DXF reference, LWPOLYLINE group 42.
    layout.add_lwpolyline([(150, 60, 1.0), (190, 60, 0.0)], format="xyb")
    layout.add_arc((230, 60), 10, 0, 90)
    _, page = show(doc, layout, tmp_path)
    boxes = sorted(
        tuple(v * MM for v in (c["x0"], 215.9 / MM - c["bottom"], c["x1"], 215.9 / MM - c["top"]))
        for c in page.curves
    )
    # pdfplumber boxes a curve by its control points: for quarter arcs, the true box.
    assert boxes[0] == pytest.approx((50, 50, 70, 70), abs=0.02)
    assert boxes[1] == pytest.approx((100, 50, 140, 70), abs=0.02)
    assert boxes[2] == pytest.approx((150, 40, 190, 60), abs=0.02)
    assert boxes[3] == pytest.approx((230, 60, 240, 70), abs=0.02)


def _block(msp):
    inner = msp.doc.blocks.new("INNER")
    inner.add_line((0, 0), (1, 1))
    outer = msp.doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (1, 0), dxfattribs={"rotation": 30})
    msp.add_blockref("OUTER", (20, 5), dxfattribs={"xscale": 2, "yscale": 2})


def _attrib(msp):
    msp.doc.blocks.new("TAGGED")
    insert = msp.add_blockref("TAGGED", (0, 0))
    insert.add_attrib("MARK", "F1-B2", (1, 1), dxfattribs={"height": 0.8})


SQUARE = [(3, -9), (9, -9), (9, -3), (3, -3)]
KINDS = {
    "LINE": lambda m: m.add_line((0, 0), (10, 0)),
    "LWPOLYLINE": lambda m: m.add_lwpolyline([(0, 0), (5, 5), (9, 1)], close=True),
    "POLYLINE": lambda m: m.add_polyline2d([(0, 0), (5, 5), (9, 1)]),
    "CIRCLE": lambda m: m.add_circle((0, 0), 3),
    "ARC": lambda m: m.add_arc((0, 0), 4, 0, 120),
    "ELLIPSE": lambda m: m.add_ellipse((0, 0), (5, 0), 0.4),
    "SPLINE": lambda m: m.add_spline([(0, 0), (3, 4), (6, 0), (9, 4)]),
    "SOLID": lambda m: m.add_solid([(0, 0), (2, 0), (0, 2), (2, 2)]),
    "TRACE": lambda m: m.add_trace([(4, 0), (6, 0), (4, 2), (6, 2)]),
    "POINT": lambda m: m.add_point((1, 1)),
    "LEADER": lambda m: m.add_leader([(0, 0), (5, 5), (8, 5)], dimstyle="Standard"),
    "HATCH": lambda m: add_fill(m, SQUARE, layer="WINDOW", true_color=(200, 220, 250)),
    "TEXT": lambda m: add_text(m, "plain text", (0, 10), scale=EIGHTH),
    "MTEXT": lambda m: add_note(m, "two\nlines", (0, 14), scale=EIGHTH),
    "INSERT": _block,
    "ATTRIB": _attrib,
    "DIMENSION": lambda m: linear_dim(m, (0, 0), (10, 0), (0, -12), 0.0, "10", "k", EIGHTH),
}


def test_the_kinds_tested_are_the_kinds_known():
    assert set(KINDS) == KNOWN - {"VIEWPORT"}


@pytest.mark.parametrize("kind", KINDS)
def test_every_known_kind_is_drawn(tmp_path, kind):
    doc, layout = inch_sheet()
    KINDS[kind](doc.modelspace())
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
    _, page = show(doc, layout, tmp_path)
    drawn = page.lines + page.curves + page.rects
    if kind in {"TEXT", "MTEXT", "ATTRIB"}:
        assert page.chars
        assert not drawn
    elif kind == "DIMENSION":
        assert "".join(c["text"] for c in page.chars) == "10"
        # Two extension lines, the dimension line and two strokes.
        assert len(page.lines) == 5
    else:
        assert drawn
        assert all(VIEW.left <= d["x0"] * MM and d["x1"] * MM <= VIEW.right for d in drawn)


def test_a_fill_covers_its_polygon_in_its_colour(tmp_path):
    doc, layout = inch_sheet()
    KINDS["HATCH"](doc.modelspace())
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
    _, page = show(doc, layout, tmp_path)
    (area,) = [c for c in page.rects + page.curves if c["fill"]]
    assert tuple(area["non_stroking_color"]) == pytest.approx(
        (200 / 255, 220 / 255, 250 / 255), abs=1e-3
    )
    assert (area["x1"] - area["x0"]) * MM == pytest.approx(6 * 25.4 / 8, abs=0.01)


def test_hatch_lines_keep_their_spacing_on_paper(tmp_path):
    doc, layout = inch_sheet()
    square = [(-20, -20), (20, -20), (20, 20), (-20, 20)]
    add_hatching(doc.modelspace(), square, scale=EIGHTH, spacing_mm=2.0, slope_rad=0.0)
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
    _, page = show(doc, layout, tmp_path)
    levels = sorted(line["top"] * MM for line in page.lines)
    steps = [b - a for a, b in itertools.pairwise(levels)]
    # 40 in at 1:8 is 127 mm; lines 2 mm apart.
    assert len(levels) in (63, 64)
    assert steps == pytest.approx([2.0] * len(steps), abs=0.01)


@pytest.mark.parametrize("nested", [False, True])
@pytest.mark.parametrize("kind", ["3DFACE", "RAY", "MESH"])
def test_unknown_entity_is_named(tmp_path, kind, nested):
    doc, layout = inch_sheet()
    target = doc.blocks.new("B") if nested else doc.modelspace()
    if kind == "3DFACE":
        target.add_3dface([(0, 0), (1, 0), (1, 1), (0, 1)])
    elif kind == "RAY":
        target.add_ray((0, 0), (1, 0))
    else:
        with target.add_mesh().edit_data() as mesh:
            mesh.vertices, mesh.faces = [(0, 0, 0), (1, 0, 0), (0, 1, 0)], [(0, 1, 2)]
    if nested:
        doc.modelspace().add_blockref("B", (0, 0))
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
    with pytest.raises(UnknownEntityError, match=kind):
        show(doc, layout, tmp_path)


def test_formatted_mtext_and_unrendered_dimension_are_refused(tmp_path):
    doc, layout = inch_sheet()
    layout.add_mtext("{\\H3;7}/16")
    with pytest.raises(UnknownEntityError, match="inline formatting"):
        show(doc, layout, tmp_path)
    doc, layout = inch_sheet()
    layout.add_linear_dim(base=(0, 5), p1=(0, 0), p2=(10, 0))
    with pytest.raises(UnknownEntityError, match="never rendered"):
        show(doc, layout, tmp_path)


def test_text_across_a_views_edge_is_reported_and_never_halved(tmp_path):
    doc, layout = inch_sheet()
    msp = doc.modelspace()
    half = VIEW.size[0] / 2 * 8 / 25.4
    middle = TextEntityAlignment.MIDDLE_CENTER
    add_text(msp, "mostly in 7/16", (half - 1, 0), scale=EIGHTH, align=middle)
    add_text(msp, "mostly out 9/16", (half + 1, 8), scale=EIGHTH, align=middle)
    add_text(msp, "far out", (half + 90, 0), scale=EIGHTH, align=middle)
    add_text(msp, "well in", (0, 0), scale=EIGHTH, align=middle)
    add_view(layout, VIEW, (0.0, 0.0), EIGHTH)
    report, page = show(doc, layout, tmp_path)
    assert report.texts == ("mostly in 7/16", "well in")
    assert report.overhanging == ("mostly in 7/16", "mostly out 9/16")
    assert "mostly in 7/16" in page.extract_text()

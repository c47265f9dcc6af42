"""Write drawings as DXF; read them back with ezdxf and with GDAL."""

from __future__ import annotations

import math

import ezdxf
import pytest
from pyogrio.raw import read as gdal_read
from shapely import from_wkb

from railsheet.export.dxf import DrawingError, save_dxf
from railsheet.sheets.dimensions import (
    Mark,
    angular_dim,
    linear_dim,
    measured,
    ordinate_y_dim,
)
from railsheet.sheets.drawing import add_text, figure_key, new_document
from railsheet.sheets.layers import LAYERS
from railsheet.sheets.paper import Rect, add_sheet, add_view, paper, sheet_layouts, window
from railsheet.sheets.running import running_dims
from railsheet.sheets.scales import Scale, standard_scales

EIGHTH = Scale("1:8", 8.0)


def dimensioned(unit="in", rounding=1 / 16):
    doc = new_document(unit, rounding)
    msp = doc.modelspace()
    msp.add_line((1.5, 2.25), (41.5, 2.25), dxfattribs={"layer": "RAIL"})
    msp.add_circle((7, 3), 0.25, dxfattribs={"layer": "HOLE"})
    linear_dim(msp, (0, 0), (7.4375, 3), (0, -5), 0.0, "7 7/16", "run", EIGHTH)
    linear_dim(msp, (0, 0), (7.4375, 3), (-5, 0), math.pi / 2, "3", "rise", EIGHTH)
    slope = math.atan2(4, 3)
    linear_dim(msp, (0, 0), (3, 4), (-4, 3), slope, "5", "rake length", EIGHTH, note="nose to nose")
    angular_dim(msp, (0, 0), (10, 0), (10, 7), 12.0, "35.0°", "rake", EIGHTH)
    marks = [Mark((x, 3.0), f"{x:g}", f"hole {x:g}") for x in (4.5, 9.0, 13.5)]
    running_dims(msp, (0, 0), marks, 15.0, EIGHTH)
    ordinate_y_dim(msp, (0, 1), Mark((5, 7), "6", "height"), (20, 7), EIGHTH)
    tilt = math.radians(30)
    far = (9 * math.cos(tilt), 9 * math.sin(tilt))
    running_dims(msp, (0, 0), [Mark(far, "9", "tilted")], 8.0, EIGHTH, rotation_rad=tilt)
    return doc


EXPECTED = {
    "run": 7.4375,
    "rise": 3.0,
    "rake length": 5.0,
    "rake": math.atan2(7, 10),
    "hole 4.5": 4.5,
    "hole 9": 9.0,
    "hole 13.5": 13.5,
    "height": 6.0,
    "tilted": 9.0,
}


def test_dimensions_measure_what_the_geometry_is(tmp_path):
    save_dxf(dimensioned(), tmp_path / "a.dxf")
    back = ezdxf.readfile(tmp_path / "a.dxf")
    dims = back.modelspace().query("DIMENSION")
    assert {figure_key(d): measured(d) for d in dims} == pytest.approx(EXPECTED, abs=1e-9)


def test_a_cad_program_will_show_its_own_measurement(tmp_path):
    save_dxf(dimensioned(), tmp_path / "a.dxf")
    back = ezdxf.readfile(tmp_path / "a.dxf")
    for dim in back.modelspace().query("DIMENSION"):
        note = "nose to nose" if figure_key(dim) == "rake length" else ""
        # DXF reference, DIMENSION group 1: empty shows the measurement, <> stands for it.
        assert dim.dxf.get("text", "") == (f"<> {note}" if note else "")
        style = dim.get_dim_style()
        # DIMLUNIT 5: fractional; DIMDEC 4: to 1/16 (2 to the minus 4).
        assert (style.dxf.dimlunit, style.dxf.dimdec, style.dxf.dimrnd) == (5, 4, 0.0625)
        shown = [t.plain_text() for t in dim.get_geometry_block().query("MTEXT")]
        assert len(shown) == 1


def test_a_tilted_running_figure_stands_square_to_its_datum_line():
    doc = new_document("mm", 1.0)
    tilt = math.radians(35)

    def world(x, y):
        return (
            100 + x * math.cos(tilt) - y * math.sin(tilt),
            50 + x * math.sin(tilt) + y * math.cos(tilt),
        )

    marks = [Mark(world(x, 20), f"{x}", f"{x}") for x in (200, 600)]
    dims = running_dims(
        doc.modelspace(), (100, 50), marks, 300.0, Scale("1:10", 10.0), rotation_rad=tilt
    )
    for dim, x in zip(dims, (200, 600), strict=True):
        assert measured(dim) == pytest.approx(x, abs=1e-9)
        assert tuple(dim.dxf.defpoint3)[:2] == pytest.approx(world(x, 300), abs=1e-9)
        for part in dim.get_geometry_block().query("LINE"):
            for end in (part.dxf.start, part.dxf.end):
                local = (end.x - 100) * math.cos(tilt) + (end.y - 50) * math.sin(tilt)
                assert local == pytest.approx(x, abs=1e-9)
        (label,) = dim.get_geometry_block().query("MTEXT")
        assert label.dxf.rotation == pytest.approx(125.0 + 180.0)


@pytest.mark.parametrize(("rounding", "places"), [(1.0, 0), (0.5, 1), (0.1, 1), (5.0, 0)])
def test_metric_dimension_style(rounding, places):
    doc = dimensioned("mm", rounding)
    style = doc.modelspace().query("DIMENSION")[0].get_dim_style()
    assert (style.dxf.dimlunit, style.dxf.dimdec, style.dxf.dimrnd) == (2, places, rounding)
    # $INSUNITS 4 is millimetres, 1 inches: DXF reference, header.
    assert doc.header["$INSUNITS"] == 4
    assert dimensioned().header["$INSUNITS"] == 1


@pytest.mark.parametrize("bad", [("in", 0.1), ("in", 0.0), ("mm", -1.0)])
def test_impossible_rounding(bad):
    with pytest.raises(ValueError, match="no rounding"):
        new_document(*bad)


def test_gdal_reads_the_same_layers_and_coordinates(tmp_path):
    save_dxf(dimensioned(), tmp_path / "a.dxf")
    meta, _, shapes, fields = gdal_read(tmp_path / "a.dxf")
    layers = fields[list(meta["fields"]).index("Layer")]
    rails = [from_wkb(g) for g, name in zip(shapes, layers, strict=True) if name == "RAIL"]
    assert [list(r.coords) for r in rails] == [[(1.5, 2.25, 0.0), (41.5, 2.25, 0.0)]]
    (hole,) = [from_wkb(g) for g, name in zip(shapes, layers, strict=True) if name == "HOLE"]
    assert hole.bounds == pytest.approx((6.75, 2.75, 7.25, 3.25), abs=1e-3)
    text = [t for t in fields[list(meta["fields"]).index("Text")] if t]
    assert "7 7/16" in text


def test_every_layer_is_there_with_its_pen(tmp_path):
    save_dxf(new_document("mm", 1.0), tmp_path / "a.dxf")
    back = ezdxf.readfile(tmp_path / "a.dxf")
    for spec in LAYERS:
        layer = back.layers.get(spec.name)
        assert layer.dxf.lineweight == spec.weight
        assert bool(layer.dxf.plot) == spec.plot
        assert layer.dxf.linetype in back.linetypes


def test_same_drawing_same_bytes(tmp_path):
    for name in "ab":
        save_dxf(dimensioned(), tmp_path / f"{name}.dxf")
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()


def test_a_broken_drawing_is_not_written(tmp_path):
    doc = new_document("mm", 1.0)
    doc.modelspace().add_line((0, 0), (1, 1), dxfattribs={"linetype": "NO-SUCH"})
    with pytest.raises(DrawingError, match="no-such"):
        save_dxf(doc, tmp_path / "a.dxf")
    assert not (tmp_path / "a.dxf").exists()


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_viewports_stand_at_exactly_their_scale(tmp_path, unit):
    doc = new_document(unit, 1.0)
    layout = add_sheet(doc, "1", paper("A4", portrait=True))
    for scale in standard_scales(unit):
        add_view(layout, Rect(20, 30, 170, 90), (3.0, 4.0), scale)
    save_dxf(doc, tmp_path / "a.dxf")
    back = ezdxf.readfile(tmp_path / "a.dxf").layout("1")
    views = [v for v in back.query("VIEWPORT") if v.dxf.id != 1]
    mm = 25.4 if unit == "in" else 1.0
    for view, scale in zip(views, standard_scales(unit), strict=True):
        assert view.dxf.height / view.dxf.view_height == pytest.approx(
            mm / scale.denominator, rel=1e-12
        )
    assert (back.dxf.paper_width, back.dxf.paper_height) == (210.0, 297.0)


def test_text_carries_its_figures_key(tmp_path):
    doc = new_document("mm", 1.0)
    add_text(doc.modelspace(), "1042", (0, 0), scale=Scale("1:10", 10.0), key="piece.F1-B1-T")
    add_text(doc.modelspace(), "a note", (0, 5), scale=Scale("1:10", 10.0))
    save_dxf(doc, tmp_path / "a.dxf")
    texts = ezdxf.readfile(tmp_path / "a.dxf").modelspace().query("TEXT")
    assert [figure_key(t) for t in texts] == ["piece.F1-B1-T", None]
    assert texts[0].dxf.height == 25.0


def test_a_wide_figure_stands_beyond_the_end_it_is_sent_to():
    doc = new_document("in", 1 / 16)
    msp = doc.modelspace()
    for p1, p2 in (((0, 0), (1, 0)), ((1, 0), (0, 0))):
        end = linear_dim(msp, p1, p2, (0, -3), 0.0, "1 0/16", "k", EIGHTH)
        start = linear_dim(msp, p1, p2, (0, -3), 0.0, "1 0/16", "k", EIGHTH, outside="start")
        ahead = p2[0] - p1[0]
        assert (end.dxf.text_midpoint.x - p2[0]) * ahead > 0
        assert (start.dxf.text_midpoint.x - p1[0]) * ahead < 0
        assert end.dxf.text_midpoint.y > -3


def test_sheets_stand_in_order_and_views_know_their_window():
    doc = new_document("in", 1 / 16)
    for name in ("2 Plan", "1 Elevation", "3 Pieces"):
        add_sheet(doc, name, paper("Letter"))
    assert [s.name for s in sheet_layouts(doc)] == ["2 Plan", "1 Elevation", "3 Pieces"]
    view = add_view(doc.layout("2 Plan"), Rect(0, 0, 101.6, 50.8), (10.0, 20.0), EIGHTH)
    # 101.6 mm is 4 in of paper: 32 in at 1:8.
    seen = window(view)
    assert (seen.left, seen.bottom, seen.right, seen.top) == pytest.approx((-6, 12, 26, 28))

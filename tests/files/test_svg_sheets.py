"""Sheets as SVG, read back with the standard library's XML parser."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from railsheet.export.svg import save_svg
from railsheet.sheets.drawing import add_text, new_document
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import Rect, add_sheet, add_view, paper
from railsheet.sheets.scales import Scale

NS = "{http://www.w3.org/2000/svg}"


def test_lines_and_text_stand_where_the_paper_has_them(tmp_path):
    doc = new_document("mm", 1.0)
    layout = add_sheet(doc, "1", paper("A4"))
    scale = Scale("1:10", 10.0)
    doc.modelspace().add_line((0, 0), (500, 100), dxfattribs={"layer": "RAIL"})
    add_view(layout, Rect(20, 60, 120, 160), (0.0, 0.0), scale)
    add_text(layout, "F1 <B2> & 7", (30.0, 40.0), height_mm=2.5)
    save_svg(layout, tmp_path / "a.svg", "Sheet 1")
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    assert (root.get("width"), root.get("viewBox")) == ("297mm", "0 0 297 210")
    (path,) = root.iter(NS + "path")
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d"))]
    # View centre (70, 110); 500 and 100 mm at 1:10; SVG counts down from 210.
    assert numbers == pytest.approx([70.0, 100.0, 120.0, 90.0], abs=1e-3)
    assert float(path.get("stroke-width")) == 0.5
    (text,) = root.iter(NS + "text")
    assert text.text == "F1 <B2> & 7"
    assert float(text.get("textLength")) == pytest.approx(text_width_mm(text.text, 2.5), abs=1e-3)
    matrix = [float(n) for n in re.findall(r"-?[\d.]+", text.get("transform"))]
    assert matrix == pytest.approx([1, 0, 0, 1, 30, 170], abs=1e-4)

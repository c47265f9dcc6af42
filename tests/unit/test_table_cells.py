"""A cell of one line stands where reportlab's own paragraph would, and as high."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.colors import black
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, Table

from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.fonts import font_name, register
from railsheet.sheets.table_cells import Cell, cell, text_style

WIDTH_PT = 150.0
WORDS = st.lists(st.text("Rail3/16×90°–Ж;&<>", min_size=1, max_size=8), max_size=5)


def _set(held: Any, made: Cell, high_pt: float | None) -> tuple[float, list[tuple[Any, ...]]]:
    """The height of a table of one cell, and each letter with its place."""
    register()
    table = Table([[held]], colWidths=[WIDTH_PT], rowHeights=[high_pt], cellStyles=[[made.style]])
    file = BytesIO()
    canvas = Canvas(file, initialFontName=font_name())
    canvas.setStrokeColor(black)
    _, high = table.wrapOn(canvas, WIDTH_PT, 500.0)
    table.drawOn(canvas, 30.0, 500.0)
    canvas.save()
    with pdfplumber.open(file) as pdf:
        letters = [c for c in pdf.pages[0].chars if c["text"].strip()]
    return high, [(c["text"], c["fontname"], c["x0"], c["top"], c["size"]) for c in letters]


@pytest.mark.parametrize("right", [False, True])
@settings(max_examples=40)
@given(words=WORDS)
def test_a_cell_stands_as_a_paragraph_does(right, words):
    register()
    text = " ".join(words)
    made = cell(text, WIDTH_PT, FIGURE_MM, right=right)
    marked_up = text.replace("&", "&amp;").replace("<", "&lt;")
    whole = Paragraph(marked_up, text_style(FIGURE_MM, right=right))
    left = cell("", WIDTH_PT, FIGURE_MM)
    high, letters = _set(made.held, made, made.high_pt)
    expected_high, expected = _set(whole, left, None)
    assert high == pytest.approx(expected_high)
    assert [each[:2] for each in letters] == [each[:2] for each in expected]
    for each, other in zip(letters, expected, strict=True):
        assert each[2:] == pytest.approx(other[2:], abs=1e-3)


def test_a_line_is_its_text_and_a_longer_text_a_paragraph():
    assert cell('3 1/4"', WIDTH_PT, FIGURE_MM).held == '3 1/4"'
    long = "what does not go onto one line of a column as narrow as this one"
    broken = cell(long, WIDTH_PT, FIGURE_MM)
    assert isinstance(broken.held, Paragraph)
    line = cell("3", WIDTH_PT, FIGURE_MM)
    more = len(broken.held.blPara.lines) - 1
    assert more > 0
    leading = text_style(FIGURE_MM).leading
    assert broken.high_pt == pytest.approx(line.high_pt + leading * more)


@pytest.mark.parametrize("text", ["玄関", "ab\xadcd", "a  b", "a\xa0b", " a"])
def test_what_a_line_of_text_would_set_otherwise_is_a_paragraph(text):
    assert isinstance(cell(text, WIDTH_PT, FIGURE_MM).held, Paragraph)

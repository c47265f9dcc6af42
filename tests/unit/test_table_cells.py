"""A cell of one line stands as reportlab's own paragraph would stand there."""

from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph

from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.fonts import font_name, register
from railsheet.sheets.table_cells import cell, text_style

WIDTH_PT = 150.0
TEXTS = st.text(st.sampled_from("Rail 3/16×90°–Ж; "), max_size=40)


def _drawn(flowable: Flowable) -> tuple[tuple[float, float], list[str]]:
    """Its size, and the operators that draw it."""
    register()
    canvas = Canvas(BytesIO(), initialFontName=font_name())
    size = flowable.wrapOn(canvas, WIDTH_PT, 500.0)
    flowable.drawOn(canvas, 3.0, 5.0)
    return size, canvas._code


@pytest.mark.parametrize("right", [False, True])
@given(text=TEXTS)
def test_a_cell_is_drawn_as_a_paragraph_is(right, text):
    register()
    style = text_style(FIGURE_MM, right=right)
    assert _drawn(cell(text, style, WIDTH_PT)) == _drawn(Paragraph(text, style))


def test_one_line_is_no_paragraph_and_a_longer_text_is():
    register()
    style = text_style(FIGURE_MM)
    assert not isinstance(cell("3 1/4", style, WIDTH_PT), Paragraph)
    long = cell("what does not go onto one line of a column as narrow as this", style, WIDTH_PT)
    assert isinstance(long, Paragraph)
    assert long.wrap(WIDTH_PT, 500.0)[1] > style.leading


@pytest.mark.parametrize(
    "text", ["post & plate", "less <more>", "玄関", "ab\xadcd", "a  b", "a\xa0b"]
)
def test_what_a_paragraph_reads_otherwise_is_left_to_it(text):
    register()
    assert isinstance(cell(text, text_style(FIGURE_MM), WIDTH_PT), Paragraph)

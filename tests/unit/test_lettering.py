"""The lettering's measures."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase.pdfmetrics import stringWidth

from railsheet.letters import OTHER_PATHS, missing_glyphs, sheet_font_path
from railsheet.sheets.faces import face
from railsheet.sheets.fonts import PT_PER_MM, font_name, font_size_pt, register
from railsheet.sheets.lettering import WIDTH_FACTOR, stretches, text_width_mm, wrap

LINES = st.text(st.characters(min_codepoint=32, max_codepoint=0x17F), max_size=40)


@pytest.mark.parametrize("bold", [False, True])
@given(text=LINES, height=st.floats(1, 10))
def test_widths_are_those_reportlab_measures(bold, text, height):
    register()
    text = text.replace("\xa0", " ").replace("\xad", "-")
    printed = stringWidth(text, font_name(bold), font_size_pt(height, bold))
    expected = printed * WIDTH_FACTOR / PT_PER_MM
    assert text_width_mm(text, height, bold) == pytest.approx(expected, rel=2e-3, abs=0.01)


def test_figures_are_as_wide_as_arials():
    # Arial: figures 1139 units wide, capitals 1466 high, of 2048; from memory.
    assert text_width_mm("0123456789", 2.5) == pytest.approx(10 * 2.5 * 1139 / 1466, rel=1e-9)


@given(st.lists(st.text("abcdefgh", min_size=1, max_size=8), max_size=20), st.floats(20, 80))
def test_wrapping_loses_no_word_and_keeps_the_width(words, width):
    lines = wrap(" ".join(words), 2.5, width)
    assert " ".join(lines).split() == words
    assert all(text_width_mm(line, 2.5) <= width or " " not in line for line in lines)


def test_unprintable_characters_are_named():
    assert missing_glyphs("7 7/16 × 90° – é Жук 玄関の階段 현관 계단") == ()
    assert missing_glyphs("a\U0001f6e0b\U0001f6e0") == ("\U0001f6e0",)


def test_what_is_taken_for_granted_is_in_both_weights():
    sure = "".join(chr(code) for code in range(0x20, 0x250) if chr(code).isprintable())
    for bold in (False, True):
        with TTFont(sheet_font_path(bold), lazy=True) as font:
            assert {ord(char) for char in sure + "–—‘’“”…†′″"} <= set(font.getBestCmap())


def test_a_line_is_cut_where_its_font_changes():
    chinese, korean = OTHER_PATHS
    assert stretches("Deck 玄関 A") == (("Deck ", None), ("玄関", chinese), (" A", None))
    assert stretches("玄현관") == (("玄", chinese), ("현관", korean))
    assert stretches("") == ()
    # A full-width letter is one em wide in the other font: read from its hmtx table.
    em = face().em_per_cap * 2.5 * WIDTH_FACTOR
    assert text_width_mm("玄関", 2.5) == pytest.approx(2 * em, rel=0.01)
    assert text_width_mm("현관", 2.5) == pytest.approx(2 * em, rel=0.01)


def test_every_korean_syllable_is_lettered():
    # Unicode Standard, ch. 3.12: the syllables stand at U+AC00 to U+D7A3, all 11,172 of them.
    assert missing_glyphs("".join(chr(code) for code in range(0xAC00, 0xD7A4))) == ()

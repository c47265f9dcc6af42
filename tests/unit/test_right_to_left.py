"""Hebrew and Arabic among figures: order of setting, joined forms, and what stays where it is.

Joined forms are the Unicode Character Database's, as Python's unicodedata has them: each
presentation form's decomposition names the letter and its place in the word.
"""

from __future__ import annotations

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.job.absurd import text_trouble
from railsheet.letters import missing_glyphs
from railsheet.right_to_left import LEFT_TO_RIGHT_MARK, guarded, in_setting_order

HEBREW = "".join(chr(code) for code in range(0x5D0, 0x5EB))
ARABIC = "".join(
    chr(code)
    for code in range(0x621, 0x64B)
    if unicodedata.category(chr(code)) == "Lo" and not 0x63B <= code <= 0x63F
)


def forms() -> dict[tuple[str, str], str]:
    """The presentation form of each letter at each place: isolated, initial, medial, final."""
    found = {}
    for code in (*range(0xFE80, 0xFEF5), 0xFBE8, 0xFBE9):
        kind, *letters = unicodedata.decomposition(chr(code)).split()
        if len(letters) == 1:
            found[chr(int(letters[0], 16)), kind.strip("<>")] = chr(code)
    return found


FORMS = forms()


def expected(word: str) -> str:
    """A word of letters in their joined forms, by whether its neighbours join to it."""
    shaped = []
    for at, letter in enumerate(word):
        # A letter with an initial form joins to the next; one with a final form to the last.
        before = at > 0 and (word[at - 1], "initial") in FORMS and (letter, "final") in FORMS
        after = (
            at + 1 < len(word) and (letter, "initial") in FORMS and (word[at + 1], "final") in FORMS
        )
        place = {
            (False, False): "isolated",
            (False, True): "initial",
            (True, True): "medial",
            (True, False): "final",
        }[before, after]
        shaped.append(FORMS[letter, place])
    return "".join(reversed(shaped))


@given(st.text(ARABIC, min_size=1, max_size=12).filter(lambda word: not re.search("ل[آأإا]", word)))
def test_letters_join_as_unicode_says(word):
    assert in_setting_order(word) == expected(word)


def test_lam_and_alef_are_one():
    # U+FEFB, U+FEFC: <isolated> and <final> 0644 0627, UnicodeData.
    assert unicodedata.decomposition("\ufefb") == "<isolated> 0644 0627"
    assert in_setting_order("لا") == "\ufefb"
    assert in_setting_order("بلا") == "\ufefc\ufe91"


@given(st.text(HEBREW, min_size=1, max_size=12))
def test_hebrew_is_turned_round(word):
    assert in_setting_order(word) == word[::-1]
    assert in_setting_order(in_setting_order(word)) == word


NAMES = st.lists(st.text(HEBREW + ARABIC, min_size=1, max_size=6), min_size=1, max_size=3).map(
    " ".join
)
FIGURES = st.sampled_from(['36 1/8"', "7'-3 1/2\"", "1265 mm", "34.7°", "12", "-1/64"])


@given(NAMES, FIGURES)
def test_a_figure_beside_a_name_stays_as_it_is(name, figure):
    alone = in_setting_order(name)
    assert in_setting_order(f"{name}, {figure}") == f"{alone}, {figure}"
    assert in_setting_order(f"{figure} {name}") == f"{figure} {alone}"
    assert in_setting_order(f"post P1 {name} {figure}") == f"post P1 {alone} {figure}"
    # and within one: read from right to left, with its own figures in order
    assert in_setting_order(f"בית {figure} גדול").count(figure) == 1


@given(NAMES, FIGURES)
def test_the_mark_keeps_two_names_and_what_is_between_them_apart(name, figure):
    text = f"{guarded(name)} {figure} {guarded(name)}"
    alone = in_setting_order(name)
    assert in_setting_order(text) == f"{alone} {figure} {alone}"
    assert guarded(name).endswith(LEFT_TO_RIGHT_MARK)
    assert guarded("36 1/8 é") == "36 1/8 é"


@pytest.mark.parametrize(
    ("text", "set_as"),
    [
        ("a (בית) b", "a (תיב) b"),
        ("שלום (עולם) 12", "(םלוע) םולש 12"),
        ("(עולם) שלום 3", "םולש (םלוע) 3"),
        ('"בית" שלום', 'םולש "תיב"'),
        ("בית 12 גדול", "לודג 12 תיב"),
    ],
)
def test_brackets_and_quotes_go_with_their_words(text, set_as):
    assert in_setting_order(text) == set_as


def test_every_form_has_a_glyph():
    shaped = {FORMS[key] for key in FORMS if key[0] in ARABIC}
    assert missing_glyphs(HEBREW + "".join(sorted(shaped)) + "\ufefb\ufefc") == ()


def test_other_scripts_that_run_so_are_refused():
    assert text_trouble("בית ארז, مدخل", 200) == ""
    assert "only Hebrew and Arabic" in text_trouble("ܫܠܡܐ", 200)
    assert "only Hebrew and Arabic" in text_trouble("ߒߞߏ", 200)
    assert "cannot be printed" in text_trouble("a\u202eb", 200)

"""Hebrew and Arabic names among left-to-right words: letters joined, and in the order of setting.

Every text of a sheet is one left-to-right paragraph. A name in such a script is set as an isolate
of the Unicode Bidirectional Algorithm (UAX #9, https://www.unicode.org/reports/tr9/) would be, from
its first right-to-left letter to its last; what follows, a figure above all, stays where it is: by
the bare algorithm `36 1/8` after such a name would read `1/8 36`.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from arabic_reshaper import ArabicReshaper

LEFT_TO_RIGHT_MARK = "\u200e"

_HEBREW = "\u0590-\u05ff\ufb1d-\ufb4f"
_ARABIC = "\u0600-\u06ff\u0750-\u077f\u08a0-\u08ff\ufb50-\ufdff\ufe70-\ufefc"
_LETTER = rf"[{_HEBREW}{_ARABIC}]"
# From the first letter to the last, over whatever has no direction of its own, and figures.
_RUN = re.compile(rf"{_LETTER}(?:(?:(?![\n{LEFT_TO_RIGHT_MARK}])[\W\d_])*{_LETTER})*")
# A figure keeps its order, a whole number with its fraction too.
_FIGURE = re.compile(r"[-−+±]?\d+(?:['\"]?[- .,:/\u066b\u066c]?\d+)*[\"'°%]?")
_UNSEEN = str.maketrans("", "", LEFT_TO_RIGHT_MARK + "\u200c\u200d")
_PAIRS = (("(", ")"), ("[", "]"), ("{", "}"), ("<", ">"), ("«", "»"), ('"', '"'))
_MIRRORED = str.maketrans("()[]{}<>«»", ")(][}{><»«")


def right_to_left(char: str) -> bool:
    """Whether a character is a letter, or a figure, of a script that runs from right to left."""
    return unicodedata.bidirectional(char) in ("R", "AL", "AN")


def can_be_set(char: str) -> bool:
    """Whether a right-to-left character is of a script that is set here."""
    return re.match(_LETTER, char) is not None


def in_setting_order(text: str) -> str:
    """One line of text as its glyphs stand on paper, from left to right.

    Arabic letters take their joined forms. A mark comes before its letter: in DejaVu Sans such
    marks have no width and stand to the right of where they are set (read from its outlines).
    """
    runs = _runs(text)
    return _with_runs(text, runs, _turned).translate(_UNSEEN) if runs else text


def guarded(text: str) -> str:
    """A text for a program that orders it by itself: a mark after each right-to-left name.

    By the mark, what follows a name belongs to the paragraph again, not to the name.
    """
    return _with_runs(text, _runs(text), lambda run: run + LEFT_TO_RIGHT_MARK)


def _runs(text: str) -> tuple[tuple[int, int], ...]:
    """Where each name begins and ends, the bracket or quote that belongs to its words with it."""
    found: list[tuple[int, int]] = []
    for run in () if text.isascii() else _RUN.finditer(text):
        start, end = run.span()
        for opening, closing in _PAIRS:
            inside = text[start:end]
            lacking = inside.count(opening) - inside.count(closing)
            if opening == closing:
                lacking = inside.count(opening) % 2
            if lacking > 0 and text[end : end + 1] == closing:
                end += 1
            elif lacking and start and text[start - 1] == opening:
                start -= 1
        found.append((start, end))
    return tuple(found)


def _with_runs(text: str, runs: Sequence[tuple[int, int]], change: Callable[[str], str]) -> str:
    parts, at = [], 0
    for start, end in runs:
        parts += [text[at:start], change(text[start:end])]
        at = end
    return "".join((*parts, text[at:]))


def _turned(run: str) -> str:
    joined = _joiner().reshape(run).translate(_UNSEEN)
    parts: list[str] = []
    at = 0
    while at < len(joined):
        figure = _FIGURE.match(joined, at)
        part = figure[0] if figure else joined[at].translate(_MIRRORED)
        at += len(part)
        parts.append(part)
    return "".join(reversed(parts))


@cache
def _joiner() -> ArabicReshaper:
    from arabic_reshaper import ArabicReshaper

    # Of its ligatures only the obligatory ones of lam and alef: a font need not have the others.
    return ArabicReshaper(
        {
            "delete_harakat": False,
            "shift_harakat_position": False,
            "support_zwj": True,
            "use_unshaped_instead_of_isolated": False,
            "ARABIC LIGATURE ALLAH": False,
        }
    )

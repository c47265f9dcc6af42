"""What no job is: files, lists and texts past these limits are refused before anything is solved.

The limits are far beyond any stair, and near enough that a file of the wrong kind, or a slip that
repeats a line a thousand times, costs a message and not an hour. Common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

from railsheet.errors import BadInput
from railsheet.letters import missing_glyphs
from railsheet.right_to_left import can_be_set, in_setting_order, right_to_left

MOST_BYTES = 1_000_000
# Tables in tables in lists; a job needs four.
MOST_DEEP = 24
MOST_ENTRIES = 200
MOST_TABLES = 1_000
MOST_RISERS = 60
MOST_DIGITS = 1_000
MOST_TEXT = 1_000
# A name is printed on one line of the title block.
MOST_NAME = 200

# Reading a dotted key takes the square of its length.
_DOTTED = re.compile(
    r"""(?m)(?:^|[{,\[])[ \t]*"""
    r"""(?:(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*)"""
    rf"{{{MOST_DEEP}}}"
)
_QUOTED = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"""|'
    r"'''(?:[^']|'{1,2}(?!'))*'''|"
    r"""\"(?:[^"\\\n]|\\.)*\"|'[^'\n]*'|#[^\n]*""",
    re.DOTALL,
)
# Python itself refuses to read such a number, or, in base 16, to write it.
_ENDLESS = re.compile(rf"[0-9A-Fa-f_]{{{MOST_DIGITS + 1},}}")
# Joined letters of some scripts; every other unseen character only hides what a text says.
_JOINERS = "\u200c\u200d"


def whole_text(path: Path) -> str:
    """A file's text, read only as far as a file may be large.

    Raises:
        BadInput: it is not there, cannot be read, is too large, or is not UTF-8.
    """
    try:
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise BadInput(str(path), "the file", "", "there is no such file") from None
    except ValueError:
        raise BadInput(str(path), "the file", "", "not the name of a file") from None
    except OSError as error:
        raise BadInput(str(path), "the file", "", f"cannot be read: {error.strerror}") from None
    if len(data) > MOST_BYTES:
        most = f"larger than {MOST_BYTES // 1000} kB, the most that is read"
        raise BadInput(str(path), "the file", "", most)
    try:
        # A byte-order mark, which some editors write, is no part of the text.
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise BadInput(str(path), "the file", "", "not text in UTF-8") from None


def refuse_absurd(file: str, text: str) -> None:
    """Refuse what would keep the TOML reader busy, or overflow it, before it reads.

    Raises:
        BadInput: brackets or dotted keys nested deeper than `MOST_DEEP`, or a number longer than
            `MOST_DIGITS`.
    """
    dotted = _DOTTED.search(text)
    deep = _line(text, dotted) if dotted else _too_deep(text)
    if deep is not None:
        most = f"nested deeper than {MOST_DEEP}, the most that is read"
        raise BadInput(file, "TOML", "", most, deep)
    if _ENDLESS.search(text):
        bare = _bare(text)
        number = _ENDLESS.search(bare)
        if number:
            most = f"a number of {len(number[0])} digits; at most {MOST_DIGITS}"
            raise BadInput(file, "TOML", "", most, _line(bare, number))


def _line(text: str, match: re.Match[str]) -> int:
    return text.count("\n", 0, match.end()) + 1


def _too_deep(text: str) -> int | None:
    """The line on which brackets open past the limit; None where none do."""
    if text.count("[") + text.count("{") <= MOST_DEEP:
        return None
    depth = 0
    for number, line in enumerate(_bare(text).split("\n"), start=1):
        for char in line:
            if char in "[{":
                depth += 1
            elif char in "]}":
                depth = max(0, depth - 1)
            if depth > MOST_DEEP:
                return number
    return None


def _bare(text: str) -> str:
    """The text without its quoted parts and remarks, line for line."""
    return _QUOTED.sub(lambda match: "\n" * match[0].count("\n"), text)


def one_line(text: str) -> str:
    """A text on one line, its accents joined to their letters where Unicode has the letter."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def text_trouble(text: str, most: int) -> str:
    """Why a text cannot be printed; empty where it can."""
    if len(text) > most:
        return f"{len(text)} characters; at most {most}"
    if text.isascii() and text.isprintable():
        return ""
    for char in text:
        if right_to_left(char) and not can_be_set(char):
            # Set in the order they are stored, such letters would read backwards.
            return f"holds {_named(char)}: of right-to-left scripts only Hebrew and Arabic are set"
        kind = unicodedata.category(char)
        if kind in ("Cc", "Cf", "Cs", "Co", "Cn") and char not in _JOINERS:
            return f"holds {_named(char)}, which cannot be printed: write it out"
    lost = missing_glyphs(in_setting_order(text))
    if lost:
        names = ", ".join(_named(char) for char in lost[:3])
        return f"the sheets' lettering has no letter for {names}: write it another way"
    return ""


def _named(char: str) -> str:
    name = unicodedata.name(char, "an unseen character").lower()
    shown = f"{char} " if char.isprintable() else ""
    return f"{shown}U+{ord(char):04X} ({name})"

"""On which line of a TOML file a key, or an entry of a list, stands.

The standard library's reader keeps no lines. This one reads only what tells where values begin,
of text that reader has taken already; the grammar is TOML 1.0.0.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

# Keys and list indexes (from 0) down to a value: ("flight", 0, "readings", "R", 1).
KeyPath = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]+")
# Multi-line strings may end in up to two more quotes, which belong to the text.
_STRINGS = (
    re.compile(r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}', re.DOTALL),
    re.compile(r"'''(?:[^']|'{1,2}(?!'))*'{3,5}", re.DOTALL),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)
_ESCAPE = re.compile(r"\\(u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|.)")
_ESCAPED = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r"}


def value_lines(text: str) -> Mapping[KeyPath, int]:
    """The line, from 1, of every table, key and list entry of a TOML text.

    A table that several headers or dotted keys write stands where the first of them does.

    Raises:
        ValueError: the text is not TOML.
    """
    reader = _Reader(text)
    reader.document()
    return reader.lines


def line_at(lines: Mapping[KeyPath, int], path: KeyPath) -> int | None:
    """The line of a value, or, where it is not written, of the nearest table it belongs to."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None


class _Reader:
    """One pass over the text."""

    def __init__(self, text: str) -> None:
        self.lines: dict[KeyPath, int] = {}
        self._text = text
        self._at = 0
        self._counted = 0
        self._line = 1
        self._tables: dict[KeyPath, int] = {}

    def document(self) -> None:
        here: KeyPath = ()
        while self._more():
            if self._ahead("[["):
                here = self._header("[[", "]]")
            elif self._ahead("["):
                here = self._header("[", "]")
            else:
                self._pair(here)

    def _more(self) -> bool:
        blank = _BLANK.match(self._text, self._at)
        assert blank is not None, "the pattern matches nothing too"
        self._at = blank.end()
        return self._at < len(self._text)

    def _ahead(self, mark: str) -> bool:
        return self._text.startswith(mark, self._at)

    def _take(self, mark: str) -> None:
        if not self._ahead(mark):
            raise ValueError(f"{mark} is wanted on line {self._here()}")
        self._at += len(mark)

    def _here(self) -> int:
        # Only ever asked for places further on: counted from the last one.
        self._line += self._text.count("\n", self._counted, self._at)
        self._counted = self._at
        return self._line

    def _note(self, path: KeyPath, line: int) -> None:
        self.lines.setdefault(path, line)

    def _header(self, opening: str, closing: str) -> KeyPath:
        line = self._here()
        self._take(opening)
        keys = self._keys()
        self._take(closing)
        path: KeyPath = ()
        for number, key in enumerate(keys):
            path = (*path, key)
            self._note(path, line)
            if opening == "[[" and number == len(keys) - 1:
                self._tables[path] = self._tables.get(path, 0) + 1
            if path in self._tables:
                path = (*path, self._tables[path] - 1)
                self._note(path, line)
        return path

    def _keys(self) -> Sequence[str]:
        keys = []
        while True:
            self._more()
            bare = _BARE.match(self._text, self._at)
            if bare is not None:
                self._at = bare.end()
                keys.append(bare[0])
            else:
                keys.append(_unquoted(self._string()))
            self._more()
            if not self._ahead("."):
                return keys
            self._take(".")

    def _string(self) -> str:
        for pattern in _STRINGS:
            match = pattern.match(self._text, self._at)
            if match is not None:
                self._at = match.end()
                return match[0]
        raise ValueError(f"a key or a text is wanted on line {self._here()}")

    def _pair(self, table: KeyPath) -> None:
        line = self._here()
        path = table
        for key in self._keys():
            path = (*path, key)
            self._note(path, line)
        self._take("=")
        self._more()
        self._value(path)

    def _value(self, path: KeyPath) -> None:
        if self._ahead("["):
            self._several(path, "[", "]")
        elif self._ahead("{"):
            self._several(path, "{", "}")
        elif self._ahead('"') or self._ahead("'"):
            self._string()
        else:
            scalar = _SCALAR.match(self._text, self._at)
            if scalar is None:
                raise ValueError(f"a value is wanted on line {self._here()}")
            self._at = scalar.end()

    def _several(self, path: KeyPath, opening: str, closing: str) -> None:
        self._take(opening)
        number = 0
        while self._more() and not self._ahead(closing):
            if opening == "[":
                self._note((*path, number), self._here())
                self._value((*path, number))
            else:
                self._pair(path)
            number += 1
            self._more()
            if not self._ahead(closing):
                self._take(",")
        self._take(closing)


def _unquoted(written: str) -> str:
    if written.startswith("'"):
        return written[1:-1]
    return _ESCAPE.sub(_character, written[1:-1])


def _character(match: re.Match[str]) -> str:
    escape = match[1]
    return chr(int(escape[1:], 16)) if len(escape) > 1 else _ESCAPED.get(escape, escape)

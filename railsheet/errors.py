"""The one way bad input is reported: what file, which place in it, which value, what is allowed."""

from __future__ import annotations

# Longer, a message no longer fits a line of a terminal; what is cut off is counted.
_SHOWN = 80


class BadInput(Exception):
    """Something the user wrote, or asked for, that cannot be used.

    Its text is one line, whatever the file holds: ``stair.toml:21: flight 1 > side: 'up': one of
    left, right, both``.

    Attributes:
        file: the file (or option) it was read from.
        place: the key, as the user would look for it.
        value: the value as written; empty where something is missing.
        allowed: what would be accepted instead.
        line: the line of the file, from 1, where the key stands, or, where it is missing, its
            table; None where that is not known.
    """

    def __init__(
        self, file: str, place: str, value: str, allowed: str, line: int | None = None
    ) -> None:
        super().__init__(file, place, value, allowed, line)
        self.file = file
        self.place = place
        self.value = value
        self.allowed = allowed
        self.line = line

    def __str__(self) -> str:
        file = plain(self.file) if self.line is None else f"{plain(self.file)}:{self.line}"
        value = f"{_shortened(self.value)!r}: " if self.value else ""
        return f"{file}: {plain(_shortened(self.place))}: {value}{plain(self.allowed)}"


def plain(text: str) -> str:
    """Text on one line that shows what it holds: control and unseen characters are spelt out."""
    return "".join(
        char if char.isprintable() else char.encode("unicode_escape").decode() for char in text
    )


def _shortened(text: str) -> str:
    if len(text) <= _SHOWN:
        return text
    return f"{text[: _SHOWN - 20]}… ({len(text)} characters)"

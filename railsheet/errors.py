"""The one way bad input is reported: what file, which place in it, which value, what is allowed."""

from __future__ import annotations


class BadInput(Exception):
    """Something the user wrote, or asked for, that cannot be used.

    Attributes:
        file: the file (or option) it was read from.
        place: line and key, as the user would look for it.
        value: the value as written; empty where something is missing.
        allowed: what would be accepted instead.
    """

    def __init__(self, file: str, place: str, value: str, allowed: str) -> None:
        super().__init__(file, place, value, allowed)
        self.file = file
        self.place = place
        self.value = value
        self.allowed = allowed

    def __str__(self) -> str:
        value = f"{self.value!r}: " if self.value else ""
        return f"{self.file}: {self.place}: {value}{self.allowed}"

"""A book whose changed figures say so, for tables that mark their rows."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from railsheet.figures.book import FigureBook

# Follows a changed figure's text; taken off, and the row marked, where a table is set.
CHANGED = "\u2063"


class MarkedBook(FigureBook):
    """Another book's figures, those of the given keys marked as changed."""

    def __init__(self, book: FigureBook, keys: AbstractSet[str]) -> None:
        super().__init__(book.tape)
        self._figures, self._sigmas, self._texts = book._figures, book._sigmas, book._texts
        self._keys = keys

    def text(self, key: str) -> str:
        """A figure as it is printed, and the mark where it changed."""
        text = super().text(key)
        return text + CHANGED if key in self._keys else text

"""Tables as plain text cells: composed once, printed in the PDF and written as CSV."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TextTable:
    """A table.

    Attributes:
        title: what it lists.
        headers: one for each column.
        rows: each as long as the headers.
        right: which columns stand to the right, as figures do.
        shares: how the width is shared among the columns.
        wide: whether it needs the whole width of a large sheet.
    """

    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int]
    shares: tuple[float, ...]
    wide: bool = False

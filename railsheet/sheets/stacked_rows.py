"""Rows for figures that stand over short pieces of one line, and reach past their ends."""

from __future__ import annotations

from collections.abc import Sequence


def stacked_rows(
    spans: Sequence[tuple[float, float, float]], *, over_lines: bool
) -> tuple[int, ...]:
    """A row for each figure, from the line up, neighbours on different ones.

    Args:
        spans: where its piece starts and ends, and how far the figure reaches, mm of paper.
        over_lines: whether a figure also stands over the lines that it reaches past.
    """
    taken: list[tuple[int, float, float, float]] = []
    for index in reversed(range(len(spans))):
        start, end, reach = spans[index]
        row = index % 2
        while any(
            (r == row and start < far and begin < reach)
            or (over_lines and r > row and any(end < line < reach for line in (begin, stop)))
            for r, begin, stop, far in taken
        ):
            row += 1
        taken.append((row, start, end, reach))
    return tuple(row for row, *_ in reversed(taken))

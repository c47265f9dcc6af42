"""Stick-on labels: one for each piece, and the grids of common label paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import fill_key, post_key, rail_key
from railsheet.job.model import Paper
from railsheet.layout.rail_ends import End
from railsheet.sheets.schedule import RunWork, cut_words

MM_PER_INCH = 25.4


@dataclass(frozen=True)
class LabelGrid:
    """Label paper, its labels in rows and columns centred on the sheet. Lengths in mm.

    Attributes:
        name: as it is asked for: paper, columns by rows.
        words: the label's size as the trade says it.
        paper: width and height of the sheet, upright.
        columns: labels across.
        rows: labels down.
        label: one label's width and height.
        gap_mm: between two labels across; rows touch.
    """

    name: str
    words: str
    paper: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    gap_mm: float

    def corner(self, number: int) -> tuple[float, float]:
        """Where the lower left corner of a sheet's label lies, counted from 0 along the rows."""
        row, column = divmod(number, self.columns)
        wide, high = self.label
        left = (self.paper[0] - self.columns * wide - (self.columns - 1) * self.gap_mm) / 2
        bottom = (self.paper[1] + self.rows * high) / 2 - (row + 1) * high
        return left + column * (wide + self.gap_mm), bottom

    @property
    def to_a_sheet(self) -> int:
        """How many labels a sheet holds."""
        return self.columns * self.rows


_LETTER, _A4 = (8.5 * MM_PER_INCH, 11 * MM_PER_INCH), (210.0, 297.0)

# Sizes in which label paper is commonly sold; common practice, no source.
GRIDS = (
    LabelGrid(
        "letter-3x10",
        "1 x 2 5/8 in",
        _LETTER,
        3,
        10,
        (2.625 * MM_PER_INCH, MM_PER_INCH),
        0.125 * MM_PER_INCH,
    ),
    LabelGrid(
        "letter-2x5",
        "2 x 4 in",
        _LETTER,
        2,
        5,
        (4 * MM_PER_INCH, 2 * MM_PER_INCH),
        0.1875 * MM_PER_INCH,
    ),
    LabelGrid("a4-3x7", "63.5 x 38.1 mm", _A4, 3, 7, (63.5, 38.1), 2.5),
    LabelGrid("a4-3x8", "63.5 x 33.9 mm", _A4, 3, 8, (63.5, 33.9), 2.5),
)


def grid_named(name: str) -> LabelGrid:
    """A grid by its name.

    Raises:
        KeyError: there is none of that name.
    """
    return {grid.name: grid for grid in GRIDS}[name]


def usual_grid(paper: Paper) -> LabelGrid:
    """The grid that goes with a job's paper."""
    inches = paper in (Paper.LETTER, Paper.TABLOID)
    return grid_named("letter-3x10" if inches else "a4-3x8")


@dataclass(frozen=True)
class Label:
    """What one label says.

    Attributes:
        mark: the piece's mark.
        where: its run and bay, or which post it is.
        length: as the cut list prints it.
        cuts: the saw's settings, in words.
        uphill: whether an arrow to the uphill end is wanted; all have one to the top.
        code: what the QR code holds: mark and length in plain text.
    """

    mark: str
    where: str
    length: str
    cuts: str
    uphill: bool
    code: str


def labels(works: Sequence[RunWork], book: FigureBook) -> tuple[Label, ...]:
    """A label for every piece that is cut, in the order of the cut list."""
    made: list[Label] = []
    for work in works:
        run = work.title[0].lower() + work.title[1:]
        for piece in work.pieces.rails:
            key = rail_key(work.mark, piece)
            up, down = (cut_words(book, f"{key}.{end.value}") for end in (End.UPHILL, End.DOWNHILL))
            where = f"{run}, bay {piece.bay}, {piece.words}"
            left, right = (piece.end_word(end) for end in (End.UPHILL, End.DOWNHILL))
            cuts = f"{left} cut {up}, {right} {down}"
            made.append(label_of(piece.mark, where, f"{key}.length", cuts, book, uphill=True))
        for fill in work.pieces.fills:
            key = fill_key(work.mark, fill)
            where = f"{run}, bay {fill.bay}, {fill.piece.name}"
            cuts = f"both cuts {book.text(f'{key}.saw')}"
            one = label_of(fill.mark, where, f"{key}.length", cuts, book, uphill=False)
            made += [one] * fill.piece.count
        for post in (piece for piece in work.pieces.posts if piece.listed):
            key = post_key(work.mark, post.post)
            where = f"{run}, {post.post.words}"
            made.append(label_of(post.mark, where, f"{key}.height", "square", book, uphill=False))
    return tuple(made)


def label_of(
    mark: str, where: str, key: str, cuts: str, book: FigureBook, *, uphill: bool
) -> Label:
    """A piece's label, its length the figure of a key."""
    # What is said must be what is printed, a figure's own rounding included.
    unit = "" if book.text(key).endswith('"') else f" {book.tape.unit.symbol}"
    length = f"{book.text(key)}{unit}"
    return Label(mark, where, length, cuts, uphill, f"{mark} {length}")

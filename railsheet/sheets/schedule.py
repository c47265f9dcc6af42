"""The cut list and the take-off as tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from railsheet.checks.flight_checks import FlightChecks
from railsheet.cuts.pieces import Pieces
from railsheet.cuts.take_off import TakeOffLine
from railsheet.figures.book import FigureBook
from railsheet.figures.doubt import Doubt
from railsheet.figures.flight import post_key, rail_key
from railsheet.layout.notice import Notice
from railsheet.layout.railing import Railing
from railsheet.sheets.tables import TextTable
from railsheet.survey.flight import Survey
from railsheet.units.length import Unit


class RunWork(Protocol):
    """A run, flight or level, with what follows from it."""

    @property
    def railing(self) -> Railing:
        """The run solved."""

    @property
    def pieces(self) -> Pieces:
        """What it needs cut."""

    @property
    def parts(self) -> tuple[TakeOffLine, ...]:
        """Its take-off."""

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What it calls attention to."""

    @property
    def mark(self) -> str:
        """Its letter."""

    @property
    def title(self) -> str:
        """What it is called on sheets."""


@dataclass(frozen=True)
class LevelWork:
    """One level run with all that follows from it."""

    railing: Railing
    pieces: Pieces
    parts: tuple[TakeOffLine, ...]
    notices: tuple[Notice, ...]

    @property
    def mark(self) -> str:
        """The run's letter."""
        return self.railing.spec.mark

    @property
    def title(self) -> str:
        """What it is called on sheets."""
        return f"Level run {self.mark}"


@dataclass(frozen=True)
class FlightWork:
    """One flight with all that follows from it: what every sheet draws from.

    Attributes:
        checks: what was checked; None where the job names no code.
    """

    railing: Railing
    pieces: Pieces
    parts: tuple[TakeOffLine, ...]
    notices: tuple[Notice, ...]
    survey: Survey
    doubts: tuple[Doubt, ...]
    checks: FlightChecks | None = None

    @property
    def mark(self) -> str:
        """The flight's letter."""
        return self.railing.spec.mark

    @property
    def title(self) -> str:
        """What it is called on sheets."""
        return f"Flight {self.mark}"


def cut_table(works: Sequence[RunWork], book: FigureBook) -> TextTable:
    """Every piece to cut: its length, its saw settings, and where on the bar it lies."""
    rows = []
    for work in works:
        for piece in work.pieces.rails:
            key = rail_key(work.mark, piece)
            stock = f"{key}.bar.stock"
            rows.append(
                (
                    piece.mark,
                    piece.rail.kit.name,
                    "1",
                    book.text(f"{key}.length"),
                    book.text(f"{key}.uphill.saw"),
                    book.text(f"{key}.downhill.saw"),
                    book.text(stock) if stock in book else "none long enough",
                    f"{book.text(f'{key}.bar.trim')} off the bar's end; "
                    f"bar's hole {book.text(f'{key}.bar.first_hole')} is the uphill baluster's"
                    + _within(book, f"{key}.length"),
                )
            )
        for post in (piece for piece in work.pieces.posts if piece.listed):
            key = post_key(work.mark, post.post)
            cut_off = f"{key}.cut_off"
            standing = post.post.spec.height_mm is not None
            note = "measured from the plate's underside"
            if cut_off in book and book.value(cut_off) >= 0:
                note = f"{book.text(cut_off)} off the top; {note}"
            note += _within(book, f"{key}.height")
            rows.append(
                (
                    post.mark,
                    post.post.words + (", standing" if standing else ""),
                    "1",
                    book.text(f"{key}.height"),
                    "0.0°",
                    "",
                    "standing" if standing else book.text("kit.post.stock_height"),
                    note,
                )
            )
    unit = "" if book.tape.unit is Unit.INCH else " (mm)"
    return TextTable(
        title="Pieces to cut",
        headers=(
            "Mark",
            "Piece",
            "No.",
            f"Length{unit}",
            "Uphill or top cut, off square",
            "Downhill cut, off square",
            f"From{unit}",
            "How",
        ),
        rows=tuple(rows),
        right=frozenset({2, 3, 4, 5, 6}),
        shares=(7, 20, 4, 10, 11, 11, 11, 26),
    )


def _within(book: FigureBook, key: str) -> str:
    """How far the readings leave a length open, where that is more than its rounding."""
    within = f"{key}.plus_minus"
    return f"; ± {book.text(within)} by the readings" if within in book else ""


def parts_table(works: Sequence[RunWork], book: FigureBook) -> TextTable:
    """Everything to buy."""
    rows = []
    for work in works:
        for number, part in enumerate(work.parts, start=1):
            key = f"{work.mark}.part.{number}"
            item = part.item
            if part.stock_mm is not None:
                item += f", bar of {book.tape.say(part.stock_mm)}"
            elif part.group == "rail":
                item += ", no stock bar is long enough"
            rows.append(
                (work.mark, part.group, item, book.text(f"{key}.count"), book.text(f"{key}.buy"))
            )
    return TextTable(
        title="Parts",
        headers=("Run", "Kind", "Part", "Needed", "To buy"),
        rows=tuple(rows),
        right=frozenset({3, 4}),
        shares=(8, 12, 60, 10, 10),
    )

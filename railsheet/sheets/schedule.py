"""The cut list and the take-off as tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from railsheet.checks.flight_checks import FlightChecks
from railsheet.cuts.alike_bars import bars_words
from railsheet.cuts.job_stock import JobStock
from railsheet.cuts.pieces import FillPiece, Pieces, RailPiece
from railsheet.cuts.take_off import TakeOffLine
from railsheet.figures.book import FigureBook
from railsheet.figures.doubt import Doubt
from railsheet.figures.flight import fill_key, post_key, rail_key
from railsheet.figures.stock import fill_lengths_mm, place_words
from railsheet.layout.infill.door import supply_of
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
    def stock(self) -> JobStock:
        """The stock plan of the whole job."""

    @property
    def title(self) -> str:
        """What it is called on sheets."""

    @property
    def checks(self) -> FlightChecks | None:
        """What was checked; None where the job names no code."""


@dataclass(frozen=True)
class LevelWork:
    """One level run with all that follows from it.

    Attributes:
        doubts: what its figures scatter by.
        checks: what was checked; None where the job names no code.
    """

    railing: Railing
    pieces: Pieces
    parts: tuple[TakeOffLine, ...]
    notices: tuple[Notice, ...]
    doubts: tuple[Doubt, ...]
    stock: JobStock
    checks: FlightChecks | None = None

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
        stock: the whole job's stock plan.
        checks: what was checked; None where the job names no code.
    """

    railing: Railing
    pieces: Pieces
    parts: tuple[TakeOffLine, ...]
    notices: tuple[Notice, ...]
    survey: Survey
    doubts: tuple[Doubt, ...]
    stock: JobStock
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
    rows: list[tuple[str, ...]] = []
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
                    cut_words(book, f"{key}.uphill"),
                    cut_words(book, f"{key}.downhill"),
                    book.text(stock) if stock in book else "none long enough",
                    from_bar_words(work, piece, book) + _within(book, f"{key}.length"),
                )
            )
        rows += [_fill_row(work, fill, book) for fill in work.pieces.fills]
        for post in (piece for piece in work.pieces.posts if piece.listed):
            key = post_key(work.mark, post.post)
            cut_off = f"{key}.cut_off"
            standing = post.post.spec.height_mm is not None
            note = "measured from the plate's underside"
            if cut_off in book and book.value(cut_off) >= 0:
                note = f"{book.text(cut_off)} off the top; {note}"
            note += _within(book, f"{key}.height")
            if f"{key}.height_low" in book:
                note += f"; {book.text(f'{key}.height_low')} at the downhill face"
            rows.append(
                (
                    post.mark,
                    post.post.words + (", standing" if standing else ""),
                    "1",
                    book.text(f"{key}.height"),
                    book.text(f"{key}.top_saw"),
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
        # The count stands away from the length, with which it could be read as one figure.
        right=frozenset({3, 4, 5, 6}),
        shares=(6, 17, 4, 8, 9, 9, 8, 39),
        wide=True,
    )


def cut_words(book: FigureBook, key: str) -> str:
    """A rail's cut off square, the rail on its side: the blade's tilt with it, and a cope."""
    saw, bevel, cope = book.text(f"{key}.saw"), f"{key}.bevel", f"{key}.cope"
    if cope in book:
        return f"{saw}, coped {book.text(cope)} deep"
    return f"{saw}, bevel {book.text(bevel)}" if bevel in book else saw


def from_bar_words(work: RunWork, piece: RailPiece, book: FigureBook) -> str:
    """Where on its bar, or in its panel, a rail starts."""
    infill = work.railing.bays[piece.bay - 1].infill
    if piece.mark in work.stock.placed:
        return place_words(book, work.mark, piece, work.stock, infill.noun)
    key = rail_key(work.mark, piece)
    words = f"{book.text(f'{key}.bar.trim')} off the bar's end"
    if piece.on_bar.first_hole is None:
        return words
    hole = book.text(f"{key}.bar.first_hole")
    if supply_of(work.railing.kit).panel:
        return f"{words}; the panel's {infill.noun} {hole} from that end is the uphill one"
    return f"{words}; bar's hole {hole} is the uphill {infill.noun}'s"


def _fill_row(work: RunWork, fill: FillPiece, book: FigureBook) -> tuple[str, ...]:
    key, piece = fill_key(work.mark, fill), fill.piece
    stock = "none long enough" if piece.stock_mm else "coil"
    if lengths := fill_lengths_mm(fill, work.stock):
        stock = " and ".join(book.text(f"{key}.stock.{n + 1}") for n in range(len(lengths)))
    how = f"{book.text(f'{key}.edge')} along each edge; {piece.how}" if piece.saw_rad else piece.how
    if lengths:
        how += f"; {bars_words(work.stock.bars_of(fill.mark))}"
    saw = book.text(f"{key}.saw")
    return (
        fill.mark,
        piece.name,
        book.text(f"{key}.count"),
        book.text(f"{key}.length"),
        saw,
        saw,
        stock,
        how,
    )


def _within(book: FigureBook, key: str) -> str:
    """How far the readings leave a length open, where that is more than its rounding."""
    within = f"{key}.plus_minus"
    return f"; ± {book.text(within)} by the readings" if within in book else ""


# So many runs stand side by side in one table of parts.
_RUNS_BESIDE = 8


def parts_tables(works: Sequence[RunWork], book: FigureBook) -> tuple[TextTable, ...]:
    """Where each part goes, run by run; none for one run, whose parts are the buying list's."""
    if len(works) < 2:
        return ()
    groups = [works[i : i + _RUNS_BESIDE] for i in range(0, len(works), _RUNS_BESIDE)]
    return tuple(_parts_of(group, book) for group in groups)


def _parts_of(works: Sequence[RunWork], book: FigureBook) -> TextTable:
    needed: dict[tuple[str, str], dict[str, str]] = {}
    for work in works:
        for number, part in enumerate(work.parts, start=1):
            item = part.item
            if part.stock_mm is not None:
                item += f", bar of {book.tape.say(part.stock_mm)}"
            elif part.group == "rail":
                item += ", no stock bar is long enough"
            count = book.text(f"{work.mark}.part.{number}.count")
            needed.setdefault((part.group, item), {})[work.mark] = count
    marks = [work.mark for work in works]
    return TextTable(
        title="Parts that each run takes",
        headers=("Kind", "Part", *marks),
        rows=tuple(
            (group, item, *(counts.get(mark, "") for mark in marks))
            for (group, item), counts in needed.items()
        ),
        right=frozenset(range(2, 2 + len(marks))),
        shares=(14, 46, *(40 / _RUNS_BESIDE,) * len(marks)),
    )


def infill_tables(works: Sequence[RunWork], book: FigureBook) -> tuple[TextTable, ...]:
    """Every figure of each bay's infill, bays that share one told together."""
    bays: dict[tuple[str, str], list[tuple[str, int]]] = {}
    for work in works:
        for bay in work.railing.bays:
            for fact in bay.infill.facts:
                words = fact.words.rstrip(":")
                figure = book.text(f"{work.mark}.bay.{bay.number}.{fact.name}")
                bays.setdefault((words[0].upper() + words[1:], figure), []).append(
                    (work.mark, bay.number)
                )
    if not bays:
        return ()
    unit = "" if book.tape.unit is Unit.INCH else " (mm, unless said)"
    table = TextTable(
        title="Infill",
        headers=("What", f"Figure{unit}", "Bays"),
        rows=tuple((words, figure, _bay_words(these)) for (words, figure), these in bays.items()),
        right=frozenset({1}),
        shares=(46, 18, 36),
    )
    return (table,)


def _bay_words(bays: Sequence[tuple[str, int]]) -> str:
    """Bays by their marks, neighbours of one run as a span: A1, D1 to D4."""
    spans: list[list[tuple[str, int]]] = []
    for mark, number in bays:
        if spans and spans[-1][-1] == (mark, number - 1):
            spans[-1].append((mark, number))
        else:
            spans.append([(mark, number)])
    return ", ".join(
        f"{span[0][0]}{span[0][1]}" + (f" to {span[-1][0]}{span[-1][1]}" if len(span) > 1 else "")
        for span in spans
    )

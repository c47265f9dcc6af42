"""The readings of a flight as a table: what was read, what came of it, and what it is worth."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from railsheet.figures.book import FigureBook
from railsheet.figures.survey import reading_key
from railsheet.sheets.schedule import FlightWork, LevelWork
from railsheet.sheets.tables import TextTable
from railsheet.survey.flight import LeftOut
from railsheet.survey.quality import GlobalTest, ReadingQuality, Suspect

if TYPE_CHECKING:
    from railsheet.layout.site_model import Site


def readings_table(work: FlightWork, book: FigureBook) -> TextTable:
    """Every reading, with what the rest imply for it."""
    adjustment = work.survey.adjustment
    title = f"Flight {work.mark}: readings. {_verdict(work.mark, adjustment.test, book)}"
    readings, suspects = adjustment.readings, adjustment.suspects
    return _readings(title, work.mark, readings, suspects, book, work.survey.left_out)


def plan_readings_table(site: Site, book: FigureBook) -> TextTable | None:
    """The plan's readings; None where each was needed and none checks another."""
    survey = site.survey
    if survey is None or not survey.redundancy:
        return None
    title = f"Plan of the site: readings. {_verdict('site', survey.test, book)}"
    return _readings(title, "site", survey.readings, survey.suspects, book)


def _readings(
    title: str,
    at: str,
    readings: Sequence[ReadingQuality],
    suspected: Sequence[Suspect],
    book: FigureBook,
    left_out: Sequence[LeftOut] = (),
) -> TextTable:
    suspects = {suspect.key for suspect in suspected}
    rows = []
    for reading in readings:
        key = reading_key(at, reading.key)
        checked = f"{key}.w" in book
        rows.append(
            (
                reading.key,
                reading.name + (": SUSPECT" if reading.key in suspects else ""),
                book.text(f"{key}.read"),
                book.text(f"{key}.adjusted"),
                book.text(f"{key}.residual"),
                book.text(f"{key}.redundancy"),
                book.text(f"{key}.w") if checked else "unchecked",
                book.text(f"{key}.implied") if checked else "",
                book.text(f"{key}.detectable") if checked else "none",
            )
        )
    for aside in left_out:
        key = reading_key(at, aside.reading.key)
        implied = book.text(f"{key}.implied") if f"{key}.implied" in book else "not known"
        name = f"{aside.reading.name}: LEFT OUT"
        read = book.text(f"{key}.read")
        rows.append((aside.reading.key, name, read, "", "", "", "", implied, ""))
    return TextTable(
        title=title,
        headers=(
            "Key",
            "Reading",
            "Read",
            "Adjusted",
            "Adjusted less read",
            "Share that shows",
            "Residual in spreads",
            "The rest imply",
            "Least slip that shows",
        ),
        rows=tuple(rows),
        right=frozenset(range(2, 9)),
        shares=(8, 24, 9, 10, 9, 9, 12, 10, 9),
    )


# What is cut, drilled, set out or fitted by: the ends of their keys.
_WORKED_BY = (
    ".rake",
    ".rail.top.length",
    ".rail.bottom.length",
    ".clear",
    ".gap",
    ".from_nose",
    ".height",
    ".above_underside",
    ".rail_height",
    ".slide_uphill",
    ".slide_downhill",
    ".cut_off",
)


def doubt_table(work: FlightWork | LevelWork, book: FigureBook) -> TextTable | None:
    """The figures two sigmas leave wider than they are printed, and the reading worth taking.

    None where there is no such figure. Where the scatter could not be carried to the figures at
    all, the table says that instead.
    """
    title = f"{work.title}: figures the readings leave wider than they are printed"
    if not work.doubts:
        return TextTable(
            title=title,
            headers=("Not known",),
            rows=(("Every small change of a reading changes what is chosen: read again.",),),
            right=frozenset(),
            shares=(100,),
        )
    rows = tuple(
        (
            book[doubt.key].about,
            book.text(doubt.key),
            f"± {book.text(f'{doubt.key}.plus_minus')}",
            doubt.take or "no single one helps",
            f"± {book.text(f'{doubt.key}.plus_minus_then')}" if doubt.take else "",
        )
        for doubt in work.doubts
        if doubt.key.endswith(_WORKED_BY)
        and ".mount." not in doubt.key
        and f"{doubt.key}.plus_minus" in book
    )
    if not rows:
        return None
    return TextTable(
        title=title,
        headers=("Figure", "Printed", "Two sigmas", "What to read to lessen it most", "Then"),
        rows=rows,
        right=frozenset({1, 2, 4}),
        shares=(38, 12, 11, 28, 11),
    )


def _verdict(at: str, test: GlobalTest | None, book: FigureBook) -> str:
    if test is None:
        return "Nothing could be checked: no reading more than needed"
    more = book.text(f"{at}.survey.redundancy")
    figures = (
        f"{book.text(f'{at}.survey.chi_square')}, at most "
        f"{book.text(f'{at}.survey.chi_square_most')}"
    )
    verdict = "agree" if test.passes else "DISAGREE"
    return f"{more} more than needed; together they {verdict} ({figures})"

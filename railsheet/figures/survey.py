"""Enter one flight's readings, and how they bear each other out, into the book of figures."""

from __future__ import annotations

from collections.abc import Sequence

from railsheet.figures.book import FigureBook
from railsheet.survey.flight import LeftOut, Survey
from railsheet.survey.quality import GlobalTest, ReadingQuality


def reading_key(mark: str, reading: str) -> str:
    """Where a reading's figures stand in the book: ``A.reading.D1_6``."""
    return f"{mark}.reading.{reading.replace(' ', '').replace('-', '_')}"


def enter_survey(book: FigureBook, at: str, survey: Survey) -> None:
    """Enter every reading as read and as adjusted, and the test of the whole."""
    adjustment = survey.adjustment
    enter_readings(book, at, adjustment.readings, adjustment.redundancy, adjustment.test)
    for aside in survey.left_out:
        _left_out(book, reading_key(at, aside.reading.key), aside)


def enter_readings(
    book: FigureBook,
    at: str,
    readings: Sequence[ReadingQuality],
    redundancy: int,
    test: GlobalTest | None,
) -> None:
    """Enter what an adjustment makes of its readings: a flight's, or the plan's."""
    for reading in readings:
        _reading(book, reading_key(at, reading.key), reading)
    book.count(f"{at}.survey.redundancy", redundancy, "readings more than needed")
    if test is not None:
        book.statistic(f"{at}.survey.chi_square", test.statistic, "global test: weighted squares")
        book.statistic(f"{at}.survey.chi_square_most", test.upper, "global test: limit at 2.5 %")
        book.statistic(
            f"{at}.survey.probability", test.probability, "global test: chance of as much"
        )


def _left_out(book: FigureBook, key: str, aside: LeftOut) -> None:
    reading = aside.reading
    enter = book.length if reading.unit == "mm" else book.angle
    enter(f"{key}.read", reading.read, f"{reading.name}: as read, left out")
    if aside.implied is not None:
        enter(f"{key}.implied", aside.implied, f"{reading.name}: as the rest imply it")


def _reading(book: FigureBook, key: str, reading: ReadingQuality) -> None:
    enter = book.length if reading.unit == "mm" else book.angle
    name = reading.name
    enter(f"{key}.read", reading.read, f"{name}: as read")
    enter(f"{key}.spread", reading.sigma, f"{name}: its spread, one sigma")
    enter(f"{key}.adjusted", reading.adjusted, f"{name}: as adjusted")
    enter(f"{key}.residual", reading.residual, f"{name}: adjusted less read")
    book.statistic(f"{key}.redundancy", reading.redundancy, f"{name}: share of a slip that shows")
    if reading.standardised is not None and reading.implied is not None:
        book.statistic(f"{key}.w", reading.standardised, f"{name}: standardised residual")
        enter(f"{key}.implied", reading.implied, f"{name}: as the rest imply it")
    if reading.detectable is not None:
        enter(f"{key}.detectable", reading.detectable, f"{name}: least slip that would show")

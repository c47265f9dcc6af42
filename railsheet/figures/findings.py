"""Findings in the book of figures, as notices, and as rows of text."""

from __future__ import annotations

from typing import Any

from railsheet.checks.amount import Kind as Amount
from railsheet.checks.finding import Finding
from railsheet.checks.flight_checks import CheckedOpening, FlightChecks
from railsheet.checks.judge import Status
from railsheet.checks.measured import places
from railsheet.checks.telling import figure_text, margin_text
from railsheet.figures.book import Figure, FigureBook, Kind
from railsheet.job.site import FlightSite
from railsheet.layout.notice import Notice, Weight
from railsheet.units.display import Tape

_KINDS = {Amount.LENGTH: Kind.LENGTH, Amount.ANGLE: Kind.ANGLE}


def finding_key(at: str, number: int) -> str:
    """Where a finding's figures stand in the book; numbered from 1, worst first."""
    return f"{at}.finding.{number}"


def opening_key(at: str, number: int) -> str:
    """Where an opening's diameter stands in the book; numbered from 1, in the checks' order."""
    return f"{at}.opening.{number}.diameter"


def height_key(at: str, number: int) -> str:
    """Where a height outside a limit stands in the book; numbered from 1, going uphill."""
    return f"{at}.outside.{number}.height"


def load_key(at: str, number: int, symbol: str) -> str:
    """Where a length of the load statement stands in the book; rows numbered from 1."""
    return f"{at}.load.{number}.{symbol}"


def enter_checks(book: FigureBook, at: str, checks: FlightChecks) -> None:
    """Enter every finding's figure and margin, and every opening's diameter."""
    for number, finding in enumerate(checks.findings, start=1):
        if finding.figure is None or finding.margin is None:
            continue
        key = finding_key(at, number)
        about = f"{finding.limit.quantity.words}, {finding.where}"
        kind = _KINDS.get(finding.kind, Kind.RATIO)
        book.add(
            Figure(
                f"{key}.figure",
                finding.figure,
                kind,
                about,
                shown=figure_text(finding, book.tape),
            )
        )
        book.add(
            Figure(
                f"{key}.margin",
                finding.margin,
                kind,
                f"{about}: inside {finding.limit_text}; negative is outside",
                shown=margin_text(finding, book.tape),
            )
        )
    for number, checked in enumerate(checks.openings, start=1):
        book.add(
            Figure(
                opening_key(at, number),
                checked.opening.circle.diameter_mm,
                Kind.LENGTH,
                f"greatest sphere, {checked.opening.where}",
                shown=_diameter_text(checked, book.tape),
            )
        )
    for number, low in enumerate(checks.heights_outside, start=1):
        height = low.height
        book.add(
            Figure(
                height_key(at, number),
                height.height_mm,
                Kind.LENGTH,
                f"height of the rail, {height.where}, outside a limit",
                shown=figure_text(low.findings[0], book.tape),
            )
        )
    enter_loads(book, at, checks)


def _diameter_text(checked: CheckedOpening, tape: Tape) -> str:
    figured = [finding for finding in checked.findings if finding.figure is not None]
    if figured:
        return figure_text(figured[0], tape)
    return tape.text(checked.opening.circle.diameter_mm)


def enter_loads(book: FigureBook, at: str, checks: FlightChecks) -> None:
    """Enter the lengths that the load statement prints."""
    for number, row in enumerate(checks.loads.rows, start=1):
        for term in row.demand.terms:
            if term.kind is Amount.LENGTH:
                about = f"{row.part}, {row.demand.what}: {term.meaning}"
                book.length(load_key(at, number, term.symbol), term.value, about)


def enter_site(book: FigureBook, at: str, site: FlightSite) -> None:
    """Enter the drop beside a flight, where it was read."""
    if site.drop_mm is not None:
        book.length(f"{at}.site.drop", site.drop_mm, "greatest drop beside the flight")


def where_text(finding: Finding) -> str:
    """Where a finding is, and that its margin is in doubt where two sigmas could turn it."""
    if not finding.unsure:
        return finding.where
    return f"{finding.where}; margin within the readings' doubt"


def finding_notices(checks: FlightChecks, tape: Tape) -> tuple[Notice, ...]:
    """One notice for each limit that something stands outside of, its worst figure first."""
    grouped: dict[tuple[str, str], list[Finding]] = {}
    for finding in checks.outside:
        grouped.setdefault((finding.limit.key, finding.bound.sense.value), []).append(finding)
    return tuple(_notice(group, tape) for group in grouped.values())


def _notice(group: list[Finding], tape: Tape) -> Notice:
    worst = group[0]
    unit = " mm" if worst.kind is Amount.LENGTH and tape.unit.value == "mm" else ""
    words = (
        f"{worst.limit.quantity.words}, {worst.where}: {figure_text(worst, tape)}{unit}; "
        f"{clause_text(worst)} asks for {worst.limit_text}"
    )
    if len(group) > 1:
        words += f". Likewise {places([finding.where for finding in group[1:]])}"
    if worst.from_memory:
        words += ". The limit is from memory: read the clause"
    if worst.limit.exceptions:
        words += f". The clause excepts: {'; '.join(worst.limit.exceptions)}"
    return Notice(Weight.STOP, "check", words.replace("{", "{{").replace("}", "}}"))


def clause_text(finding: Finding) -> str:
    """The clause for print; a local amendment and a limit known from memory are marked."""
    marks = ("†" if finding.limit.amended else "") + ("*" if finding.from_memory else "")
    return f"{finding.clause}{marks}"


def finding_record(checks: FlightChecks, at: str, book: FigureBook) -> list[dict[str, Any]]:
    """A flight's findings as JSON values; a figure's exact value stands under its key."""
    entries = []
    for number, finding in enumerate(checks.findings, start=1):
        key = finding_key(at, number)
        checked = finding.status is not Status.NOT_CHECKED
        entries.append(
            {
                "flight": at,
                "status": finding.status.value,
                "what": finding.limit.quantity.words,
                "measures": finding.limit.measures,
                "where": finding.where,
                "figure": f"{key}.figure" if checked else None,
                "figure_shown": book.text(f"{key}.figure") if checked else None,
                "limit": finding.limit_text,
                "margin": f"{key}.margin" if checked else None,
                "margin_shown": book.text(f"{key}.margin") if checked else None,
                "clause": finding.clause,
                "from_memory": finding.from_memory,
                "amended": finding.limit.amended,
                "exceptions": list(finding.limit.exceptions),
                "missing": list(finding.missing),
            }
        )
    return entries

"""Check a job against its code, and print what was found as a table."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from railsheet.checks.finding import Finding, worst_first
from railsheet.checks.judge import Status
from railsheet.checks.profile import Profile
from railsheet.cli.say import say
from railsheet.cli.solve import no_code, solve_job
from railsheet.figures.book import FigureBook
from railsheet.figures.findings import clause_text, finding_key, where_text
from railsheet.job.model import Job
from railsheet.sheets.schedule import RunWork
from railsheet.units.length import Unit

OUTSIDE = 1

_WIDE = 100
# What, where, figure, limit, margin, clause; with a blank between, a hundred columns.
_COLUMNS = (18, 23, 9, 18, 8, 19)
_RIGHT = (2, 4)

_DEFERS = (
    "These are figures against the limits named, no more. Whether the work may be built is for "
    "the local code, the authority having jurisdiction and licensed practice."
)


def check_job(job: Job) -> int:
    """Print every finding of a job, worst first.

    Returns:
        0 where nothing stands outside a limit, else 1.

    Raises:
        BadInput: it cannot be laid out, its code profile cannot be used, or it names no code.
    """
    if job.code is None:
        raise no_code(job)
    # No finding rests on the stock plan: any that holds the pieces will do.
    solved = solve_job(job, stock_effort=0.0)
    assert solved.profile is not None, "a job with a code is solved with its profile"
    say(f"{job.name}, against {solved.profile.title}")
    for amendment in solved.profile.amendments:
        say(textwrap.fill(f"† {amendment.text}", _WIDE, subsequent_indent="  "))
    numbered = [
        (finding, finding_key(work.mark, number), _run_words(work))
        for work in solved.runs
        if work.checks is not None
        for number, finding in enumerate(work.checks.findings, start=1)
    ]
    order = {id(f): n for n, f in enumerate(worst_first(f for f, _, _ in numbered))}
    numbered.sort(key=lambda entry: order[id(entry[0])])
    several = len(solved.runs) > 1
    counts = {}
    for status in (Status.OUTSIDE, Status.NOT_CHECKED, Status.WITHIN):
        rows = [entry for entry in numbered if entry[0].status is status]
        counts[status] = len(rows)
        _print_group(status, rows, solved.book, several=several)
    _print_notes([entry[0] for entry in numbered], solved.profile)
    say(
        f"{counts[Status.OUTSIDE]} outside, {counts[Status.NOT_CHECKED]} not checked, "
        f"{counts[Status.WITHIN]} within."
    )
    return OUTSIDE if counts[Status.OUTSIDE] else 0


def _run_words(work: RunWork) -> str:
    """``flight A``, ``level run D``."""
    return work.title[0].lower() + work.title[1:]


def _print_group(
    status: Status,
    rows: Sequence[tuple[Finding, str, str]],
    book: FigureBook,
    *,
    several: bool,
) -> None:
    if not rows:
        return
    say("")
    if status is Status.NOT_CHECKED:
        say(f"NOT CHECKED ({len(rows)}): each says what is missing")
        for finding, _, run in rows:
            where = f"{run}, {finding.where}" if several else finding.where
            words = (
                f"{finding.limit.quantity.words}, {where}: {finding.limit_text} "
                f"({clause_text(finding)}). Missing: {'; '.join(finding.missing)}"
            )
            say(textwrap.fill(words, _WIDE, initial_indent="  ", subsequent_indent="    "))
        return
    unit = "inches" if book.tape.unit is Unit.INCH else "mm"
    say(f"{status.value.upper()} ({len(rows)}), {unit}")
    _print_row(("What", "Where", "Figure", "Limit", "Margin", "Clause"))
    for finding, key, run in rows:
        _print_row(
            (
                finding.limit.quantity.words,
                f"{run}, {where_text(finding)}" if several else where_text(finding),
                book.text(f"{key}.figure"),
                finding.limit_text,
                book.text(f"{key}.margin"),
                clause_text(finding),
            )
        )


def _print_row(cells: Sequence[str]) -> None:
    wrapped = [
        textwrap.wrap(cell, wide) or [""] for cell, wide in zip(cells, _COLUMNS, strict=True)
    ]
    for line in range(max(len(lines) for lines in wrapped)):
        shown = []
        for column, (lines, wide) in enumerate(zip(wrapped, _COLUMNS, strict=True)):
            text = lines[line] if line < len(lines) else ""
            shown.append(text.rjust(wide) if column in _RIGHT else text.ljust(wide))
        say(" ".join(shown).rstrip())


def _print_notes(findings: Sequence[Finding], profile: Profile) -> None:
    say("")
    if any(finding.from_memory for finding in findings):
        say("* the limit is known from memory or at second hand: read the clause itself.")
    if any(finding.limit.amended for finding in findings):
        say("† a local amendment.")
    for text in (profile.note, _ROUNDING, _DEFERS):
        say(textwrap.fill(text, _WIDE))
    say("")


_ROUNDING = (
    "Figures are rounded to the tape; one that would then fall on the wrong side of its limit is "
    "printed finer, and rounded to its own side. Margins are inside the limit; a negative one is "
    "outside; one smaller than two standard deviations of its figure is within the readings' "
    "doubt. A figure equal to 'at least' or 'at most' is within; one equal to "
    "'less than' is outside."
)

"""The tables of an inspection set: findings, the limits behind them, loads, cover."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from railsheet.checks.amount import Kind, say_metric, say_us
from railsheet.checks.demand import Term
from railsheet.checks.finding import Finding
from railsheet.checks.judge import Status
from railsheet.checks.limit import Limit
from railsheet.checks.profile import Profile
from railsheet.checks.statics import DEMAND_ONLY
from railsheet.figures.book import FigureBook
from railsheet.figures.findings import clause_text, finding_key, load_key, where_text
from railsheet.job.model import Job
from railsheet.layout.notice import Weight
from railsheet.sheets.schedule import RunWork
from railsheet.sheets.tables import TextTable
from railsheet.units.display import Tape

_HEADS = {
    Status.OUTSIDE: "Outside a limit",
    Status.NOT_CHECKED: "Not checked, and what is missing",
    Status.WITHIN: "Within the limits",
}


def finding_tables(
    works: Sequence[RunWork], profile: Profile, book: FigureBook
) -> tuple[TextTable, ...]:
    """What stands outside, what could not be checked, what stands within; then the limits."""
    tables = []
    for status, title in _HEADS.items():
        rows = [
            (work.mark, finding, finding_key(work.mark, number))
            for work in works
            if work.checks is not None
            for number, finding in enumerate(work.checks.findings, start=1)
            if finding.status is status
        ]
        if rows:
            tables.append(_findings(title, rows, book, checked=status is not Status.NOT_CHECKED))
    limits = dict.fromkeys(
        finding.limit
        for work in works
        if work.checks is not None
        for finding in work.checks.findings
    )
    return (*tables, _how_to_read(profile), _limits(limits))


def _findings(
    title: str, rows: Sequence[tuple[str, Finding, str]], book: FigureBook, *, checked: bool
) -> TextTable:
    if not checked:
        return TextTable(
            title=title,
            headers=("Run", "What", "Where", "Limit", "Clause", "Missing"),
            rows=tuple(
                (
                    mark,
                    finding.limit.quantity.words,
                    finding.where,
                    finding.limit_text,
                    clause_text(finding),
                    "; ".join(finding.missing),
                )
                for mark, finding, _ in rows
            ),
            right=frozenset(),
            shares=(6, 17, 20, 18, 17, 28),
        )
    return TextTable(
        title=title,
        headers=("Run", "What", "Where", "Figure", "Limit", "Margin", "Clause"),
        rows=tuple(
            (
                mark,
                finding.limit.quantity.words,
                where_text(finding),
                book.text(f"{key}.figure"),
                finding.limit_text,
                book.text(f"{key}.margin"),
                clause_text(finding),
            )
            for mark, finding, key in rows
        ),
        right=frozenset({3, 5}),
        shares=(6, 20, 28, 10, 17, 9, 22),
    )


def _limits(limits: Iterable[Limit]) -> TextTable:
    """What each limit measures, as the code has it, and how far it was read."""
    return TextTable(
        title="The limits, as they are measured",
        headers=("Clause", "Measures", "Limit", "Exceptions", "Read in"),
        rows=tuple(
            (
                f"{limit.edition} {limit.clause}" + ("†" if limit.amended else ""),
                limit.measures,
                limit.text,
                "; ".join(limit.exceptions),
                limit.source
                if limit.read
                else f"* not read in the code; {limit.basis or 'memory'}",
            )
            for limit in limits
        ),
        right=frozenset(),
        shares=(17, 30, 15, 26, 24),
    )


def load_tables(works: Sequence[RunWork], book: FigureBook) -> tuple[TextTable, ...]:
    """What the letters of load statements mean, then each run's: what its parts are asked for."""
    meanings: dict[str, list[str]] = {}
    for work in works:
        assert work.checks is not None, "only a checked run has a load statement"
        for row in work.checks.loads.rows:
            for term in row.demand.terms:
                said = meanings.setdefault(term.symbol, [])
                if term.meaning not in said:
                    said.append(term.meaning)
    rows = [("", DEMAND_ONLY)]
    rows += [(symbol, "; or ".join(said)) for symbol, said in meanings.items()]
    rows.append(
        (
            "M, V",
            "bending moment; shear, or reaction at an end. Rails are taken as simple spans between "
            "posts, posts as cantilevers from their base, balusters as simple spans between rails",
        )
    )
    says = _pairs("What the load statement says", ("", ""), rows)
    return says, *(_loads(work, book) for work in works)


def _loads(work: RunWork, book: FigureBook) -> TextTable:
    assert work.checks is not None, "only a checked run has a load statement"
    rows = []
    for number, row in enumerate(work.checks.loads.rows, start=1):
        demand = row.demand
        terms = ", ".join(
            f"{term.symbol} = {_term(term, load_key(work.mark, number, term.symbol), book)}"
            for term in demand.terms
        )
        mark = "" if demand.load.read else "*"
        rows.append(
            (
                row.part,
                demand.what,
                f"{say_us(demand.value, demand.kind)}, {say_metric(demand.value, demand.kind)}",
                demand.formula,
                terms,
                f"{demand.load.edition} {demand.load.clause}{mark}",
                demand.source,
            )
        )
    for limit, missing in work.checks.loads.undecided:
        words = f"not worked, for want of: {'; '.join(missing)}"
        cited = f"{limit.edition} {limit.clause}" + ("" if limit.read else "*")
        rows.append(("", limit.measures, limit.text, words, "", cited, ""))
    return TextTable(
        title=f"{work.title}: load statement, demand only",
        headers=("Part", "What", "Demand", "Formula", "With", "Load", "Formula from"),
        rows=tuple(rows),
        right=frozenset(),
        shares=(13, 20, 16, 13, 24, 16, 22),
    )


def _term(term: Term, key: str, book: FigureBook) -> str:
    if term.kind is Kind.LENGTH:
        return book.tape.say(book.value(key))
    if term.kind is None:
        return f"{term.value:g}"
    if term.kind is Kind.ANGLE:
        return say_us(term.value, term.kind)
    return f"{say_us(term.value, term.kind)} ({say_metric(term.value, term.kind)})"


def cover_tables(
    job: Job, works: Sequence[RunWork], profile: Profile, index: Sequence[tuple[int, str]]
) -> tuple[TextTable, ...]:
    """The cover: what is asked to be looked at, against what, and on which sheets."""
    counts = {
        status: sum(
            finding.status is status
            for work in works
            if work.checks is not None
            for finding in work.checks.findings
        )
        for status in Status
    }
    about = [
        ("Job", job.name),
        ("Place", job.place),
        ("Measured", f"{job.date.isoformat()}, by {job.measured_by}"),
        ("Rail", job.kit.name),
        ("Code", f"{profile.title}; {profile.publisher}"),
        (
            "Checked",
            f"{counts[Status.OUTSIDE]} outside a limit, {counts[Status.NOT_CHECKED]} not checked, "
            f"{counts[Status.WITHIN]} within",
        ),
        (
            "Caution",
            "Figures against limits, not a finding of fitness. This defers to the local code, the "
            "authority having jurisdiction and licensed practice. Loads are demand only.",
        ),
    ]
    tables = [_pairs("Inspection request", ("", ""), about)]
    if profile.amendments:
        rows = [(amendment.clause, amendment.text) for amendment in profile.amendments]
        tables.append(_pairs("Local amendments", ("Clause", "What"), rows))
    tables.append(_pairs("Sheets", ("Sheet", "What"), [(f"{n}", title) for n, title in index]))
    settle = [(title, text) for title, text in _stops(works, job.tape)]
    if settle:
        tables.append(_pairs("STOP: to settle before anything is cut", ("", ""), settle))
    return tuple(tables)


def _how_to_read(profile: Profile) -> TextTable:
    rows = [
        ("Of the code", profile.note),
        (
            "Marks",
            "* the limit was not read in the code itself. † a local amendment. Figures are rounded "
            "to the tape; one that would then fall on the wrong side of its limit is printed "
            "finer, rounded to its own side. A margin is inside the limit; a negative one is "
            "outside; one smaller than two standard deviations of its figure is said to be within "
            "the readings' doubt: the next reading could turn it. A figure equal to 'at least' "
            "or 'at most' is within; one equal to 'less than' is outside.",
        ),
    ]
    return _pairs("How to read it", ("", ""), rows)


def _stops(works: Sequence[RunWork], tape: Tape) -> list[tuple[str, str]]:
    return [
        (work.title, notice.text(tape))
        for work in works
        for notice in work.notices
        if notice.weight is Weight.STOP
    ]


def _pairs(title: str, heads: tuple[str, str], rows: Sequence[tuple[str, str]]) -> TextTable:
    return TextTable(
        title=title, headers=heads, rows=tuple(rows), right=frozenset(), shares=(18, 82)
    )

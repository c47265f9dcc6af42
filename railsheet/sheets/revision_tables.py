"""The revisions of a job, and what changed since an earlier set, as tables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from railsheet.job.model import Job
from railsheet.sheets.tables import TextTable

if TYPE_CHECKING:
    from railsheet.figures.compare import Comparison


@dataclass(frozen=True)
class Since:
    """An earlier set that this one is held against.

    Attributes:
        words: which set, in words: its revision, or its date.
        found: what changed.
    """

    words: str
    found: Comparison


def revision_tables(job: Job, since: Since | None) -> Iterator[TextTable]:
    """The job's issues, the last first; then what changed since the earlier set, where one is."""
    if job.revisions:
        yield TextTable(
            title="Revisions",
            headers=("Rev", "Date", "What was changed"),
            rows=tuple(
                (r.mark, r.date.isoformat(), "; ".join(r.notes)) for r in reversed(job.revisions)
            ),
            right=frozenset(),
            shares=(8, 14, 78),
        )
    if since is None:
        return
    rows = [(change.title, line) for change in since.found.changes for line in change.lines]
    besides = len(since.found.besides)
    if besides:
        rows.append(("Besides", f"{besides} more figures changed with these"))
    yield TextTable(
        title=f"Changed since {since.words}: cloud round the figure, bar beside the row",
        headers=("What", "Change"),
        rows=tuple(rows) or (("", "nothing that is printed"),),
        right=frozenset(),
        shares=(18, 82),
    )

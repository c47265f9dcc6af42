"""The revisions of a job: what was issued when, and what was changed for it."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from railsheet.job.source import Table

_LONGEST_MARK = 6


@dataclass(frozen=True)
class Revision:
    """One issue of a job.

    Attributes:
        mark: its letter or number, as the title block prints it.
        date: when it was issued.
        notes: what was changed, a line each.
    """

    mark: str
    date: datetime.date
    notes: tuple[str, ...]

    @property
    def words(self) -> str:
        """Mark and date, for the title block."""
        return f"Rev {self.mark}, {self.date.isoformat()}"


def read_revisions(root: Table) -> tuple[Revision, ...]:
    """The ``[[revision]]`` tables of a job file, the first issue first.

    Raises:
        BadInput: a mark is too long or there twice, or a date lies before that of the one above.
    """
    found: list[Revision] = []
    for table in root.tables("revision", "[[revision]] for each issue: mark, date and note"):
        mark = table.text("mark", "the revision's letter or number")
        if len(mark) > _LONGEST_MARK:
            raise table.bad("mark", f"at most {_LONGEST_MARK} letters or figures")
        if any(mark == earlier.mark for earlier in found):
            raise table.bad("mark", "two revisions bear this mark")
        date = table.date("date")
        if found and date < found[-1].date:
            raise table.bad("date", f"not before revision {found[-1].mark}'s, {found[-1].date}")
        found.append(Revision(mark, date, table.texts("note", "what was changed, a line each")))
        table.done()
    return tuple(found)

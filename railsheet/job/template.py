"""A new job file, its readings still blank, with how to take each of them."""

from __future__ import annotations

import datetime
from pathlib import Path
from textwrap import wrap

from railsheet.job.kit import shipped_kits
from railsheet.units.length import Unit

_DATA = Path(__file__).parent.parent / "data"
_TEMPLATE = _DATA / "new-job.toml"
# The column the template's remarks begin in, and how far they reach.
_REMARK, _WIDE = 26, 100

# The model residential code's 36 in guard; a metric job starts from 900 mm. Either is only where a
# user starts: the file says to ask which code governs.
_START_HEIGHT = {Unit.INCH: "36", Unit.MM: "900"}
_START_TAPE = {Unit.INCH: "1/16", Unit.MM: "1"}
_START_PAPER = {Unit.INCH: "letter", Unit.MM: "a4"}


def new_job_text(unit: Unit, risers: int, date: datetime.date) -> str:
    """The text of a job file for one flight of so many risers."""

    def blanks(count: int, what: str) -> str:
        return "\n".join(f'  "",  # {what} {number}' for number in range(1, count + 1))

    fields = {
        "date": date.isoformat(),
        "units": unit.value,
        "tape": _START_TAPE[unit],
        "kits": f"\n{' ' * _REMARK}# ".join(wrap(", ".join(shipped_kits()), _WIDE - _REMARK)),
        "codes": ", ".join(sorted(path.stem for path in (_DATA / "codes").glob("*.toml"))),
        "paper": _START_PAPER[unit],
        "height": _START_HEIGHT[unit],
        "risers": blanks(risers, "riser"),
        "last": str(risers),
        "runs": blanks(risers - 1, "run"),
    }
    text = _TEMPLATE.read_text(encoding="utf-8")
    for name, value in fields.items():
        text = text.replace(f"{{{name}}}", value)
    return text

"""Plain files: JSON and CSV."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

# The full-width forms are taken for the plain ones in some places.
_FORMULA = frozenset("=+-@|＝＋－＠")
_SIGNED = re.compile(r"[+-]\d[\d ./]*[\"°]?")


def write_json(path: Path, record: Mapping[str, object]) -> None:
    """Write a record as readable JSON; the same record always gives the same bytes."""
    text = json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8")


def write_csv(path: Path, headers: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Write a table as CSV (RFC 4180), with a byte-order mark so that spreadsheets read UTF-8.

    A cell that a spreadsheet would take for a formula is written with an apostrophe before it, by
    which spreadsheets know text.
    """
    with path.open("w", encoding="utf-8-sig", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow([as_text(cell) for cell in headers])
        writer.writerows([as_text(cell) for cell in row] for row in rows)


def as_text(cell: str) -> str:
    """A cell that no spreadsheet runs; a plain signed number is left as it is.

    Source: OWASP, CSV Injection: cells that begin with ``=``, ``+``, ``-``, ``@``, a tab or a
    carriage return (from memory).
    """
    begins = cell.lstrip()[:1] or cell[:1]
    risky = begins in _FORMULA or cell[:1] in ("\t", "\r", "\n")
    return f"'{cell}" if risky and not _SIGNED.fullmatch(cell) else cell

"""Plain files: JSON and CSV."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping, Sequence
from pathlib import Path


def write_json(path: Path, record: Mapping[str, object]) -> None:
    """Write a record as readable JSON; the same record always gives the same bytes."""
    text = json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8")


def write_csv(path: Path, headers: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Write a table as CSV (RFC 4180), with a byte-order mark so that spreadsheets read UTF-8."""
    with path.open("w", encoding="utf-8-sig", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(headers)
        writer.writerows(rows)

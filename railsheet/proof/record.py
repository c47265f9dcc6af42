"""Reading figures.json: what the sheets print, in mm and radians."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from railsheet.errors import BadInput
from railsheet.units.length import Unit


def length_mm(entry: Mapping[str, Any]) -> float:
    """A length of the record in mm."""
    per = {unit.symbol: unit.mm for unit in Unit}
    return float(entry["value"]) * per[entry["unit"]]


def read_figures(folder: Path, job_name: str) -> dict[str, Any]:
    """The figures of a drawn folder.

    Raises:
        BadInput: there is no figures.json there, or it is no record, or another job's.
    """
    path = folder / "figures.json"
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise BadInput(str(path), "the file", "", f"cannot be read: {error}") from None
    figures = record.get("figures") if isinstance(record, dict) else None
    job = record.get("job") if isinstance(record, dict) else None
    if not isinstance(figures, dict) or not isinstance(job, dict):
        raise BadInput(str(path), "figures", "", "not a record that railsheet draw wrote")
    if job.get("name") != job_name:
        raise BadInput(
            str(path), "job > name", str(job.get("name")), f"another job's: this one is {job_name}"
        )
    for key, entry in figures.items():
        if not isinstance(entry, dict) or not isinstance(entry.get("value"), int | float):
            raise BadInput(str(path), f"figures > {key}", str(entry), "an entry with a number")
    return figures

"""The book of figures as the plain record that figures.json holds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from railsheet.checks.flight_checks import FlightChecks
from railsheet.figures.book import Figure, FigureBook, Kind, mass_kg, mass_unit
from railsheet.figures.findings import finding_record
from railsheet.job.model import Job
from railsheet.layout.notice import Notice
from railsheet.units.length import Unit

FORMAT = 1


def figure_record(
    book: FigureBook,
    job: Job,
    notices: Iterable[Notice],
    checks: Mapping[str, FlightChecks],
) -> dict[str, Any]:
    """Every figure, unrounded, in the job's unit, as JSON values.

    Described by ``railsheet/data/figures.schema.json``; a key, once printed, keeps its meaning
    within one ``format``.

    Args:
        checks: by flight mark; empty where no code was named, and then there are no findings.
    """
    record: dict[str, Any] = {
        "format": FORMAT,
        "job": {
            "name": job.name,
            "place": job.place,
            "date": job.date.isoformat(),
            "measured_by": job.measured_by,
            "units": job.tape.unit.value,
            "tape": job.tape.step_text,
            "kit": job.kit.name,
            "code": job.code or "none named",
            **({"revision": job.revision.mark} if job.revision else {}),
        },
        "figures": {figure.key: _entry(figure, book) for figure in book},
        "notices": [
            {"weight": notice.weight.value, "topic": notice.topic, "text": notice.text(book.tape)}
            for notice in notices
        ],
    }
    if checks:
        record["findings"] = [
            entry for at, each in checks.items() for entry in finding_record(each, at, book)
        ]
    return record


def _entry(figure: Figure, book: FigureBook) -> dict[str, Any]:
    value, unit = _in_unit(figure, book.tape.unit)
    entry: dict[str, Any] = {
        "value": value,
        "unit": unit,
        "shown": book.text(figure.key),
        "rounded": figure.toward.value,
        "about": figure.about,
    }
    sigma = book.sigma(figure.key)
    if sigma is not None:
        entry["sigma"] = _in_unit(replace(figure, value=sigma), book.tape.unit)[0]
    return entry


def _in_unit(figure: Figure, unit: Unit) -> tuple[float | int, str]:
    if figure.kind is Kind.LENGTH:
        return figure.value / unit.mm, unit.symbol
    if figure.kind is Kind.ANGLE:
        return math.degrees(figure.value), "deg"
    if figure.kind is Kind.MASS:
        return figure.value / mass_kg(unit), mass_unit(unit)
    if figure.kind is Kind.COUNT:
        return int(figure.value), "count"
    return figure.value, "ratio"

"""Say in words what changed between two issues of a job."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

from railsheet.cli.say import say
from railsheet.errors import BadInput
from railsheet.figures.compare import Comparison, Record, compare
from railsheet.figures.record import FORMAT, figure_record

FIGURES = "figures.json"
_ALLOWED = "a job file (.toml), a figures.json, a folder that has one, or a run's .dxf"


def compare_files(before: Path, after: Path, *, everything: bool) -> int:
    """Print what changed; 0 where nothing did, 1 where something did.

    Raises:
        BadInput: one of the two is none of what can be compared.
    """
    if ".dxf" in (before.suffix.lower(), after.suffix.lower()):
        return _drawings(before, after)
    old, new = read_record(before), read_record(after)
    found = compare(old, new)
    say(f"{_name(old)} -> {_name(new)}")
    for line in comparison_lines(found, everything=everything):
        say(line)
    return 0 if found.same else 1


def read_record(path: Path) -> Record:
    """A job's figures: from the job itself, from figures.json, or from a folder that was drawn.

    Raises:
        BadInput: nothing of these, or a record of another format.
    """
    if path.is_dir():
        path = path / FIGURES
    if path.suffix.lower() == ".toml":
        return _solved(path)
    if path.suffix.lower() != ".json":
        raise BadInput(str(path), "what is compared", "", _ALLOWED)
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadInput(str(path), "the file", "", f"cannot be read: {error.strerror}") from None
    except (UnicodeDecodeError, json.JSONDecodeError) as error:
        raise BadInput(str(path), "the file", "", f"is no JSON: {error}") from None
    if not isinstance(record, dict) or record.get("format") != FORMAT:
        raise BadInput(str(path), "format", "", f"figures of format {FORMAT}, as draw writes them")
    _hold_to_schema(path, record)
    return record


def _hold_to_schema(path: Path, record: dict[str, Any]) -> None:
    """Refuse a record that lacks what is compared: one was edited by hand, or cut short."""
    figures, job = record.get("figures"), record.get("job")
    whole = (
        isinstance(job, dict)
        and {"name", "date", "units", "tape"} <= {*job}
        and isinstance(record.get("notices"), list)
        and isinstance(figures, dict)
        and all(
            isinstance(figure, dict)
            and {"value", "unit", "shown", "about"} <= {*figure}
            and isinstance(figure["value"], int | float)
            and math.isfinite(figure["value"])
            for figure in figures.values()
        )
    )
    if not whole:
        raise BadInput(str(path), "figures", "", "a whole figures.json, as draw writes it")


def _solved(path: Path) -> Record:
    from railsheet.cli.solve import solve_job
    from railsheet.job.load import load_job

    job = load_job(path)
    solved = solve_job(job)
    checks = {work.mark: work.checks for work in solved.runs if work.checks is not None}
    return figure_record(solved.book, job, solved.notices, checks)


def comparison_lines(found: Comparison, *, everything: bool) -> list[str]:
    """What changed, heading by heading."""
    if found.same:
        return ["Nothing changed."]
    lines: list[str] = []
    for change in found.changes:
        lines.append(f"{change.title}:")
        lines += [f"  {line}" for line in change.lines]
    if found.besides and everything:
        lines.append("Besides:")
        lines += [f"  {line}" for line in found.besides]
    elif found.besides:
        lines.append(f"{len(found.besides)} more figures changed with these: --all names them.")
    if found.unprinted:
        lines.append(f"{found.unprinted} figures moved by less than is printed.")
    return lines


def set_words(record: Record) -> str:
    """Which set a record is of: its revision, or the date of its readings."""
    revision = record["job"].get("revision")
    return f"rev {revision}" if revision else f"the set of {record['job']['date']}"


def _name(record: Record) -> str:
    revision = record["job"].get("revision")
    return f"{record['job']['name']}, rev {revision}" if revision else f"{record['job']['name']}"


def _drawings(before: Path, after: Path) -> int:
    """Hold the figures that both have, one of them at least as its drawing measures them."""
    from railsheet.export.reread import read_drawing

    sides = [
        read_drawing(path) if path.suffix.lower() == ".dxf" else read_record(path)
        for path in (before, after)
    ]
    old, new = (side["figures"] for side in sides)
    both = [key for key in old if key in new]
    if not both:
        raise BadInput(
            str(after), "figures", "", f"drawings of one run: {before} has none of these"
        )
    say(f"{_name(sides[0])} -> {_name(sides[1])}: {len(both)} figures are in both")
    unlike = 0
    for key in both:
        # A dimension measures no sign.
        was, now = abs(old[key]["value"]), abs(new[key]["value"])
        if old[key]["unit"] != new[key]["unit"] or not math.isclose(was, now, abs_tol=1e-6):
            unlike += 1
            say(f"  {key}: {old[key]['shown']} is now {new[key]['shown']}")
    if not unlike:
        say("Nothing changed in them.")
    return 1 if unlike else 0

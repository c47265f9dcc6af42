"""What changed between two sets of figures, in words.

A record is what ``figures.json`` holds. Figures are held against each other by key, at full
precision; a change too small to be printed is counted, not told.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from railsheet.units.display import Tape, angle_text, parse_tape
from railsheet.units.length import Unit

Record = Mapping[str, Any]

# Figures in inches or mm that differ by less than this share came out of the same sum.
_NOISE = 1e-9
_MM = {"in": 25.4, "mm": 1.0}
_JOB_WORDS = {
    "name": "Name",
    "place": "Place",
    "date": "Date of the readings",
    "measured_by": "Measured by",
    "units": "Units",
    "tape": "Rounding",
    "kit": "Kit",
    "code": "Code",
    "revision": "Revision",
}
# What a person asks after first, by the figure's key after its run's mark; the rest follows.
_GROUPS = (
    ("Stair", r"(riser|run)\.\d+|total_rise|total_run|nosing\.\d+|tread_thickness|step_width"),
    ("Rail's line", r"rake|rail_height_wanted|deviation|section_height"),
    (
        "Posts",
        r"post\.\w+\.(from_nose|height|in_from_side|cut_off)"
        r"|post\.\w+(\.\w+)?\.mount\.\w+\.height",
    ),
    ("Bays", r"bay\.\d+\.(clear|gap|balusters|spacing|opening|members)"),
    ("Rails", r"bay\.\d+\.rail\.\w+\.(length|uphill\.saw|downhill\.saw)"),
    ("Infill to cut", r"bay\.\d+\.fill\.\w+\.(length|count|saw)"),
)
_HOLE = re.compile(r"\w+\.bay\.(\d+)\.rail\.(\w+)\.hole\.\d+")
_FINDING = re.compile(r"(\w+)\.finding\.\d+\.(figure|margin)")
_COUNTED = re.compile(r"(?:\w+\.part|buy)\.\d+\.(?:count|buy)")


@dataclass(frozen=True)
class Change:
    """Lines of one kind of change."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """All that changed from one record to the next.

    Attributes:
        changes: by kind, in the order a reader asks.
        besides: lines for every other figure that is printed otherwise than before.
        keys: every figure that is printed otherwise than before, or is new.
        unprinted: how many figures moved by less than is printed.
    """

    changes: tuple[Change, ...]
    besides: tuple[str, ...]
    keys: frozenset[str]
    unprinted: int

    @property
    def same(self) -> bool:
        """Whether nothing changed at all."""
        return not (self.changes or self.besides or self.unprinted)


def compare(before: Record, after: Record) -> Comparison:
    """Hold two records against each other."""
    tape = _tape(after)
    moved: dict[str, str] = {}
    unprinted = 0
    old, new = before["figures"], after["figures"]
    for key in new:
        if key not in old or not _differ(old[key], new[key]):
            continue
        words = _moved(old[key], new[key], tape)
        if words is None:
            unprinted += 1
        else:
            moved[key] = f"{_run_words(key)}{words}"
    changes = [
        Change("Job", tuple(_job_lines(before, after))),
        Change("Runs", _run_lines(old, new)),
    ]
    told: set[str] = set()
    for title, pattern in _GROUPS:
        wanted = re.compile(rf"\w+\.(?:{pattern})")
        keys = [key for key in moved if wanted.fullmatch(key)]
        told |= {*keys}
        changes.append(Change(title, tuple(moved[key] for key in keys)))
    holes = [key for key in moved if _HOLE.fullmatch(key)]
    told |= {*holes}
    changes += [
        Change("Holes and marks on rails", tuple(_hole_lines(holes, old, new, tape))),
        Change("Parts", tuple(_part_lines(old, new))),
        Change("Findings", tuple(_finding_lines(before, after))),
        Change("Notices", tuple(_notice_lines(before, after))),
    ]
    told |= {key for key in moved if _COUNTED.fullmatch(key)}
    besides = [words for key, words in moved.items() if key not in told]
    besides += [f"{new[key]['about']} ({key}): new, {new[key]['shown']}" for key in _only(new, old)]
    besides += [f"{old[key]['about']} ({key}): gone" for key in _only(old, new)]
    return Comparison(
        changes=tuple(change for change in changes if change.lines),
        besides=tuple(besides),
        keys=frozenset((*moved, *_only(new, old))) - _renumbered(old, new),
        unprinted=unprinted,
    )


def _run_words(key: str) -> str:
    """Which run a figure is of; empty for what is the kit's, the saw's or the whole job's."""
    run = key.split(".")[0]
    return f"{run}: " if run.isupper() else ""


def _renumbered(old: Mapping[str, Any], new: Mapping[str, Any]) -> set[str]:
    """Figures of findings that are as they were, though they come in another place: worst first."""

    def said(figures: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
        found = ((key, _FINDING.fullmatch(key)) for key in figures)
        return {
            key: (*named.groups(), figures[key]["about"], figures[key]["shown"])
            for key, named in found
            if named
        }

    before = {*said(old).values()}
    return {key for key, words in said(new).items() if words in before}


def _only(these: Mapping[str, Any], those: Mapping[str, Any]) -> list[str]:
    return [key for key in these if key not in those and not _COUNTED.fullmatch(key)]


def _tape(record: Record) -> Tape:
    unit = Unit(record["job"]["units"])
    return parse_tape(record["job"]["tape"], unit)


def _in_mm(figure: Mapping[str, Any]) -> float:
    return float(figure["value"]) * _MM.get(figure["unit"], 1.0)


def _differ(old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    return not math.isclose(_in_mm(old), _in_mm(new), rel_tol=_NOISE, abs_tol=_NOISE)


def _moved(old: Mapping[str, Any], new: Mapping[str, Any], tape: Tape) -> str | None:
    """A changed figure in words; None where both are printed alike."""
    if old["shown"] == new["shown"] and old["unit"] == new["unit"]:
        return None
    by = _in_mm(new) - _in_mm(old)
    way = "more" if by > 0 else "less"
    if new["unit"] in _MM:
        size = tape.say(abs(by)) if tape.steps(by) else f"under {tape.step_text}"
    elif new["unit"] == "deg":
        size = angle_text(math.radians(abs(by)))
    elif new["unit"] in ("kg", "lb"):
        size = f"{abs(by):.1f} {new['unit']}"
    elif new["unit"] == "count":
        size = f"{abs(by):.0f}"
    else:
        size = f"{abs(by):.4f}"
    about = f"{new['about'][0].upper()}{new['about'][1:]}"
    return f"{about}: {old['shown']} is now {new['shown']}, {size} {way}"


def _job_lines(before: Record, after: Record) -> Iterator[str]:
    for key, word in _JOB_WORDS.items():
        was, now = before["job"].get(key, "none"), after["job"].get(key, "none")
        if was != now:
            yield f"{word}: {was} is now {now}"


def _run_lines(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[str, ...]:
    had, has = (
        [key.removesuffix(".rake") for key in figures if re.fullmatch(r"\w+\.rake", key)]
        for figures in (old, new)
    )
    return (
        *(f"Run {mark} is new" for mark in has if mark not in had),
        *(f"Run {mark} is gone" for mark in had if mark not in has),
    )


def _hole_lines(
    keys: list[str], old: Mapping[str, Any], new: Mapping[str, Any], tape: Tape
) -> Iterator[str]:
    """One line a rail: how many of its holes moved, and how far at the most."""
    rails: dict[str, list[str]] = {}
    for key in keys:
        rails.setdefault(key.rpartition(".hole.")[0], []).append(key)
    for rail, moved in rails.items():
        run, _, bay, _, place = rail.split(".")
        most = max(abs(_in_mm(new[key]) - _in_mm(old[key])) for key in moved)
        size = tape.say(most) if tape.steps(most) else f"under {tape.step_text}"
        yield f"Run {run}, bay {bay}, {place} rail: {len(moved)} moved, by {size} at the most"


def _part_lines(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    """Parts by what they are, since their numbers in the list shift when one comes or goes."""
    had, has = _counts(old), _counts(new)
    for about in {**had, **has}:
        was, now = had.get(about, 0), has.get(about, 0)
        if was == now:
            continue
        if not was:
            yield f"Added: {about}, {now}"
        elif not now:
            yield f"Dropped: {about}, {was}"
        else:
            yield f"{about}: {was} is now {now}"


def _counts(figures: Mapping[str, Any]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for key, figure in figures.items():
        if _COUNTED.fullmatch(key):
            run = key.split(".")[0]
            about = figure["about"] if run == "buy" else f"run {run}: {figure['about']}"
            counts[about] = counts.get(about, 0) + int(figure["value"])
    return counts


def _finding_lines(before: Record, after: Record) -> Iterator[str]:
    had, has = _findings(before), _findings(after)
    for key, now in has.items():
        where = f"run {now['flight']}, {now['what']}, {now['where']} ({now['clause']})"
        was = had.get(key)
        if was is None:
            yield f"New: {where}: {now['status']}"
        elif was["status"] != now["status"]:
            yield f"{where}: was {was['status']}, is {now['status']}"
        elif was["margin_shown"] != now["margin_shown"] and now["status"] == "outside":
            yield f"{where}: outside by {now['margin_shown']}, was {was['margin_shown']}"
    for key, was in had.items():
        if key not in has:
            where = f"run {was['flight']}, {was['what']}, {was['where']} ({was['clause']})"
            yield f"Gone: {where}: was {was['status']}"


def _findings(record: Record) -> dict[tuple[str, ...], Mapping[str, Any]]:
    return {
        tuple(str(found[name]) for name in ("flight", "what", "measures", "where", "clause")): found
        for found in record.get("findings", ())
    }


def _notice_lines(before: Record, after: Record) -> Iterator[str]:
    had = [notice["text"] for notice in before["notices"]]
    has = [notice["text"] for notice in after["notices"]]
    for notice in after["notices"]:
        if notice["text"] not in had:
            yield f"New: {'STOP: ' if notice['weight'] == 'stop' else ''}{notice['text']}"
    for notice in before["notices"]:
        if notice["text"] not in has:
            yield f"Gone: {'STOP: ' if notice['weight'] == 'stop' else ''}{notice['text']}"

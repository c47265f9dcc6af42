"""Prove a job by its solids, and print the proof as a table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from railsheet.cli.draw import raised_job
from railsheet.cli.say import say
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.figures.book import mass_kg, mass_unit
from railsheet.figures.record import figure_record
from railsheet.job.load import load_job
from railsheet.units.length import MM_PER_INCH, Unit

if TYPE_CHECKING:
    from railsheet.proof.compare import Compared
    from railsheet.proof.prove import Proof

FAILS = 1

# How many of the figures that hold are printed: the worst of them.
_WORST = 12
_WIDE = 44


def prove_job(path: Path, sheets: Path | None, *, every: bool) -> int:
    """Derive a job's figures anew from its solids and print them beside the sheets' own.

    Args:
        path: the job file.
        sheets: a folder that ``draw`` wrote, whose figures are held; None for the figures that
            the job gives now.
        every: print every figure, not the failing and the worst alone.

    Returns:
        0 where every figure and every part holds, else 1.

    Raises:
        BadInput: the job or the folder cannot be used, or what raises solids is not installed.
    """
    job = load_job(path)
    solved = solve_job(job)
    raised = raised_job(solved, "prove")
    from railsheet.proof.prove import prove
    from railsheet.proof.record import read_figures

    figures = _figures(solved) if sheets is None else read_figures(sheets, job.name)
    proof = prove(raised, figures)
    _print(proof, job.name, job.tape.unit, every=every)
    return 0 if proof.holds else FAILS


def _figures(solved: SolvedJob) -> Mapping[str, Any]:
    record = figure_record(solved.book, solved.job, solved.notices, {})
    figures: Mapping[str, Any] = record["figures"]
    return figures


def _print(proof: Proof, name: str, unit: Unit, *, every: bool) -> None:
    say(f"{name}: {len(proof.compared)} figures from {proof.parts} solids")
    failing = proof.failing
    shown = proof.compared if every else proof.compared[: max(len(failing), _WORST)]
    word = "in" if unit is Unit.INCH else "mm"
    say(f"{'Figure':<{_WIDE}} {'From the solid':>15} {'On the sheet':>15} {f'Off, {word}':>12}")
    for held in shown:
        say(_row(held, unit))
    for key in proof.only_sheet:
        say(f"{key:<{_WIDE}} FAILS: the sheet has it, the solids do not")
    for key in proof.only_solid:
        say(f"{key:<{_WIDE}} FAILS: the solids have it, the sheet does not")
    for where, looked in proof.contacts.items():
        for clash in looked.clashes:
            size = f"{clash.by:.4g}"
            say(f"FAILS: {where}: {clash.one} and {clash.other} {clash.words} ({size})")
    _sum_up(proof, every=every)


def _row(held: Compared, unit: Unit) -> str:
    from railsheet.proof.derived import Measure

    def value(plain: float) -> str:
        if held.measure is Measure.ANGLE:
            return f"{math.degrees(plain):.4f} deg"
        if held.measure is Measure.COUNT:
            return f"{plain:.0f}"
        if held.measure is Measure.MASS:
            return f"{plain / mass_kg(unit):.4f} {mass_unit(unit)}"
        return f"{plain / unit.mm:.4f}"

    per = 1.0 if held.measure is Measure.COUNT else unit.mm
    off = held.off_mm / per
    fails = " FAILS" if held.fails else ""
    words = f"{value(held.from_solid):>15} {value(held.on_sheet):>15} {off:>12.4f}"
    return f"{held.key:<{_WIDE}} {words}{fails}"


def _sum_up(proof: Proof, *, every: bool) -> None:
    from railsheet.proof.compare import LIMIT_MM

    pairs = sum(looked.pairs for looked in proof.contacts.values())
    touches = sum(looked.carried for looked in proof.contacts.values())
    shared = sum(
        1 for looked in proof.contacts.values() for c in looked.clashes if "place" in c.words
    )
    apart = sum(len(looked.clashes) for looked in proof.contacts.values()) - shared
    say(f"Parts near each other: {pairs} pairs, {shared} of them in one place.")
    say(f"Touches that carry a part: {touches}, {apart} of them apart.")
    wrong = len(proof.failing) + len(proof.only_sheet) + len(proof.only_solid)
    limit = f"{LIMIT_MM / MM_PER_INCH:.3f} in ({LIMIT_MM:.4f} mm)"
    say(f"Figures off by more than {limit}: {wrong} of {len(proof.compared)}.")
    if every:
        say("On the sheets, and nothing that a solid shows:")
        for key in proof.left:
            say(f"  {key}")
    else:
        say(
            f"{len(proof.left)} figures on the sheets are nothing that a solid shows (readings, "
            "checks, lists, the stock plan); --all names them."
        )
    say(
        "Taken as solved, not proven: the rail's line, where the posts stand, how many balusters, "
        "where a handrail bends in plan."
    )
    for words in proof.given:
        say(words)

"""The part drawings of a job as files, and what they leave to be said."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from railsheet.cli.solve import SolvedJob
from railsheet.units.length import Unit

# What every part drawing's file name begins with.
PREFIX = "part-"
_WITH_PARTS = ("all", "fabricator")


def part_files(solved: SolvedJob, which: str) -> dict[str, Callable[[Path], None]]:
    """A DXF file for each distinct part, where the wanted set is one that parts are made from."""
    if which not in _WITH_PARTS:
        return {}
    from railsheet.export.dxf import save_dxf
    from railsheet.sheets.identity import sign
    from railsheet.sheets.part_drawing import part_document
    from railsheet.sheets.part_set import flat_parts

    files: dict[str, Callable[[Path], None]] = {}
    for part in flat_parts(solved.runs, solved.job.kit):
        doc = part_document(part, "in" if solved.job.tape.unit is Unit.INCH else "mm")
        sign(doc, solved.job)
        files[f"{PREFIX}{part.name}.dxf"] = partial(save_dxf, doc)
    return files


def part_words(names: list[str], solved: SolvedJob) -> tuple[str, ...]:
    """How many part drawings were written, and what they lack."""
    count = sum(name.startswith(PREFIX) for name in names)
    if not count:
        return ()
    words = [f"{count} part drawings at full size: {PREFIX}*.dxf"]
    plate = solved.job.kit.plate
    if plate.thickness_mm and not plate.holes:
        words.append(
            "  Look: the base plate's drawing has no holes: the kit gives no places for them "
            "(plate > hole)"
        )
    return tuple(words)

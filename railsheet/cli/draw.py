"""Draw a job: solve it, compose its sheets, write them whole, and say what needs attention."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import click

from railsheet.cli.solve import SolvedJob, no_code, solve_job
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook
from railsheet.job.load import load_job
from railsheet.layout.notice import Weight

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Paperspace

_PATIENCE_S = 1.0


class _Progress:
    """Says what is being done, once the whole has taken more than a second."""

    def __init__(self) -> None:
        self._start = time.monotonic()

    def step(self, doing: str) -> None:
        if time.monotonic() - self._start > _PATIENCE_S:
            click.echo(f"... {doing}", err=True)


def draw_job(path: Path, out: Path, *, solids: bool = False, which: str = "all") -> None:
    """Read a job and write its sheets into a folder.

    Raises:
        BadInput: the job, its kit or the folder cannot be used; nothing is written then.
    """
    progress = _Progress()
    job = load_job(path)
    if which == "inspection" and job.code is None:
        raise no_code(job)
    solved = solve_job(job)
    # Imported only now: a mistake in the job is told without waiting for the drawing libraries.
    from railsheet.export.dxf import save_dxf
    from railsheet.export.plain import write_csv, write_json
    from railsheet.export.sheet_pdf import write_sheets
    from railsheet.export.whole import write_whole
    from railsheet.figures.record import figure_record
    from railsheet.sheets.schedule import cut_table
    from railsheet.sheets.sheet_set import Which, compose

    progress.step("composing the sheets")
    book = solved.book
    sheets = compose(job, solved.works, book, Which(which), solved.levels, solved.site)
    progress.step("writing")
    cuts = cut_table(solved.runs, book)
    checks = {work.mark: work.checks for work in solved.works if work.checks is not None}
    record = figure_record(book, job, solved.notices, checks)
    overhanging: list[str] = []

    def write_pdf(file: Path) -> None:
        for number, page in enumerate(write_sheets(sheets.pages, file, job.name), start=1):
            overhanging.extend(f"sheet {number}: {text}" for text in page.overhanging)

    written = write_whole(
        out,
        {
            "sheets.pdf": write_pdf,
            **{f"{mark}.dxf": partial(save_dxf, doc) for mark, doc in sheets.documents.items()},
            **(_step_files(solved) if solids else {}),
            **{
                f"{mark}-heights.svg": partial(_save_picture, layout, f"{job.name}, flight {mark}")
                for mark, layout in sheets.pictures.items()
            },
            "cuts.csv": lambda p: write_csv(p, cuts.headers, cuts.rows),
            "figures.json": lambda p: write_json(p, record),
        },
    )
    if which == "all" and job.code is None:
        click.echo("No code is named (job > code): nothing was checked, no inspection sheets.")
    _report(solved, len(sheets.pages), [file.name for file in written], out)
    for text in overhanging:
        click.echo(f"  Look: a figure has no room on its sheet: {text}")


def _step_files(solved: SolvedJob) -> dict[str, Callable[[Path], None]]:
    """A STEP file for each flight."""
    if find_spec("cadquery") is None:
        raise BadInput("--solids", "cadquery", "", "not installed: pip install 'railsheet[solids]'")
    from railsheet.solids.flight import write_step

    return {f"{work.mark}.step": partial(write_step, work.railing) for work in solved.runs}


def _save_picture(layout: Paperspace, title: str, path: Path) -> None:
    from railsheet.export.svg import save_svg

    save_svg(layout, path, title)


def _report(solved: SolvedJob, sheets: int, names: list[str], out: Path) -> None:
    book = solved.book
    click.echo(f"{solved.job.name}: {sheets} sheets in {out}: {', '.join(names)}")
    for work in solved.runs:
        at = work.mark
        click.echo(f"{work.title}: rake {book.text(f'{at}.rake')}")
        for bay in work.railing.bays:
            key = f"{at}.bay.{bay.number}"
            filled = f"{bay.infill.noun}, {bay.infill.count} to the bay"
            if bay.infill.row is not None:
                filled = (
                    f"{book.text(f'{key}.balusters')} {bay.infill.noun}s, gap "
                    f"{_say(book, f'{key}.gap')} at each post"
                )
            click.echo(
                f"  Bay {bay.number}: {filled}, top rail "
                f"{_say(book, f'{key}.rail.top.length')}, bottom rail "
                f"{_say(book, f'{key}.rail.bottom.length')}"
            )
        for notice in work.notices:
            start = "STOP" if notice.weight is Weight.STOP else "Look"
            click.echo(f"  {start}: {notice.text(book.tape)}")
    if any(notice.weight is Weight.STOP for notice in solved.notices):
        click.echo("Settle every STOP before cutting.")


def _say(book: FigureBook, key: str) -> str:
    return book.tape.say(book.value(key))

"""Draw a job: solve it, compose its sheets, write them whole, and say what needs attention."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from railsheet.cli.part_files import PREFIX, part_files, part_words
from railsheet.cli.say import say
from railsheet.cli.solve import SolvedJob, no_code, solve_job
from railsheet.cuts.job_stock import NO_RACK, STOCK_EFFORT, JobStock, Rack
from railsheet.cuts.stock_model import Drop
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook
from railsheet.figures.stock import proof_text, section_key
from railsheet.job.load import load_job
from railsheet.layout.notice import Notice, Weight

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Paperspace

    from railsheet.export.sight import Sight
    from railsheet.figures.compare import Record
    from railsheet.job.model import Job
    from railsheet.sheets.revision_tables import Since
    from railsheet.solids.raised import RaisedJob
    from railsheet.solids.view_lines import JobInView

_PATIENCE_S = 1.0


class _Progress:
    """Says what is being done, once the whole has taken more than a second."""

    def __init__(self) -> None:
        self._start = time.monotonic()

    def step(self, doing: str) -> None:
        if time.monotonic() - self._start > _PATIENCE_S:
            say(f"... {doing}", err=True)


@dataclass(frozen=True)
class Stocked:
    """How a job's bars are to be cut, and its pieces labelled.

    Attributes:
        drops: the file that lists the drops on hand; None for no rack.
        keep_drops: rewrite that file to what is on hand once all is cut.
        effort: how hard the stock plan is sought.
        labels: the label paper's grid; None for the one that goes with the job's paper.
    """

    drops: Path | None = None
    keep_drops: bool = False
    effort: float = STOCK_EFFORT
    labels: str | None = None


def draw_job(
    path: Path,
    out: Path,
    *,
    solids: bool = False,
    which: str = "all",
    stocked: Stocked | None = None,
    since: Path | None = None,
) -> None:
    """Read a job and write its sheets into a folder, as `draw_read` does.

    Raises:
        BadInput: the job, its kit or the folder cannot be used; nothing is written then.
    """
    draw_read(load_job(path), out, solids=solids, which=which, stocked=stocked, since=since)


def draw_read(
    job: Job,
    out: Path,
    *,
    solids: bool = False,
    which: str = "all",
    stocked: Stocked | None = None,
    since: Path | None = None,
) -> None:
    """Write a job's sheets into a folder, changes since an earlier set marked.

    Raises:
        BadInput: the job or the folder cannot be used; nothing is written then.
    """
    progress = _Progress()
    earlier = None if since is None else _record_of(since)
    if which == "inspection" and job.code is None:
        raise no_code(job)
    stocked = stocked or Stocked()
    rack = _rack(stocked)
    solved = solve_job(job, rack, stocked.effort)
    # Imported only now: a mistake in the job is told without waiting for the drawing libraries.
    from railsheet.export.dxf import save_dxf
    from railsheet.export.label_pdf import write_labels
    from railsheet.export.plain import write_csv, write_json
    from railsheet.export.sheet_pdf import write_sheets
    from railsheet.export.sight import Sight
    from railsheet.export.whole import write_whole
    from railsheet.figures.record import figure_record
    from railsheet.sheets.labels import grid_named, labels, usual_grid
    from railsheet.sheets.scales import NoScaleError
    from railsheet.sheets.schedule import cut_table
    from railsheet.sheets.sheet_set import Which, compose, with_handrails
    from railsheet.sheets.stock_tables import buying_table

    raised = None
    if solids:
        progress.step("raising the solids")
        raised = _raised(solved)
    progress.step("composing the sheets")
    book = solved.book
    checks = {work.mark: work.checks for work in solved.runs if work.checks is not None}
    record = figure_record(book, job, solved.notices, checks)
    changed = None if earlier is None else _changed(earlier, record)
    try:
        sheets = compose(
            job,
            solved.works,
            book,
            Which(which),
            solved.buying,
            solved.levels,
            solved.site,
            solved.handrails,
            changed,
            () if raised is None else raised.view,
        )
    except NoScaleError as too_large:
        raise BadInput(
            job.file,
            "job > paper",
            job.paper.label,
            f"{too_large}: name a larger paper, or measure the run in two flights",
        ) from None
    progress.step("writing")
    cuts = with_handrails(cut_table(solved.runs, book), solved.handrails, book)
    buying = buying_table(solved.buying, book)
    overhanging: list[str] = []
    sight = Sight()

    def write_pdf(file: Path) -> None:
        for number, page in enumerate(write_sheets(sheets.pages, file, job.name, sight), start=1):
            overhanging.extend(f"sheet {number}: {text}" for text in page.overhanging)

    stickers = labels(solved.runs, book)
    if solved.handrails:
        from railsheet.sheets.handrail_tables import handrail_labels

        stickers = (*stickers, *handrail_labels(solved.handrails, book))
    grid = grid_named(stocked.labels) if stocked.labels else usual_grid(job.paper)
    files: dict[str, Callable[[Path], None]] = {
        "sheets.pdf": write_pdf,
        **{
            f"{mark}.dxf": partial(save_dxf, doc, sight=sight)
            for mark, doc in sheets.documents.items()
        },
        **part_files(solved, which),
        **({} if raised is None else raised.files),
        **{
            f"{mark}-heights.svg": partial(
                _save_picture, layout, f"{job.name}, flight {mark}", sight
            )
            for mark, layout in sheets.pictures.items()
        },
        "cuts.csv": lambda p: write_csv(p, cuts.headers, cuts.rows),
        "parts.csv": lambda p: write_csv(p, buying.headers, buying.rows),
        "labels.pdf": lambda p: write_labels(stickers, grid, p, job.name),
        "figures.json": lambda p: write_json(p, record),
    }
    with _rewriting(stocked, solved.stock):
        written = write_whole(out, files, listed=True)
    if which == "all" and job.code is None:
        say("No code is named (job > code): nothing was checked, no inspection sheets.")
    names = [file.name for file in written]
    _report(solved, len(sheets.pages), [n for n in names if not n.startswith(PREFIX)], out)
    for words in (*(() if raised is None else raised.given), *part_words(names, solved)):
        say(words)
    if changed is not None:
        from railsheet.cli.compare import comparison_lines

        say(f"Since {changed.words}:")
        for words in comparison_lines(changed.found, everything=False):
            say(f"  {words}")
    _report_stock(solved, stocked)
    for text in overhanging:
        say(f"  Look: a figure has no room on its sheet: {text}")


def _record_of(since: Path) -> Record:
    from railsheet.cli.compare import read_record

    return read_record(since)


def _changed(earlier: Record, record: Record) -> Since:
    """An earlier set, with what changed since then."""
    from railsheet.cli.compare import set_words
    from railsheet.figures.compare import compare
    from railsheet.sheets.revision_tables import Since

    return Since(set_words(earlier), compare(earlier, record))


def _rack(stocked: Stocked) -> Rack:
    if stocked.drops is None:
        if stocked.keep_drops:
            raise BadInput("--keep-drops", "--drops", "", "name the file that lists the drops")
        return NO_RACK
    from railsheet.cuts.drops import read_drops

    return Rack(str(stocked.drops), read_drops(stocked.drops))


def _rewriting(stocked: Stocked, stock: JobStock) -> AbstractContextManager[None]:
    """What keeps the rack's file and the sheets in step: both are written, or neither."""
    if stocked.drops is None or not stocked.keep_drops:
        return nullcontext()
    from railsheet.cuts.drops import drops_replaced

    return drops_replaced(stocked.drops, stock.drops_after)


def _report_stock(solved: SolvedJob, stocked: Stocked) -> None:
    book, stock = solved.book, solved.stock
    for number, section in enumerate(stock.sections, start=1):
        key = section_key(number)
        bars = book.text(f"{key}.bars")
        order = book.text(f"{key}.list_order.bars")
        say(
            f"Bars of {section.plan.section.profile}: {bars} to buy, "
            f"{_say(book, f'{key}.bought')} end to end, {proof_text(book, number, section)}; "
            f"cut in list order {order}, {_say(book, f'{key}.list_order.bought')}"
        )
    used = [
        bar.cuts.bar.source.mark
        for section in stock.sections
        for bar in section.bars
        if isinstance(bar.cuts.bar.source, Drop)
    ]
    if used:
        say(f"Drops cut first: {', '.join(used)}")
    known = {(s.plan.section.profile, s.plan.section.finish) for s in stock.sections}
    other = [d.mark for d in stock.untouched if (d.profile, d.finish) not in known]
    if other:
        say(f"Drops of no profile and finish that this job cuts: {', '.join(other)}")
    if stocked.drops is not None:
        after = ", ".join(drop.mark for drop in stock.drops_after) or "none"
        what = "now lists" if stocked.keep_drops else "is left as it is; once all is cut:"
        say(f"{stocked.drops} {what} {after}")


def raised_job(solved: SolvedJob, asked_by: str) -> RaisedJob:
    """A solved job's parts in space.

    Raises:
        BadInput: what raises solids is not installed.
    """
    if find_spec("cadquery") is None:
        raise BadInput(asked_by, "cadquery", "", "not installed: pip install 'railsheet[solids]'")
    from railsheet.solids.handrail_out import handrail_out
    from railsheet.solids.raised import raise_job
    from railsheet.solids.setting_out import job_places

    places = job_places([(w.railing, w.pieces) for w in solved.runs], solved.site)
    return raise_job(places, [handrail_out(work.handrail) for work in solved.handrails])


@dataclass(frozen=True)
class _Raised:
    """What a job's solids give a set.

    Attributes:
        view: the job in view.
        files: what writes each STEP file, by its name.
        given: in words, what of the infill is not in them.
    """

    view: JobInView
    files: Mapping[str, Callable[[Path], None]]
    given: tuple[str, ...]


def _raised(solved: SolvedJob) -> _Raised:
    """A STEP file for each run, handrail and distinct piece, and one for a site as a whole."""
    raised = raised_job(solved, "--solids")
    from railsheet.solids.given import given_words
    from railsheet.solids.handrail import handrail_solids
    from railsheet.solids.in_view import job_in_view
    from railsheet.solids.step import piece_assemblies, run_assembly, site_assembly, write_step

    assemblies = {f"{mark}.step": run_assembly(raised, mark) for mark in raised.runs}
    if solved.site is not None:
        assemblies["site.step"] = site_assembly(raised, solved.job.name)
    handrails = {work.mark: handrail_solids(work.handrail) for work in solved.handrails}
    assemblies |= {f"{mark}.step": whole for mark, whole in handrails.items()}
    assemblies |= piece_assemblies(raised)
    day = solved.job.date
    return _Raised(
        job_in_view(raised, handrails, planned=solved.site is not None),
        {name: partial(write_step, whole, day=day) for name, whole in assemblies.items()},
        given_words({mark: run.out for mark, run in raised.runs.items()}),
    )


def _save_picture(layout: Paperspace, title: str, sight: Sight, path: Path) -> None:
    from railsheet.export.svg import save_svg

    save_svg(layout, path, title, sight)


def _report(solved: SolvedJob, sheets: int, names: list[str], out: Path) -> None:
    book = solved.book
    say(f"{solved.job.name}: {sheets} sheets in {out}: {', '.join(names)}")
    for work in solved.runs:
        at = work.mark
        say(f"{work.title}: rake {book.text(f'{at}.rake')}")
        for bay in work.railing.bays:
            key = f"{at}.bay.{bay.number}"
            filled = f"{bay.infill.noun}, {bay.infill.count} to the bay"
            if bay.infill.row is not None:
                filled = (
                    f"{book.text(f'{key}.balusters')} {bay.infill.noun}s, gap "
                    f"{_say(book, f'{key}.gap')} at each post"
                )
            say(
                f"  Bay {bay.number}: {filled}, top rail "
                f"{_say(book, f'{key}.rail.top.length')}, bottom rail "
                f"{_say(book, f'{key}.rail.bottom.length')}"
            )
        _report_notices(work.notices, book)
    for rail in solved.handrails:
        say(
            f"{rail.title}: {len(rail.handrail.pieces)} pieces, "
            f"{len(rail.handrail.brackets)} brackets, {_say(book, f'{rail.mark}.run')} along it"
        )
        _report_notices(rail.notices, book)
    if any(notice.weight is Weight.STOP for notice in solved.notices):
        say("Settle every STOP before cutting.")


def _report_notices(notices: Sequence[Notice], book: FigureBook) -> None:
    for notice in notices:
        start = "STOP" if notice.weight is Weight.STOP else "Look"
        say(f"  {start}: {notice.text(book.tape)}")


def _say(book: FigureBook, key: str) -> str:
    return book.tape.say(book.value(key))

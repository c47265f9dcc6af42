"""The whole set: every sheet in order, numbered, and one drawing document for each run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from railsheet.cuts.job_stock import JobStock
from railsheet.cuts.purchase import Purchase
from railsheet.figures.book import FigureBook
from railsheet.figures.marked import MarkedBook
from railsheet.job.model import Job
from railsheet.layout.notice import Weight
from railsheet.layout.site_model import Site
from railsheet.sheets.clouds import cloud_changes
from railsheet.sheets.drawing import new_document
from railsheet.sheets.drawn_sheets import (
    DrawnSheet,
    drawn_sheets,
    elevation_numbers,
    hang_sheets,
)
from railsheet.sheets.elevation import key_figures, window_lines
from railsheet.sheets.fit_card import check_table, order_tables
from railsheet.sheets.flight_part import whole_flight
from railsheet.sheets.full_size import draw_full_size, full_size_count
from railsheet.sheets.handrail_sheet import draw_handrail, handrail_page_count
from railsheet.sheets.handrail_tables import handrail_cut_rows, handrail_tables
from railsheet.sheets.handrail_work import HandrailWork
from railsheet.sheets.height_picture import picture_alone
from railsheet.sheets.identity import sign
from railsheet.sheets.inspection import SITE, InspectionSet, lay_out
from railsheet.sheets.level_elevation import draw_level
from railsheet.sheets.level_sheets import set_out_lines
from railsheet.sheets.mass_table import mass_tables
from railsheet.sheets.packing import runs_short
from railsheet.sheets.panel import Line
from railsheet.sheets.paper import sheet_layouts
from railsheet.sheets.plan_sheet import draw_plan, posts_table
from railsheet.sheets.revision_tables import Since, revision_tables
from railsheet.sheets.saw_sheet import draw_saw, saw_page_count
from railsheet.sheets.schedule import (
    FlightWork,
    LevelWork,
    RunWork,
    cut_table,
    infill_tables,
    parts_tables,
)
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.stock_tables import buying_table, order_of_cuts, saving_table
from railsheet.sheets.survey_table import doubt_table, plan_readings_table, readings_table
from railsheet.sheets.table_pages import Placed, set_in_columns
from railsheet.sheets.tables import TextTable
from railsheet.sheets.turns import turns_outside
from railsheet.sheets.view_sheet import draw_view
from railsheet.solids.view_lines import JobInView
from railsheet.units.display import Tape
from railsheet.units.length import Unit

# Longer than any flight's mark, so that the two never meet in one file name.
SAW_SHEET = "saw-sheet"
FULL_SIZE = "full-size"
IN_VIEW = "in-view"


@dataclass(frozen=True)
class SheetPage:
    """One sheet: its drawing, and the tables set on it.

    Attributes:
        over: the same sheet's layouts in other runs' documents, alike but for their pictures.
    """

    layout: Paperspace
    tables: tuple[Placed, ...]
    over: tuple[Paperspace, ...] = ()


@dataclass(frozen=True)
class SheetSet:
    """A job's sheets in order; each run's drawing document and its picture by its mark.

    A document that is no run's goes by `SAW_SHEET`, `FULL_SIZE` or `IN_VIEW`.
    """

    pages: tuple[SheetPage, ...]
    documents: Mapping[str, Drawing]
    pictures: Mapping[str, Paperspace]


class Which(Enum):
    """Which sheets are wanted.

    SAW: what is cut and fitted by. FABRICATOR: what is made by. INSPECTION: what is asked to be
    looked at. ALL: the saw's, then, where a code is named, the inspector's.
    """

    ALL = "all"
    SAW = "saw"
    FABRICATOR = "fabricator"
    INSPECTION = "inspection"


def compose(
    job: Job,
    works: Sequence[FlightWork],
    book: FigureBook,
    which: Which = Which.ALL,
    buying: Sequence[Purchase] = (),
    levels: Sequence[LevelWork] = (),
    site: Site | None = None,
    handrails: Sequence[HandrailWork] = (),
    since: Since | None = None,
    view: JobInView = (),
) -> SheetSet:
    """Draw the sheets of a job: the job in view, the plan of its site, then the others.

    Args:
        view: the job's parts in view; empty for no such sheet.
        since: an earlier set, whatever changed since then being marked.
        buying: what to buy for all flights together.

    Raises:
        ValueError: the inspection set is wanted of works that were not checked.
    """
    unit: Literal["in", "mm"] = "in" if job.tape.unit is Unit.INCH else "mm"
    shop = which is not Which.INSPECTION
    runs: tuple[RunWork, ...] = (*works, *levels)
    blank = _frame(job, runs, 0)
    drawn = drawn_sheets(works, levels, book, blank, unit) if shop else ()
    told = book if since is None else MarkedBook(book, since.found.keys)
    texts = (
        _shop_tables(job, works, levels, site, told, which, buying, drawn, handrails, since)
        if shop
        else ()
    )
    inspection = _inspection(job, works, levels, site, book, told, which, handrails)
    total = sum(len(sheets) for _, sheets in texts)
    drawings = len(drawn) + int(site is not None)
    total += drawings * shop + (inspection.count if inspection else 0)
    rail_sheets = [handrail_page_count(rail, book, blank, unit, bench=shop) for rail in handrails]
    total += sum(rail_sheets)
    stock = _sawn(runs, which)
    if stock is not None:
        total += saw_page_count(stock, book, blank, unit)
    full_size = full_size_count(runs, job.kit, blank) if shop else 0
    total += full_size + bool(view)
    frame = _frame(job, runs, total)
    pages: list[SheetPage] = []
    documents: dict[str, Drawing] = {}
    pictures: dict[str, Paperspace] = {}
    below, above = dict[str, float](), dict[str, float]()
    if view:
        documents[IN_VIEW] = new_document(unit, float(job.tape.step))
        pages.append(SheetPage(draw_view(documents[IN_VIEW], view, frame, 1), ()))
    if site is not None:
        documents[SITE], above[SITE] = new_document(unit, float(job.tape.step)), 0.0
    if site is not None and shop:
        plan = len(pages) + 1
        begins = {run: parts[1] for run, parts in elevation_numbers(drawn, plan + 1).items()}
        doc = documents[SITE]
        outside = turns_outside(runs)
        above[SITE] = draw_plan(doc, site, job.kit, book, frame, plan, begins, outside)
        pages += [SheetPage(layout, ()) for layout in sheet_layouts(doc)]
    # Each drawing lies below the last, so that no view of one sees another.
    scales = {p.run: p.scale for sheet in drawn[::-1] for p, _ in sheet.hung if p.scale}
    for run in runs:
        documents[run.mark] = new_document(unit, float(job.tape.step))
        below[run.mark] = above[run.mark] = 0.0
    for work in works if shop else ():
        reach = whole_flight(work.railing).reach
        high = blank.paper(True).height_mm * scales[work.mark].denominator
        above[work.mark] = reach.top + high
    for level in levels:
        above[level.mark] = max(post.height_mm for post in level.railing.posts)
        if shop:
            doc, scale = documents[level.mark], scales[level.mark]
            below[level.mark] = draw_level(doc, level, book, scale)
    titles = {run.mark: run.title for run in runs}
    hung = hang_sheets(drawn, titles, documents, below, frame, len(pages) + 1)
    for sheet, (layout, *over) in zip(drawn, hung, strict=True):
        pages.append(SheetPage(layout, (), tuple(over)))
        if sheet.what == "heights and steps":
            for work in (work for work in works if work.mark in sheet.runs):
                pictures[work.mark] = picture_alone(work, book, frame, len(pages))

    # Before the bench's sheets; of an inspector's set, whose cover comes first, after the last.
    rails_at = [
        1 + len(pages) + (0 if shop or inspection is None else inspection.count) + sum(before)
        for before in (rail_sheets[:number] for number in range(len(handrails)))
    ]

    def draw_handrails() -> list[SheetPage]:
        drawn_rails: list[SheetPage] = []
        for rail, first in zip(handrails, rails_at, strict=True):
            documents[rail.mark] = new_document(unit, float(job.tape.step))
            draw_handrail(documents[rail.mark], rail, book, frame, first, bench=shop)
            drawn_rails += [SheetPage(at, ()) for at in sheet_layouts(documents[rail.mark])]
        return drawn_rails

    if shop:
        pages += draw_handrails()
    if stock is not None:
        documents[SAW_SHEET] = new_document(unit, float(job.tape.step))
        draw_saw(documents[SAW_SHEET], stock, book, frame, len(pages) + 1)
        pages += [SheetPage(layout, ()) for layout in sheet_layouts(documents[SAW_SHEET])]
    if full_size:
        doc = documents[FULL_SIZE] = new_document(unit, float(job.tape.step))
        draw_full_size(doc, runs, job.kit, book, frame, len(pages) + 1)
        pages += [SheetPage(layout, ()) for layout in sheet_layouts(doc)]
    tables = new_document(unit, float(job.tape.step))
    for title, sheets in texts:
        for number, placed in enumerate(sheets, start=1):
            name = f"{title} {number}".replace(":", "")
            layout, _ = frame.start(tables, name, title, len(pages) + 1, None)
            pages.append(SheetPage(layout, placed))
    if inspection:
        taken = {mark: (documents[mark], high) for mark, high in above.items()}
        inspected = inspection.draw(taken, below, tables, frame, len(pages) + 1, rails_at)
        pages += [SheetPage(page.layout, page.placed, page.over) for page in inspected]
    if not shop:
        pages += draw_handrails()
    for doc in documents.values():
        sign(doc, job)
        if since is not None:
            cloud_changes(doc, since.found.keys)
    return SheetSet(tuple(pages), documents, pictures)


def _sawn(works: Sequence[RunWork], which: Which) -> JobStock | None:
    """The stock plan, where its saw sheet is wanted and anything is cut from bars."""
    if which not in (Which.ALL, Which.SAW) or not works:
        return None
    stock = works[0].stock
    return stock if any(section.bars for section in stock.sections) else None


def _shop_tables(
    job: Job,
    works: Sequence[FlightWork],
    levels: Sequence[LevelWork],
    site: Site | None,
    book: FigureBook,
    which: Which,
    buying: Sequence[Purchase],
    drawn: Sequence[DrawnSheet],
    handrails: Sequence[HandrailWork],
    since: Since | None,
) -> tuple[tuple[str, tuple[tuple[Placed, ...], ...]], ...]:
    """The shop's sheets of text, each with its title; a fabricator fits nothing up."""
    runs: tuple[RunWork, ...] = (*works, *levels)
    room = _frame(job, runs, 0).room(False)
    short = runs_short(sheet.hung for sheet in drawn)
    lists = (
        *revision_tables(job, since),
        *(() if site is None else _plan_tables(site, book)),
        with_handrails(cut_table(runs, book), handrails, book),
        *handrail_tables(handrails, book),
        *(order_of_cuts(runs[0].stock, book) if _sawn(runs, which) else ()),
        *([buying_table(buying, book)] if buying else []),
        *parts_tables(runs, book),
        *infill_tables(runs, book),
        *mass_tables(runs, book),
        *(saving_table(runs[0].stock, book) if runs else ()),
        *_notes((*runs, *handrails), job.tape),
        *(_setting_out(run, book) for run in runs if run.mark in short),
    )
    texts = [("Cut and parts schedule", set_in_columns(lists, room))]
    alone = runs[0].title if len(runs) == 1 else ""
    if which is not Which.FABRICATOR:
        cards = (*order_tables(runs), *(check_table(run, book) for run in runs))
        title = f"{alone}: fit-up card" if alone else "Fit-up cards"
        texts.append((title, set_in_columns(cards, room)))
    read = [
        table
        for work in works
        for table in (readings_table(work, book), doubt_table(work, book))
        if table
    ]
    read += [table for level in levels if (table := doubt_table(level, book))]
    if read:
        title = f"{alone}: readings" if alone else "Readings"
        texts.append((title, set_in_columns(read, room)))
    return tuple(texts)


def _plan_tables(site: Site, book: FigureBook) -> list[TextTable]:
    return [t for t in (posts_table(site, book), plan_readings_table(site, book)) if t]


def with_handrails(
    cuts: TextTable, handrails: Sequence[HandrailWork], book: FigureBook
) -> TextTable:
    """The cut list with the handrails' pieces after the runs'."""
    return replace(cuts, rows=(*cuts.rows, *handrail_cut_rows(handrails, book)))


def _inspection(
    job: Job,
    works: Sequence[FlightWork],
    levels: Sequence[LevelWork],
    site: Site | None,
    book: FigureBook,
    told: FigureBook,
    which: Which,
    handrails: Sequence[HandrailWork],
) -> InspectionSet | None:
    if which not in (Which.ALL, Which.INSPECTION):
        return None
    runs: tuple[RunWork, ...] = (*works, *levels)
    checks = runs[0].checks if runs else None
    if checks is None:
        if which is Which.INSPECTION:
            raise ValueError("an inspection set is drawn of runs that were checked")
        return None
    frame = _frame(job, runs, 0)
    titles = [f"{rail.title}: elevations and plan" for rail in handrails]
    return lay_out(job, works, levels, checks.profile, book, told, frame, site, titles)


def _frame(job: Job, works: Sequence[RunWork], total: int) -> SheetFrame:
    """The frame round every sheet, with the code that the runs were checked against."""
    checks = works[0].checks if works else None
    if checks is None:
        return SheetFrame(job, total)
    return SheetFrame(job, total, checks.profile.short, checks.profile.amended_text)


def _notes(works: Sequence[RunWork | HandrailWork], tape: Tape) -> tuple[TextTable, ...]:
    """Every notice again, whole, runs that share one together."""
    said: dict[tuple[str, str], list[str]] = {}
    for work in works:
        for notice in work.notices:
            weight = "STOP" if notice.weight is Weight.STOP else "look"
            said.setdefault((weight, notice.text(tape)), []).append(work.mark)
    rows = tuple((", ".join(marks), weight, words) for (weight, words), marks in said.items())
    if not rows:
        return ()
    return (
        TextTable(
            title="Attention",
            headers=("Runs", "", "What"),
            rows=rows,
            right=frozenset(),
            shares=(8, 8, 84),
        ),
    )


def _setting_out(run: RunWork, book: FigureBook) -> TextTable:
    """An elevation's key figures again, for where its panel ends short of them."""
    lines: tuple[Line, ...] = ()
    if isinstance(run, FlightWork):
        lines = (*key_figures(run, book), *window_lines(run, book))
    elif isinstance(run, LevelWork):
        lines = set_out_lines(run, book)
    return TextTable(
        title=f"{run.title}: set out by",
        headers=("Figure",),
        rows=tuple((line.text,) for line in lines if not line.heading),
        right=frozenset(),
        shares=(100,),
    )

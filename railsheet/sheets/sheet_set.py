"""The whole set: every sheet in order, numbered, and one drawing document for each run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.job.model import Job
from railsheet.layout.notice import Weight
from railsheet.layout.site_model import Site
from railsheet.sheets.drawing import new_document
from railsheet.sheets.elevation import draw_elevation, key_figures, window_lines
from railsheet.sheets.fit_card import check_table, order_table
from railsheet.sheets.height_picture import draw_heights
from railsheet.sheets.level_elevation import draw_level, level_parts
from railsheet.sheets.paper import sheet_layouts
from railsheet.sheets.plan_sheet import draw_plan, posts_table
from railsheet.sheets.post_sheet import draw_posts, post_pages
from railsheet.sheets.rail_sheet import draw_rails, rail_pages
from railsheet.sheets.schedule import (
    FlightWork,
    LevelWork,
    RunWork,
    cut_table,
    parts_table,
)
from railsheet.sheets.sheet import NO_CODE, SheetFrame
from railsheet.sheets.survey_table import doubt_table, readings_table
from railsheet.sheets.table_pages import Placed, set_tables
from railsheet.sheets.tables import TextTable
from railsheet.units.display import Tape
from railsheet.units.length import Unit


@dataclass(frozen=True)
class SheetPage:
    """One sheet: its drawing, and the tables set on it."""

    layout: Paperspace
    tables: tuple[Placed, ...]


@dataclass(frozen=True)
class SheetSet:
    """A job's sheets in order; each run's drawing document and its picture by its mark."""

    pages: tuple[SheetPage, ...]
    documents: Mapping[str, Drawing]
    pictures: Mapping[str, Paperspace]


def compose(
    job: Job,
    works: Sequence[FlightWork],
    book: FigureBook,
    levels: Sequence[LevelWork] = (),
    site: Site | None = None,
) -> SheetSet:
    """Draw every sheet of a job: the plan of its site first, where it has one."""
    runs: tuple[RunWork, ...] = (*works, *levels)
    unit: Literal["in", "mm"] = "in" if job.tape.unit is Unit.INCH else "mm"
    room = SheetFrame(job, 0).room(False)
    schedule = set_tables(
        (
            *(() if site is None else (posts_table(site, book),)),
            cut_table(runs, book),
            parts_table(runs, book),
            *_notes(runs, job.tape),
        ),
        room,
    )
    cards = [set_tables((order_table(work), check_table(work, book)), room) for work in runs]
    surveys = [
        set_tables(
            [table for table in (readings_table(work, book), doubt_table(work, book)) if table],
            room,
        )
        for work in works
    ]
    counts = {work.mark: 2 + _piece_pages(work) for work in works}
    empty = SheetFrame(job, 0)
    for level in levels:
        parts = level_parts(level.railing, empty, unit)
        counts[level.mark] = len(parts) + _piece_pages(level)
    drawings = sum(counts.values()) + (site is not None)
    total = drawings + len(schedule) + sum(len(card) for card in (*cards, *surveys))
    frame = SheetFrame(job, total, code_line(works))
    pages: list[SheetPage] = []
    documents: dict[str, Drawing] = {}
    pictures: dict[str, Paperspace] = {}
    if site is not None:
        firsts = accumulate(counts.values(), initial=2)
        begins = dict(zip(counts, firsts, strict=False))
        doc = new_document(unit, float(job.tape.step))
        documents["site"] = doc
        draw_plan(doc, site, job.kit, book, frame, 1, begins)
        pages += [SheetPage(layout, ()) for layout in sheet_layouts(doc)]
    for work in works:
        doc = new_document(unit, float(job.tape.step))
        documents[work.mark] = doc
        first = len(pages) + 1
        # Each drawing lies below the last, so that no view of one sees another.
        below = draw_elevation(doc, work, book, frame, first)
        below = draw_rails(doc, work, book, frame, first + 1, below)
        heights_at = first + 1 + len(rail_pages(work)) + len(post_pages(work))
        draw_posts(doc, work, book, frame, first + 1 + len(rail_pages(work)), below)
        pictures[work.mark] = draw_heights(doc, work, book, frame, heights_at)
        pages += [SheetPage(layout, ()) for layout in sheet_layouts(doc)]
    for level in levels:
        doc = new_document(unit, float(job.tape.step))
        documents[level.mark] = doc
        first = len(pages) + 1
        parts_shown = counts[level.mark] - _piece_pages(level)
        below = draw_level(doc, level, book, frame, first)
        below = draw_rails(doc, level, book, frame, first + parts_shown, below)
        posts_at = first + parts_shown + len(rail_pages(level))
        draw_posts(doc, level, book, frame, posts_at, below)
        pages += [SheetPage(layout, ()) for layout in sheet_layouts(doc)]
    tables = new_document(unit, float(job.tape.step))
    for title, sheets in (
        ("Cut and parts schedule", schedule),
        *((f"{run.title}: fit-up card", card) for run, card in zip(runs, cards, strict=True)),
        *(
            (f"Flight {work.mark}: readings", survey)
            for work, survey in zip(works, surveys, strict=True)
        ),
    ):
        for number, placed in enumerate(sheets, start=1):
            name = f"{title} {number}".replace(":", "")
            layout, _ = frame.start(tables, name, title, len(pages) + 1, None)
            pages.append(SheetPage(layout, placed))
    return SheetSet(tuple(pages), documents, pictures)


def _piece_pages(work: RunWork) -> int:
    """How many sheets a run's rails and posts take."""
    return len(rail_pages(work)) + len(post_pages(work))


def code_line(works: Sequence[FlightWork]) -> str:
    """Which code the flights were checked against, with its amendments."""
    checks = works[0].checks if works else None
    return NO_CODE if checks is None else checks.profile.short


def _notes(works: Sequence[RunWork], tape: Tape) -> tuple[TextTable, ...]:
    """Every notice again, whole: the first sheet holds as many as it has room for."""
    rows = tuple(
        (
            work.mark,
            "STOP" if notice.weight is Weight.STOP else "look",
            notice.text(tape),
        )
        for work in works
        for notice in work.notices
    )
    if not rows:
        return ()
    return (
        TextTable(
            title="Attention",
            headers=("Run", "", "What"),
            rows=rows,
            right=frozenset(),
            shares=(8, 8, 84),
        ),
    )


def _setting_out(work: FlightWork, book: FigureBook) -> TextTable:
    """The elevation's key figures again, for where its panel ends short of them."""
    return TextTable(
        title=f"Flight {work.mark}: set out by",
        headers=("Figure",),
        rows=tuple(
            (line.text,)
            for line in (*key_figures(work, book), *window_lines(work, book))
            if not line.heading
        ),
        right=frozenset(),
        shares=(100,),
    )

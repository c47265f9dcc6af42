"""The whole set: every sheet in order, numbered, and one drawing document for each run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.job.model import Job
from railsheet.layout.notice import Weight
from railsheet.sheets.drawing import new_document
from railsheet.sheets.elevation import draw_elevation, key_figures, window_lines
from railsheet.sheets.fit_card import check_table, order_table
from railsheet.sheets.height_picture import draw_heights
from railsheet.sheets.paper import sheet_layouts
from railsheet.sheets.post_sheet import draw_posts, post_pages
from railsheet.sheets.rail_sheet import draw_rails, rail_pages
from railsheet.sheets.schedule import FlightWork, cut_table, infill_tables, parts_table
from railsheet.sheets.sheet import NO_CODE, SheetFrame
from railsheet.sheets.survey_table import doubt_table, readings_table
from railsheet.sheets.table_pages import Placed, set_tables
from railsheet.sheets.tables import TextTable
from railsheet.sheets.template_sheet import draw_templates, has_templates
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


def compose(job: Job, works: Sequence[FlightWork], book: FigureBook) -> SheetSet:
    """Draw every sheet of a job."""
    unit: Literal["in", "mm"] = "in" if job.tape.unit is Unit.INCH else "mm"
    room = SheetFrame(job, 0).room(False)
    schedule = set_tables(
        (
            cut_table(works, book),
            *infill_tables(works, book),
            parts_table(works, book),
            *_notes(works, job.tape),
        ),
        room,
    )
    cards = [set_tables((order_table(work), check_table(work, book)), room) for work in works]
    surveys = [
        set_tables(
            [table for table in (readings_table(work, book), doubt_table(work, book)) if table],
            room,
        )
        for work in works
    ]
    drawings = sum(
        2 + len(rail_pages(work)) + has_templates(work) + len(post_pages(work)) for work in works
    )
    total = drawings + len(schedule) + sum(len(card) for card in (*cards, *surveys))
    frame = SheetFrame(job, total, code_line(works))
    pages: list[SheetPage] = []
    documents: dict[str, Drawing] = {}
    pictures: dict[str, Paperspace] = {}
    for work in works:
        doc = new_document(unit, float(job.tape.step))
        documents[work.mark] = doc
        first = len(pages) + 1
        # Each drawing lies below the last, so that no view of one sees another.
        below = draw_elevation(doc, work, book, frame, first)
        below = draw_rails(doc, work, book, frame, first + 1, below)
        posts_at = first + 1 + len(rail_pages(work))
        if has_templates(work):
            below = draw_templates(doc, work, book, frame, posts_at, below)
            posts_at += 1
        draw_posts(doc, work, book, frame, posts_at, below)
        heights_at = posts_at + len(post_pages(work))
        pictures[work.mark] = draw_heights(doc, work, book, frame, heights_at)
        pages += [SheetPage(layout, ()) for layout in sheet_layouts(doc)]
    tables = new_document(unit, float(job.tape.step))
    for title, sheets in (
        ("Cut and parts schedule", schedule),
        *(
            (f"Flight {work.mark}: fit-up card", card)
            for work, card in zip(works, cards, strict=True)
        ),
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


def code_line(works: Sequence[FlightWork]) -> str:
    """Which code the flights were checked against, with its amendments."""
    checks = works[0].checks if works else None
    return NO_CODE if checks is None else checks.profile.short


def _notes(works: Sequence[FlightWork], tape: Tape) -> tuple[TextTable, ...]:
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
            headers=("Flight", "", "What"),
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

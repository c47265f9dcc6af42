"""The inspection set: cover, drawings of each run, findings, load statement."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from railsheet.checks.profile import Profile
from railsheet.figures.book import FigureBook
from railsheet.job.model import Job
from railsheet.layout.site_model import Site
from railsheet.sheets.drawing import FIGURE_MM, add_note
from railsheet.sheets.drawn_sheets import (
    CHECKED,
    DrawnSheet,
    elevation_numbers,
    hang_sheets,
)
from railsheet.sheets.inspection_drawings import draw_checked_elevation, draw_plan
from railsheet.sheets.inspection_level import checked_levels
from railsheet.sheets.inspection_tables import cover_tables, finding_tables, load_tables
from railsheet.sheets.paper import Rect
from railsheet.sheets.plan_sheet import draw_plan as draw_site
from railsheet.sheets.scales import Unit
from railsheet.sheets.schedule import FlightWork, LevelWork, RunWork
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.table_pages import Placed, set_tables
from railsheet.sheets.turns import turns_outside
from railsheet.units.length import Unit as TapeUnit

# Share of the cover that is left to the inspector.
_STAMP_SHARE = 0.3
_BETWEEN_MM = 4.0
# The site's own document among the runs', and its sheet for the inspector.
SITE = "site"
_SITE_PLAN = "Plan checked"


@dataclass(frozen=True)
class InspectionPage:
    """One sheet of the set: its drawing, its tables, and the same sheet in other runs' documents.

    Attributes:
        over: as `SheetPage` has it.
    """

    layout: Paperspace
    placed: tuple[Placed, ...] = ()
    over: tuple[Paperspace, ...] = ()


@dataclass(frozen=True)
class InspectionSet:
    """An inspection set laid out as far as its number of sheets.

    Attributes:
        works, levels: what was checked, flights and level runs.
        covers: pages of the cover.
        level_sheets: the level runs' elevations, several to a sheet.
        findings, loads: pages of tables.
        site: the runs in plan; None where the job lays none out.
        handrails: titles of the handrails' sheets, which are drawn elsewhere.
    """

    job: Job
    works: tuple[FlightWork, ...]
    levels: tuple[LevelWork, ...]
    book: FigureBook
    profile: Profile
    covers: int
    level_sheets: tuple[DrawnSheet, ...]
    findings: tuple[tuple[Placed, ...], ...]
    loads: tuple[tuple[Placed, ...], ...]
    site: Site | None = None
    handrails: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """How many sheets it has."""
        drawings = 2 * len(self.works) + len(self.level_sheets) + (self.site is not None)
        return self.covers + drawings + len(self.findings) + len(self.loads)

    def draw(
        self,
        documents: Mapping[str, tuple[Drawing, float]],
        below_mm: dict[str, float],
        tables: Drawing,
        frame: SheetFrame,
        first: int,
        handrails_at: Sequence[int] = (),
    ) -> list[InspectionPage]:
        """Draw the sheets, numbered from ``first``.

        Args:
            documents: each run's document, and how far up its model space is taken, mm.
            below_mm: how far down each run's is taken; kept up to date.
            tables: the document that sheets of text live in.
            handrails_at: the sheet on which each handrail begins.
        """
        pages: list[InspectionPage] = []
        room = frame.room(False)
        left, right = _halves(room)
        index = [*self._index(first), *zip(handrails_at, self.handrails, strict=True)]
        for number, placed in enumerate(self._cover(left, index), start=1):
            title = "Inspection request"
            layout, _ = frame.start(tables, f"Cover {number}", title, first + len(pages), None)
            if number == 1:
                _stamp(layout, right)
            pages.append(InspectionPage(layout, placed))
        if self.site is not None:
            doc, above = documents[SITE]
            number = first + len(pages)
            begins = self._begins(number + 1)
            outside = turns_outside((*self.works, *self.levels))
            draw_site(
                doc,
                self.site,
                self.job.kit,
                self.book,
                frame,
                number,
                begins,
                outside,
                name=_SITE_PLAN,
                above_mm=above,
            )
            pages.append(InspectionPage(_paperspace(doc, _SITE_PLAN)))
        for work in self.works:
            doc, above = documents[work.mark]
            before = set(doc.layouts.names())
            above = draw_plan(doc, work, self.book, frame, first + len(pages), above)
            draw_checked_elevation(doc, work, self.book, frame, first + len(pages) + 1, above)
            made = [name for name in doc.layouts.names_in_taborder() if name not in before]
            pages += [InspectionPage(_paperspace(doc, name)) for name in made]
        titles = {level.mark: level.title for level in self.levels}
        docs = {mark: doc for mark, (doc, _) in documents.items()}
        number = first + len(pages)
        for layout, *over in hang_sheets(self.level_sheets, titles, docs, below_mm, frame, number):
            pages.append(InspectionPage(layout, (), tuple(over)))
        for title, sheets in (("Findings", self.findings), ("Load statement", self.loads)):
            for number, placed in enumerate(sheets, start=1):
                name = f"{title} {number}"
                layout, _ = frame.start(tables, name, title, first + len(pages), None)
                pages.append(InspectionPage(layout, placed))
        return pages

    def _cover(
        self, room: Rect, index: Sequence[tuple[int, str]]
    ) -> tuple[tuple[Placed, ...], ...]:
        runs: tuple[RunWork, ...] = (*self.works, *self.levels)
        return set_tables(cover_tables(self.job, runs, self.profile, index), room)

    def _begins(self, first: int) -> dict[str, int]:
        """The sheet on which each run's elevation begins; the first run's drawings begin the row.

        A flight's plan stands before its elevation.
        """
        begins = {}
        for work in self.works:
            begins[work.mark] = first + 1
            first += 2
        numbers = elevation_numbers(self.level_sheets, first)
        return begins | {run: parts[1] for run, parts in numbers.items()}

    def _index(self, first: int) -> list[tuple[int, str]]:
        drawings = _drawings(self.works, self.levels, self.level_sheets, self.site)
        return _index(drawings, self.covers, len(self.findings), first)


def lay_out(
    job: Job,
    works: Sequence[FlightWork],
    levels: Sequence[LevelWork],
    profile: Profile,
    book: FigureBook,
    told: FigureBook,
    frame: SheetFrame,
    site: Site | None = None,
    handrails: Sequence[str] = (),
) -> InspectionSet:
    """Lay out the tables of an inspection set, so that its sheets can be counted.

    Args:
        told: the same book for its tables, which mark what changed since an earlier issue.
        site: the runs in plan; None where the job lays none out.
        handrails: titles of the handrails' sheets, which are drawn elsewhere.
    """
    room = frame.room(False)
    runs: tuple[RunWork, ...] = (*works, *levels)
    findings = set_tables(finding_tables(runs, profile, told), room)
    loads = set_tables(load_tables(runs, told), room)
    unit: Unit = "in" if job.tape.unit is TapeUnit.INCH else "mm"
    level_sheets = tuple(
        DrawnSheet(CHECKED, hung) for hung in checked_levels(levels, book, room, unit)
    )
    # The index takes as much room whatever its numbers are.
    index = _index(_drawings(works, levels, level_sheets, site), 1, len(findings), 1)
    index += [(0, title) for title in handrails]
    covers = len(set_tables(cover_tables(job, runs, profile, index), _halves(room)[0]))
    return InspectionSet(
        job,
        tuple(works),
        tuple(levels),
        book,
        profile,
        covers,
        level_sheets,
        findings,
        loads,
        site,
        tuple(handrails),
    )


def _drawings(
    works: Sequence[FlightWork],
    levels: Sequence[LevelWork],
    level_sheets: Sequence[DrawnSheet],
    site: Site | None,
) -> list[tuple[str, int]]:
    """Every drawing's title, in order, and how many sheets it takes."""
    drawings = [] if site is None else [("Plan of the site", 1)]
    for work in works:
        drawings += [
            (f"Flight {work.mark}: plan", 1),
            (f"Flight {work.mark}: elevation, heights and openings", 1),
        ]
    titles = {level.mark: level.title for level in levels}
    for sheet in level_sheets:
        marks = sheet.runs
        name = titles[marks[0]] if len(marks) == 1 else f"Level runs {', '.join(marks)}"
        drawings.append((f"{name}: elevation, heights and openings", 1))
    return drawings


def _index(
    drawings: Sequence[tuple[str, int]], covers: int, findings: int, first: int
) -> list[tuple[int, str]]:
    number = first + covers
    index = []
    for title, pages in drawings:
        index.append((number, title))
        number += pages
    return [
        *index,
        (number, "Findings, clause by clause, and how each limit is measured"),
        (number + findings, "Load statement: demand only"),
    ]


def _halves(room: Rect) -> tuple[Rect, Rect]:
    edge = room.right - _STAMP_SHARE * room.size[0]
    return (
        Rect(room.left, room.bottom, edge - _BETWEEN_MM, room.top),
        Rect(edge, room.bottom, room.right, room.top),
    )


def _stamp(layout: Paperspace, room: Rect) -> None:
    """Boxes for the inspector's stamp and notes."""
    middle = room.bottom + room.size[1] * 0.62
    for title, low, high in (
        ("Inspector's stamp", middle + _BETWEEN_MM / 2, room.top),
        ("Inspector's notes", room.bottom, middle - _BETWEEN_MM / 2),
    ):
        corners = [(room.left, low), (room.right, low), (room.right, high), (room.left, high)]
        layout.add_lwpolyline(corners, close=True, dxfattribs={"layer": "TITLE"})
        add_note(layout, title, (room.left + 2.0, high - 2.0), height_mm=FIGURE_MM, bold=True)


def _paperspace(doc: Drawing, name: str) -> Paperspace:
    layout = doc.layouts.get(name)
    assert isinstance(layout, Paperspace)
    return layout

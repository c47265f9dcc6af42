"""Every drawn sheet of a job but the plan and the saw sheet: what hangs on which, then drawn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.sheets.drawing import FIGURE_MM, add_note
from railsheet.sheets.flight_sheets import flight_elevations
from railsheet.sheets.height_picture import height_sheets
from railsheet.sheets.packing import Hook, Hung
from railsheet.sheets.paper import Rect
from railsheet.sheets.post_sheet import post_sheets
from railsheet.sheets.rail_sheet import rail_sheets, rails_legend
from railsheet.sheets.scales import Scale, Unit
from railsheet.sheets.schedule import FlightWork, LevelWork, RunWork
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.template_sheet import template_sheets
from railsheet.sheets.title import EACH, Shown

# What an inspector's elevations show, as their titles end.
CHECKED = "heights and openings"


@dataclass(frozen=True)
class DrawnSheet:
    """One sheet of pictures.

    Attributes:
        what: what it shows, as its title ends: ``rails``.
        portrait: how the paper is turned.
        legend: a line across its foot; empty for none.
    """

    what: str
    hung: Hung
    portrait: bool = False
    legend: str = ""

    @property
    def runs(self) -> tuple[str, ...]:
        """Marks of the runs that it shows, in order."""
        return tuple(dict.fromkeys(picture.run for picture, _ in self.hung))

    @property
    def scale(self) -> Shown:
        """The one scale of its pictures; EACH for several."""
        scales: dict[str, Scale] = {}
        for picture, _ in self.hung:
            if picture.scale is not None:
                scales[picture.scale.name] = picture.scale
        if not scales:
            return None
        return EACH if len(scales) > 1 else next(iter(scales.values()))


def drawn_sheets(
    works: Sequence[FlightWork],
    levels: Sequence[LevelWork],
    book: FigureBook,
    frame: SheetFrame,
    unit: Unit,
) -> tuple[DrawnSheet, ...]:
    """The sheets in order: elevations, rails, easings, templates, posts, heights.

    Each run's drawings share sheets with the other runs'.
    """
    runs: tuple[RunWork, ...] = (*works, *levels)
    room = frame.room(False)
    legend = rails_legend(runs)
    return (
        *(
            DrawnSheet(sheet.words, sheet.hung, sheet.portrait)
            for sheet in flight_elevations(works, book, frame, unit)
        ),
        *(DrawnSheet("elevation", hung) for hung in _of_levels(levels, book, room, unit)),
        *(DrawnSheet("rails", h, legend=legend) for h in rail_sheets(runs, book, room, unit)),
        *(DrawnSheet("easings", hung) for hung in _of_easings(runs, book, room, unit)),
        *(DrawnSheet("templates", hung) for hung in template_sheets(runs, book, room, unit)),
        *(DrawnSheet("posts", hung) for hung in post_sheets(runs, book, room, unit)),
        *(DrawnSheet("heights and steps", hung) for hung in height_sheets(works, book, room)),
    )


def _of_levels(
    levels: Sequence[LevelWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    if not levels:
        return ()
    from railsheet.sheets.level_sheets import level_elevations

    return level_elevations(levels, book, room, unit)


def _of_easings(
    runs: Sequence[RunWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    if all(piece.post.easing is None for run in runs for piece in run.pieces.posts):
        return ()
    from railsheet.sheets.easing_sheet import easing_sheets

    return easing_sheets(runs, book, room, unit)


def elevation_numbers(sheets: Sequence[DrawnSheet], first: int) -> dict[str, dict[int, int]]:
    """The sheet that each run's elevation stands on, part by part, from the first one's number."""
    found: dict[str, dict[int, int]] = {}
    for number, sheet in enumerate(sheets, start=first):
        if sheet.what.startswith(("elevation", CHECKED)):
            for picture, _ in sheet.hung:
                found.setdefault(picture.run, {})[picture.part] = number
    return found


def hang_sheets(
    sheets: Sequence[DrawnSheet],
    titles: Mapping[str, str],
    documents: Mapping[str, Drawing],
    below_mm: dict[str, float],
    frame: SheetFrame,
    first: int,
) -> list[tuple[Paperspace, ...]]:
    """Draw the sheets, each in the document of every run that it shows.

    Args:
        titles: each run's title by its mark.
        below_mm: how far down each document's model space is taken; kept up to date, mm of the
            real thing.

    Returns:
        For each sheet, its layouts: one a run, alike in paper, title and number.
    """
    elsewhere = elevation_numbers(sheets, first)
    named: Counter[tuple[str, str]] = Counter()
    made = []
    for number, sheet in enumerate(sheets, start=first):
        title = _title(sheet, titles)
        word = sheet.what.split(",")[0].split()[0]
        layouts: dict[str, Paperspace] = {}
        for run in sheet.runs:
            named[run, word] += 1
            many = named[run, word]
            name = f"{run} {word}" + (f" {many}" if many > 1 else "")
            layouts[run], _ = frame.start(
                documents[run], name, title, number, sheet.scale, sheet.portrait
            )
            if sheet.legend:
                _legend(layouts[run], sheet, frame)
        for picture, place in sheet.hung:
            run = picture.run
            below_mm[run] = picture.draw(
                Hook(
                    documents[run],
                    layouts[run],
                    place,
                    below_mm[run],
                    noted=sheet.scale == EACH,
                    shared=len(layouts) > 1,
                    number=number,
                    elsewhere=elsewhere.get(run, {}),
                )
            )
        made.append(tuple(layouts.values()))
    return made


def _title(sheet: DrawnSheet, titles: Mapping[str, str]) -> str:
    if len(sheet.runs) == 1:
        return f"{titles[sheet.runs[0]]}: {sheet.what}"
    what = sheet.what.capitalize()
    plural = what if what.endswith("s") else f"{what}s"
    return f"{plural}: runs {', '.join(sheet.runs)}"


def _legend(layout: Paperspace, sheet: DrawnSheet, frame: SheetFrame) -> None:
    """The legend belongs to the sheet, as its title does: it is alike in every run's layout."""
    room = frame.room(sheet.portrait)
    at = (room.left, room.bottom + FIGURE_MM + 0.5)
    add_note(layout, sheet.legend, at, height_mm=FIGURE_MM, layer="TITLE")

"""A handrail's sheets: each straight seen square on, the plan, the pieces on the bench."""

from __future__ import annotations

from typing import Literal

from ezdxf.document import Drawing

from railsheet.figures.book import FigureBook
from railsheet.sheets.handrail_elevation import draw_straight
from railsheet.sheets.handrail_pieces import bench_pages, draw_bench
from railsheet.sheets.handrail_plan import draw_handrail_plan
from railsheet.sheets.handrail_work import HandrailWork
from railsheet.sheets.sheet import SheetFrame


def handrail_page_count(
    work: HandrailWork,
    book: FigureBook,
    frame: SheetFrame,
    unit: Literal["in", "mm"],
    *,
    bench: bool,
) -> int:
    """How many sheets a handrail takes.

    Args:
        bench: its pieces on the bench with it, which an inspector has no use for.
    """
    in_place = len(work.handrail.way.straights) + 1
    return in_place + (len(bench_pages(work.handrail, book, frame, unit)) if bench else 0)


def draw_handrail(
    doc: Drawing,
    work: HandrailWork,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    *,
    bench: bool,
) -> None:
    """Add a handrail's sheets to its own document, numbered from ``number``."""
    below = 0.0
    for straight in range(len(work.handrail.way.straights)):
        below = draw_straight(doc, work, straight, book, frame, number, below)
        number += 1
    below = draw_handrail_plan(doc, work, book, frame, number, below)
    if bench:
        draw_bench(doc, work, book, frame, number + 1, below)

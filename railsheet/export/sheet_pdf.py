"""The set as one PDF: drawings and the tables on them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from railsheet.export.new_pdf import new_pdf
from railsheet.export.paper import PageReport, paper_size_mm
from railsheet.export.paper_pdf import draw_layout
from railsheet.export.sight import Sight
from railsheet.sheets.fonts import PT_PER_MM
from railsheet.sheets.sheet_set import SheetPage


def write_sheets(
    pages: Sequence[SheetPage], path: Path, title: str, sight: Sight | None = None
) -> tuple[PageReport, ...]:
    """Write one page to a sheet, each the size of its paper.

    The same sheets give the same bytes: no date and no random identifier is written.

    Args:
        pages: in the order of the set.
        path: the file.
        title: of the whole.
        sight: what is known already of what their model spaces show.
    """
    sight = sight or Sight()
    canvas = new_pdf(path, title)
    # Templates at full size must not be fitted to a page; a viewer may heed this, or not.
    canvas.setViewerPreference("PrintScaling", "None")
    reports = []
    for page in pages:
        width, height = paper_size_mm(page.layout)
        canvas.setPageSize((width * PT_PER_MM, height * PT_PER_MM))
        canvas.bookmarkPage(page.layout.name)
        canvas.addOutlineEntry(page.layout.name, page.layout.name)
        reports.append(draw_layout(canvas, page.layout, sight=sight))
        for layout in page.over:
            # Its frame, title and legend are the first one's.
            over = draw_layout(canvas, layout, without=("BORDER", "TITLE"), sight=sight)
            reports[-1] = PageReport(
                reports[-1].texts + over.texts, reports[-1].overhanging + over.overhanging
            )
        for placed in page.tables:
            placed.flowable.drawOn(canvas, placed.left_mm * PT_PER_MM, placed.bottom_mm * PT_PER_MM)
        canvas.showPage()
    canvas.save()
    return tuple(reports)

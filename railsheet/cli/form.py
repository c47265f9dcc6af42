"""Print a measuring form: for a flight, or for a rail system the tool does not know yet."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from railsheet.cli.say import say

PAPERS = {"letter": "Letter", "a4": "A4"}


@dataclass(frozen=True)
class KitAsked:
    """A form of a kit file: what fills its bays and how its rails end, in a kit file's words."""

    fills: str
    ends: str


@dataclass(frozen=True)
class HandrailAsked:
    """A form of a file of handrail parts."""


def print_form(out: Path, asked: int | KitAsked | HandrailAsked, paper_name: str) -> None:
    """Write a form as a PDF.

    Args:
        out: the PDF.
        asked: how many risers the flight has, or the form of which kind of kit.
        paper_name: a key of `PAPERS`.

    Raises:
        BadInput: the file cannot be written.
    """
    from railsheet.export.sheet_pdf import write_sheets
    from railsheet.export.whole import write_whole
    from railsheet.sheets.handrail_form import handrail_form
    from railsheet.sheets.kit_form import kit_form
    from railsheet.sheets.paper import paper
    from railsheet.sheets.sheet_set import SheetPage
    from railsheet.sheets.site_form import site_form

    sheet = paper(PAPERS[paper_name], portrait=True)
    match asked:
        case KitAsked(fills, ends):
            layouts, title = kit_form(sheet, fills, ends), f"Kit form: {fills}, {ends}"
        case HandrailAsked():
            layouts, title = handrail_form(sheet), "Handrail form"
        case int():
            layouts, title = site_form(sheet, asked), f"Measuring form, {asked} risers"
    pages = [SheetPage(layout, ()) for layout in layouts]
    lost: list[str] = []

    def write(file: Path) -> None:
        for report in write_sheets(pages, file, title):
            lost.extend(report.overhanging)

    write_whole(out.parent, {out.name: write})
    say(f"{out}: {len(pages)} sheets, {sheet.name}")
    for words in lost:
        say(f"  Look: no room on its sheet: {words}")

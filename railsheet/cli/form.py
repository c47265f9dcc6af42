"""Print a measuring form: for a flight, or for a rail system the tool does not know yet."""

from __future__ import annotations

from pathlib import Path

import click

PAPERS = {"letter": "Letter", "a4": "A4"}


def print_form(out: Path, risers: int | None, paper_name: str) -> None:
    """Write a form as a PDF.

    Args:
        out: the PDF.
        risers: how many the flight has; None for the form of a kit.
        paper_name: a key of `PAPERS`.

    Raises:
        BadInput: the file cannot be written.
    """
    from railsheet.export.sheet_pdf import write_sheets
    from railsheet.export.whole import write_whole
    from railsheet.sheets.kit_form import kit_form
    from railsheet.sheets.paper import paper
    from railsheet.sheets.sheet_set import SheetPage
    from railsheet.sheets.site_form import site_form

    sheet = paper(PAPERS[paper_name], portrait=True)
    layouts = kit_form(sheet) if risers is None else site_form(sheet, risers)
    pages = [SheetPage(layout, ()) for layout in layouts]
    title = "Kit form" if risers is None else f"Measuring form, {risers} risers"
    lost: list[str] = []

    def write(file: Path) -> None:
        for report in write_sheets(pages, file, title):
            lost.extend(report.overhanging)

    write_whole(out.parent, {out.name: write})
    click.echo(f"{out}: {len(pages)} sheets, {sheet.name}")
    for words in lost:
        click.echo(f"  Look: no room on its sheet: {words}")

"""What pieces weigh, as a table: for whoever lifts them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from railsheet.cuts.masses import run_masses
from railsheet.figures.book import FigureBook, mass_unit
from railsheet.figures.masses import bay_mass_key
from railsheet.sheets.schedule import RunWork
from railsheet.sheets.tables import TextTable


def mass_tables(works: Sequence[RunWork], book: FigureBook) -> tuple[TextTable, ...]:
    """Each piece's mass, alike ones together; none where the kit tells of no part's."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for work in works:
        for marks, about, count, text in _rows(work, book):
            alike.setdefault((about, count, text), []).append(marks)
    if not alike:
        return ()
    return (
        TextTable(
            title="What pieces weigh: before holes; no brackets, fittings or screws",
            headers=("Mark", "Piece", "No.", f"Each, {mass_unit(book.tape.unit)}"),
            rows=tuple(
                (", ".join(marks), about, count, text)
                for (about, count, text), marks in alike.items()
            ),
            right=frozenset({2, 3}),
            shares=(30, 46, 9, 15),
        ),
    )


def _rows(work: RunWork, book: FigureBook) -> Iterator[tuple[str, str, str, str]]:
    masses = run_masses(work.railing, work.pieces)
    for bay in masses.bays:
        for piece in bay.pieces:
            text = book.text(f"{work.mark}.{piece.key}")
            yield piece.marks, piece.about, str(piece.count), text
        if bay.kg is not None:
            text = book.text(bay_mass_key(work.mark, bay.bay))
            yield f"{work.mark}{bay.bay}", "the bay's rails and infill, put together", "1", text
    for post in masses.posts:
        text = book.text(f"{work.mark}.{post.key}")
        yield post.marks, f"{post.about} with its plate", "1", text

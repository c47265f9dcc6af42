"""Enter the kit's dimensions and the job's own rounding into the book of figures."""

from __future__ import annotations

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import enter_fact
from railsheet.job.kit import Kit
from railsheet.layout.infill.door import kind_of
from railsheet.units.length import Unit


def enter_kit(book: FigureBook, kit: Kit) -> None:
    """Enter the kit's dimensions that the sheets print."""
    for key, value, about in (
        ("post.width", kit.post.width_mm, "post's side"),
        ("post.stock_height", kit.post.stock_height_mm, "post as supplied, plate included"),
        ("post.reveal", kit.post.reveal_mm, "post above the top rail"),
        ("plate.along", kit.plate.along_mm, "base plate along the run"),
        ("plate.across", kit.plate.across_mm, "base plate across the step"),
        ("plate.thickness", kit.plate.thickness_mm, "base plate's thickness"),
        ("plate.edge_distance", kit.plate.edge_distance_mm, "plate to an edge, least"),
        ("plate.back_clearance", kit.plate.back_clearance_mm, "plate to a riser's face, least"),
        ("cover.height", kit.cover.cover_height_mm, "plate cover's height"),
        ("top_rail.depth", kit.top_rail.depth_mm, "top rail's depth"),
        ("top_rail.width", kit.top_rail.width_mm, "top rail's width"),
        ("bottom_rail.depth", kit.bottom_rail.depth_mm, "bottom rail's depth"),
        ("bottom_rail.width", kit.bottom_rail.width_mm, "bottom rail's width"),
        ("greatest_span", kit.greatest_span_mm, "greatest clear span"),
        ("fit_tolerance", kit.fit_tolerance_mm, "tolerance of a fitted reading"),
    ):
        book.length(f"kit.{key}", value, about)
    for number, hole in enumerate(kit.plate.holes, start=1):
        for key, value, about in (
            ("along", hole.along_mm, "middle from the plate's corner, along the run"),
            ("across", hole.across_mm, "middle from the plate's corner, across the run"),
            ("size", hole.size_mm, "diameter"),
        ):
            book.length(
                f"kit.plate.hole.{number}.{key}", value, f"base plate, hole {number}: {about}"
            )
    infill = kit.infill
    for fact in kind_of(kit).facts(kit):
        enter_fact(book, f"kit.{fact.name}", fact.words, fact)
    if infill.baluster is not None:
        book.length("kit.baluster.width", infill.baluster.width_mm, "baluster's side")
        book.length("kit.baluster.length", infill.baluster.length_mm, "baluster as supplied")
    book.angle("kit.greatest_rake", kit.greatest_rake_rad, "steepest rake")


def enter_job(book: FigureBook) -> None:
    """Enter the job's own rounding."""
    book.length("job.tape", book.tape.step_mm, "smallest division printed")
    check_mm = 4 * Unit.INCH.mm if book.tape.unit is Unit.INCH else 100.0
    book.length("job.check_length", check_mm, "check bars on full-size sheets")

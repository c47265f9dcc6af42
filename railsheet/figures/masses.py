"""Enter what a run's pieces weigh."""

from __future__ import annotations

from railsheet.cuts.masses import RunMasses
from railsheet.figures.book import FigureBook


def bay_mass_key(mark: str, bay: int) -> str:
    """Where the mass of a bay put together stands."""
    return f"{mark}.bay.{bay}.mass"


def enter_masses(book: FigureBook, mark: str, masses: RunMasses) -> None:
    """Enter each piece's mass, and each bay's put together, under its run's mark."""
    for bay in masses.bays:
        for piece in bay.pieces:
            book.mass(f"{mark}.{piece.key}", piece.kg, f"{piece.about}, {piece.marks}: weighs")
        if bay.kg is not None:
            about = f"bay {bay.bay}: its rails and infill weigh"
            book.mass(bay_mass_key(mark, bay.bay), bay.kg, about)
    for post in masses.posts:
        book.mass(f"{mark}.{post.key}", post.kg, f"{post.about} with its plate: weighs")

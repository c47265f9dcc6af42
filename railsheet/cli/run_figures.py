"""One run's lengths and angles, as the book has them."""

from __future__ import annotations

from railsheet.cuts.pieces import cut_pieces
from railsheet.figures.book import FigureBook, Kind
from railsheet.figures.flight import enter_flight
from railsheet.job.model import Job
from railsheet.layout.railing import Railing


def run_figures(job: Job, railing: Railing) -> dict[str, float]:
    """A run's figures by key, mm and rad, what it joins left out of account."""
    book = FigureBook(job.tape)
    enter_flight(book, railing, cut_pieces(railing), (), ())
    return {figure.key: figure.value for figure in book if figure.kind in (Kind.LENGTH, Kind.ANGLE)}

"""Enter how even one flight's steps are, and what a code allows, into the book of figures."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from railsheet.checks.limit import Quantity
from railsheet.checks.profile import Profile
from railsheet.figures.book import FigureBook
from railsheet.survey.stair import Stair


def enter_steps(book: FigureBook, at: str, stair: Stair, profile: Profile | None) -> None:
    """Enter means and variations of risers and runs, and the code's allowed variation if known."""
    _spread(book, f"{at}.risers", "risers", stair.risers_mm)
    _spread(book, f"{at}.runs", "runs", stair.runs_mm)
    if profile is None:
        return
    for key, quantity, name in (
        (f"{at}.risers", Quantity.RISER_VARIATION, "risers"),
        (f"{at}.runs", Quantity.TREAD_VARIATION, "runs"),
    ):
        # Of several limits on one quantity the tightest is drawn: exceptions are for the checks.
        most = [
            bound.value
            for limit in profile.limits
            if limit.quantity is quantity
            for bound in limit.bounds
        ]
        if most:
            book.length(f"{key}.allowed", min(most), f"{name}: variation {profile.edition} allows")


def _spread(book: FigureBook, key: str, name: str, lengths_mm: Sequence[float]) -> None:
    book.length(f"{key}.mean", fmean(lengths_mm), f"{name}: mean")
    book.length(
        f"{key}.variation", max(lengths_mm) - min(lengths_mm), f"{name}: greatest less least"
    )

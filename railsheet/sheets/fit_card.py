"""The fit-up card: the order of work, and what to check before anything is fastened for good."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import face_key
from railsheet.sheets.schedule import RunWork
from railsheet.sheets.tables import TextTable

# A level laid on a baluster shows a lean of this much over its length; common practice, no source.
_RAILS = ("top", "bottom")
_DIAGONALS = (
    ("rising", "under the bottom rail below, over the top rail above"),
    ("falling", "over the top rail below, under the bottom rail above"),
)
_PLUMB_WORDS = "bubble between its lines"
_BOX = "[   ]"
# So many runs have their boxes side by side.
_RUNS_BESIDE = 8


def order_tables(works: Sequence[RunWork]) -> tuple[TextTable, ...]:
    """The kit's order of work, with a box at each step for each run."""
    groups = [works[i : i + _RUNS_BESIDE] for i in range(0, len(works), _RUNS_BESIDE)]
    return tuple(_order_of(group, alone=len(works) == 1) for group in groups)


def _order_of(works: Sequence[RunWork], *, alone: bool) -> TextTable:
    steps = works[0].railing.kit.order_of_work
    marks = tuple(work.mark for work in works)
    return TextTable(
        title=f"{works[0].title}: order of work" if alone else "Order of work, each run by itself",
        headers=("Step", "Do", *(("Done",) if alone else marks)),
        rows=tuple(
            (str(number), step, *(_BOX,) * len(marks)) for number, step in enumerate(steps, start=1)
        ),
        right=frozenset({0}),
        shares=(6, 94 - 6 * len(marks), *(6,) * len(marks)),
        wide=not alone,
    )


def check_table(work: RunWork, book: FigureBook) -> TextTable:
    """Every reading to take before fastening: expected, tolerance, and a box to write it in."""
    at, railing = work.mark, work.railing
    tolerance = f"± {book.text('kit.fit_tolerance')}"
    rows: list[tuple[str, str, str, str]] = []
    rows_of_balusters = [bay for bay in railing.bays if bay.infill.row is not None]
    for bay in rows_of_balusters:
        limits = book.text(f"{at}.gap_least"), book.text(f"{at}.gap_most")
        gap_range = f"{limits[0]} to {limits[1]}, and all equal"
        for post, place in product(railing.posts[bay.number - 1 : bay.number + 1], _RAILS):
            rows.append(
                (
                    f"Bay {bay.number}: gap at {post.with_article}, at the {place} rail",
                    book.text(f"{at}.bay.{bay.number}.gap"),
                    gap_range,
                    "",
                )
            )
    for number, nose in enumerate(railing.stair.noses, start=1):
        if railing.spans(nose):
            rows.append(
                (
                    f"Top of the top rail over nose {number}, plumb",
                    book.text(f"{at}.nose.{number}.rail_height"),
                    tolerance,
                    "",
                )
            )
    for post, face in ((p, f) for p in railing.posts for f in p.faces):
        on = f"{post.with_article}, {face.side} face" if post.through else post.with_article
        for mount in face.mounts:
            key = f"{face_key(at, post, face)}.mount.{mount.place.value}"
            rows.append(
                (
                    f"{mount.place.value.capitalize()} {mount.word}'s centre across {on}, "
                    "from its face on the side edge",
                    f"{book.text(f'{key}.across_least')} to {book.text(f'{key}.across_most')}",
                    "within both",
                    "",
                )
            )
    if rows_of_balusters:
        noun = rows_of_balusters[0].infill.noun.capitalize()
        rows.append((f"{noun}s plumb, both ways", "plumb", _PLUMB_WORDS, ""))
    for bay in railing.bays:
        for way, words in _DIAGONALS:
            figure = book.text(f"{at}.bay.{bay.number}.diagonal.{way}")
            rows.append(
                (f"Bay {bay.number}, diagonal between the posts: {words}", figure, tolerance, "")
            )
    return TextTable(
        title=f"{work.title}: check before fastening",
        headers=("Check", "Expected", "Tolerance", "Reads"),
        rows=tuple(rows),
        right=frozenset({1}),
        shares=(48, 14, 26, 12),
    )

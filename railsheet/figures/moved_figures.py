"""A run's lengths and angles by key, for railings near one another: no bay is entered twice."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from railsheet.cuts.pieces import cut_pieces
from railsheet.figures.book import FigureBook, Kind
from railsheet.figures.flight import enter_bay, enter_fill, enter_posts, enter_rail, enter_walk
from railsheet.layout.post import Post
from railsheet.layout.railing import Bay, Railing
from railsheet.units.display import Tape

Lengths = dict[str, float]


class MovedFigures:
    """What ``enter_flight`` enters of a railing and its pieces, in that order, by key.

    For the railings of one run that one ``FlightAgain`` gives, or any that share no parts.
    """

    def __init__(self, tape: Tape) -> None:
        """Take the job's tape."""
        self._tape = tape
        # By the thing itself, which is kept so that no other can take its place in memory.
        self._bays: dict[int, tuple[Bay, tuple[Lengths, ...]]] = {}
        self._posts: dict[int, tuple[tuple[Post, ...], Lengths]] = {}

    def of(self, railing: Railing) -> Lengths:
        """Its lengths in mm and its angles in radians."""
        every = [self._of_bay(railing, bay) for bay in railing.bays]
        found = self._entered(lambda book: enter_walk(book, railing))
        own, *cut = zip(*every, strict=True)
        _add(found, own)
        _add(found, [self._of_posts(railing)])
        for kind in cut:
            _add(found, kind)
        return found

    def _of_posts(self, railing: Railing) -> Lengths:
        """Of posts that are the very same, the ground below them is (``FlightAgain``)."""
        known = self._posts.get(id(railing.posts))
        if known is not None:
            return known[1]
        pieces = cut_pieces(replace(railing, bays=())).posts
        found = self._entered(lambda book: enter_posts(book, railing, pieces))
        self._posts[id(railing.posts)] = railing.posts, found
        return found

    def _of_bay(self, railing: Railing, bay: Bay) -> tuple[Lengths, ...]:
        """The bay's own figures, its rails', its returns' and its fills'."""
        known = self._bays.get(id(bay))
        if known is not None:
            return known[1]
        at = railing.spec.mark
        pieces = cut_pieces(replace(railing, bays=(bay,), posts=()))

        def rails(book: FigureBook, *, beyond: bool) -> None:
            for rail in pieces.rails:
                if (rail.beyond is not None) == beyond:
                    enter_rail(book, at, rail)

        def fills(book: FigureBook) -> None:
            for fill in pieces.fills:
                enter_fill(book, at, fill)

        found = (
            self._entered(lambda book: enter_bay(book, at, bay)),
            self._entered(lambda book: rails(book, beyond=False)),
            self._entered(lambda book: rails(book, beyond=True)),
            self._entered(fills),
        )
        self._bays[id(bay)] = bay, found
        return found

    def _entered(self, enter: Callable[[FigureBook], None]) -> Lengths:
        book = FigureBook(self._tape)
        enter(book)
        return {each.key: each.value for each in book if each.kind in (Kind.LENGTH, Kind.ANGLE)}


def _add(found: Lengths, more: Iterable[Lengths]) -> None:
    for each in more:
        found.update(each)

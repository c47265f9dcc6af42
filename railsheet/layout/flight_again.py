"""A flight solved again for small moves of its readings: what a move leaves is not made again."""

from __future__ import annotations

from functools import cache, partial
from typing import Any

from railsheet.job.kit import Kit
from railsheet.job.model import FlightSpec
from railsheet.layout.bay import fill_bay
from railsheet.layout.best_rail import rail_over
from railsheet.layout.flight import flight_along
from railsheet.layout.flight_faces import Placing
from railsheet.layout.long_run import place_line_posts
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Railing
from railsheet.survey.stair import Stair


class FlightAgain:
    """One flight's solve, in its two steps, for any stair and wishes near its own.

    Which treads its line posts stand on is chosen by count, and held.
    """

    def __init__(self, railing: Railing, file: str) -> None:
        """Take the flight as it was solved, and the job's file for messages."""
        self._kit: Kit = railing.kit
        stood_on = frozenset(post.spec.surface for post in railing.posts if post.through)
        # What remembers takes nothing but what can be told apart by value, which all of these are.
        place: Any = cache(place_line_posts)
        self._along = cache(
            partial(
                flight_along,
                kit=self._kit,
                file=file,
                fill=cache(fill_bay),
                placing=Placing(stood_on, place),
            )
        )

    def line(self, stair: Stair, spec: FlightSpec) -> RailLine:
        """The line of the rail over a stair."""
        return rail_over(stair, spec, self._kit)[0]

    def along(self, stair: Stair, spec: FlightSpec, line: RailLine) -> Railing:
        """The railing along a line, without notices; the stair's own or one near it.

        Raises:
            BadInput: as ``solve_flight``.
        """
        return self._along(line, stair, spec)

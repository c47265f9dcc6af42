"""A flight solved again for small moves of its readings: what a move leaves is not made again."""

from __future__ import annotations

from functools import cache, partial
from typing import Any

from railsheet.job.kit import Kit
from railsheet.job.model import FlightSpec
from railsheet.layout.bay import fill_bay
from railsheet.layout.best_rail import rail_over
from railsheet.layout.flight import Making, flight_along, standing_posts
from railsheet.layout.flight_faces import Faces, Placing
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.long_run import place_line_posts
from railsheet.layout.post import Post
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Bay, Railing
from railsheet.layout.section import Section
from railsheet.survey.stair import Nose, Stair, Surface


class FlightAgain:
    """One flight's solve, in its two steps, for any stair and wishes near its own.

    Which treads its line posts stand on is chosen by count, and held. Two railings that it gives
    have the same bay, or the same posts, where nothing they rest on is different.
    """

    def __init__(self, railing: Railing, file: str) -> None:
        """Take the flight as it was solved, and the job's file for messages."""
        self._kit = railing.kit
        self._posts: dict[object, tuple[Post, ...]] = {}
        stood_on = frozenset(post.spec.surface for post in railing.posts if post.through)
        # What remembers tells by value what it is given, which all of this can be told by.
        place: Any = cache(place_line_posts)
        bay = cache(partial(fill_bay, self._kit))
        making = Making(
            bay=lambda _kit, *frame: bay(*frame),
            posts=self._posts_again,
            placing=Placing(stood_on, place),
        )
        self._along = cache(partial(flight_along, kit=self._kit, file=file, making=making))

    def line(self, stair: Stair, spec: FlightSpec) -> RailLine:
        """The line of the rail over a stair."""
        return rail_over(stair, spec, self._kit)[0]

    def along(self, stair: Stair, spec: FlightSpec, line: RailLine) -> Railing:
        """The railing along a line, without notices; the stair's own or one near it.

        Raises:
            BadInput: as ``solve_flight``.
        """
        return self._along(line, stair, spec)

    def _posts_again(
        self,
        stair: Stair,
        spec: FlightSpec,
        kit: Kit,
        line: RailLine,
        section: Section,
        faces: Faces,
        rule: RowRule,
        bays: tuple[Bay, ...],
    ) -> tuple[Post, ...]:
        # Section, rule and bays follow from these.
        key = line, spec, faces, _ground(stair, spec, faces)
        if key not in self._posts:
            self._posts[key] = standing_posts(stair, spec, kit, line, section, faces, rule, bays)
        return self._posts[key]


def _ground(stair: Stair, spec: FlightSpec, faces: Faces) -> tuple[Nose | Surface, ...]:
    """All of a stair's steps that its posts rest on; a slab's post asks for the first nose."""
    surfaces = (
        spec.bottom_post.surface,
        *(post.surface for post in faces.line),
        spec.top_post.surface,
    )
    return stair.nose(1), *(stair.surface(number) for number in surfaces)

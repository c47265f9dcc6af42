"""The site in plan: posts placed by a traverse along the runs, and how nearly its loops close."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True)
class Leg:
    """A run as the traverse sees it.

    Attributes:
        run: the run's mark.
        start, end: the marks of the posts it goes between.
        length_mm: level, between the posts' plan points.
        bearing_rad: its way from start to end, counter-clockwise from x.
        start_s_mm: its start's plan point on the run, in the run's own frame.
    """

    run: str
    start: str
    end: str
    length_mm: float
    bearing_rad: float
    start_s_mm: float = 0.0

    @property
    def way_mm(self) -> Point:
        """Its end less its start."""
        return (
            self.length_mm * math.cos(self.bearing_rad),
            self.length_mm * math.sin(self.bearing_rad),
        )


@dataclass(frozen=True)
class Misclosure:
    """What a loop, or a chain between two given places, fails to close by.

    Attributes:
        run: the run that came last, and found its second post placed already.
        post: that post's mark.
        off_mm: where the run ends, less where the post was placed, x and y.
        runs: every run of the loop, the last one included, by mark.
        look_at: the run whose way lies nearest the misclosure: a misread length shows along it.
    """

    run: str
    post: str
    off_mm: Point
    runs: tuple[str, ...]
    look_at: str

    @property
    def by_mm(self) -> float:
        """How far off it is."""
        return math.hypot(*self.off_mm)


@dataclass(frozen=True)
class Traverse:
    """Where every post stands.

    Attributes:
        places_mm: each post's plan point, by mark.
        misclosures: one for each run more than were needed.
        apart: runs that share no post with the rest and whose own posts have no place given.
    """

    places_mm: Mapping[str, Point]
    misclosures: tuple[Misclosure, ...]
    apart: tuple[str, ...]


def traverse(legs: Sequence[Leg], given_mm: Mapping[str, Point]) -> Traverse:
    """Place every post by dead reckoning along the runs, in the order of their marks.

    Where no place is given, the first run's first post is the datum, at (0, 0). The order in which
    runs are passed changes nothing.
    """
    ordered = sorted(legs, key=lambda leg: leg.run)
    places = dict(given_mm)
    if not places and ordered:
        places[ordered[0].start] = (0.0, 0.0)
    came_by: dict[str, Leg] = {}
    left, misclosures = list(ordered), []
    while True:
        leg = next((x for x in left if x.start in places or x.end in places), None)
        if leg is None:
            break
        left.remove(leg)
        (x, y), backward = leg.way_mm, leg.start not in places
        if leg.start in places and leg.end in places:
            misclosures.append(_misclosure(leg, places, came_by))
        elif backward:
            at = places[leg.end]
            places[leg.start], came_by[leg.start] = (at[0] - x, at[1] - y), leg
        else:
            at = places[leg.start]
            places[leg.end], came_by[leg.end] = (at[0] + x, at[1] + y), leg
    return Traverse(places, tuple(misclosures), tuple(leg.run for leg in left))


def _misclosure(leg: Leg, places: Mapping[str, Point], came_by: Mapping[str, Leg]) -> Misclosure:
    start, end, (x, y) = places[leg.start], places[leg.end], leg.way_mm
    off = start[0] + x - end[0], start[1] + y - end[1]
    one, other = _back(leg.start, came_by), _back(leg.end, came_by)
    loop = {run.run: run for run in (*one, *other) if (run in one) != (run in other)}
    loop[leg.run] = leg

    def along(run: Leg) -> float:
        ux, uy = math.cos(run.bearing_rad), math.sin(run.bearing_rad)
        return abs(ux * off[0] + uy * off[1])

    runs = [loop[run] for run in sorted(loop)]
    return Misclosure(leg.run, leg.end, off, tuple(r.run for r in runs), max(runs, key=along).run)


def _back(post: str, came_by: Mapping[str, Leg]) -> tuple[Leg, ...]:
    """The runs from a post back to a place that was given."""
    found = []
    while post in came_by:
        leg = came_by[post]
        found.append(leg)
        post = leg.start if leg.end == post else leg.end
    return tuple(found)

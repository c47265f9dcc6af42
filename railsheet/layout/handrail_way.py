"""The way a handrail goes: walls or rows of posts, straight by straight, and the steps beside."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from railsheet.errors import BadInput
from railsheet.job.handrail import HandrailSpec, Holds
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Site
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_RAD


@dataclass(frozen=True)
class WayFlight:
    """A flight beside one straight of the way. Lengths in mm.

    Attributes:
        nose_mm: where its nose 1 stands along the straight.
        floor_mm: its bottom surface, over that of the first flight followed.
    """

    mark: str
    stair: Stair
    nose_mm: float
    floor_mm: float

    @property
    def top_nose_mm(self) -> float:
        """Where its last nose stands along the straight."""
        return self.nose_mm + self.stair.noses[-1].s_mm

    @property
    def first_riser_mm(self) -> float:
        """Where the face of its lowest riser stands along the straight."""
        return self.nose_mm + self.stair.face_s_mm(1)

    @property
    def top_riser_mm(self) -> float:
        """Where the face of its highest riser stands along the straight."""
        return self.nose_mm + self.stair.face_s_mm(len(self.stair.noses))

    @property
    def top_floor_mm(self) -> float:
        """Its upper walking surface, over the first flight's bottom surface."""
        return self.floor_mm + self.stair.noses[-1].z_mm


@dataclass(frozen=True)
class Support:
    """A place where a bracket can be fixed: a stud, or a post. Lengths in mm.

    Attributes:
        along_mm: its middle along the straight.
        name: what it is called.
        top_mm: how high it reaches, over the first flight's bottom surface; infinite for a stud.
    """

    along_mm: float
    name: str
    top_mm: float = math.inf


@dataclass(frozen=True)
class Straight:
    """One straight of wall, or of posts in a row. Lengths in mm.

    Places along it are from nose 1 of the first flight on the first straight, and from the corner
    on every other one, uphill positive.

    Attributes:
        length_mm: to its corner; infinite for the last one.
        turn_rad: how far the next one turns, to the left going up; 0 for the last one.
        floor_mm: the walking surface where it begins, over the first flight's bottom surface.
        flights: those beside it, going up.
        supports: where brackets may go; None for anywhere.
    """

    length_mm: float
    turn_rad: float
    floor_mm: float
    flights: tuple[WayFlight, ...]
    supports: tuple[Support, ...] | None

    def surface_mm(self, along_mm: float) -> float:
        """The walking surface under a place, over the first flight's bottom surface."""
        height = self.floor_mm
        for flight in self.flights:
            for nose in flight.stair.noses:
                if flight.nose_mm + nose.s_mm <= along_mm:
                    height = flight.floor_mm + nose.z_mm
        return height


@dataclass(frozen=True)
class Way:
    """The straights, going up, and how far the rail's middle is from their line.

    Attributes:
        offset_mm: from the wall's face, or the row of posts' middles, to the rail's middle.
        face_mm: from the wall's or the posts' face to the rail's middle.
        side: 1 where the walk is to the left of the line going up, -1 where to the right.
    """

    straights: tuple[Straight, ...]
    offset_mm: float
    face_mm: float
    side: int


def way_of(
    spec: HandrailSpec,
    stairs: Mapping[str, Stair],
    railings: Mapping[str, Railing],
    site: Site | None,
    file: str,
) -> Way:
    """The way that a handrail follows.

    Args:
        stairs: each flight's stair as adjusted, by mark.
        railings: each run's railing, by mark; only those on posts are looked at.
        site: the runs in plan; None where the job lays none out.

    Raises:
        BadInput: it follows several runs on posts that share none.
    """
    # A rail on the right, going up, has the walk on its left.
    side = 1 if spec.side.value == "right" else -1
    face = spec.clear_mm + spec.kit.section.width_mm / 2
    if spec.holds is Holds.WALL:
        return Way(_walls(spec, stairs), face, face, side)
    half = railings[spec.follows[0]].kit.post.width_mm / 2
    return Way(_rows(spec, stairs, railings, site, file), face + half, face, side)


def _walls(spec: HandrailSpec, stairs: Mapping[str, Stair]) -> tuple[Straight, ...]:
    first = WayFlight(spec.follows[0], stairs[spec.follows[0]], 0.0, 0.0)
    now = Straight(math.inf, 0.0, 0.0, (first,), _studs(spec.studs_mm))
    done: list[Straight] = []
    for landing, mark in zip(spec.landings, spec.follows[1:], strict=True):
        below = now.flights[-1]
        at = below.top_nose_mm + landing.lower_mm
        floor = below.top_floor_mm
        if not landing.turn_rad:
            flight = WayFlight(mark, stairs[mark], at, floor)
            now = replace(now, flights=(*now.flights, flight))
            continue
        done.append(replace(now, length_mm=at, turn_rad=landing.turn_rad))
        flight = WayFlight(mark, stairs[mark], landing.upper_mm, floor)
        now = Straight(math.inf, 0.0, floor, (flight,), _studs(landing.studs_mm))
    return (*done, now)


def _studs(places: tuple[float, ...]) -> tuple[Support, ...] | None:
    if not places:
        return None
    return tuple(Support(place, f"stud {n}") for n, place in enumerate(places, start=1))


def _rows(
    spec: HandrailSpec,
    stairs: Mapping[str, Stair],
    railings: Mapping[str, Railing],
    site: Site | None,
    file: str,
) -> tuple[Straight, ...]:
    """Runs end to end from post to shared post; one straight for each way in plan."""
    done: list[Straight] = []
    posts: list[Support] = []
    flights: list[WayFlight] = []
    start = floor = 0.0
    shared: str | None = None
    bearing = 0.0
    for number, mark in enumerate(spec.follows):
        railing = railings[mark]
        low, length, backward = railing.posts[0].centre_s_mm, 0.0, False
        if len(spec.follows) > 1:
            backward, way, shared = _joined(spec, railing, site, number, shared, file)
            turn = (way - bearing + math.pi) % math.tau - math.pi if number else 0.0
            if abs(turn) > SAME_RAD:
                done.append(_row(start, turn, posts, flights, _floor_of(done, flights)))
                posts, flights = [replace(posts[-1], along_mm=0.0)], []
                start = 0.0
            bearing = way
            assert site is not None, "runs that are joined are laid out in plan"
            low, length = site.legs[mark].start_s_mm, site.legs[mark].length_mm
        # The plan point that the run is entered by, in its own frame.
        base, sign = (low + length, -1.0) if backward else (low, 1.0)
        if not number:
            start = base
        if mark in stairs:
            flights.append(WayFlight(mark, stairs[mark], start - base, floor))
        placed = [
            Support(
                start + sign * (post.centre_s_mm - base),
                post.words if post.spec.mark else f"{mark}'s {post.words}",
                floor + post.top_z_mm,
            )
            for post in (railing.posts[::-1] if backward else railing.posts)
            if post.made
        ]
        # A post at a turn may stand off where the lines meet: its own run says by how much.
        names = {post.name for post in placed}
        posts = [post for post in posts if post.name not in names] + placed
        start += length
        if mark in stairs:
            floor = flights[-1].top_floor_mm
    done.append(_row(math.inf, 0.0, posts, flights, _floor_of(done, flights)))
    return tuple(done)


def _floor_of(done: list[Straight], flights: list[WayFlight]) -> float:
    """The walking surface where a straight begins: that at the end of the one before."""
    if flights:
        return flights[0].floor_mm
    tops = [flight.top_floor_mm for straight in done for flight in straight.flights]
    return tops[-1] if tops else 0.0


def _row(
    length: float, turn: float, posts: list[Support], flights: list[WayFlight], floor: float
) -> Straight:
    return Straight(length, turn, floor, tuple(flights), tuple(posts))


def _joined(
    spec: HandrailSpec,
    railing: Railing,
    site: Site | None,
    number: int,
    shared: str | None,
    file: str,
) -> tuple[bool, float, str]:
    """Whether a run is followed backward, its way going up, and the post it is left by."""
    mark = railing.spec.mark
    place = f"handrail {spec.mark} > follows"
    if site is None:
        raise BadInput(file, place, mark, "several runs on posts share posts: give those marks")
    leg = site.legs[mark]
    if number and shared not in (leg.start, leg.end):
        raise BadInput(file, place, mark, f"shares no post with {spec.follows[number - 1]}")
    backward = bool(number) and shared == leg.end
    if backward and not railing.level:
        raise BadInput(file, place, mark, "a flight is followed going up")
    if not number:
        backward = False
    way = leg.bearing_rad + (math.pi if backward else 0.0)
    return backward, way, leg.start if backward else leg.end

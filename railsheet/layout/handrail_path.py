"""The corners of a handrail's middle: over the noses, along landings, round corners, to its ends.

Over a flight the rail is straight, its top at the wanted height over the noses. At the top nose it
goes level, at the height it has there, and stays level over the landing until the next flight's
line comes down to it. Tops are what a code measures and middles what is cut: a middle lies half a
depth below its top, square to the rail, so where a raked rail meets a level one the middles cross
(depth / 2) (1/cos - 1) / slope uphill of where the tops do.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.errors import BadInput
from railsheet.job.fitting import Fitting
from railsheet.job.handrail import HandrailSpec, Joints
from railsheet.job.kit_handrail import Finish
from railsheet.job.rail_rule import Rule
from railsheet.layout.handrail_model import Corner, Vector
from railsheet.layout.handrail_way import Straight, Way, WayFlight
from railsheet.layout.rail_line import RailLine, least_squares_line
from railsheet.layout.straight import StraightRail, best_line
from railsheet.survey.stair import Stair

_SQUARE = math.pi / 2


@dataclass(frozen=True)
class Point:
    """A corner before it is put in space: its straight, its place along it, its middle's height."""

    straight: int
    along_mm: float
    after_mm: float
    z_mm: float
    words: str


def line_over(stair: Stair, spec: HandrailSpec) -> RailLine:
    """The top of the rail over one flight, in the flight's frame, by the handrail's rule."""
    if spec.rule is Rule.LEAST_SQUARES:
        return least_squares_line(stair.noses, spec.height_mm)
    noses = [(nose.s_mm, nose.z_mm) for nose in stair.noses]
    best = best_line(noses, spec.height_mm, rule=spec.rule)
    assert isinstance(best, StraightRail), "without a band there is always a line"
    return RailLine(best.slope, best.intercept_mm)


@dataclass(frozen=True)
class _Raked:
    """A rail's line along its straight: top and middle."""

    flight: WayFlight
    line: RailLine
    depth_mm: float

    @property
    def half_plumb_mm(self) -> float:
        """From the top plumb down to the middle."""
        return self.depth_mm / 2 / math.cos(self.line.rake_rad)

    def top_mm(self, along_mm: float) -> float:
        """The top's height at a place along the straight."""
        return self.flight.floor_mm + self.line.z_at(along_mm - self.flight.nose_mm)

    def middle_mm(self, along_mm: float) -> float:
        """The middle's height there."""
        return self.top_mm(along_mm) - self.half_plumb_mm

    def meets_mm(self, level_top_mm: float) -> float:
        """Where the middle of a level rail with its top at a height crosses this one's middle."""
        middle = level_top_mm - self.depth_mm / 2 + self.half_plumb_mm
        return (middle - self.flight.floor_mm - self.line.start_mm) / self.line.slope + (
            self.flight.nose_mm
        )


def turn_fitting(spec: HandrailSpec, turn_rad: float) -> Fitting | None:
    """What joins two pieces at a turn; None for a mitre."""
    return None if spec.joints is Joints.MITRED else spec.kit.fitting_for(turn_rad)


def _bend_mm(spec: HandrailSpec, turn_rad: float) -> float:
    fitting = turn_fitting(spec, turn_rad)
    return 0.0 if fitting is None else fitting.bend_mm(turn_rad)


def points_of(
    spec: HandrailSpec, way: Way, lines: dict[str, RailLine], file: str
) -> tuple[Point, ...]:
    """The corners of the way itself, from the lower end up, returns left out.

    Raises:
        BadInput: a wished length is not known.
    """
    depth = spec.kit.section.depth_mm
    raked = [
        [_Raked(flight, lines[flight.mark], depth) for flight in straight.flights]
        for straight in way.straights
    ]
    points = _bottom(spec, way.straights[0], raked[0][0], file)
    level: float | None = None
    for number, straight in enumerate(way.straights):
        for index, flight in enumerate(raked[number]):
            if level is not None:
                at = flight.meets_mm(level)
                points.append(Point(number, at, at, flight.middle_mm(at), "level to rake"))
            nose = flight.flight.top_nose_mm
            level = flight.top_mm(nose)
            last = number == len(way.straights) - 1 and index == len(raked[number]) - 1
            if not last:
                at = flight.meets_mm(level)
                points.append(Point(number, at, at, flight.middle_mm(at), "rake to level"))
        if number < len(way.straights) - 1:
            assert level is not None, "the first straight has a flight beside it"
            shift = way.side * way.offset_mm * math.tan(straight.turn_rad / 2)
            at = straight.length_mm - shift
            points.append(Point(number, at, shift, level - depth / 2, "turn"))
    return (*points, *_top(spec, way, raked[-1][-1], file))


def _bottom(spec: HandrailSpec, straight: Straight, flight: _Raked, file: str) -> list[Point]:
    end = spec.bottom
    riser = flight.flight.first_riser_mm
    rake = flight.line.rake_rad
    if end.finish is Finish.POST:
        at = _post_mm(straight, first=True)
        return [Point(0, at, at, flight.middle_mm(at), "lower end")]
    past = _wished(spec, end.past_mm, "bottom", file)
    if not end.level_mm:
        turn = {Finish.WALL: _SQUARE, Finish.FLOOR: _SQUARE - rake}.get(end.finish, 0.0)
        at = riser - past - _bend_mm(spec, turn) * math.cos(rake)
        at += _end_gap(spec, end.finish)
        return [Point(0, at, at, flight.middle_mm(at), "lower end")]
    at = riser - past - _bend_mm(spec, rake) * math.cos(rake)
    z = flight.middle_mm(at)
    turn = _SQUARE if end.finish.turns else 0.0
    low = at - _bend_mm(spec, rake) - end.level_mm - _bend_mm(spec, turn)
    low += _end_gap(spec, end.finish)
    return [Point(0, low, low, z, "lower end"), Point(0, at, at, z, "level to rake")]


def _top(spec: HandrailSpec, way: Way, flight: _Raked, file: str) -> list[Point]:
    end = spec.top
    number = len(way.straights) - 1
    nose = flight.flight.top_nose_mm
    riser = flight.flight.top_riser_mm
    rake = flight.line.rake_rad
    level = flight.top_mm(nose)
    bend = flight.meets_mm(level)
    half = spec.kit.section.depth_mm / 2
    start = max(riser, bend + _bend_mm(spec, rake))
    if end.finish is Finish.POST:
        at = _post_mm(way.straights[number], first=False)
        joint, turned = turn_fitting(spec, rake), turn_fitting(spec, _SQUARE)
        backs = (0.0 if joint is None else joint.set_back_mm(rake)) + (
            0.0 if turned is None else turned.set_back_mm(_SQUARE)
        )
        if at - bend - backs < spec.kit.least_piece_mm:
            return [Point(number, at, at, flight.middle_mm(at), "upper end")]
    else:
        past = _wished(spec, end.past_mm, "top", file)
        if past == 0.0:
            turn = {Finish.WALL: _SQUARE, Finish.FLOOR: _SQUARE + rake}.get(end.finish, 0.0)
            at = riser + _bend_mm(spec, turn) * math.cos(rake) - _end_gap(spec, end.finish)
            return [Point(number, at, at, flight.middle_mm(at), "upper end")]
        turn = _SQUARE if end.finish.turns else 0.0
        at = start + past + _bend_mm(spec, turn) - _end_gap(spec, end.finish)
    return [
        Point(number, bend, bend, level - half, "rake to level"),
        Point(number, at, at, level - half, "upper end"),
    ]


def _end_gap(spec: HandrailSpec, finish: Finish) -> float:
    """What a straight end stops short of the place it is asked to reach: a newel's face."""
    return spec.kit.end(finish).gap_mm if finish is Finish.NEWEL else 0.0


def _post_mm(straight: Straight, *, first: bool) -> float:
    posts = straight.supports
    assert posts, "only a handrail on posts ends at one"
    places = sorted(post.along_mm for post in posts)
    return places[0] if first else places[-1]


def _wished(spec: HandrailSpec, past_mm: float | None, which: str, file: str) -> float:
    if past_mm is None:
        raise BadInput(
            file,
            f"handrail {spec.mark} > {which} > X",
            "",
            "missing; how far it goes past the riser: no code is named that says",
        )
    return past_mm


def in_space(points: tuple[Point, ...], way: Way) -> tuple[Corner, ...]:
    """The corners in space."""
    origins: list[tuple[float, float, float]] = []
    x = y = bearing = 0.0
    for straight in way.straights:
        origins.append((x, y, bearing))
        if math.isfinite(straight.length_mm):
            x += straight.length_mm * math.cos(bearing)
            y += straight.length_mm * math.sin(bearing)
            bearing += straight.turn_rad
    corners = []
    for point in points:
        ox, oy, way_rad = origins[point.straight]
        ux, uy = math.cos(way_rad), math.sin(way_rad)
        across = way.side * way.offset_mm
        at: Vector = (
            ox + point.along_mm * ux - across * uy,
            oy + point.along_mm * uy + across * ux,
            point.z_mm,
        )
        corners.append(Corner(at, point.straight, point.along_mm, point.after_mm, point.words))
    return tuple(corners)

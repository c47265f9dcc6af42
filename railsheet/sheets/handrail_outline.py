"""A handrail's parts as outlines on the straight they follow, and in plan."""

from __future__ import annotations

import math
from collections.abc import Iterator

from railsheet.layout.handrail_model import Corner, Handrail, HandrailPiece
from railsheet.layout.handrail_way import Straight
from railsheet.sheets.pen import Pen, Point
from railsheet.sheets.profile import stair_outlines

_TINY = 1e-6


def beside(handrail: Handrail, straight: int) -> tuple[HandrailPiece, ...]:
    """The pieces that run along one straight, those turned down to the floor among them."""
    corners = handrail.corners
    return tuple(
        piece
        for piece in handrail.pieces
        if corners[piece.stop].straight == straight
        and not _turned_in(corners[piece.start], corners[piece.stop])
    )


def _turned_in(low: Corner, high: Corner) -> bool:
    """Whether a piece is a return into the wall or a post."""
    off = low if low.past_wall else high
    return off.past_wall and off.words != "floor"


def place(handrail: Handrail, number: int, straight: int) -> Point:
    """A corner seen square on from the walk: along the straight, and up."""
    corner = handrail.corners[number]
    along = corner.along_mm if corner.straight == straight else corner.after_mm
    return along, corner.at[2]


def _steps(start: Point, stop: Point) -> tuple[Point, Point]:
    """The unit vectors along a line and square to it, to the left."""
    size = math.dist(start, stop)
    u = (stop[0] - start[0]) / size, (stop[1] - start[1]) / size
    return u, (-u[1], u[0])


def piece_outline(handrail: Handrail, piece: HandrailPiece, straight: int) -> list[Point]:
    """A piece from cut to cut. A mitre in the plane of the wall is drawn at its lean."""
    start = place(handrail, piece.start, straight)
    stop = place(handrail, piece.stop, straight)
    u, v = _steps(start, stop)
    half = handrail.spec.kit.section.depth_mm / 2
    lower = piece.lower.back_mm, _skew(piece.lower.lean_rad, piece.lower.long_side)
    upper = piece.upper.back_mm, _skew(piece.upper.lean_rad, piece.upper.long_side)
    length = math.dist(start, stop)

    def at(along: float, across: float) -> Point:
        return start[0] + u[0] * along + v[0] * across, start[1] + u[1] * along + v[1] * across

    # Long at the top reaches further out there: backward at the lower end, forward at the upper.
    return [
        at(lower[0] + half * lower[1], -half),
        at(length - upper[0] - half * upper[1], -half),
        at(length - upper[0] + half * upper[1], half),
        at(lower[0] - half * lower[1], half),
    ]


def _skew(lean_rad: float, long_side: str) -> float:
    """How far a cut reaches out at the top over half a depth; below 0 where underneath."""
    sign = {"top": 1.0, "underside": -1.0}.get(long_side, 0.0)
    return sign * math.tan(lean_rad)


def bend_outline(
    middle: Point, far: Point, other: Point | None, half_mm: float, back_mm: float
) -> list[Point]:
    """Half a fitting in one plane: from its corner out to a piece's end.

    Args:
        middle: the corner.
        far: the piece's other end.
        other: the other piece's far end, where both lie in this plane; the outline then runs to
            their mitre, else past the corner by half the rail.
        half_mm: half the rail across.
        back_mm: from the corner to the piece's end.
    """
    u, v = _steps(middle, far)
    left, right = -half_mm, -half_mm
    if other is not None:
        w, _ = _steps(middle, other)
        # The outline's edges meet on the line that halves the two pieces.
        inner = w[0] * v[0] + w[1] * v[1]
        lean = half_mm * inner / (1 - (w[0] * u[0] + w[1] * u[1]))
        left, right = lean, -lean
    return [
        (middle[0] + u[0] * a + v[0] * h, middle[1] + u[1] * a + v[1] * h)
        for a, h in ((left, half_mm), (back_mm, half_mm), (back_mm, -half_mm), (right, -half_mm))
    ]


def fitting_outlines(handrail: Handrail, straight: int) -> Iterator[list[Point]]:
    """Each fitting in the plane of the wall: two short rails that meet at its corner."""
    starts = {piece.start: piece for piece in beside(handrail, straight)}
    stops = {piece.stop: piece for piece in beside(handrail, straight)}
    half = handrail.spec.kit.section.depth_mm / 2
    for joint in handrail.joints:
        if joint.fitting is None:
            continue
        middle = place(handrail, joint.corner, straight)
        ends = [
            place(handrail, far, straight)
            for far in (
                *([stops[joint.corner].start] if joint.corner in stops else ()),
                *([starts[joint.corner].stop] if joint.corner in starts else ()),
            )
        ]
        for far in ends:
            other = next((end for end in ends if end is not far), None)
            yield bend_outline(middle, far, other, half, joint.set_back_mm)


def draw_steps(pen: Pen, straight: Straight, low_mm: float, high_mm: float) -> None:
    """The steps beside a straight, from a place on the lowest surface to one on the highest."""
    flights = straight.flights
    if not flights:
        pen.line((low_mm, straight.floor_mm), (high_mm, straight.floor_mm), "STAIR")
    for number, flight in enumerate(flights):
        first = number == 0
        left = low_mm if first else flights[number - 1].top_nose_mm
        last = number == len(flights) - 1
        after = high_mm if last else flights[number + 1].nose_mm
        nosing = 0.0 if last else flights[number + 1].stair.nosing_mm(1)
        for outline in stair_outlines(
            flight.stair, left - flight.nose_mm, after + nosing - flight.nose_mm
        ):
            # A landing's own surface was drawn with the flight that comes up to it.
            points = outline if first or flight.stair.open_risers else outline[1:]
            pen.outline(
                [(s + flight.nose_mm, z + flight.floor_mm) for s, z in points],
                "STAIR",
                close=False,
            )


def draw_rail(pen: Pen, handrail: Handrail, straight: int) -> None:
    """Pieces, fittings and returns seen end on, in the plane of the wall."""
    for piece in beside(handrail, straight):
        pen.outline(piece_outline(handrail, piece, straight), "RAIL")
    for outline in fitting_outlines(handrail, straight):
        pen.outline(outline, "BRACKET")
    section = handrail.spec.kit.section
    for corner in handrail.ends:
        turned = [c for c in handrail.corners if c.past_wall and c.words != "floor"]
        if corner.straight != straight or not any(
            abs(c.along_mm - corner.along_mm) < _TINY and c.straight == straight for c in turned
        ):
            continue
        x, z = corner.along_mm, corner.at[2]
        if section.round:
            pen.circle((x, z), section.depth_mm / 2, "RAIL")
        else:
            half, high = section.width_mm / 2, section.depth_mm / 2
            pen.rect((x - half, z - high), (x + half, z + high), "RAIL")


def draw_brackets(pen: Pen, handrail: Handrail, straight: int) -> None:
    """Each bracket's plate, and its arm up to the rail's underside."""
    kit = handrail.spec.kit.bracket
    for bracket in handrail.brackets:
        if bracket.straight != straight:
            continue
        x, z = bracket.along_mm, bracket.plate_z_mm
        wide, high = kit.plate_width_mm / 2, kit.plate_height_mm / 2
        pen.rect((x - wide, z - high), (x + wide, z + high), "BRACKET")
        pen.line((x, z + high), (x, z + kit.drop_mm), "BRACKET")

"""A rail's end at its post, at full size: the angle of the cut, and the angle of rail to post."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from railsheet.cuts.pieces import RailPiece
from railsheet.figures.flight import rail_key
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail
from railsheet.sheets.paper import Rect
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, Point
from railsheet.sheets.schedule import RunWork

# How much of a rail is drawn: of its end on the bench, and beside a post.
_LONG_MM = 85.0
_BESIDE_POST_MM, _TALLEST_MM = 65.0, 104.0
# How far the saw's line and the square to it are drawn past the bar.
_GROWN_MM = 16.0
# Room for dimensions on the sides that have them.
_SIDE_MM = 14.0


@dataclass(frozen=True)
class EndTemplate:
    """One end to lay on the work. Lengths in mm.

    Attributes:
        title, words: over it.
        reach: what is drawn of it.
        draw: draws it.
    """

    title: str
    words: str
    reach: Rect
    draw: Callable[[Pen], None]


def end_templates(work: RunWork) -> Iterator[EndTemplate]:
    """For a raked run: the rail against a post, and each rail's end where it is not cut square."""
    rake = work.railing.line.rake_rad
    if abs(rake) < 1e-9:
        return
    yield _against_post(work)
    seen: set[tuple[float, ...]] = set()
    for piece in work.pieces.rails:
        for end in (End.UPHILL, End.DOWNHILL):
            cut = piece.rail.end(end)
            shape = round(piece.rail.kit.depth_mm, 3), round(cut.lean, 6)
            # A compound cut is not seen whole from the side: the saw's settings tell it.
            if not cut.lean or cut.slant or cut.cope_mm or shape in seen:
                continue
            seen.add(shape)
            yield _bar_end(work, piece, end)


def _against_post(work: RunWork) -> EndTemplate:
    """A post's face and a rail's edges at the rake: what a bevel is set by."""
    railing = work.railing
    rake, depth = railing.line.rake_rad, railing.kit.top_rail.depth_mm
    plumb = depth / math.cos(rake)
    # A deep rail is drawn less far, so that both its edges stay on the sheet.
    rise = min(_BESIDE_POST_MM * math.sin(rake), max(_TALLEST_MM - plumb, 15.0))
    wide = rise / math.tan(rake)

    def draw(pen: Pen) -> None:
        pen.line((0.0, -8.0), (0.0, plumb + rise + 3.0), "POST")
        for start in (0.0, plumb):
            pen.line((0.0, start), (wide, start + rise), "RAIL")
        pen.line((0.0, 0.0), (wide * 0.75, 0.0), "DIM")
        pen.angle(
            (0.0, 0.0),
            (wide * 0.75, 0.0),
            (wide * 0.75, wide * 0.75 * math.tan(rake)),
            32.0,
            f"{work.mark}.rake",
        )

    return EndTemplate(
        f"{work.title}: rail against a post",
        f"Upright: the post's face. Rising: {railing.kit.top_rail.name}.",
        Rect(-4.0, -10.0, wide + 14.0, plumb + rise + 5.0),
        draw,
    )


def _bar_end(work: RunWork, piece: RailPiece, end: End) -> EndTemplate:
    """The end of a bar lying on the bench, uphill at the left, top up."""
    rail, key = piece.rail, rail_key(work.mark, piece)
    depth, cut = rail.kit.depth_mm, rail.end(end)
    half = depth / 2
    # The bar runs to the right from an uphill end, to the left from a downhill one.
    way = 1.0 if end is End.UPHILL else -1.0
    datum = rail.from_uphill_mm(
        max(cut.u_at(half), cut.u_at(-half)) if way > 0 else min(cut.u_at(half), cut.u_at(-half))
    )

    def at(offset: float) -> Point:
        return rail.from_uphill_mm(cut.u_at(offset)) - datum, offset + half

    far = way * _LONG_MM

    def draw(pen: Pen) -> None:
        pen.outline([(far, 0.0), at(-half), at(half), (far, depth)], "RAIL", close=False)
        pen.dim((far, 0.0), (far, depth), (far + way * 5.0, 0.0), PLUMB, _depth_key(rail))
        if rail.takes_balusters:
            hole = rail.end_hole(end).from_uphill_mm - datum
            if abs(hole) < _LONG_MM - 8.0:
                _hole(pen, rail, key, end, hole, at(rail.punched_offset_mm))
        foot, head = at(-half), at(half)
        # The saw's angle, between the cut and a square across the bar at the foot of the cut.
        square = (foot[0], foot[1] + depth)
        first, second = (square, head) if head[0] < foot[0] else (head, square)
        pen.line(foot, (foot[0], foot[1] + depth + _GROWN_MM), "HIDDEN")
        past = (depth + _GROWN_MM) / depth
        pen.line(head, (foot[0] + (head[0] - foot[0]) * past, foot[1] + depth * past), "CENTRE")
        pen.angle(foot, first, second, depth + 0.75 * _GROWN_MM, f"{key}.{end.value}.saw")

    grown = 3.0 + _GROWN_MM * abs(cut.lean)
    low_x, high_x = (-grown, _LONG_MM + _SIDE_MM) if way > 0 else (-_LONG_MM - _SIDE_MM, grown)
    return EndTemplate(
        f"{piece.mark}: {end.value} end",
        f"{rail.kit.name}. Uphill to the left, top up, lying on the bench.",
        Rect(low_x, -16.0, high_x, depth + _GROWN_MM + 4.0),
        draw,
    )


def _hole(pen: Pen, rail: Rail, key: str, end: End, hole: float, cut: Point) -> None:
    """The end baluster's middle on the face toward the infill, and its distance from the cut."""
    offset = rail.punched_offset_mm + rail.kit.depth_mm / 2
    pen.line((hole, offset - 4.0), (hole, offset + 4.0), "CENTRE")
    near, away = sorted(((hole, offset), cut))
    pen.dim(near, away, (near[0], -8.0), LEVEL, f"{key}.{end.value}.hole_to_cut", outside="end")


def _depth_key(rail: Rail) -> str:
    return f"kit.{rail.place.value}_rail.depth"

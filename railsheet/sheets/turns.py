"""The gaps where rails end, drawn in place on a plan: the greatest sphere, or the way through."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable

from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.plan import turn_key
from railsheet.layout.site_model import Site
from railsheet.layout.turn import Turn, TurnKind
from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.free_room import FreeRoom
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.pen import Pen, Point
from railsheet.sheets.schedule import RunWork

# Paper mm from a circle to its diameter, the nearest tried first; clear of the lettering; from a
# gap to its dimension.
_LEADERS_MM = (4.0, 7.0, 11.0, 16.0)
_GAP_MM = 0.6
# Which way from the gap, in eighths of a turn: square off it first, along it last.
_EIGHTHS = (0, 4, 1, 7, 3, 5, 2, 6)
_DIM_MM = 13.0
# Of a way's two parts, one as small as this is none.
_LEVEL = 1e-9
# Paper mm that the steps' far edge is drawn to either side of a circle.
_EDGE_MM = 6.0


def turns_outside(works: Iterable[RunWork]) -> frozenset[int]:
    """The numbers of the gaps at rails' ends that stand outside a limit."""
    return frozenset(
        turn.figure.number
        for work in works
        if work.checks is not None
        for turn in work.checks.turns
        if turn.outside
    )


def draw_turns(pen: Pen, site: Site, datum: Point, middle: Point, outside: Collection[int]) -> None:
    """Draw every gap at a rail's end, where the rest of the plan leaves room for its figure.

    Args:
        datum: the plan's datum, mm in the site's frame.
        middle: the plan's middle, from the datum; dimensions stand on that side of a gap.
        outside: the numbers of those that stand outside a limit.
    """
    spheres = []
    for number, turn in enumerate(site.turns, start=1):
        start, end, at = (
            (x - datum[0], y - datum[1]) for x, y in (turn.start, turn.end, turn.middle)
        )
        length = math.dist(start, end)
        along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length) if length else (1, 0)
        square = -along[1], along[0]
        if (middle[0] - at[0]) * square[0] + (middle[1] - at[1]) * square[1] < 0:
            square = along[1], -along[0]
        if turn.kind is TurnKind.STEPS:
            _edge(pen, start, square)
        if turn.kind in (TurnKind.OPENING, TurnKind.STEPS):
            spheres.append((turn, at, square, turn_key(number), number in outside))
            continue
        words = f"way onto {turn.flight}" if turn.kind is TurnKind.WAY else "closed?"
        first, second = sorted((start, end))
        angle = math.atan2(second[1] - first[1], second[0] - first[0])
        off = pen.paper(_DIM_MM)
        base = first[0] + off * square[0], first[1] + off * square[1]
        pen.dim(first, second, base, angle, turn_key(number), note=words, outside="none")
    room = FreeRoom(pen)
    for turn, at, square, key, out in spheres:
        _sphere(pen, room, turn, at, square, key, "FINDING" if out else "DIM")


def _sphere(
    pen: Pen, room: FreeRoom, turn: Turn, at: Point, square: Point, key: str, layer: str
) -> None:
    """A circle, and at the end of a leader its diameter."""
    radius, text = turn.clear_mm / 2, pen.book.text(key)
    if radius > 0.0:
        pen.circle(at, radius, layer, key=key)
    places = []
    for out_mm in _LEADERS_MM:
        for eighth in _EIGHTHS:
            turned = math.atan2(square[1], square[0]) + eighth * math.pi / 4
            way = math.cos(turned), math.sin(turned)
            reach = radius + pen.paper(out_mm) + _half_mm(pen, text, way)
            places.append(((at[0] + reach * way[0], at[1] + reach * way[1]), 0.0))
    place, _ = room.first_free(text, places) or places[0]
    gone = place[0] - at[0], place[1] - at[1]
    way = gone[0] / math.hypot(*gone), gone[1] / math.hypot(*gone)
    past = _half_mm(pen, text, way)
    near = at[0] + radius * way[0], at[1] + radius * way[1]
    pen.line(near, (place[0] - past * way[0], place[1] - past * way[1]), layer)
    pen.note(
        text,
        place,
        align=MTextEntityAlignment.MIDDLE_CENTER,
        layer="FINDING" if layer == "FINDING" else "TEXT",
        mask=True,
        key=key,
    )


def _half_mm(pen: Pen, text: str, way: Point) -> float:
    """From a figure's middle out one way until clear of it, mm of the view."""
    sizes = text_width_mm(text, FIGURE_MM), FIGURE_MM
    halves = [
        size / 2 / abs(part) for size, part in zip(sizes, way, strict=True) if abs(part) > _LEVEL
    ]
    return pen.paper(min(halves) + _GAP_MM)


def _edge(pen: Pen, start: Point, square: Point) -> None:
    """The far edge of the steps, beside a circle."""
    reach = pen.paper(_EDGE_MM)
    low, high = ((start[0] + d * square[0], start[1] + d * square[1]) for d in (-reach, reach))
    pen.line(low, high, "CENTRE")

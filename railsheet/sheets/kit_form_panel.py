"""The kit form's drawings of a panel that racks: whole, its rail, and a picket's pin."""

from __future__ import annotations

import math

from railsheet.sheets.form_sketch import Sketch

_RACK = math.radians(20.0)


def draw_panel(pen: Sketch) -> None:
    """The racked panel, a length of its rail, a picket, and a section at the pin."""
    _racked(Sketch(pen.page, pen.x + 16, pen.y + 34))
    _rail(Sketch(pen.page, pen.x + 8, pen.y + 6))
    _pinned(Sketch(pen.page, pen.x + 142, pen.y + 66))
    _picket(Sketch(pen.page, pen.x + 150, pen.y + 4))


def _racked(pen: Sketch) -> None:
    rise = math.tan(_RACK)
    half = 3.0 / math.cos(_RACK)
    apart = 34.0
    for level in (0.0, apart):
        for off in (-half, half):
            pen.line((0, level + off), (84, level + off + 84 * rise), "RAIL")
        for end in (0.0, 84.0):
            pen.line((end, level - half + end * rise), (end, level + half + end * rise), "RAIL")
    for x in (18.0, 34.0, 50.0, 66.0):
        foot = x * rise
        pen.rect(x - 2, foot - 2, x + 2, foot + apart + 2, "BALUSTER")
        for level in (0.0, apart):
            pen.circle((x, foot + level), 0.7, "HOLE")
    # along a picket, from pin to pin
    at = 18.0 * rise
    pen.plumb(at, at + apart, -7, "axes_apart", "on", feet=(18, 18))
    pen.line((34, -4), (70, -4), "CENTRE")
    pen.line((34, -4), (70, -4 + 36 * rise), "CENTRE")
    pen.arc((34, -4), 26, 0, math.degrees(_RACK), "DIM")
    pen.key("greatest_rack", (61, 1))
    pen.say("the panel, racked", (4, 62))


def _rail(pen: Sketch) -> None:
    """A length of the panel's rail from its end, its slots up."""
    pen.outline([(100, 0), (0, 0), (0, 9), (100, 9)], "RAIL", close=False)
    for x in (24.0, 52.0, 80.0):
        pen.outline([(x - 5, 9), (x - 5, 2), (x + 5, 2), (x + 5, 9)], "HOLE", close=False)
        pen.circle((x, 4.5), 0.7, "HOLE")
        pen.line((x, 0), (x, 16), "CENTRE")
    pen.level(0, 24, 14, "first_hole", feet=(9, None))
    pen.level(24, 52, 14, "pitch")
    pen.level(75, 85, 12, "", feet=(9, 9))
    pen.key("size", (85, 12))
    pen.say("its rail, slots up", (2, -3.5))


def _pinned(pen: Sketch) -> None:
    """A rail across, a picket pinned at its axis."""
    pen.rect(0, 0, 24, 22, "RAIL")
    pen.outline([(8, 34), (8, 7), (16, 7), (16, 34)], "BALUSTER", close=False)
    pen.line((2, 11), (22, 11), "CENTRE")
    pen.outline([(5, 10.2), (19, 10.2), (19, 11.8), (5, 11.8)], "HOLE")
    pen.say("seat = 0", (26, 11))
    pen.plumb(0, 22, -5, "depth", "left", feet=(0, 0))
    pen.level(0, 24, -5, "width", "below", feet=(0, 0))


def _picket(pen: Sketch) -> None:
    """A picket by itself."""
    pen.rect(0, 0, 5, 50, "BALUSTER")
    for level in (4.0, 46.0):
        pen.circle((2.5, level), 0.7, "HOLE")
    pen.plumb(0, 50, -6, "length", "left", feet=(0, 0))
    pen.level(0, 5, 25, "")
    pen.key("width", (5.5, 25))
    pen.say("a picket", (6, 44))
    pen.plumb(-1, 4, 10, "least_seat", "right", feet=(None, 2.5))

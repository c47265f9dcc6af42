"""The kit form's sheet of easings: fittings that carry a top rail round a change of rake."""

from __future__ import annotations

import math

from railsheet.sheets.drawing import SMALL_MM
from railsheet.sheets.form_paper import Box, FormPage, KeyTable
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.kit_form_brackets import SCREWS

_EASING = KeyTable(
    "[[easing]]",
    (
        Box("name", "the easing; none: leave the table out"),
        Box("matches", "the top rail's name, whose section it has"),
        Box("bends", "up, over, or either"),
        Box("radius", "of its axis"),
        Box("leg", "straight, past the arc at either end"),
        Box("insertion", "how far the rail goes in; 0 where it butts"),
        Box("wall", "its section past the rail's, each side"),
        Box("turns_from", "degrees, the least it turns by"),
        Box("turns_to", "degrees, the most"),
        Box("joint", "what joins a rail to it, one to an end"),
        SCREWS,
    ),
)
# The fitting as it is sketched, mm of paper: its turn, radius, leg, depth and wall.
_TURN = math.radians(34.0)
_RADIUS, _LEG, _DEEP, _WALL = 60.0, 16.0, 14.0, 2.0


def draw_easing_page(page: FormPage) -> None:
    """An easing that bends over a post, over boxes for two of them."""
    left, right, wide = page.columns()
    _over(Sketch(page, page.room.left + 92.0, page.room.top - 42.0))
    words = (
        "From the side, in one plumb plane. One table for each easing the system has: one that "
        "bends over (a flight comes up to a deck), one that bends up (a flight leaves a landing)."
    )
    top = page.paragraph(words, left, page.room.top - 92.0, page.room.size[0], SMALL_MM) - 3.0
    for x in (left, right):
        page.tables([_EASING], x, top, wide)


def _over(pen: Sketch) -> None:
    """Its arc's crown at 0, 0: a rake rises to it from the left, a level rail leaves it."""
    centre = (0.0, -_RADIUS)
    upright, raked = math.pi / 2, math.pi / 2 + _TURN

    def off(way: float, up: float, along: float) -> tuple[float, float]:
        """A point over the arc's end at an angle, moved along the axis away from it."""
        far = _RADIUS + up
        out = 1.0 if way == upright else -1.0
        return (
            centre[0] + far * math.cos(way) + out * along * math.sin(way),
            centre[1] + far * math.sin(way) - out * along * math.cos(way),
        )

    half = _DEEP / 2
    for up in (half + _WALL, -half - _WALL):
        pen.arc(centre, _RADIUS + up, 90.0, 90.0 + math.degrees(_TURN), "BRACKET")
        for way in (upright, raked):
            pen.line(off(way, up, 0.0), off(way, up, _LEG), "BRACKET")
    for way in (upright, raked):
        pen.line(off(way, half + _WALL, _LEG), off(way, -half - _WALL, _LEG), "BRACKET")
        for up in (half, -half):
            pen.line(off(way, up, 6.0), off(way, up, _LEG), "HIDDEN")
            pen.line(off(way, up, _LEG), off(way, up, _LEG + 22.0), "RAIL")
        pen.line(off(way, half, 6.0), off(way, -half, 6.0), "HIDDEN")
        pen.line(off(way, 0.0, -1.0), off(way, 0.0, _LEG + 24.0), "CENTRE")
    pen.arc(centre, _RADIUS, 90.0, 90.0 + math.degrees(_TURN), "CENTRE")
    middle = upright + _TURN * 0.5
    pen.lead("radius", off(middle, 0.0, 0.0), off(middle, 24.0, 0.0), "left")
    pen.level(0.0, _LEG, 15.0, "leg", "above", feet=(half + _WALL, half + _WALL))
    pen.level(6.0, _LEG, -15.0, "insertion", "below", feet=(-half, -half - _WALL))
    pen.lead("wall", off(upright, half + 1.0, _LEG - 2.0), (24.0, 20.0))
    # The turn, between the raked axis drawn on and the level one.
    reach = _RADIUS * math.tan(_TURN / 2)
    meet = (-reach, 0.0)
    pen.line(meet, (meet[0] + 78.0 * math.cos(_TURN), 78.0 * math.sin(_TURN)), "CENTRE")
    pen.arc(meet, 68.0, 0.0, math.degrees(_TURN), "DIM")
    pen.key("turns_from, turns_to", (meet[0] + 68.0, 14.0))
    pen.outline([(-18, -44), (-18, -19), (2, -19), (2, -44)], "POST", close=False)
    pen.say("post", (-8, -38), "on")

"""The kit form's sheets of brackets: those square to a post's face, and those that turn in plan."""

from __future__ import annotations

import math

from railsheet.sheets.drawing import SMALL_MM
from railsheet.sheets.form_paper import Box, FormPage, KeyTable
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.paper import Rect

SCREWS = Box("screw", "each kind:", within=("name", "count", "joins"))

_BRACKET = (
    Box("name", "the bracket"),
    Box("cut", "square or plumb: how the rail's end is cut"),
    Box("stand_off", "post's face to the pin, level; 0 if no pin"),
    Box("reach", "pin (or face) to the mouth"),
    Box("insertion", "how far the rail goes in past the mouth"),
    Box("body_depth", "upright size of the body"),
    Box("mount", "the part screwed to the post"),
    Box("mount_height", "its upright size"),
    Box("mount_width", "its size across"),
    Box("across", "its centre from the side face: least, most"),
    Box("rising", "part for a rail rising from the post"),
    Box("falling", "part for a rail falling from the post"),
    SCREWS,
)
_TURNS = (
    Box("turns_from", "degrees off square, least, either hand"),
    Box("turns_to", "degrees off square, most"),
    Box("handed", "true where it is made left and right"),
)
# A pin that stands upright: no rail is cut plumb for it, and none goes without.
_SWIVEL = tuple(
    {
        "name": Box("name", "the bracket for a rail askew"),
        "cut": Box("cut", "square, always"),
        "stand_off": Box("stand_off", "post's face to the upright pin"),
        "reach": Box("reach", "pin to the mouth, along the rail"),
    }.get(box.key, box)
    for box in _BRACKET
)


def draw_brackets_page(page: FormPage) -> float:
    """Both brackets of a kit; returns where their boxes end."""
    _bracket_drawings(page)
    left, right, wide = page.columns()
    top = page.room.top - 82.0
    ends = [
        page.tables([KeyTable(f"[{rail}_bracket]", _BRACKET)], x, top, wide)
        for rail, x in (("top", left), ("bottom", right))
    ]
    return min(ends)


def draw_skew_page(page: FormPage) -> float:
    """The brackets for a rail that leaves askew; returns where their boxes end."""
    _skew_plan(Sketch(page, page.room.left + 40.0, page.room.top - 58.0))
    left, right, wide = page.columns()
    page.paragraph(
        "From above, only where the maker has a bracket that turns; leave its tables out where "
        "every rail leaves square to its post. Below, the plate that a rail ends in at a wall.",
        right + 6.0,
        page.room.top - 50.0,
        wide - 6.0,
        SMALL_MM,
    )
    top = page.room.top - 68.0
    ends = [
        page.tables(
            [KeyTable(f"[[{rail}_bracket.skew]]", (*_SWIVEL[:1], *_TURNS, *_SWIVEL[1:]))],
            x,
            top,
            wide,
        )
        for rail, x in (("top", left), ("bottom", right))
    ]
    return min(ends)


def _bracket_drawings(page: FormPage) -> None:
    room = page.room
    x, y = room.left + 44.0, room.top - 40.0
    # level rail end from the side: post, mount, pin, body, mouth, rail
    page.rect(Rect(x - 12, y - 28, x, y + 23))
    page.text("post", (x - 6, y + 18), where="on", height_mm=SMALL_MM)
    page.rect(Rect(x, y - 9, x + 4, y + 9), "BRACKET")
    page.layout.add_circle((x + 14, y), 1.2, dxfattribs={"layer": "HOLE"})
    page.outline([(x + 8, y - 12), (x + 44, y - 12), (x + 44, y + 12), (x + 8, y + 12)], "BRACKET")
    page.outline(
        [(x + 80, y - 10), (x + 24, y - 10), (x + 24, y + 10), (x + 80, y + 10)],
        "RAIL",
        close=False,
    )
    page.text("rail", (x + 72, y - 6), where="on", height_mm=SMALL_MM)
    page.line((x + 14, y), (x + 14, y + 25), "CENTRE")
    page.line((x, y + 9), (x, y + 25), "DIM")
    page.line((x + 44, y + 12), (x + 44, y + 25), "DIM")
    page.span((x, y + 30), (x + 14, y + 30), "stand_off", "above")
    page.line((x, y + 25), (x, y + 31.5))
    page.line((x + 14, y + 25), (x + 14, y + 31.5))
    page.span((x + 14, y + 22), (x + 44, y + 22), "reach", "above")
    page.span((x + 24, y - 17), (x + 44, y - 17), "insertion", "below")
    page.line((x + 24, y - 10), (x + 24, y - 18.5))
    page.line((x + 44, y - 12), (x + 44, y - 18.5))
    page.span((x + 50, y - 12), (x + 50, y + 12), "body_depth", "right")
    page.line((x + 44, y + 12), (x + 51.5, y + 12))
    page.line((x + 44, y - 12), (x + 51.5, y - 12))
    page.span((x - 16, y - 9), (x - 16, y + 9), "mount_height", "left")
    page.line((x - 17.5, y + 9), (x, y + 9))
    page.line((x - 17.5, y - 9), (x, y - 9))
    # the post's face with the mount on it
    fx, fy = room.left + 150.0, room.top - 66.0
    page.rect(Rect(fx, fy, fx + 28, fy + 60))
    page.rect(Rect(fx + 7, fy + 24, fx + 21, fy + 42), "BRACKET")
    page.text("post's face", (fx + 14, fy + 54), where="on", height_mm=SMALL_MM)
    page.text("side edge at the left", (fx - 6, fy - 3.0), height_mm=SMALL_MM)
    page.span((fx + 7, fy + 47), (fx + 21, fy + 47), "mount_width", "above")
    page.line((fx + 14, fy + 20), (fx + 14, fy + 46), "CENTRE")
    page.span((fx, fy + 16), (fx + 14, fy + 16), "across", "below")


def _skew_plan(pen: Sketch) -> None:
    """From above: a post, the pin off the middle of its face, the bracket turned about it."""
    pen.rect(-20, 6, 0, 34, "POST")
    pen.say("post", (-10, 30), "on")
    pen.rect(0, 14, 4, 26, "BRACKET")
    pin = (12.0, 20.0)
    pen.circle(pin, 1.4, "HOLE")
    turn = math.radians(28.0)

    def turned(along: float, off: float) -> tuple[float, float]:
        return (
            pin[0] + along * math.cos(turn) - off * math.sin(turn),
            pin[1] + along * math.sin(turn) + off * math.cos(turn),
        )

    pen.outline([turned(-4, -6), turned(34, -6), turned(34, 6), turned(-4, 6)], "BRACKET")
    pen.outline([turned(54, -5), turned(14, -5), turned(14, 5), turned(54, 5)], "RAIL", close=False)
    pen.line(pin, (63, 20), "CENTRE")
    pen.line(pin, turned(58, 0), "CENTRE")
    pen.arc(pin, 46, 0, 28, "DIM")
    pen.key("turns_from, turns_to", (10, 52))
    pen.line((44, 51), turned(45, -6))
    pen.level(0, 12, 2, "stand_off", "below", feet=(6, 18))
    pen.slant(turned(0, 14), turned(34, 14), "")
    pen.line(turned(0, 2), turned(0, 15.5))
    pen.line(turned(34, 6), turned(34, 15.5))
    at = turned(17, 17)
    pen.key("reach", at, "left")
    pen.slant(turned(14, -10), turned(34, -10), "")
    pen.line(turned(14, -5), turned(14, -11.5))
    pen.line(turned(34, -6), turned(34, -11.5))
    pen.key("insertion", (42, 15))
    pen.plumb(6, 20, -26, "across", "left", feet=(-20, -20))
    pen.line((-28, 20), (12, 20), "CENTRE")
    pen.say("side edge", (-21.6, 3.5))

"""The kit form's sheet of a top rail's return to a wall."""

from __future__ import annotations

from railsheet.sheets.form_paper import Box, FormPage, KeyTable
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.kit_form_brackets import SCREWS

_RETURN = KeyTable(
    "[top_return]",
    (
        Box("name", "the return; none: leave the table out"),
        Box("join", "mitre or elbow"),
        Box("fixing", "what holds a mitre together"),
        Box("past", "level, post's outer face to its middle"),
        Box("gap", "its cut end to the wall"),
        Box("plate", "what holds it to the wall"),
        SCREWS,
    ),
)
_ELBOW = KeyTable(
    "[top_return.elbow]",
    (
        Box("name", "the elbow; a mitre has none"),
        Box("turn", "degrees it makes, 90 among them:", within=("least", "most")),
        Box("radius", "of its middle's bend"),
        Box("leg", "straight, bend to the shoulder"),
    ),
)


def draw_return_page(page: FormPage) -> None:
    """A return mitred, and in an elbow, each drawn over its table."""
    left, right, wide = page.columns()
    _mitred(Sketch(page, left + 8.0, page.room.top - 62.0))
    page.tables([_RETURN], left, page.room.top - 76.0, wide)
    _elbow(Sketch(page, right + 8.0, page.room.top - 62.0))
    page.tables([_ELBOW], right, page.room.top - 76.0, wide)


def _mitred(pen: Sketch) -> None:
    # from above: the last post, the rail going on past it, the return, the wall
    pen.rect(12, 30, 26, 44, "POST")
    pen.outline([(0, 32), (0, 42), (58, 42), (48, 32)], "RAIL")
    pen.outline([(58, 42), (58, 4), (48, 4), (48, 32)], "RAIL")
    pen.line((30, 2), (72, 2), "STAIR")
    pen.level(26, 53, 50, "past", "above", feet=(44, 42))
    pen.plumb(2, 4, 64, "", feet=(None, 58))
    pen.key("gap", (65, 6))
    pen.lead("plate", (50, 3), (36, 10), "left")
    pen.lead("fixing", (53, 37), (63, 44))
    pen.say("the wall", (32, -2), "right")
    pen.say("post", (19, 37), "on")


def _elbow(pen: Sketch) -> None:
    # from above: the rail, the elbow round its middle, the return
    pen.outline([(0, 32), (24, 32), (24, 42), (0, 42)], "RAIL")
    pen.outline([(48, 18), (58, 18), (58, 0), (48, 0)], "RAIL")
    pen.line((24, 42), (32, 42), "BRACKET")
    pen.line((24, 32), (32, 32), "BRACKET")
    pen.line((58, 18), (58, 26), "BRACKET")
    pen.line((48, 18), (48, 26), "BRACKET")
    pen.arc((37, 21), 21, 14, 104, "BRACKET")
    pen.line((24, 32), (24, 42), "BRACKET")
    pen.line((48, 18), (58, 18), "BRACKET")
    pen.arc((34, 23), 14, 12, 100, "CENTRE")
    pen.level(24, 32, 50, "leg", "above", feet=(42, 42))
    pen.lead("radius", (46, 32), (60, 42))
    pen.key("turn", (30, 22), "left")
    pen.line((34, 23), (34, 37), "CENTRE")
    pen.line((34, 23), (48, 23), "CENTRE")

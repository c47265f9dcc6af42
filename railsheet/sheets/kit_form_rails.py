"""The kit form's sheet of rails and what fills a bay, a drawing for each kind of infill."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from railsheet.sheets.form_paper import FormPage
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.kit_form_keys import infill_tables, rail_table
from railsheet.sheets.kit_form_lines import draw_cable, draw_solid
from railsheet.sheets.kit_form_panel import draw_panel

# How high the drawings stand over the boxes, mm of paper.
_DRAWN_MM = 104.0


def draw_rails_page(page: FormPage, fills: str) -> None:
    """The drawings of a kind over its tables."""
    room = page.room
    _DRAWINGS[fills](Sketch(page, room.left, room.top - _DRAWN_MM))
    left, right, wide = page.columns()
    top = room.top - _DRAWN_MM - 6.0
    rails = [rail_table(rail, fills) for rail in ("top_rail", "bottom_rail")]
    page.tables(rails, left, top, wide)
    page.tables(infill_tables(fills), right, top, wide)


def _punched(pen: Sketch) -> None:
    # a length of bar from its end, punched face up
    bar = Sketch(pen.page, pen.x + 8, pen.y + 64)
    bar.outline([(110, 0), (0, 0), (0, 14), (110, 14)], "RAIL", close=False)
    bar.say("a bar, punched face up", (58, -4))
    _bored(bar, (22.0, 56.0, 90.0), 14.0)
    bar.level(0, 22, 20, "first_hole", feet=(14, None))
    bar.level(22, 56, 20, "pitch")
    bar.level(85, 95, 18, "", feet=(14, 14))
    bar.key("size", (95, 18))
    _seated(Sketch(pen.page, pen.x + 142, pen.y + 66))
    _lying(Sketch(pen.page, pen.x + 20, pen.y + 16), "a baluster, lying down")
    _foot(Sketch(pen.page, pen.x + 140, pen.y + 10))


def _drilled(pen: Sketch) -> None:
    # a post and a level bay from its face, the bottom rail drilled
    bay = Sketch(pen.page, pen.x + 8, pen.y + 44)
    bay.rect(-6, -4, 0, 52, "POST")
    bay.outline([(100, 0), (0, 0), (0, 8), (100, 8)], "RAIL", close=False)
    bay.outline([(100, 40), (0, 40), (0, 48), (100, 48)], "RAIL", close=False)
    for left in (34.0, 75.0):
        bay.outline([(left, 4), (left, 44), (left + 7, 44), (left + 7, 4)], "BALUSTER")
        for low, high in ((4, 8), (40, 44)):
            for side in (left - 1, left + 8):
                bay.line((side, low), (side, high), "HOLE")
    bay.level(0, 34, 24, "greatest_opening")
    bay.level(41, 75, 24, "greatest_opening")
    bay.level(33, 42, -5, "hole", "below", feet=(4, 4))
    bay.say("post", (-3, 55), "on")
    bay.say("drilled rails, level", (60, -6))
    _seated(Sketch(pen.page, pen.x + 142, pen.y + 66))
    _lying(Sketch(pen.page, pen.x + 20, pen.y + 12), "a baluster, lying down")
    _foot(Sketch(pen.page, pen.x + 140, pen.y + 10))


def _cut(pen: Sketch) -> None:
    # a raking bay, its balusters plumb
    bay = Sketch(pen.page, pen.x + 22, pen.y + 44)
    rise = 20.0 / 76.0

    def on(x: float, level: float) -> tuple[float, float]:
        return x, level + x * rise

    for level in (0.0, 5.0, 30.0, 38.0):
        bay.line(on(0, level), on(76, level), "RAIL")
    for end in (0.0, 76.0):
        bay.line(on(end, 0), on(end, 5), "RAIL")
        bay.line(on(end, 30), on(end, 38), "RAIL")
    for left in (14.0, 36.0, 58.0):
        bay.line(on(left, 5), on(left, 30), "BALUSTER")
        bay.line(on(left + 5, 5), on(left + 5, 30), "BALUSTER")
    bay.plumb(0, 38, -5, "over_all", "left", feet=(0, 0))
    bay.level(41, 58, 28, "")
    bay.lead("greatest_opening", (50, 28), (38, 2))
    # how an end is cut: raked, and square in a plough
    raked = Sketch(pen.page, pen.x + 104, pen.y + 76)
    raked.line((-2, 14), (26, 21.4), "RAIL")
    raked.outline([(8, -2), (8, 16.6), (15, 18.5), (15, -2)], "BALUSTER", close=False)
    raked.say('ends = "raked"', (-2, -6))
    square = Sketch(pen.page, pen.x + 104, pen.y + 44)
    square.line((-2, 14), (26, 21.4), "HIDDEN")
    square.line((-2, 10), (26, 17.4), "RAIL")
    square.outline([(8, -2), (8, 16.6), (15, 16.6), (15, -2)], "BALUSTER", close=False)
    square.say('ends = "square"', (-2, -6))
    _ploughed(Sketch(pen.page, pen.x + 144, pen.y + 66))
    _lying(Sketch(pen.page, pen.x + 20, pen.y + 15), "a baluster's stock, lying down", 70.0)
    fillet = Sketch(pen.page, pen.x + 100, pen.y + 12)
    fillet.rect(0, 0, 22, 4, "BALUSTER")
    fillet.level(0, 22, 8, "stock", feet=(4, 4))
    fillet.say("a fillet", (-1, -4))
    _foot(Sketch(pen.page, pen.x + 142, pen.y + 8))


def _bored(pen: Sketch, middles: tuple[float, ...], top: float) -> None:
    """Holes into a bar's upper face, each with its centre line."""
    for x in middles:
        pen.outline(
            [(x - 5, top), (x - 5, top - 3), (x + 5, top - 3), (x + 5, top)], "HOLE", close=False
        )
        pen.line((x, top - 6), (x, top + 12), "CENTRE")


def _section(pen: Sketch, top: float = 22.0) -> None:
    """A rail across, its face up: what every rail is measured for."""
    pen.say("section", (6, 3))
    pen.plumb(0, top, -5, "depth", "left", feet=(None, 0))
    pen.level(0, 24, -5, "width", "below")


def _seated(pen: Sketch) -> None:
    """A rail across, a baluster on its stop."""
    pen.rect(0, 0, 24, 22, "RAIL")
    pen.outline([(8, 32), (8, 10), (16, 10), (16, 32)], "BALUSTER")
    _section(pen)
    pen.plumb(10, 22, 29, "seat", feet=(16, 24))


def _ploughed(pen: Sketch) -> None:
    """A ploughed rail across, a fillet in the plough and a baluster behind it."""
    pen.outline([(0, 0), (24, 0), (24, 22), (18, 22), (18, 15), (6, 15), (6, 22), (0, 22)], "RAIL")
    pen.rect(6, 15, 18, 20, "BALUSTER")
    pen.outline([(6, 20), (6, 33), (18, 33), (18, 20)], "BALUSTER", close=False)
    _section(pen)
    pen.plumb(15, 22, 29, "seat", feet=(18, 24))
    pen.lead("thickness", (14, 17.5), (22, 29))


def _lying(pen: Sketch, words: str, long: float = 90.0) -> None:
    """A baluster lying down."""
    pen.rect(0, 0, long, 7, "BALUSTER")
    pen.level(0, long, -5, "length", "on")
    pen.plumb(0, 7, -5, "width", "left")
    pen.say(words, (8, 3.5))


def _foot(pen: Sketch) -> None:
    """A baluster's square foot in a raking rail."""
    pen.line((-4, 1), (42, 29), "RAIL")
    pen.line((4, -9), (46, 16), "HIDDEN")
    pen.outline([(14, 40), (14, 1.7), (26, 1.7), (26, 40)], "BALUSTER")
    shallow = 1 + 18 / 46 * 28
    pen.plumb(1.7, shallow, 10, "", feet=(14, 14))
    pen.key("least_seat", (9, -2.2), "left")
    pen.say("in a raking rail", (28, 36))


_DRAWINGS: Mapping[str, Callable[[Sketch], None]] = {
    "punched": _punched,
    "drilled": _drilled,
    "cut": _cut,
    "panel": draw_panel,
    "cable": draw_cable,
    "solid": draw_solid,
}

"""The kit form's drawings of a bay of cables and of one with a pane."""

from __future__ import annotations

from railsheet.sheets.form_sketch import Sketch


def draw_cable(pen: Sketch) -> None:
    """A level bay from its post, a cable's end in the post, and the rail."""
    bay = Sketch(pen.page, pen.x + 30, pen.y + 42)
    bay.rect(-6, -6, 0, 58, "POST")
    bay.rect(100, -6, 106, 58, "POST")
    bay.outline([(0, 0), (100, 0), (100, 6), (0, 6)], "RAIL")
    bay.outline([(0, 44), (100, 44), (100, 52), (0, 52)], "RAIL")
    bay.rect(48, 6, 52, 44, "BALUSTER")
    for level in (12.4, 18.8, 25.2, 31.6, 38.0):
        bay.line((0, level), (48, level), "BALUSTER")
        bay.line((52, level), (100, level), "BALUSTER")
    bay.plumb(0, 52, -12, "over_all", "left", feet=(0, 0))
    bay.level(0, 48, -4, "greatest_free", "below", feet=(0, 6))
    bay.level(48, 52, 57, "brace_width", "above", feet=(44, 44))
    bay.lead("brace", (50, 9), (54, -9))
    bay.circle((76, 28.4), 4.4, "HIDDEN")
    bay.lead("sphere", (75, 24.1), (69, -5))
    bay.line((84, 28.4), (94, 28.4), "HIDDEN")
    bay.line((84, 28.4), (86, 29.3), "HIDDEN")
    bay.line((84, 28.4), (86, 27.5), "HIDDEN")
    bay.lead("push", (90, 28.4), (86, -5))
    bay.say("level rails, a brace between", (108, 2))
    _end(Sketch(pen.page, pen.x + 30, pen.y + 4))
    rail = Sketch(pen.page, pen.x + 158, pen.y + 66)
    rail.rect(0, 0, 24, 22, "RAIL")
    rail.say("section", (6, 15))
    rail.say("seat = 0", (6, 10))
    rail.plumb(0, 22, -5, "depth", "left", feet=(0, 0))
    rail.level(0, 24, -5, "width", "below", feet=(0, 0))


def _end(pen: Sketch) -> None:
    """A cable's end through a post, larger."""
    pen.line((0, 0), (0, 26), "POST")
    pen.line((20, 0), (20, 26), "POST")
    for level in (9.0, 17.0):
        pen.line((0, level), (20, level), "HOLE")
    pen.rect(-7, 8, 0, 18, "BRACKET")
    pen.rect(0, 10, 12, 16, "BRACKET")
    for level in (11.5, 14.5):
        pen.line((12, level), (64, level), "BALUSTER")
    pen.plumb(9, 17, 27, "", feet=(20, 20))
    pen.key("bore", (24, 20.5))
    pen.plumb(11.5, 14.5, 46, "")
    pen.key("diameter", (46, 18))
    pen.lead("fitting", (-5, 18), (-8, 23), "left")
    pen.line((64, 13), (76, 13))
    pen.line((76, 13), (73, 14.2))
    pen.line((76, 13), (73, 11.8))
    pen.key("tension", (76, 13))
    pen.say("a cable through a post", (24, 3))


def draw_solid(pen: Sketch) -> None:
    """A raking bay with its pane, and the rails' sections with the pane in them."""
    bay = Sketch(pen.page, pen.x + 26, pen.y + 24)
    rise = 24.0 / 84.0

    def on(x: float, level: float) -> tuple[float, float]:
        return x, level + x * rise

    bay.rect(-6, -8, 0, 54, "POST")
    bay.rect(84, 12, 90, 78, "POST")
    for level in (0.0, 6.0, 40.0, 47.0):
        bay.line(on(0, level), on(84, level), "RAIL")
    pane = [on(12, 6), on(72, 6), on(72, 40), on(12, 40)]
    bay.line(pane[1], pane[2], "BALUSTER")
    bay.line(pane[0], pane[3], "BALUSTER")
    bay.line(on(12, 3.5), on(72, 3.5), "HIDDEN")
    bay.line(on(12, 42.5), on(72, 42.5), "HIDDEN")
    for x in (12.0, 72.0):
        bay.line(on(x, 3.5), on(x, 6), "HIDDEN")
        bay.line(on(x, 40), on(x, 42.5), "HIDDEN")
    bay.plumb(0, 47, -11, "over_all", "left", feet=(0, 0))
    bay.level(0, 12, 24, "")
    bay.lead("side_clearance", (6, 24), (15, 33))
    low, high = on(12, -6.5), on(72, -6.5)
    bay.slant(low, high, "")
    bay.line(on(12, 3.5), on(12, -8))
    bay.line(on(72, 3.5), on(72, -8))
    bay.key("greatest_side", (52, 4))
    bay.say("a bay on the rake: the pane's longest edge", (14, -10))
    _grooved(Sketch(pen.page, pen.x + 136, pen.y + 30))


def _grooved(pen: Sketch) -> None:
    """Both rails across, the pane in their grooves."""
    pen.outline([(0, 0), (24, 0), (24, 20), (17, 20), (17, 9), (7, 9), (7, 20), (0, 20)], "RAIL")
    pen.outline(
        [(0, 44), (7, 44), (7, 56), (17, 56), (17, 44), (24, 44), (24, 64), (0, 64)], "RAIL"
    )
    pen.rect(9, 12, 15, 53, "BALUSTER")
    pen.plumb(0, 20, -5, "depth", "left", feet=(0, 0))
    pen.level(0, 24, -5, "width", "below", feet=(0, 0))
    pen.plumb(9, 20, 29, "seat", feet=(17, 24))
    pen.plumb(12, 20, 20.5, "")
    pen.line((15, 12), (22, 12))
    pen.lead("bite_bottom", (20.5, 16), (26, 4))
    pen.plumb(44, 53, 20.5, "")
    pen.line((15, 53), (22, 53))
    pen.lead("bite_top", (20.5, 49), (28, 49))
    pen.level(9, 15, 32, "")
    pen.key("thickness", (15.5, 32))
    pen.say("section, both rails", (0, 68))

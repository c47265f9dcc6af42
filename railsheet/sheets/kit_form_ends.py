"""The kit form's sheet of rail ends without a bracket, and the plate a rail ends in at a wall."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from railsheet.sheets.form_paper import Box, FormPage, KeyTable
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.kit_form_brackets import SCREWS

_RISE = 0.4

_ENDS: Mapping[str, tuple[Box, ...]] = {
    "butt": (
        Box("name", "the end in words"),
        Box("clearance", "level, post's face to the cut"),
        Box("fixing", "the part that holds it"),
        SCREWS,
    ),
    "coped": (
        Box("name", "the end in words"),
        Box("clearance", "square to the round, post to the cope"),
        Box("fixing", "what holds it"),
        SCREWS,
    ),
    "housed": (
        Box("name", "the end in words"),
        Box("depth", "of the housing, level"),
        Box("ease", "housing over rail, in all, each way"),
        Box("short", "cut to the housing's floor, level"),
        SCREWS,
    ),
    "over post": (
        Box("name", "the end in words"),
        Box("cut", "square or plumb: a free end past the post"),
        Box("past", "level, post's outer face to that cut"),
        Box("saddle", "post's cut top to the rail's underside"),
        Box("fixing", "what holds it down, one to an end"),
        SCREWS,
    ),
}
_WALL = "[wall_plate]"
_WALL_PLATE = (
    Box("name", "the plate; none: leave the table out"),
    Box("thickness", "its face off the wall"),
    Box("socket", "how deep the rail goes in; 0 where it butts"),
    Box("height", "on the wall"),
    Box("width", "on the wall"),
    SCREWS,
)


def bottom_end(ends: str) -> str:
    """How the bottom rail ends where the top one ends so: only a top rail runs over posts."""
    return "butt" if ends == "over post" else ends


def draw_ends_page(page: FormPage, ends: str) -> float:
    """Both rails' ends, each drawn over its table; returns where their boxes end."""
    left, right, wide = page.columns()
    bottoms = []
    for rail, kind, x in (("top", ends, left), ("bottom", bottom_end(ends), right)):
        _DRAWINGS[kind](Sketch(page, x + 14.0, page.room.top - 62.0))
        table = KeyTable(f"[{rail}_end]", (Box("kind", f'"{kind}"'), *_ENDS[kind]))
        bottoms.append(page.tables([table], x, page.room.top - 72.0, wide))
    return min(bottoms)


def draw_wall_plate(page: FormPage, top: float) -> float:
    """The wall plate, its drawing beside its boxes; returns where they end."""
    left, right, wide = page.columns()
    end = page.tables([KeyTable(_WALL, _WALL_PLATE)], left, top, wide)
    _wall_plate(Sketch(page, right + 8.0, top - 46.0))
    return min(end, top - 50.0)


def draw_wall_plate_low(page: FormPage, top: float) -> None:
    """The wall plate where a sheet is short: its drawing at the sheet's head, two rows of boxes."""
    left, right, wide = page.columns()
    half = len(_WALL_PLATE) // 2
    page.tables([KeyTable(_WALL, _WALL_PLATE[:half])], left, top, wide)
    page.tables([KeyTable(_WALL, _WALL_PLATE[half:])], right, top, wide)
    _wall_plate(Sketch(page, right + 16.0, page.room.top - 44.0))


def _wall_plate(pen: Sketch) -> None:
    # from the side: the wall, the plate, a rail falling away from it
    pen.line((0, 0), (0, 42), "STAIR")
    pen.rect(0, 10, 7, 34, "BRACKET")
    for level in (15.0, 25.0):
        pen.line((3, level + 0.2), (34, level - 31 * _RISE * 0.6), "RAIL")
    pen.line((3, 15.2), (3, 25.2), "HIDDEN")
    pen.level(0, 7, 38, "", feet=(None, 34))
    pen.key("thickness", (8, 38))
    pen.level(3, 7, 6, "", feet=(15, 10))
    pen.key("socket", (8, 4.5), "right")
    pen.say("the wall", (-1, 3), "left")
    # its face
    pen.rect(52, 8, 68, 34, "BRACKET")
    pen.rect(56, 16, 64, 26, "RAIL")
    for x, y in ((55, 11), (65, 11), (55, 31), (65, 31)):
        pen.circle((x, y), 0.9, "HOLE")
    pen.level(52, 68, 4, "width", "below", feet=(8, 8))
    pen.plumb(8, 34, 47, "height", "left", feet=(52, 52))


def _on(x: float, level: float) -> tuple[float, float]:
    return x, level + x * _RISE


def _rail(pen: Sketch, start: float, end: float, low: float, high: float) -> None:
    """A raking rail, cut plumb at its lower end and broken off at the other."""
    pen.line(_on(start, low), _on(end, low), "RAIL")
    pen.line(_on(start, high), _on(end, high), "RAIL")
    pen.line(_on(start, low), _on(start, high), "RAIL")


def _butt(pen: Sketch) -> None:
    pen.rect(0, 0, 16, 54, "POST")
    pen.say("post", (8, 49), "on")
    rail = Sketch(pen.page, pen.x + 16, pen.y + 14)
    _rail(rail, 3, 50, 0, 16)
    rail.level(0, 3, 28, "", feet=(None, 17))
    rail.key("clearance", (4, 28))
    rail.line((-4, 9), (12, 12), "HIDDEN")
    rail.lead("fixing", (10, 11.6), (20, -1))
    rail.say("cut plumb, tight to the face", (2, -9))


def _coped(pen: Sketch) -> None:
    # from the side: the rail's long sides go past the round's outline
    pen.rect(0, 0, 16, 54, "POST")
    pen.say("post", (8, 49), "on")
    rail = Sketch(pen.page, pen.x + 16, pen.y + 14)
    _rail(rail, -4, 42, 0, 16)
    rail.line(_on(1, 0), _on(1, 16), "HIDDEN")
    # from above
    top = Sketch(pen.page, pen.x + 58, pen.y + 10)
    top.circle((0, 0), 8, "POST")
    top.line((6.0, 6.6), (18, 6.6), "RAIL")
    top.line((6.0, -6.6), (18, -6.6), "RAIL")
    top.arc((0, 0), 9.2, -46, 46, "RAIL")
    top.lead("clearance", (8.4, -2), (1, -12), "left")
    rail.lead("fixing", (-3, 5), (8, -9))


def _housed(pen: Sketch) -> None:
    pen.rect(0, 0, 20, 54, "POST")
    pen.say("post", (7, 49), "on")
    rail = Sketch(pen.page, pen.x + 20, pen.y + 16)
    # the housing's cheeks run along the rail, its floor is plumb
    rail.line(_on(-10, -1.5), _on(0, -1.5), "HIDDEN")
    rail.line(_on(-10, 15.5), _on(0, 15.5), "HIDDEN")
    rail.line(_on(-10, -1.5), _on(-10, 15.5), "HIDDEN")
    _rail(rail, -7, 32, 0, 14)
    rail.level(-10, 0, 24, "", feet=(12, None))
    rail.key("depth", (1, 24))
    rail.level(-10, -7, -11, "", feet=(-6, -3))
    rail.lead("short", (-8.5, -11), (3, -15))
    # the housing in the post's face, a rail's section in it
    face = Sketch(pen.page, pen.x + 56, pen.y + 6)
    face.rect(0, 0, 18, 44, "POST")
    face.rect(3, 12, 15, 32, "HIDDEN")
    face.rect(4.5, 13.5, 13.5, 30.5, "RAIL")
    face.lead("ease", (14.3, 14), (9, -3), "below")
    face.say("post's face", (-2, 48))


def _over(pen: Sketch) -> None:
    # the last post under a rail that runs on past it, down the rake
    pen.outline(
        [(24, -2), (24, _on(24, 16)[1]), (38, _on(38, 16)[1]), (38, -2)], "POST", close=False
    )
    pen.say("post", (31, 4), "on")
    pen.line(_on(24, 18.5), _on(38, 18.5), "BRACKET")
    pen.line(_on(24, 16), _on(24, 18.5), "BRACKET")
    pen.line(_on(38, 16), _on(38, 18.5), "BRACKET")
    _rail(pen, 8, 64, 18.5, 30)
    pen.line(_on(8, 24.2), _on(64, 24.2), "CENTRE")
    pen.level(8, 24, 12, "past", "below", feet=(20, 20))
    pen.lead("saddle", _on(38, 17.2), (46, 24))
    pen.line((31, 20), (31, 36), "HIDDEN")
    pen.lead("fixing", (31, 24), (42, 16))
    pen.lead("cut", _on(8, 27), (2, 42), "above")


_DRAWINGS: Mapping[str, Callable[[Sketch], None]] = {
    "butt": _butt,
    "coped": _coped,
    "housed": _housed,
    "over post": _over,
}
ENDS = ("bracket", *_ENDS)

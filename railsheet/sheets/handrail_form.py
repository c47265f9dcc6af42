"""The form of a file of handrail parts: each dimension drawn on its part, with its key."""

from __future__ import annotations

import math

from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import SMALL_MM, new_document
from railsheet.sheets.form_paper import Box, FormPage, KeyTable, start_page
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.kit_form_brackets import SCREWS
from railsheet.sheets.paper import Paper, sheet_layouts

_TITLE = "Handrail form"

_KIT = KeyTable(
    "[kit]",
    (
        Box("name", "what the parts are called on the sheets"),
        Box("source", "where these dimensions were taken"),
        Box("units", "ft-in or mm"),
        Box("finish", "of the rail"),
    ),
)
_SECTION = KeyTable(
    "[section]",
    (
        Box("name", "the rail in words"),
        Box("shape", "round, oblong or recessed"),
        Box("diameter", "round: across it"),
        Box("depth", "other than round: upright size"),
        Box("width", "other than round: size across"),
        Box("perimeter", "once round it"),
        Box("section", "greatest across it, any way"),
        Box("stock", "each length, or", within=("length", "price")),
    ),
)
_RECESS = KeyTable(
    "[section]",
    (
        Box("recess_start", "top to its start"),
        Box("recess_depth", "how deep it is"),
        Box("recess_depth_within", "widest to that depth"),
        Box("recess_continues_to", "top to its end"),
        Box("width_above_recess", "widest, above it"),
    ),
)
_BRACKET = KeyTable(
    "[bracket]",
    (
        Box("name", "the bracket"),
        Box("saddle", "its hold on the rail, along it"),
        Box("from_joint", "least, saddle to a joint or a bend"),
        Box("drop", "rail's underside to the plate's middle, plumb"),
        Box("below", "the arm straight down from the underside"),
        Box("plate_height", "upright"),
        Box("plate_width", "across"),
        Box("clear", "wall to rail, as it adjusts:", within=("least", "most")),
        SCREWS,
    ),
)
_FITTING = KeyTable(
    "[[fitting]]",
    (
        Box("name", "the fitting; none: leave it out"),
        Box("turn", "degrees between rails:", within=("least", "most")),
        Box("radius", "of its middle's bend; 0 if it pivots"),
        Box("leg", "bend (or pin) to the shoulder, straight"),
    ),
)
_SPLICE = KeyTable(
    "[splice]",
    (
        Box("name", "joins two bars in line; none: leave it out"),
        Box("gap", "between the two cut ends"),
        Box("near", "farthest from a bracket's middle"),
    ),
)
_PART = ("name", "gap", "screws", "screw")
_ENDS = KeyTable(
    "[ends]",
    (
        Box("wall", "turned into a wall:", within=_PART),
        Box("post", "turned into a post:", within=_PART),
        Box("floor", "turned to the floor:", within=_PART),
        Box("cap", "it simply ends:", within=_PART),
    ),
)
_LIMITS = KeyTable("[limits]", (Box("least_piece", "shortest that can be cut and held"),))


def handrail_form(paper: Paper) -> tuple[Paperspace, ...]:
    """The form's sheets, on upright paper."""
    doc = new_document("mm", 1.0)
    _rail_page(start_page(doc, paper, "Rail", f"{_TITLE}. Section and bracket", 1, 2))
    _turn_page(start_page(doc, paper, "Turns", f"{_TITLE}. Fittings and ends", 2, 2))
    return sheet_layouts(doc)


def _rail_page(page: FormPage) -> None:
    room = page.room
    _round(Sketch(page, room.left + 20.0, room.top - 26.0))
    _oblong(Sketch(page, room.left + 18.0, room.top - 76.0))
    _recessed(Sketch(page, room.left + 66.0, room.top - 70.0))
    _bracket(Sketch(page, room.left + 146.0, room.top - 76.0))
    left, right, wide = page.columns()
    top = room.top - 92.0
    end = page.tables([_SECTION, _KIT, _SPLICE], left, top, wide)
    page.tables([_RECESS, _BRACKET], right, top, wide)
    page.paragraph(
        "Of the section's sizes, give those it has and those a code may ask for.",
        left,
        end - 1.0,
        wide,
        SMALL_MM,
    )


def _round(pen: Sketch) -> None:
    pen.circle((0, 0), 12, "RAIL")
    pen.level(-12, 12, 0, "diameter", "above")
    pen.arc((0, 0), 15, 200, 340, "DIM")
    pen.key("perimeter", (0, -16), "below")
    pen.say("round", (14, 8))


def _oblong(pen: Sketch) -> None:
    pen.rect(0, 0, 20, 26, "RAIL")
    pen.plumb(0, 26, -4, "depth", "left", feet=(0, 0))
    pen.level(0, 20, -4, "width", "below", feet=(0, 0))
    pen.slant((0, 0), (20, 26), "")
    pen.say("oblong", (22, 23))
    pen.lead("section", (16, 20.8), (23, 14))


def _recessed(pen: Sketch) -> None:
    """A wide rail with a finger recess in each side."""
    pen.outline(
        [
            (0, 48),
            (34, 48),
            (34, 34),
            (29, 28),
            (29, 12),
            (32, 8),
            (32, 0),
            (2, 0),
            (2, 8),
            (5, 12),
            (5, 28),
            (0, 34),
        ],
        "RAIL",
    )
    pen.level(0, 34, 53, "width_above_recess", "above", feet=(48, 48))
    pen.plumb(34, 48, -4, "recess_start", "left", feet=(0, 0))
    pen.level(29, 34, 20, "", feet=(None, 34))
    pen.lead("recess_depth", (31, 20), (42, 24))
    pen.plumb(28, 34, -4, "", feet=(5, None))
    pen.lead("recess_depth_within", (-4, 31), (-12, -5))
    pen.plumb(12, 48, 39, "", feet=(29, 34))
    pen.key("recess_continues_to", (39, 12))
    pen.say("recessed", (8, 4))


def _bracket(pen: Sketch) -> None:
    """From the rail's end: wall, plate, arm, rail; and along the rail."""
    pen.line((0, 0), (0, 72), "STAIR")
    pen.rect(0, 14, 3, 38, "BRACKET")
    pen.circle((22, 58), 9, "RAIL")
    pen.outline([(3, 24), (20, 30), (20, 49.2)], "BRACKET", close=False)
    pen.outline([(3, 28), (17, 33), (17, 50.4)], "BRACKET", close=False)
    pen.plumb(26, 49, 32, "drop", feet=(3, 22))
    pen.plumb(30, 49, 26, "", feet=(20, None))
    pen.lead("below", (26, 34), (29, 22))
    pen.level(0, 13, 70, "clear", feet=(None, 58))
    pen.say("the wall", (-1, 2), "left")


def _turn_page(page: FormPage) -> None:
    room = page.room
    _saddle(Sketch(page, room.left + 10.0, room.top - 46.0))
    _plate(Sketch(page, room.left + 140.0, room.top - 46.0))
    _elbow(Sketch(page, room.left + 20.0, room.top - 106.0))
    _end(Sketch(page, room.left + 120.0, room.top - 106.0))
    left, right, wide = page.columns()
    top = room.top - 116.0
    for x in (left, right):
        end = page.tables([_FITTING, _FITTING], x, top, wide)
    page.tables([_ENDS], left, end, wide)
    other = page.tables([_LIMITS], right, end, wide)
    page.paragraph(
        "[pack] says how many of a part come in a pack, by the part's name. Of an end, gap is "
        "between the cut rail and what it ends at, for a cap what the cap adds; screws is how "
        "many of screw it takes.",
        right,
        other - 1.0,
        wide,
        SMALL_MM,
    )


def _saddle(pen: Sketch) -> None:
    """Along the rail: a bracket's saddle beside a joint."""
    pen.outline([(90, 14), (0, 14), (0, 26), (90, 26)], "RAIL", close=False)
    pen.line((66, 14), (66, 26), "RAIL")
    pen.rect(24, 11, 50, 14, "BRACKET")
    pen.rect(33, 0, 41, 11, "BRACKET")
    pen.level(24, 50, 32, "saddle", feet=(11, 11))
    pen.level(50, 66, 32, "from_joint", feet=(None, 26))
    pen.say("a joint", (67, 20))


def _plate(pen: Sketch) -> None:
    """The bracket's plate from the front."""
    pen.rect(0, 0, 14, 26, "BRACKET")
    for x, y in ((7, 5), (4, 21), (10, 21)):
        pen.circle((x, y), 1, "HOLE")
    pen.circle((7, 13), 3, "BRACKET")
    pen.level(0, 14, 31, "plate_width", feet=(26, 26))
    pen.plumb(0, 26, -4, "plate_height", "left", feet=(0, 0))
    pen.say("a bracket's plate", (17, 5))


def _elbow(pen: Sketch) -> None:
    """A fitting between two rails, seen square to its bend."""
    turn = math.radians(90.0)
    radius, half, leg = 14.0, 4.0, 7.0
    middle = (30.0, 10.0 + radius)
    for off in (-half, half):
        pen.arc(middle, radius + off, 270, 360, "BRACKET")
        pen.line((30, 10 - off), (30 - leg, 10 - off), "BRACKET")
        pen.line((30 + radius + off, 24), (30 + radius + off, 24 + leg), "BRACKET")
        pen.line((30 - leg, 10 - off), (0, 10 - off), "RAIL")
        pen.line((44 + off, 24 + leg), (44 + off, 50), "RAIL")
    pen.line((23, 6), (23, 14), "BRACKET")
    pen.line((40, 31), (48, 31), "BRACKET")
    pen.line((0, 10), (44, 10), "CENTRE")
    pen.line((44, 10), (44, 50), "CENTRE")
    pen.line((44, 10), (58, 10), "CENTRE")
    pen.arc((44, 10), 10, 0, math.degrees(turn), "DIM")
    pen.key("turn", (53, 16))
    pen.level(23, 30, 1, "leg", "below", feet=(6, 6))
    pen.slant(middle, (30 + radius * math.cos(-0.9), middle[1] + radius * math.sin(-0.9)), "")
    pen.lead("radius", (34, 19), (26, 30), "left")


def _end(pen: Sketch) -> None:
    """A rail's end at a wall, and a cap."""
    pen.line((0, 0), (0, 44), "STAIR")
    pen.rect(0, 16, 3, 38, "BRACKET")
    pen.outline([(50, 22), (5, 22), (5, 32), (50, 32)], "RAIL", close=False)
    pen.level(0, 5, 10, "", feet=(None, 22))
    pen.key("gap", (6, 10))
    pen.say("wall, post or floor", (3, 41))

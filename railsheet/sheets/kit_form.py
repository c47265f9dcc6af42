"""The form of a kit file: each dimension drawn on its part, with the key it belongs to."""

from __future__ import annotations

from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import SMALL_MM, new_document
from railsheet.sheets.form_paper import Box, FormPage, start_page
from railsheet.sheets.paper import Paper, Rect, sheet_layouts

_TITLE = "Kit form: a rail system with punched rails"

_KIT = (
    Box("name", "what the system is called on the sheets"),
    Box("source", "where these dimensions were taken"),
    Box("units", "ft-in or mm"),
    Box("spare_rate", "small parts bought over the count, 0.05"),
)
_POST = (
    Box("name", "the post with its plate"),
    Box("width", "side of the post, square"),
    Box("stock_height", "plate's underside to the top, as supplied"),
    Box("reveal", "how far it is to stand over the top rail"),
)
_PLATE = (
    Box("along", "along the run"),
    Box("across", "across the step"),
    Box("thickness", "thickness"),
    Box("edge_distance", "least, plate to a nose or edge"),
    Box("back_clearance", "least, plate to the riser behind"),
    Box("fasteners", "how many to a plate"),
    Box("fastener", "which, as its maker or the engineer says"),
)
_COVER = (
    Box("name", "plate cover"),
    Box("height", "its height"),
    Box("cap", "the post's cap"),
)
_RAIL = (
    Box("depth", "upright size, square to the rail"),
    Box("width", "size across"),
    Box("seat", "punched face to the stop a baluster stands on"),
    Box("first_hole", "bar's end to its first hole's centre"),
    Box("stock", "the lengths supplied, all of them"),
)
_HOLES = (
    Box("pitch", "centre to centre: measure ten, divide"),
    Box("size", "opening along the rail"),
)
_BALUSTER = (
    Box("name", "the baluster"),
    Box("width", "its side"),
    Box("length", "as supplied"),
    Box("least_seat", "least its shallow corner stands in a rail"),
)
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
    Box("screw", "each kind: name, count, what it joins"),
)
_LIMITS = (
    Box("end_gap", "post to next baluster: least, most"),
    Box("greatest_span", "clear between posts, as the maker says"),
    Box("greatest_rake", "degrees, as the maker says"),
    Box("fit_tolerance", "how far a fitted part may be off"),
)


def kit_form(paper: Paper) -> tuple[Paperspace, ...]:
    """The form's sheets, on upright paper."""
    doc = new_document("mm", 1.0)
    _post(start_page(doc, paper, "Post", f"{_TITLE}. Post and plate", 1, 3))
    _rails(start_page(doc, paper, "Rails", f"{_TITLE}. Rails and balusters", 2, 3))
    _bracket(start_page(doc, paper, "Brackets", f"{_TITLE}. Brackets and limits", 3, 3))
    return sheet_layouts(doc)


def _columns(page: FormPage) -> tuple[float, float, float]:
    """Left edges of two columns of boxes, and their width."""
    half = (page.room.size[0] - 8.0) / 2
    return page.room.left, page.room.left + half + 8.0, half


def _post(page: FormPage) -> None:
    room = page.room
    top = room.top - 4.0
    x, base = room.left + 46.0, top - 88.0
    # elevation: post, plate, cover, with the top rail passing
    page.rect(Rect(x - 14, base, x + 26, base + 4))
    page.rect(Rect(x, base + 4, x + 12, base + 80))
    page.outline(
        [(x - 17, base), (x - 17, base + 13), (x + 29, base + 13), (x + 29, base)], "HIDDEN"
    )
    page.line((x - 2, base + 66), (x + 46, base + 66), "HIDDEN")
    page.text("top of the top rail", (x + 26, base + 68), height_mm=SMALL_MM)
    page.span((x - 33, base), (x - 33, base + 80), "stock_height", "on")
    page.line((x - 34.5, base + 80), (x, base + 80))
    page.line((x - 34.5, base), (x - 14, base))
    page.span((x + 17, base + 66), (x + 17, base + 80), "reveal", "right")
    page.line((x + 12, base + 80), (x + 18.5, base + 80))
    page.span((x, base + 40), (x + 12, base + 40), "width", "below")
    page.span((x + 36, base), (x + 36, base + 13), "cover height", "right")
    page.line((x + 29, base + 13), (x + 37.5, base + 13))
    page.span((x - 20, base), (x - 20, base + 4), "")
    page.text("thickness", (x - 20, base - 1.0), where="below", bold=True)
    page.line((x - 21.5, base + 4), (x - 14, base + 4))
    # plan on a tread
    px, py = room.left + 110.0, base + 8.0
    step = Rect(px, py, px + 78, py + 60)
    page.outline([(step.left, step.bottom), (step.left, step.top)], "STAIR", close=False)
    page.outline([(step.left, step.top), (step.right, step.top)], "STAIR", close=False)
    page.outline([(step.right, step.bottom), (step.right, step.top)], "HIDDEN", close=False)
    page.text("nose", (px, py + 2.0), height_mm=SMALL_MM)
    page.text("riser behind", (step.right, py + 2.0), where="left", height_mm=SMALL_MM)
    page.text("side edge", (px + 24.0, step.top + 2.0), height_mm=SMALL_MM)
    plate = Rect(px + 24, py + 10, px + 52, py + 42)
    page.rect(plate)
    page.rect(Rect(px + 32, py + 22, px + 44, py + 34))
    page.span((plate.left, py + 15), (plate.right, py + 15), "along")
    page.span((px + 57, plate.bottom), (px + 57, plate.top), "across", "right")
    for level in (plate.bottom, plate.top):
        page.line((plate.right, level), (px + 58.5, level))
    page.span((step.left, py + 49), (plate.left, py + 49), "edge_distance", "above")
    page.span((plate.right, py + 49), (step.right, py + 49), "back_clearance", "above")
    for side in (plate.left, plate.right):
        page.line((side, plate.top), (side, py + 50.5))
    left, right, wide = _columns(page)
    y = base - 8.0
    end = page.boxes(_KIT, left, page.heading("[kit]", left, y), wide)
    end = page.boxes(_POST, left, page.heading("[post]", left, end - 2.0), wide)
    other = page.boxes(_PLATE, right, page.heading("[plate]", right, y), wide)
    other = page.boxes(_COVER, right, page.heading("[cover]", right, other - 2.0), wide)
    page.paragraph(
        "Measure a sample of each part, not the catalogue. A figure that you did not take "
        "yourself says in source where it is from. order_of_work in [kit] is the order in which "
        "the parts go on: write it as a list, one line a step. [pack] says how many of a part come "
        "in a pack, by the part's name.",
        left,
        min(end, other) - 3.0,
        room.size[0],
        SMALL_MM,
    )


def _rails(page: FormPage) -> None:
    room = page.room
    x, y = room.left + 8.0, room.top - 40.0
    # a length of bar from its end, punched face up
    bar = Rect(x, y, x + 110, y + 14)
    page.outline(
        [
            (bar.right, bar.bottom),
            (bar.left, bar.bottom),
            (bar.left, bar.top),
            (bar.right, bar.top),
        ],
        "RAIL",
        close=False,
    )
    page.text("a bar, punched face up", (x + 60, y - 4.0), height_mm=SMALL_MM)
    for hole in (22.0, 56.0, 90.0):
        page.outline(
            [
                (x + hole - 5, y + 14),
                (x + hole - 5, y + 11),
                (x + hole + 5, y + 11),
                (x + hole + 5, y + 14),
            ],
            "HOLE",
            close=False,
        )
        page.line((x + hole, y + 8), (x + hole, y + 26), "CENTRE")
    page.span((x, y + 20), (x + 22, y + 20), "first_hole", "above")
    page.line((x, y + 14), (x, y + 21.5))
    page.span((x + 22, y + 20), (x + 56, y + 20), "pitch", "above")
    page.span((x + 85, y + 18), (x + 95, y + 18), "")
    page.text("size", (x + 95, y + 18), bold=True)
    for edge in (85.0, 95.0):
        page.line((x + edge, y + 14), (x + edge, y + 19.5))
    # the section, a baluster standing in it
    sx, sy = room.left + 142.0, room.top - 44.0
    page.rect(Rect(sx, sy, sx + 24, sy + 22), "RAIL")
    page.outline(
        [(sx + 8, sy + 32), (sx + 8, sy + 10), (sx + 16, sy + 10), (sx + 16, sy + 32)], "BALUSTER"
    )
    page.text("section", (sx + 6, sy + 5.0), height_mm=SMALL_MM)
    page.span((sx - 5, sy), (sx - 5, sy + 22), "depth", "left")
    page.line((sx - 6.5, sy + 22), (sx, sy + 22))
    page.span((sx, sy - 5), (sx + 24, sy - 5), "width", "below")
    page.span((sx + 29, sy + 10), (sx + 29, sy + 22), "seat", "right")
    page.line((sx + 16, sy + 10), (sx + 30.5, sy + 10))
    page.line((sx + 24, sy + 22), (sx + 30.5, sy + 22))
    # a baluster, and its foot in a raking rail
    bx, by = room.left + 20.0, room.top - 88.0
    page.rect(Rect(bx, by, bx + 90, by + 7), "BALUSTER")
    page.span((bx, by - 5), (bx + 90, by - 5), "length")
    page.span((bx - 5, by), (bx - 5, by + 7), "width", "left")
    page.text("a baluster, lying down", (bx + 10, by + 3.5), height_mm=SMALL_MM)
    rx, ry = room.left + 140.0, room.top - 96.0
    page.line((rx - 4, ry + 1), (rx + 42, ry + 29), "RAIL")
    page.line((rx - 4 + 8, ry - 9), (rx + 42 + 4, ry + 16), "HIDDEN")
    page.outline(
        [(rx + 14, ry + 40), (rx + 14, ry + 1.7), (rx + 26, ry + 1.7), (rx + 26, ry + 40)],
        "BALUSTER",
    )
    shallow = ry + 1 + 18 / 46 * 28
    page.span((rx + 10, ry + 1.7), (rx + 10, shallow), "")
    page.line((rx + 14, shallow), (rx + 8.5, shallow))
    page.line((rx + 14, ry + 1.7), (rx + 8.5, ry + 1.7))
    page.text("least_seat", (rx + 9, ry - 2.2), where="left", bold=True)
    page.text("in a raking rail", (rx + 28, ry + 36), height_mm=SMALL_MM)
    left, right, wide = _columns(page)
    y = room.top - 112.0
    named = Box("name", "the rail, and its punched face")
    end = page.boxes((named, *_RAIL), left, page.heading("[top_rail]", left, y), wide)
    page.boxes(_HOLES, left, page.heading("[holes] of both rails", left, end - 2.0), wide)
    end = page.boxes((named, *_RAIL), right, page.heading("[bottom_rail]", right, y), wide)
    page.boxes(_BALUSTER, right, page.heading("[baluster]", right, end - 2.0), wide)


def _bracket(page: FormPage) -> None:
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
    left, right, wide = _columns(page)
    y = room.top - 82.0
    end = page.boxes(_BRACKET, left, page.heading("[top_bracket]", left, y), wide)
    page.boxes(_BRACKET, right, page.heading("[bottom_bracket]", right, y), wide)
    page.boxes(_LIMITS, left, page.heading("[limits]", left, end - 3.0), wide)
    words_end = page.paragraph(
        "Spans, rakes and strengths are the maker's to state; where the maker is silent, leave the "
        "system to an engineer. A dimension the part does not have is not a kit file's to guess.",
        right,
        end - 6.0,
        wide,
        SMALL_MM,
    )
    _bay(page, right, words_end - 32.0)


def _bay(page: FormPage, x: float, y: float) -> None:
    """Two posts with a rail between them, on the rake: what the limits are about."""
    low, high, rise = x + 8.0, x + 80.0, 9.0
    page.rect(Rect(low - 4, y, low, y + 20))
    page.rect(Rect(high, y + rise, high + 4, y + 20 + rise))
    slope = rise / (high - low)
    for level in (5.0, 18.0):
        page.line((low, y + level), (high, y + level + rise), "RAIL")
    for place in (18.0, 25.0, 32.0, 39.0, 46.0, 53.0):
        foot = y + 5.0 + place * slope
        page.rect(Rect(low + place, foot, low + place + 2, foot + 13.0), "BALUSTER")
    page.span((low, y + 24), (low + 18, y + 24), "end_gap", "above")
    page.line((low, y + 20), (low, y + 25.5))
    page.line((low + 18, y + 20), (low + 18, y + 25.5))
    page.span((low, y - 2), (high, y - 2), "greatest_span")
    page.line((high, y + rise), (high, y - 3.5))
    page.line((low + 30, y + 4.0), (high - 2, y + 4.0), "CENTRE")
    page.text("greatest_rake", (high - 2, y + 6.2), where="left", bold=True)

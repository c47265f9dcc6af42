"""The kit form's sheet of the post: post, plate, cover, and the kit's own table."""

from __future__ import annotations

from railsheet.sheets.drawing import SMALL_MM
from railsheet.sheets.form_paper import FormPage
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.kit_form_keys import COVER, KIT, PACK, PLATE, POST
from railsheet.sheets.paper import Rect


def draw_post_page(page: FormPage) -> None:
    """Its drawings over its tables."""
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
    left, right, wide = page.columns()
    y = base - 8.0
    end = page.tables((KIT, POST), left, y, wide)
    other = page.tables((PLATE, COVER), right, y, wide)
    page.paragraph(
        "Measure a sample of each part, not the catalogue. A figure that you did not take "
        "yourself says in source where it is from. order_of_work is the order in which the parts "
        f"go on. {PACK} says how many of a part come in a pack, by the part's name. A value with "
        "its keys in braces is a table; of several, each is one entry of a list.",
        left,
        end - 3.0,
        wide,
        SMALL_MM,
    )
    _hole(Sketch(page, right + 22.0, other - 26.0))


def _hole(pen: Sketch) -> None:
    """A plate's corner with one of its holes."""
    pen.outline([(0, 24), (0, 0), (46, 0)], "POST", close=False)
    pen.outline([(30, 24), (30, 16), (46, 16)], "POST", close=False)
    pen.say("post", (34, 20.5))
    pen.circle((14, 12), 3.5, "HOLE")
    pen.line((14, 2), (14, 18), "CENTRE")
    pen.line((4, 12), (20, 12), "CENTRE")
    pen.level(0, 14, 21, "along", feet=(None, 12))
    pen.plumb(0, 12, -4, "across", "left", feet=(0, 14))
    pen.lead("size", (16.5, 9.5), (23, 6))
    pen.say("a plate's corner, one hole", (4, -3))

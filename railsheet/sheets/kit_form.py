"""The form of a kit file: each dimension drawn on its part, with the key it belongs to."""

from __future__ import annotations

from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import SMALL_MM, new_document
from railsheet.sheets.form_paper import FormPage, start_page
from railsheet.sheets.form_sketch import Sketch
from railsheet.sheets.kit_form_brackets import draw_brackets_page, draw_skew_page
from railsheet.sheets.kit_form_easing import draw_easing_page
from railsheet.sheets.kit_form_ends import draw_ends_page, draw_wall_plate, draw_wall_plate_low
from railsheet.sheets.kit_form_keys import FILLS, limits_table, punched_bar
from railsheet.sheets.kit_form_mass import draw_mass_page
from railsheet.sheets.kit_form_post import draw_post_page
from railsheet.sheets.kit_form_rails import draw_rails_page
from railsheet.sheets.kit_form_return import draw_return_page
from railsheet.sheets.paper import Paper, sheet_layouts

# Only a top rail that runs over its posts has a free end to turn back to a wall, or is eased.
OVER = "over post"


def kit_form(paper: Paper, fills: str, ends: str) -> tuple[Paperspace, ...]:
    """The form's sheets, on upright paper.

    Args:
        paper: upright.
        fills: what fills its bays, a key of `FILLS`.
        ends: how its rails end, one of `kit_form_ends.ENDS`.
    """
    doc = new_document("mm", 1.0)
    title = f"Kit form: {FILLS[fills]}"
    of = {"bracket": 5, OVER: 6}.get(ends, 4)

    def sheet(number: int, name: str, about: str) -> FormPage:
        return start_page(doc, paper, name, f"{title}. {about}", number, of)

    draw_post_page(sheet(1, "Post", "Post and plate"))
    draw_rails_page(sheet(2, "Rails", "Rails and infill"), fills)
    if ends == "bracket":
        page = sheet(3, "Brackets", "Brackets and limits")
        _limits(page, draw_brackets_page(page), fills)
        page = sheet(4, "Askew", "Askew and at a wall")
        draw_wall_plate_low(page, draw_skew_page(page))
    else:
        page = sheet(3, "Ends", "Rail ends and limits")
        _limits(page, draw_wall_plate(page, draw_ends_page(page, ends)), fills)
    if ends == OVER:
        draw_return_page(sheet(4, "Return", "Top rail back to a wall"))
        draw_easing_page(sheet(5, "Easings", "Easings over a post"))
    draw_mass_page(sheet(of, "Mass", "What parts weigh"), fills)
    return sheet_layouts(doc)


def _limits(page: FormPage, top: float, fills: str) -> None:
    left, right, wide = page.columns()
    page.tables([limits_table(fills)], left, top, wide)
    words_end = page.paragraph(
        "Spans, rakes and strengths are the maker's to state; where the maker is silent, leave the "
        "system to an engineer. A dimension the part does not have is not a kit file's to guess.",
        right,
        top,
        wide,
        SMALL_MM,
    )
    _bay(Sketch(page, right, words_end - 32.0), punched_bar(fills))


def _bay(pen: Sketch, gap: bool) -> None:
    """Two posts with a rail between them, on the rake: what the limits are about."""
    low, high, rise = 8.0, 80.0, 9.0
    pen.rect(low - 4, 0, low, 20, "POST")
    pen.rect(high, rise, high + 4, 20 + rise, "POST")
    slope = rise / (high - low)
    for level in (5.0, 18.0):
        pen.line((low, level), (high, level + rise), "RAIL")
    if gap:
        for place in (18.0, 25.0, 32.0, 39.0, 46.0, 53.0):
            foot = 5.0 + place * slope
            pen.rect(low + place, foot, low + place + 2, foot + 13.0, "BALUSTER")
        pen.level(low, low + 18, 24, "end_gap", "above", feet=(20, 20))
    pen.level(low, high, -2, "greatest_span", "on", feet=(None, rise))
    pen.line((low + 30, 4.0), (high - 2, 4.0), "CENTRE")
    pen.key("greatest_rake", (high - 2, 6.2), "left")

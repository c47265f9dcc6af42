"""The drawings an inspector is shown: the flight in plan, and in elevation with its spheres."""

from __future__ import annotations

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import post_key
from railsheet.job.model import Side
from railsheet.layout.footprint import footprint
from railsheet.layout.post import Post
from railsheet.layout.railing import Railing
from railsheet.sheets.drawing import DETAIL, document_unit
from railsheet.sheets.flight_part import whole_flight
from railsheet.sheets.heights import draw_checked_heights
from railsheet.sheets.panel import Line, set_lines
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen
from railsheet.sheets.profile import draw_flight
from railsheet.sheets.scales import NoScaleError, Scale, standard_scales
from railsheet.sheets.schedule import FlightWork
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.spheres import draw_spheres, numbered_lines, shortened

# Paper mm round what is drawn, for its figures: at the sides, and over and under it.
_ROUND_ELEVATION_MM = (12.0, 12.0)
_ROUND_PLAN_MM = (20.0, 24.0)
_LEGEND_WIDE_MM, _LEGEND_HIGH_MM = 78.0, 60.0


def _scale(
    doc: Drawing,
    mark: str,
    size_mm: tuple[float, float],
    frame: SheetFrame,
    round_mm: tuple[float, float],
) -> tuple[Scale, bool]:
    """The largest standard scale that leaves room for the figures, and whether on upright paper.

    Raises:
        ValueError: there is none.
    """
    for scale in standard_scales(document_unit(doc)):
        for portrait in (False, True):
            if all(
                size / scale.denominator + 2 * beside <= space
                for size, beside, space in zip(
                    size_mm, round_mm, frame.room(portrait).size, strict=True
                )
            ):
                return scale, portrait
    raise NoScaleError(f"flight {mark} fits the paper at no standard scale")


def draw_checked_elevation(
    doc: Drawing,
    work: FlightWork,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    above_mm: float,
) -> float:
    """Add the elevation with heights at the noses and the greatest spheres.

    Returns:
        How far up model space is taken by it, mm.
    """
    railing = work.railing
    reach = whole_flight(railing).reach
    scale, portrait = _scale(doc, work.mark, reach.size, frame, _ROUND_ELEVATION_MM)
    room = frame.room(portrait)
    layout, _ = frame.start(
        doc,
        f"{work.mark} checked",
        f"Flight {work.mark}: heights and openings",
        number,
        scale,
        portrait,
    )
    high = room.size[1] * scale.denominator
    pen = Pen(doc.modelspace(), scale, book, (0.0, above_mm + high - reach.bottom))
    draw_flight(pen, railing, reach.left, reach.right)
    draw_checked_heights(pen, work)
    numbers = draw_spheres(pen, work, outside_only=False)
    legend = (
        Line("Heights and openings", heading=True),
        Line(
            "Over each nose stands the height of the top of the top rail, plumb over that nose; "
            "over a flat or beside a post, where it stands outside a limit there. "
            "A circle is the greatest sphere that passes the opening it stands in, with its "
            "diameter, or a number that stands for it."
        ),
        Line(
            "Red: outside a limit that applies there. The findings give each figure, limit, "
            "margin and clause.",
            layer="FINDING",
        ),
        *numbered_lines(numbers),
    )
    # The flight stands to the right, which leaves the corner over its lower end to the legend,
    # and to its end the corner under its upper one.
    over = Rect(room.left, room.top - _LEGEND_HIGH_MM, room.left + _LEGEND_WIDE_MM, room.top)
    more = set_lines(layout, legend, over)
    foot = room.bottom + 2.0
    corner = Rect(room.right - _LEGEND_WIDE_MM, foot, room.right, foot + _LEGEND_HIGH_MM)
    set_lines(layout, shortened(more, corner), corner)
    beside, under = _ROUND_ELEVATION_MM
    spare = room.size[0] - 2 * beside - reach.size[0] / scale.denominator
    centre = (
        reach.right + pen.paper(beside + spare * 0.25 - room.size[0] / 2),
        reach.bottom + pen.paper(room.size[1] / 2 - under),
    )
    add_view(layout, room, pen.at(centre), scale, hidden_layers=(DETAIL,))
    return above_mm + 3 * high


def draw_plan(
    doc: Drawing,
    work: FlightWork,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    above_mm: float,
) -> float:
    """Add the flight in plan, uphill to the right: treads, posts on their plates, the rail.

    Returns:
        How far up model space is taken by it, mm.
    """
    railing = work.railing
    reach = whole_flight(railing).reach
    wide = railing.stair.width_mm
    scale, portrait = _scale(doc, work.mark, (reach.size[0], wide), frame, _ROUND_PLAN_MM)
    room = frame.room(portrait)
    title = f"Flight {work.mark}: plan"
    layout, _ = frame.start(doc, f"{work.mark} plan", title, number, scale, portrait)
    high = room.size[1] * scale.denominator
    pen = Pen(doc.modelspace(), scale, book, (0.0, above_mm + high))
    _treads(pen, railing, reach)
    _rail(pen, railing)
    for post in railing.posts:
        _post(pen, work, post)
    _plan_figures(pen, work, reach)
    centre = (reach.left + reach.size[0] / 2, wide / 2)
    add_view(layout, room, pen.at(centre), scale, hidden_layers=(DETAIL,))
    return above_mm + 3 * high


def _across(railing: Railing, from_edge_mm: float) -> float:
    """A distance in from the side edge the rail stands on, as the plan's y.

    Uphill to the right, the left side going up is the upper one.
    """
    wide = railing.stair.width_mm
    return wide - from_edge_mm if railing.spec.side is Side.LEFT else from_edge_mm


def _treads(pen: Pen, railing: Railing, reach: Rect) -> None:
    stair = railing.stair
    for number, nose in enumerate(stair.noses, start=1):
        pen.line((nose.s_mm, 0.0), (nose.s_mm, stair.width_mm), "STAIR")
        riser = stair.face_s_mm(number)
        if stair.nosing_mm(number) > 0.0 and not stair.open_risers:
            pen.line((riser, 0.0), (riser, stair.width_mm), "HIDDEN")
    first = stair.noses[0].s_mm
    for y in (0.0, stair.width_mm):
        pen.line((first, y), (reach.right, y), "STAIR")
    middle = stair.width_mm / 2
    start, stop = first + pen.paper(3), stair.noses[-1].s_mm
    pen.line((start, middle), (stop, middle), "DIM")
    tip = pen.paper(2.5)
    for side in (-1, 1):
        pen.line((stop, middle), (stop - tip, middle + side * tip / 2), "DIM")
    pen.note("up", (start + pen.paper(1), middle + pen.paper(1)))


def _centre_y(railing: Railing, post: Post) -> float:
    return _across(railing, post.in_from_side_mm + railing.kit.plate.across_mm / 2)


def _post(pen: Pen, work: FlightWork, post: Post) -> None:
    railing, kit = work.railing, work.railing.kit
    stands = footprint(railing, post)
    plate, section = (
        [(s, _across(railing, y)) for s, y in corners] for corners in (stands.plate, stands.section)
    )
    pen.outline(plate, "POST")
    pen.fill(section, "POST")
    pen.outline(section, "POST")
    s, along = stands.nearest[0], kit.plate.along_mm / 2
    key = f"{post_key(work.mark, post)}.in_from_side"
    outer = _across(railing, stands.from_side_mm)
    edge = _across(railing, 0.0)
    beside = post.centre_s_mm - post.end.inward * (along + pen.paper(9))
    pen.dim((s, edge), (s, outer), (beside, edge), PLUMB, key, outside="end")


def _rail(pen: Pen, railing: Railing) -> None:
    half = railing.kit.top_rail.width_mm / 2
    for bay, low, high in zip(railing.bays, railing.posts, railing.posts[1:], strict=False):
        for side in (-half, half):
            pen.line(
                (bay.downhill_face_mm, _centre_y(railing, low) + side),
                (bay.uphill_face_mm, _centre_y(railing, high) + side),
                "RAIL",
            )


def _plan_figures(pen: Pen, work: FlightWork, reach: Rect) -> None:
    railing, at = work.railing, work.mark
    stair = railing.stair
    left = railing.spec.side is Side.LEFT
    edge = _across(railing, 0.0)
    outward = 1 if left else -1
    for bay in railing.bays:
        level = edge + outward * pen.paper(13)
        start, stop = (bay.downhill_face_mm, edge), (bay.uphill_face_mm, edge)
        pen.dim(start, stop, (start[0], level), LEVEL, f"{at}.bay.{bay.number}.clear", note="clear")
    far = stair.width_mm - edge
    level = far - outward * pen.paper(8)
    first, last = stair.noses[0].s_mm, stair.noses[-1].s_mm
    pen.dim(
        (first, far), (last, far), (first, level), LEVEL, f"{at}.total_run", note="nose to nose"
    )
    across = reach.right + pen.paper(8)
    pen.dim(
        (reach.right, 0.0), (reach.right, stair.width_mm), (across, 0.0), PLUMB, f"{at}.step_width"
    )
    site = railing.spec.site
    words = {"open": "open side", "wall": "wall", None: "side not said: open, or a wall"}[site.edge]
    if f"{at}.site.drop" in pen.book:
        words += f", drop {pen.book.text(f'{at}.site.drop')} at the most"
    place = (first, edge + outward * pen.paper(20))
    align = MTextEntityAlignment.BOTTOM_LEFT if left else MTextEntityAlignment.TOP_LEFT
    pen.note(words, place, align=align)

"""The whole site in plan: posts, runs, what to set them out by, and the table of posts."""

from __future__ import annotations

import math
from collections.abc import Collection

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.figures.plan import diagonal_key, plan_datum, plan_post_key
from railsheet.job.kit import Kit
from railsheet.job.model import PostKind
from railsheet.layout.post_section import post_in_plan
from railsheet.layout.rail_ends import End
from railsheet.layout.site_model import Site, SitePost
from railsheet.sheets.drawing import document_unit
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import Pen, Point, RunningMark
from railsheet.sheets.return_plan import return_outlines
from railsheet.sheets.scales import MM_PER_UNIT, best_scale
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.tables import TextTable
from railsheet.sheets.turns import draw_turns

# Room on paper round the plan for its running figures, mm.
_LEFT, _RIGHT, _BELOW, _ABOVE = 34.0, 22.0, 30.0, 16.0


def draw_plan(
    doc: Drawing,
    site: Site,
    kit: Kit,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    sheets: dict[str, int],
    outside: Collection[int] = (),
    *,
    name: str = "Plan",
    above_mm: float = 0.0,
) -> float:
    """Add the plan's sheet.

    Args:
        sheets: the sheet on which each run's elevation begins.
        outside: the numbers of the gaps at rails' ends that stand outside a limit.
        name: the layout's.
        above_mm: how far up model space is taken already.

    Returns:
        How far up model space is taken by it, mm.
    """
    unit = document_unit(doc)
    per = MM_PER_UNIT[unit]
    datum = plan_datum(site)
    places = {
        m: (p.middle_mm[0] - datum[0], p.middle_mm[1] - datum[1]) for m, p in site.posts.items()
    }
    wide = max(x for x, _ in places.values())
    deep = max(y for _, y in places.values())
    room = frame.room(False)
    free = room.size[0] - _LEFT - _RIGHT, room.size[1] - _BELOW - _ABOVE
    least = kit.post.width_mm * 10
    scale = best_scale((max(wide, least) / per, max(deep, least) / per), free, unit)
    layout, _ = frame.start(doc, name, "Plan of the site", number, scale)
    high = room.size[1] * scale.denominator
    pen = Pen(doc.modelspace(), scale, book, (0.0, above_mm))
    for ends in site.diagonals_mm:
        # Drawn from left to right, so that its figure reads upright.
        start, end = sorted((places[ends[0]], places[ends[1]]))
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        pen.line(start, end, "CENTRE")
        pen.dim(start, end, start, angle, diagonal_key(ends), note="check", outside="none")
    for run in site.legs:
        _draw_run(pen, site, kit, datum, run, sheets[run], (wide / 2, deep / 2))
    for mark, post in site.posts.items():
        _draw_post(pen, kit, post, places[mark])
        middle = (wide / 2, deep / 2)
        _name(pen, kit, post, places[mark], middle)
    draw_turns(pen, site, datum, (wide / 2, deep / 2), outside)
    corner = (0.0, 0.0)
    along = [RunningMark(places[m], f"{plan_post_key(m)}.x") for m in _unlike(places, 0)]
    up = [RunningMark(places[m], f"{plan_post_key(m)}.y") for m in _unlike(places, 1)]
    pen.running(corner, along, -pen.paper(14), "x")
    pen.running(corner, up, -pen.paper(14), "y")
    view = Rect(room.left, room.bottom, room.right, room.top)
    centre = (
        wide / 2 + pen.paper((_RIGHT - _LEFT) / 2),
        deep / 2 + pen.paper((_ABOVE - _BELOW) / 2),
    )
    add_view(layout, view, pen.at(centre), scale)
    return above_mm + 2 * high


def _unlike(places: dict[str, Point], axis: int) -> list[str]:
    """One post for each place along an axis that prints as a place of its own."""
    found: dict[int, str] = {}
    for mark, place in places.items():
        found.setdefault(round(place[axis]), mark)
    return list(found.values())


def _draw_run(
    pen: Pen,
    site: Site,
    kit: Kit,
    datum: Point,
    run: str,
    sheet: int,
    centre: Point,
) -> None:
    """A run as its top rail's two edges, its line posts, its sheet, and a flight's way up."""
    leg, railing = site.legs[run], site.railings[run]
    (x0, y0), bearing = site.posts[leg.start].at_mm, leg.bearing_rad
    x0, y0 = x0 - datum[0], y0 - datum[1]
    ux, uy = math.cos(bearing), math.sin(bearing)
    half = kit.top_rail.width_mm / 2

    def at(s_mm: float, across_mm: float) -> Point:
        along = s_mm - leg.start_s_mm
        return x0 + along * ux - across_mm * uy, y0 + along * uy + across_mm * ux

    for bay in railing.bays:
        ends = bay.downhill_face_mm, bay.uphill_face_mm
        pen.outline(
            [
                at(s, y)
                for s, y in zip((*ends, *ends[::-1]), (-half, -half, half, half), strict=True)
            ],
            "RAIL",
        )
        for piece in bay.returns:
            for outline in return_outlines(railing, piece):
                pen.outline([at(s, y) for s, y in outline], "RAIL")
            wall = piece.to_wall_mm * piece.aside
            ends = (piece.corner_s_mm - half * 3, piece.corner_s_mm + half * 3)
            pen.line(at(ends[0], wall), at(ends[1], wall), "STAIR")
    square = kit.post.width_mm / 2
    for post in railing.posts[1:-1]:
        s = post.centre_s_mm
        pen.section(
            [
                at(s - square, -square),
                at(s + square, -square),
                at(s + square, square),
                at(s - square, square),
            ],
            "POST",
        )
    middle = (railing.bays[0].downhill_face_mm + railing.bays[-1].uphill_face_mm) / 2
    # Marks stand on the side away from the plan's middle, the way up on the other.
    off = (centre[0] - at(middle, 0.0)[0]) * -uy + (centre[1] - at(middle, 0.0)[1]) * ux
    outside = -1 if off > 0 else 1
    away = max(pen.paper(4.5), half + pen.paper(3.0))
    upside = ux < -1e-9 or (abs(ux) <= 1e-9 and uy < 0)
    turned = bearing + (math.pi if upside else 0.0)
    pen.note(
        f"{run}: sheet {sheet}",
        at(middle, outside * away),
        rotation_rad=turned,
        align=MTextEntityAlignment.MIDDLE_CENTER,
    )
    if not railing.level:
        tail, head = (at(middle + pen.paper(s), -outside * away) for s in (-6, 6))
        pen.line(tail, head, "TEXT")
        for side in (-1, 1):
            barb = at(middle + pen.paper(4.5), -outside * away + side * pen.paper(0.8))
            pen.line(head, barb, "TEXT")
        pen.note(
            "up",
            at(middle, -outside * (away + pen.paper(2.5))),
            rotation_rad=turned,
            align=MTextEntityAlignment.MIDDLE_CENTER,
        )


def _draw_post(pen: Pen, kit: Kit, post: SitePost, at: Point) -> None:
    if post.kind is PostKind.WALL:
        way = post.meetings[0].lies_rad + math.pi / 2
        dx, dy = math.cos(way) * pen.paper(4), math.sin(way) * pen.paper(4)
        pen.line((at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy), "POST")
        return
    pen.section(post_in_plan(kit.post, at, post.turned_rad), "POST")


def _name(pen: Pen, kit: Kit, post: SitePost, at: Point, middle: Point) -> None:
    """A post's mark: outside a corner, else on the side away from the plan's middle."""
    ways = [meeting.lies_rad for meeting in post.meetings]
    into = sum(map(math.cos, ways)), sum(map(math.sin, ways))
    if len(ways) < 2 or math.hypot(*into) < 0.1:
        into = middle[0] - at[0], middle[1] - at[1]
    out_x, out_y = (-1 if way > 1e-9 else 1 for way in into)
    align = {
        (1, 1): MTextEntityAlignment.BOTTOM_LEFT,
        (-1, 1): MTextEntityAlignment.BOTTOM_RIGHT,
        (1, -1): MTextEntityAlignment.TOP_LEFT,
        (-1, -1): MTextEntityAlignment.TOP_RIGHT,
    }[out_x, out_y]
    away = max(pen.paper(2.5), kit.post.width_mm / 2 + pen.paper(1.5))
    place = (at[0] + out_x * away, at[1] + out_y * away)
    pen.note(post.mark, place, align=align, bold=True, mask=True)


def posts_table(site: Site, book: FigureBook) -> TextTable:
    """Every post at a run's end: place, foot, cut, and the brackets each run puts on it."""
    rows = []
    for mark, post in site.posts.items():
        key = plan_post_key(mark)
        tops = {round(meeting.rail_top_mm, 6) for meeting in post.meetings}
        if len(post.meetings) == 1:
            rail = "the rail ends here"
        elif post.easing.kit is not None:
            rail = "goes through in an easing"
        elif site.railings[post.owner].kit.top_end.runs_over:
            rail = "cut together over the post"
        elif len(tops) == 1:
            rail = "rails meet at one height"
        else:
            rail = "the rail steps: see Attention"
        if post.set_off:
            x, y = (book.text(f"{key}.lines_{axis}") for axis in "xy")
            rail += f"; their lines meet at x {x}, y {y}"
        rows.append(
            (
                mark,
                post.kind.value,
                book.text(f"{key}.x"),
                book.text(f"{key}.y"),
                book.text(f"{key}.foot"),
                "" if post.kind is PostKind.WALL else book.text(f"{key}.height"),
                book.text(f"{key}.turned"),
                "; ".join(_brackets(site, post, book)),
                rail,
            )
        )
    return TextTable(
        title="Posts of the site, x and y from the datum of the plan",
        headers=("Post", "Kind", "x", "y", "Foot", "Cut", "Turned", "Brackets", "Rail"),
        rows=tuple(rows),
        right=frozenset({2, 3, 4, 5, 6}),
        shares=(9, 9, 10, 10, 9, 9, 7, 25, 13),
        wide=True,
    )


def _brackets(site: Site, post: SitePost, book: FigureBook) -> list[str]:
    found = []
    for meeting in post.meetings:
        if site.railings[meeting.run].level:
            hand = "level"
        else:
            hand = "rising" if meeting.face.end is End.DOWNHILL else "falling"
        askew = ""
        if meeting.skew.angle_rad:
            hand = f"swivel, {hand}" if meeting.skew.held else hand
            off = book.text(f"{plan_post_key(post.mark)}.skew.{meeting.run}")
            side = "left" if meeting.skew.angle_rad > 0 else "right"
            askew = f" {off} to the {side}"
        found.append(f"{meeting.run}: {hand} pair{askew}")
    return found

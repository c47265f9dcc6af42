"""The lower right of a post sheet: each plate on its step in plan, and the free post's window."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import post_key
from railsheet.job.model import Side
from railsheet.layout.footprint import footprint
from railsheet.layout.freedom import Window
from railsheet.layout.post import Post
from railsheet.layout.railing import Railing
from railsheet.sheets.drawing import DETAIL, FIGURE_MM, HEADING_MM, add_text
from railsheet.sheets.drawing import document_unit as unit_of
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen
from railsheet.sheets.profile import nose_word
from railsheet.sheets.running import spread
from railsheet.sheets.scales import MM_PER_UNIT, best_scale
from railsheet.sheets.schedule import RunWork

_PLAN_MARGIN_MM = (21.0, 12.0)
_WINDOW_HIGH_MM = 38.0
_HEADED_MM = 5.0
_WORDS_MM = 2.0
# How far under the step's side edge its words hang, on paper: past nothing; past the row of the
# plate's distance, with space and without.
_UNDER_EDGE_MM, _UNDER_ROW_MM, _CLOSE_UNDER_ROW_MM = 0.8, 9.6, 7.0
# Two rows of figures to a window; more than two windows do not fit under the step.
_WINDOWS_SHOWN = 2
# Least clear space between the words over two windows.
_WORDS_APART_MM = 2.0


def draw_plans(
    doc: Drawing,
    layout: Paperspace,
    work: RunWork,
    posts: Sequence[Post],
    book: FigureBook,
    room: Rect,
    below_mm: float,
) -> float:
    """Each post's plate in plan, and the free post's window; how far down they reach, mm."""
    railing = work.railing
    unit = unit_of(doc)
    per = MM_PER_UNIT[unit]
    high = (room.size[1] - _WINDOW_HIGH_MM) / 2
    reaches = [_plan_reach(railing, post) for post in posts]
    wide = max(right - left for left, right in reaches)
    across = railing.kit.plate.across_mm + max(p.in_from_side_mm for p in posts)
    scale = best_scale(
        (wide / per, across / per),
        (room.size[0] - 2 * _PLAN_MARGIN_MM[0], high - 2 * _PLAN_MARGIN_MM[1]),
        unit,
    )
    for index, post in enumerate(posts):
        top = room.top - index * high
        add_text(
            layout,
            f"{post.title}'s plate, uphill to the right. Scale {scale.name}",
            (room.left, top - HEADING_MM),
            height_mm=2.5,
            bold=True,
        )
        origin = (0.0, below_mm - index * high * scale.denominator * 2)
        pen = Pen(doc.modelspace(), scale, book, origin)
        left, right = reaches[index]
        view = Rect(room.left, top - high, room.right, top - _HEADED_MM)
        _draw_plan(pen, work, post, left, right, across, view.size[1])
        side = 1 if railing.spec.side is Side.LEFT else -1
        centre = pen.at(((left + right) / 2, -side * across / 2))
        add_view(layout, view, centre, scale)
    if railing.free_post in posts:
        low = Rect(room.left, room.bottom, room.right, room.bottom + _WINDOW_HIGH_MM)
        _draw_window(doc, layout, work, book, low)
    return below_mm - len(posts) * high * scale.denominator * 2


def _plan_reach(railing: Railing, post: Post) -> tuple[float, float]:
    """How far along the run a plate's plan is drawn, mm."""
    surface = railing.stair.surface(post.spec.surface)
    stands = footprint(railing, post)
    left, right = stands.low_s_mm, stands.high_s_mm
    if surface.front_mm is not None:
        left = min(left, surface.front_mm)
    if surface.back_mm is not None:
        right = max(right, surface.back_mm)
    return left, right


def _draw_plan(
    pen: Pen, work: RunWork, post: Post, left: float, right: float, across: float, high_mm: float
) -> None:
    """A plate on its surface, the step's side edge at y = 0 and the walking side away from it.

    Args:
        pen, work, post: what draws, and what is drawn.
        left, right: from where to where along the run, mm.
        across: how far from the side edge, mm.
        high_mm: its view, on paper.
    """
    railing = work.railing
    kit, key = railing.kit, post_key(work.mark, post)
    away = -1 if railing.spec.side is Side.LEFT else 1
    surface = railing.stair.surface(post.spec.surface)
    beyond = pen.paper(8.0)
    pen.line((left - beyond, 0.0), (right + beyond, 0.0), "STAIR")
    deep = away * (across + pen.paper(4.0))
    if surface.front_mm is not None:
        pen.line((surface.front_mm, 0.0), (surface.front_mm, deep), "STAIR")
    if surface.back_mm is not None and surface.overhang_mm is not None:
        pen.line((surface.back_mm, 0.0), (surface.back_mm, deep), "HIDDEN")
        pen.line((surface.overhang_mm, 0.0), (surface.overhang_mm, deep), "STAIR")
    stands = footprint(railing, post)
    pen.outline([(s, away * y) for s, y in stands.plate], "POST")
    pen.section([(s, away * y) for s, y in stands.section], "POST")
    corner = stands.nearest[0]
    low_s, low_y = min(stands.plate)
    # The rail's line, which the post's face meets at the reading from the nose.
    middle = away * (post.in_from_side_mm + kit.plate.across_mm / 2)
    pen.dim(
        (corner, 0.0),
        (corner, away * stands.from_side_mm),
        (left - pen.paper(6), 0.0),
        PLUMB,
        f"{key}.in_from_side",
        outside="end",
    )
    nose = surface.front_mm if surface.front_mm is not None else railing.stair.nose(1).s_mm
    start, end = sorted((nose, post.face_s_mm))
    base = away * (across + pen.paper(6.0))
    pen.dim(
        (start, deep if surface.front_mm == start else middle),
        (end, middle),
        (start, base),
        LEVEL,
        f"{key}.from_nose",
        note=f"{nose_word(post)} to face",
        outside="end",
    )
    edge_key = f"{key}.plate_from_nose"
    if edge_key in pen.book and surface.front_mm is not None:
        pen.dim(
            (surface.front_mm, 0.0),
            (low_s, away * low_y),
            (left, -away * pen.paper(5.0)),
            LEVEL,
            edge_key,
            note="to plate",
            outside="end",
        )
    # Under the row of the plate's distance, which may reach as far.
    below_row = edge_key in pen.book and surface.front_mm is not None
    under = words_under_mm(high_mm, across / pen.paper(1.0), below_row=below_row)
    pen.note(
        "step's side edge",
        (right + beyond, -away * pen.paper(under)),
        align=(MTextEntityAlignment.BOTTOM_RIGHT if away < 0 else MTextEntityAlignment.TOP_RIGHT),
        height_mm=_WORDS_MM,
    )


def words_under_mm(high_mm: float, across_mm: float, *, below_row: bool) -> float:
    """How far under the side edge its words hang, so that their view holds them; on paper.

    Args:
        high_mm: the view, whose middle is that of the plan.
        across_mm: the plan's height.
        below_row: whether the row of the plate's distance lies between.
    """
    if not below_row:
        return _UNDER_EDGE_MM
    # The words with what hangs below their line.
    room = (high_mm - across_mm) / 2 - 1.3 * _WORDS_MM
    return _UNDER_ROW_MM if room >= _UNDER_ROW_MM else _CLOSE_UNDER_ROW_MM


def _draw_window(
    doc: Drawing, layout: Paperspace, work: RunWork, book: FigureBook, room: Rect
) -> None:
    """The free post's window at a larger scale: a second look at the elevation's own place."""
    railing = work.railing
    freedom, post = railing.freedom, railing.free_post
    if freedom is None or post is None or railing.bays[0].infill.row is None:
        return
    usable = [window for window in freedom.near_windows if window.clipped is not None]
    if len(usable) > _WINDOWS_SHOWN and freedom.chosen is not None:
        at = min(usable.index(freedom.chosen), len(usable) - _WINDOWS_SHOWN)
        usable = usable[at : at + _WINDOWS_SHOWN]
    if not usable:
        add_text(
            layout,
            f"{post.title}: no place here is right; see the first sheet",
            (room.left, room.top - HEADING_MM),
            height_mm=2.5,
            bold=True,
            layer="FINDING",
        )
        return
    unit = unit_of(doc)
    per = MM_PER_UNIT[unit]
    surface = railing.stair.surface(post.spec.surface)
    nose = surface.front_mm if surface.front_mm is not None else railing.stair.nose(1).s_mm
    places = [s for window in usable for s in window.clipped or ()]
    left, right = min(nose, *places), max(nose, *places)
    if surface.back_mm is not None:
        right = max(right, surface.back_mm)
    scale = best_scale(
        ((right - left) / per, 1.0), (room.size[0] - 2 * _PLAN_MARGIN_MM[0], room.size[1]), unit
    )
    add_text(
        layout,
        f"{post.title}'s window, face from {nose_word(post)}. Scale {scale.name}",
        (room.left, room.top - HEADING_MM),
        height_mm=2.5,
        bold=True,
    )
    pen = Pen(doc.modelspace(), scale, book)
    z = post.surface_z_mm
    band = pen.paper(3.2)
    rows: list[tuple[float, float, str]] = []
    for window in usable:
        assert window.clipped is not None
        pen.rect((window.clipped[0], z), (window.clipped[1], z + band), DETAIL)
        if window == freedom.chosen:
            pen.rect((window.clipped[0], z + band * 0.85), (window.clipped[1], z + band), DETAIL)
        ends = sorted(window.clipped, key=lambda s: abs(s - nose))
        rows += [
            (abs(s - nose), s, f"{work.mark}.window.{window.balusters}.{name}")
            for name, s in zip(("from", "to"), ends, strict=True)
        ]
    for words, s in _window_words(pen, usable, freedom.chosen):
        pen.note(
            words,
            (s, z + band + pen.paper(1)),
            align=MTextEntityAlignment.BOTTOM_CENTER,
            layer=DETAIL,
        )
    # The shortest stands nearest the step: no extension line then runs through a figure.
    for row, (_, s, key) in enumerate(sorted(rows)):
        start, stop = sorted((nose, s))
        base = z - pen.paper(4.5 + 4.8 * row)
        pen.dim((start, z), (stop, z), (start, base), LEVEL, key, outside="end", layer=DETAIL)
    view = Rect(room.left, room.bottom, room.right, room.top - 5.0)
    # The surface lies a little below the view's top; the dimensions hang under it.
    centre = ((left + right) / 2, z + pen.paper(8.0 - view.size[1] / 2))
    hidden = ("DIM", "TEXT", "CENTRE", "WINDOW", "BALUSTER", "RAIL", "BRACKET", "POST", "REVISION")
    add_view(layout, view, pen.at(centre), scale, hidden_layers=hidden)


def _window_words(
    pen: Pen, windows: Sequence[Window], chosen: Window | None
) -> list[tuple[str, float]]:
    """How many balusters each window takes, over its middle or as near as its neighbours let."""
    middles = sorted(
        (sum(window.clipped) / 2, f"{window.balusters}{', used' if window == chosen else ''}")
        for window in windows
        if window.clipped is not None
    )
    wide = [text_width_mm(words, FIGURE_MM) for _, words in middles]
    apart = max(((a + b) / 2 + _WORDS_APART_MM for a, b in pairwise(wide)), default=0.0)
    places = spread([s for s, _ in middles], pen.paper(apart))
    return [(words, s) for (_, words), s in zip(middles, places, strict=True)]

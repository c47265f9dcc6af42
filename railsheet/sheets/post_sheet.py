"""The post sheet: each post with its cut and mounts, and its plate on the step in plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.cuts.alike import alike_faces
from railsheet.cuts.pieces import PostPiece
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import face_key, post_key
from railsheet.job.model import Place, Side
from railsheet.layout.notices import ground_words
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Mount, Post, PostFace, Railing
from railsheet.sheets.drawing import DETAIL, FIGURE_MM, HEADING_MM, add_text
from railsheet.sheets.drawing import document_unit as unit_of
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.packing import Hook, Hung, Picture, pack
from railsheet.sheets.panel import Line, set_lines
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, RunningMark
from railsheet.sheets.profile import nose_word
from railsheet.sheets.scales import Scale, Unit, best_scale, standard_scales
from railsheet.sheets.schedule import RunWork

_POST_COLUMN_MM = 67.5
_POST_BELOW_MM, _POST_ABOVE_MM = 4.0, 44.0
# Where the post's middle stands across its column: the figures on its left carry words.
_POST_MIDDLE_MM = 41.0
_LEADER_MM = 4.5
_PLAN_MARGIN_MM = (21.0, 11.0)
_WINDOW_HIGH_MM = 38.0
_PLANS_MM = 108.0
# Two rows of figures to a window; more than two windows do not fit under the step.
_WINDOWS_SHOWN = 2


@dataclass(frozen=True)
class Column:
    """One face of a post, as its column of a post sheet shows it.

    Attributes:
        work: the post's run.
        also: which other posts are made just like it, in words.
    """

    work: RunWork
    piece: PostPiece
    face: PostFace
    also: str = ""


def post_sheets(
    works: Sequence[RunWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    """Posts of all runs, like faces once; a flight's with their plates in plan beside them.

    Returns:
        For each sheet, its pictures in place.
    """
    columns = _columns(works)
    scale = _scale(columns, book, unit, room.size[1] - _POST_BELOW_MM - _POST_ABOVE_MM)
    high = _POST_BELOW_MM + _POST_ABOVE_MM
    high += max(c.piece.post.height_mm for c in columns) / scale.denominator
    pictures = []
    for work in works:
        own = [column for column in columns if column.work is work]
        if work.railing.level:
            # A level run's posts are set out by its elevation and the plan of the site.
            pictures += [_picture((column,), book, scale, high, 0.0) for column in own]
            continue
        for first in range(0, len(own), 2):
            pair = own[first : first + 2]
            pictures.append(_picture(pair, book, scale, room.size[1], _plans_wide_mm(room)))
    return pack(pictures, room)


def _plans_wide_mm(room: Rect) -> float:
    """How wide plates in plan stand beside two posts."""
    return min(room.size[0] - 2 * _POST_COLUMN_MM, _PLANS_MM)


def _columns(works: Sequence[RunWork]) -> list[Column]:
    """Every face of every post that is drawn: one of those that are made alike."""
    faces = [
        ((work, piece), face)
        for work in works
        for piece in work.pieces.posts
        for face in piece.post.faces
    ]
    return [
        Column(work, piece, face, alike.words)
        for alike in alike_faces(faces)
        for (work, piece), face in (alike.piece,)
    ]


def _picture(
    columns: Sequence[Column], book: FigureBook, scale: Scale, high_mm: float, plans_mm: float
) -> Picture:
    wide = len(columns) * _POST_COLUMN_MM
    if plans_mm:
        wide = 2 * _POST_COLUMN_MM + plans_mm
    draw = partial(_hang, columns, book, scale)
    return Picture(columns[0].work.mark, (wide, high_mm), scale, draw)


def _hang(columns: Sequence[Column], book: FigureBook, scale: Scale, hook: Hook) -> float:
    """Posts side by side, then their plates in plan."""
    room, below = hook.place, hook.below_mm
    room_high = room.size[1] * scale.denominator
    work = columns[0].work
    for index, shown in enumerate(columns):
        left = room.left + index * _POST_COLUMN_MM
        column = Rect(left, room.bottom, left + _POST_COLUMN_MM, room.top)
        origin = (index * _POST_COLUMN_MM * scale.denominator, below - room_high)
        pen = Pen(hook.doc.modelspace(), scale, book, origin)
        _draw_post(pen, work, shown)
        middle = room.size[1] / 2 - _POST_BELOW_MM
        aside = pen.paper(_POST_COLUMN_MM / 2 - _POST_MIDDLE_MM)
        add_view(hook.layout, column, pen.at((aside, pen.paper(middle))), scale)
        _name_post(hook.layout, book, shown, column, scale if hook.noted else None)
    below -= room_high + scale.denominator * _POST_ABOVE_MM
    if work.railing.level:
        return below
    plans = Rect(room.left + 2 * _POST_COLUMN_MM + 3, room.bottom, room.right, room.top)
    posts = tuple(dict.fromkeys(column.piece.post for column in columns))
    return _draw_plans(hook.doc, hook.layout, work, posts, book, plans, below - room_high)


def _scale(columns: Sequence[Column], book: FigureBook, unit: Unit, high_mm: float) -> Scale:
    """The largest standard scale at which every post and the figures on both its sides fit."""
    tallest = max(column.piece.post.height_mm for column in columns)
    longest = max(
        text_width_mm(f"{book.text(mark.key)} {mark.note}", FIGURE_MM)
        for column in columns
        for mark in _marks(column.work, column)
    )
    plate = max(column.work.railing.kit.plate.across_mm for column in columns) / 2
    for scale in standard_scales(unit):
        beside = plate / scale.denominator + _LEADER_MM + 2.0
        if tallest / scale.denominator <= high_mm and beside + longest <= _POST_MIDDLE_MM:
            return scale
    raise ValueError("the posts fit the paper at no standard scale")


def _side_edge_at_left(end: End, side: Side) -> bool:
    """Whether the step's side edge lies to the left of one looking at the face the rails meet.

    The top post is seen looking uphill, the bottom post looking downhill.
    """
    return (side is Side.LEFT) == (end is End.UPHILL)


def _draw_post(pen: Pen, work: RunWork, column: Column) -> None:
    post, face, kit = column.piece.post, column.face, work.railing.kit
    key = face_key(work.mark, post, face)
    half, plate = kit.post.width_mm / 2, kit.plate.across_mm / 2
    foot = kit.plate.thickness_mm
    if post.made:
        pen.rect((-half, foot), (half, post.height_mm), "POST")
        pen.rect((-plate, 0.0), (plate, foot), "POST")
    else:
        pen.line((-plate, 0.0), (plate, 0.0), "STAIR")
    underside = face.underside_z_mm - post.surface_z_mm
    rail_top = face.rail_top_z_mm - post.surface_z_mm
    for level in (underside, rail_top):
        pen.line((-half - pen.paper(1.5), level), (half + pen.paper(1.5), level), "HIDDEN")
    edge_left = _side_edge_at_left(face.end, work.railing.spec.side)
    for mount in face.mounts:
        _draw_mount(pen, work.railing, post, mount, edge_left)
    pen.running((-plate, 0.0), _marks(work, column), -pen.paper(_LEADER_MM), "y")
    second = [
        RunningMark((half, underside), f"{key}.datum"),
        *(
            RunningMark(
                (half, mount.centre_z_mm - post.surface_z_mm),
                f"{key}.mount.{mount.place.value}.above_underside",
            )
            for mount in face.mounts
        ),
    ]
    if post.made:
        second.append(RunningMark((half, post.height_mm), f"{key}.above_underside"))
    pen.running((plate, underside), second, pen.paper(_LEADER_MM), "y")


def _marks(work: RunWork, column: Column) -> list[RunningMark]:
    """The marks on a post's face, up from its plate's underside."""
    post, face = column.piece.post, column.face
    key = face_key(work.mark, post, face)
    edge = -work.railing.kit.post.width_mm / 2
    foot = post.surface_z_mm
    return [
        RunningMark((edge, face.underside_z_mm - foot), f"{key}.underside", "underside"),
        *(
            RunningMark(
                (edge, mount.centre_z_mm - foot), f"{key}.mount.{mount.place.value}.height", "mount"
            )
            for mount in face.mounts
        ),
        RunningMark((edge, face.rail_top_z_mm - foot), f"{key}.rail_top", "top rail"),
        *(
            [RunningMark((edge, post.height_mm), f"{post_key(work.mark, post)}.height", "cut")]
            if post.made
            else []
        ),
    ]


def _name_post(
    layout: Paperspace, book: FigureBook, shown: Column, column: Rect, noted: Scale | None
) -> None:
    work, piece, post, face = shown.work, shown.piece, shown.piece.post, shown.face
    standing = ", standing" if post.spec.place is Place.STANDING else ""
    looking = "down" if face.end is End.DOWNHILL else "up"
    edge = "left" if _side_edge_at_left(face.end, work.railing.spec.side) else "right"
    cut_off = f"{post_key(work.mark, post)}.cut_off"
    title = f"{piece.mark}   {post.title}, on {ground_words(post)}{standing}"
    lines = [Line(title + (f": {face.side} face" if post.through else ""), True)]
    if shown.also:
        lines.append(Line(shown.also))
    if noted is not None:
        lines.append(Line(f"Scale {noted.name}"))
    if not post.owned:
        lines.append(Line("Shared: cut once, listed by another run"))
    if cut_off in book and book.value(cut_off) >= 0:
        lines.append(Line(f"{book.text(cut_off)} off the top"))
    lines.append(
        Line("Left: up from the plate's underside. Right: up from the bottom rail's underside.")
    )
    lines.append(Line(f"Seen looking {looking}hill, step's side edge at the {edge}"))
    lines.append(Line(_mount_words(work, book, shown)))
    left_over = set_lines(
        layout, lines, Rect(column.left, column.bottom, column.right - 3, column.top)
    )
    assert not left_over, "these lines fit over a post on every paper"


def _mount_words(work: RunWork, book: FigureBook, shown: Column) -> str:
    """Which hand the brackets are, and where their mounts stand across the post."""
    hand = "rising" if shown.face.end is End.DOWNHILL else "falling"
    key = f"{face_key(work.mark, shown.piece.post, shown.face)}.mount"
    places = {
        f"{book.text(f'{key}.{place}.across_least')} to {book.text(f'{key}.{place}.across_most')}"
        for place in ("top", "bottom")
    }
    return (
        f"Brackets of the {hand} hand; mount's centre {' and '.join(sorted(places))} in from the "
        "side-edge face"
    )


def _draw_mount(pen: Pen, railing: Railing, post: Post, mount: Mount, edge_left: bool) -> None:
    bracket = mount.bracket
    half_post = railing.kit.post.width_mm / 2
    across = (bracket.across_least_mm + bracket.across_most_mm) / 2
    x = across - half_post if edge_left else half_post - across
    z = mount.centre_z_mm - post.surface_z_mm
    wide, high = bracket.mount_width_mm / 2, bracket.mount_height_mm / 2
    pen.rect((x - wide, z - high), (x + wide, z + high), "BRACKET")
    pen.line((x - wide / 2, z), (x + wide / 2, z), "CENTRE")


def _draw_plans(
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
    per = 25.4 if unit == "in" else 1.0
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
            f"{post.title}'s plate in plan, uphill to the right. Scale {scale.name}",
            (room.left, top - HEADING_MM),
            height_mm=2.5,
            bold=True,
        )
        origin = (0.0, below_mm - index * high * scale.denominator * 2)
        pen = Pen(doc.modelspace(), scale, book, origin)
        left, right = reaches[index]
        _draw_plan(pen, work, post, left, right, across)
        view = Rect(room.left, top - high, room.right, top - 5.0)
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
    half = railing.kit.plate.along_mm / 2
    left, right = post.centre_s_mm - half, post.centre_s_mm + half
    if surface.front_mm is not None:
        left = min(left, surface.front_mm)
    if surface.back_mm is not None:
        right = max(right, surface.back_mm)
    return left, right


def _draw_plan(
    pen: Pen, work: RunWork, post: Post, left: float, right: float, across: float
) -> None:
    """A plate on its surface, the step's side edge at y = 0 and the walking side away from it."""
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
    half_x = kit.plate.along_mm / 2
    near = away * post.in_from_side_mm
    far = near + away * kit.plate.across_mm
    middle = (near + far) / 2
    c = post.centre_s_mm
    pen.rect((c - half_x, min(near, far)), (c + half_x, max(near, far)), "POST")
    half = kit.post.width_mm / 2
    pen.rect((c - half, middle - half), (c + half, middle + half), "POST")
    pen.dim(
        (c - half_x, 0.0),
        (c - half_x, near),
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
            (c - half_x, near),
            (left, -away * pen.paper(5.0)),
            LEVEL,
            edge_key,
            note="to plate",
            outside="end",
        )
    # Under the row of the plate's distance, which may reach as far.
    under = 6.0 if edge_key in pen.book and surface.front_mm is not None else 0.8
    pen.note(
        "step's side edge",
        (right + beyond, -away * pen.paper(under)),
        align=(MTextEntityAlignment.BOTTOM_RIGHT if away < 0 else MTextEntityAlignment.TOP_RIGHT),
        height_mm=2.0,
    )


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
    per = 25.4 if unit == "in" else 1.0
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
        used = ", used" if window == freedom.chosen else ""
        pen.note(
            f"{window.balusters}{used}",
            ((window.clipped[0] + window.clipped[1]) / 2, z + band + pen.paper(1)),
            align=MTextEntityAlignment.BOTTOM_CENTER,
            layer=DETAIL,
        )
        ends = sorted(window.clipped, key=lambda s: abs(s - nose))
        rows += [
            (abs(s - nose), s, f"{work.mark}.window.{window.balusters}.{name}")
            for name, s in zip(("from", "to"), ends, strict=True)
        ]
    # The shortest stands nearest the step: no extension line then runs through a figure.
    for row, (_, s, key) in enumerate(sorted(rows)):
        start, stop = sorted((nose, s))
        base = z - pen.paper(4.5 + 4.8 * row)
        pen.dim((start, z), (stop, z), (start, base), LEVEL, key, outside="end", layer=DETAIL)
    view = Rect(room.left, room.bottom, room.right, room.top - 5.0)
    # The surface lies a little below the view's top; the dimensions hang under it.
    centre = ((left + right) / 2, z + pen.paper(8.0 - view.size[1] / 2))
    hidden = ("DIM", "TEXT", "CENTRE", "WINDOW", "BALUSTER", "RAIL", "BRACKET", "POST")
    add_view(layout, view, pen.at(centre), scale, hidden_layers=hidden)

"""The post sheet: each post with its cut and mounts, and its plate on the step in plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from ezdxf.layouts.layout import Paperspace

from railsheet.cuts.alike import alike_faces
from railsheet.cuts.pieces import PostPiece
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import face_key, post_key
from railsheet.job.model import Place, Side
from railsheet.layout.infill.parts import Bore
from railsheet.layout.mount import Mount
from railsheet.layout.notices import ground_words
from railsheet.layout.post import Post, PostFace
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing
from railsheet.sheets.dimensions import TEXT_GAP_MM
from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.packing import Hook, Hung, Picture, pack
from railsheet.sheets.panel import Line, set_lines
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import Pen, RunningMark
from railsheet.sheets.post_plan import draw_plans
from railsheet.sheets.scales import NoScaleError, Scale, Unit, standard_scales
from railsheet.sheets.schedule import RunWork

_POST_COLUMN_MM = 67.5
_POST_BELOW_MM, _POST_ABOVE_MM = 4.0, 44.0
# Where the post's middle stands across its column: the figures on its left carry words.
_POST_MIDDLE_MM = 41.0
_LEADER_MM = 4.5
_PLANS_MM = 108.0


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
    high += max(_tall_mm(column) for column in columns) / scale.denominator
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
    return draw_plans(hook.doc, hook.layout, work, posts, book, plans, below - room_high)


def _scale(columns: Sequence[Column], book: FigureBook, unit: Unit, high_mm: float) -> Scale:
    """The largest standard scale at which every post and the figures on both its sides fit."""
    tallest = max(_tall_mm(column) for column in columns)
    longest = max(
        text_width_mm(f"{book.text(mark.key)} {mark.note}", FIGURE_MM)
        for column in columns
        for mark in _marks(column.work, column)
    )
    right = max(
        text_width_mm(book.text(mark.key), FIGURE_MM)
        for column in columns
        for mark in _marks_from_underside(column.work, column)
    )
    plate = max(column.work.railing.kit.plate.across_mm for column in columns) / 2
    for scale in standard_scales(unit):
        beside = plate / scale.denominator + _LEADER_MM
        sides = beside + 2.0 + longest <= _POST_MIDDLE_MM
        sides = sides and beside + TEXT_GAP_MM + right <= _POST_COLUMN_MM - _POST_MIDDLE_MM
        if tallest / scale.denominator <= high_mm and sides:
            return scale
    raise NoScaleError("the posts fit the paper at no standard scale")


def _tall_mm(column: Column) -> float:
    """A post's cut, or the top rail where that is drawn over it."""
    post = column.piece.post
    return max(post.height_mm, column.face.rail_top_z_mm - post.surface_z_mm)


def _side_edge_at_left(end: End, side: Side) -> bool:
    """Whether the step's side edge lies to the left of one looking at the face the rails meet.

    The top post is seen looking uphill, the bottom post looking downhill.
    """
    return (side is Side.LEFT) == (end is End.UPHILL)


def _draw_post(pen: Pen, work: RunWork, column: Column) -> None:
    post, face, kit = column.piece.post, column.face, work.railing.kit
    half, plate = kit.post.width_mm / 2, kit.plate.across_mm / 2
    foot = kit.plate.thickness_mm
    if post.made:
        pen.rect((-half, foot), (half, post.height_mm), "POST")
        if post.top_slope:
            low = post.height_mm - post.top_slope * kit.post.width_mm
            # Seen from the uphill face the low edge of the cut lies behind.
            hidden = face.end is End.DOWNHILL
            pen.line((-half, low), (half, low), "HIDDEN" if hidden else "POST")
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
    for bore in face.bores:
        _draw_bore(pen, work.railing, underside, bore, edge_left)
    pen.running((-plate, 0.0), _marks(work, column), -pen.paper(_LEADER_MM), "y")
    second = _marks_from_underside(work, column)
    pen.running((plate, underside), second, pen.paper(_LEADER_MM), "y")


def _marks_from_underside(work: RunWork, column: Column) -> list[RunningMark]:
    """The marks on a post's face, up from the bottom rail's underside."""
    post, face = column.piece.post, column.face
    key, foot = face_key(work.mark, post, face), post.surface_z_mm
    half = work.railing.kit.post.width_mm / 2
    marks = [
        RunningMark((half, face.underside_z_mm - foot), f"{key}.datum"),
        *(
            RunningMark(
                (half, mount.centre_z_mm - foot),
                f"{key}.mount.{mount.place.value}.above_underside",
            )
            for mount in face.mounts
        ),
    ]
    if post.made:
        marks.append(RunningMark((half, post.height_mm), f"{key}.above_underside"))
    return marks


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
                (edge, mount.centre_z_mm - foot),
                f"{key}.mount.{mount.place.value}.height",
                mount.word,
            )
            for mount in face.mounts
        ),
        *(
            RunningMark(
                (edge, face.underside_z_mm + bore.over_underside_mm - foot),
                f"{key}.bore.{bore.number}.height",
                f"{bore.noun} {bore.number}",
            )
            for bore in face.bores
        ),
        RunningMark((edge, face.rail_top_z_mm - foot), f"{key}.rail_top", "top rail"),
        *_cut_marks(work, post, edge),
    ]


def _cut_marks(work: RunWork, post: Post, edge: float) -> Iterator[RunningMark]:
    """A post's cut, and its lower side where it is cut to the rake."""
    key = post_key(work.mark, post)
    if not post.made:
        return
    if post.top_slope:
        low = post.height_mm - post.top_slope * work.railing.kit.post.width_mm
        yield RunningMark((edge, low), f"{key}.height_low", "downhill")
    word = "uphill" if post.top_slope else "cut"
    yield RunningMark((edge, post.height_mm), f"{key}.height", word)


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
    lines += [Line(words) for words in _bore_words(work, book, shown)]
    left_over = set_lines(
        layout, lines, Rect(column.left, column.bottom, column.right - 3, column.top)
    )
    assert not left_over, "these lines fit over a post on every paper"


def _mount_words(work: RunWork, book: FigureBook, shown: Column) -> str:
    """Which hand the brackets are, and where their mounts stand across the post."""
    key = f"{face_key(work.mark, shown.piece.post, shown.face)}.mount"
    lines: dict[str, set[str]] = {}
    for mount in shown.face.mounts:
        at = f"{key}.{mount.place.value}"
        least, most = book.text(f"{at}.across_least"), book.text(f"{at}.across_most")
        where = least if least == most else f"{least} to {most}"
        lines.setdefault(mount.word, set()).add(where)
    words = [
        f"{word}'s centre {' and '.join(sorted(places))} in from the side-edge face"
        for word, places in lines.items()
    ]
    if any(mount.word == "mount" for mount in shown.face.mounts):
        hand = "rising" if shown.face.end is End.DOWNHILL else "falling"
        words.insert(0, f"Brackets of the {hand} hand")
    words += [
        f"{mount.place.value} housing {book.text(f'{at}.wide')} wide, {book.text(f'{at}.tall')} "
        f"tall, {book.text(f'{at}.deep')} deep, its cheeks along the rail"
        for mount in shown.face.mounts
        if mount.deep_mm
        for at in [f"{key}.{mount.place.value}"]
    ]
    if shown.piece.post.top_slope:
        words.append(
            f"top cut {book.text(f'{post_key(work.mark, shown.piece.post)}.top_saw')} off square"
        )
    sentence = "; ".join(words)
    return sentence[:1].upper() + sentence[1:]


def _bore_words(work: RunWork, book: FigureBook, shown: Column) -> Iterator[str]:
    """How the holes through a post are bored; none where the infill asks for none."""
    face, post = shown.face, shown.piece.post
    if not face.bores or not post.made:
        return
    key = f"{face_key(work.mark, post, face)}.bore.{face.bores[0].number}.diameter"
    holes = "1 hole" if len(face.bores) == 1 else f"{len(face.bores)} holes"
    words = f"Bore {holes} of {book.text(key)}, in line with the mounts' centre, "
    if work.railing.level:
        yield f"{words}square through the post"
        return
    way = "up" if face.end is End.UPHILL else "down"
    yield f"{words}from this face {way} at the rake, {book.text(f'{work.mark}.rake')} from level"


def _draw_bore(pen: Pen, railing: Railing, underside: float, bore: Bore, edge_left: bool) -> None:
    """A hole's mouth in the face, drawn as wide as it is; on a rake it is taller than that."""
    x = _mount_aside(railing, edge_left)
    pen.circle((x, underside + bore.over_underside_mm), bore.diameter_mm / 2, "HOLE")


def _mount_aside(railing: Railing, edge_left: bool) -> float:
    """Where the top rail's middle stands across the face, from the post's middle."""
    across, half = railing.kit.rail_across_mm, railing.kit.post.width_mm / 2
    return across - half if edge_left else half - across


def _draw_mount(pen: Pen, railing: Railing, post: Post, mount: Mount, edge_left: bool) -> None:
    half_post = railing.kit.post.width_mm / 2
    across = sum(mount.across_mm) / 2
    x = across - half_post if edge_left else half_post - across
    z = mount.centre_z_mm - post.surface_z_mm
    wide, high = mount.width_mm / 2, mount.height_mm / 2
    pen.rect((x - wide, z - high), (x + wide, z + high), "BRACKET")
    pen.line((x - wide / 2, z), (x + wide / 2, z), "CENTRE")

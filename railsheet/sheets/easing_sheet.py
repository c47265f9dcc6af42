"""Easings: each over its post, large enough to bend and set it by."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from railsheet.cuts.pieces import PostPiece, easing_mark
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import post_key
from railsheet.job.kit_easing import Bend
from railsheet.layout.easing import Easing
from railsheet.layout.post import Post
from railsheet.sheets.packing import Hook, Hung, Picture, fewest_sheets, fits
from railsheet.sheets.panel import Line, lines_high_mm, set_lines
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, Pen, Point
from railsheet.sheets.profile import draw_easing
from railsheet.sheets.scales import NoScaleError, Scale, Unit, standard_scales
from railsheet.sheets.schedule import RunWork

# How much of a rail and of a post is drawn beside an easing, mm of the real thing.
_STUB_MM, _POST_MM = 30.0, 40.0
# Paper mm: round the drawing, its words, what stands between them, and the rows of dimensions.
_SIDE_MM, _OVER_MM, _WORDS_MM, _BESIDE_MM = 26.0, 17.0, 78.0, 4.0
_ROW_MM, _FIRST_MM = 5.0, 6.0
# As large as serves the bench, for nothing is cut by laying it on the sheet, and the smallest at
# which its figures stand clear of each other. common practice, no source
_WIDEST_MM, _SMALLEST = 270.0, 4.0


@dataclass(frozen=True)
class _Shown:
    """One easing that is drawn, by the run that lists it."""

    work: RunWork
    piece: PostPiece
    easing: Easing

    @property
    def post(self) -> Post:
        return self.piece.post

    @property
    def key(self) -> str:
        return f"{post_key(self.work.mark, self.post)}.easing"

    @property
    def reach(self) -> Rect:
        """What is drawn of it without dimensions, mm of the real thing."""
        easing = self.easing
        far = easing.reach_mm + _STUB_MM
        points = [p for up in (easing.half_mm, -easing.half_mm) for p in easing.ends(up, far)]
        half = self.work.railing.kit.post.width_mm / 2
        middle = self.post.centre_s_mm
        across = [*(s for s, _ in points), middle - half, middle + half]
        up = [*(z for _, z in points), self.post.top_z_mm - _POST_MM]
        return Rect(min(across), min(up), max(across), max(up))


def easing_sheets(
    works: Sequence[RunWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    """Every easing of the job once, over its post.

    Returns:
        For each sheet, its pictures in place; none where no rail is eased.
    """
    found = list(_shown(works))
    if not found:
        return ()
    choices: list[list[Picture]] = []
    for scale in standard_scales(unit):
        if choices and scale.denominator > _SMALLEST:
            break
        pictures = [_picture(shown, book, scale) for shown in found]
        widest = max(picture.size_mm[0] for picture in pictures)
        if widest <= _WIDEST_MM and all(fits(picture, room) for picture in pictures):
            choices.append(pictures)
    if not choices:
        raise NoScaleError("the easings fit the paper at no standard scale")
    return fewest_sheets(choices, room)


def _shown(works: Sequence[RunWork]) -> Iterator[_Shown]:
    for work in works:
        for piece in work.pieces.posts:
            if piece.listed and piece.post.easing is not None:
                yield _Shown(work, piece, piece.post.easing)


def _picture(shown: _Shown, book: FigureBook, scale: Scale) -> Picture:
    wide, high = (size / scale.denominator for size in shown.reach.size)
    words = tuple(_words(shown, book, scale))
    size = (
        wide + 2 * _SIDE_MM + _BESIDE_MM + _WORDS_MM,
        max(high + 2 * _OVER_MM, lines_high_mm(words, _WORDS_MM)),
    )
    return Picture(shown.work.mark, size, scale, partial(_hang, shown, book, scale, words))


def _words(shown: _Shown, book: FigureBook, scale: Scale) -> Iterator[Line]:
    key, post = shown.key, shown.post
    foot = f"over the foot of {post.words}"
    runs = f"runs {shown.work.mark} and {shown.easing.other_run}"
    yield Line(f"{easing_mark(shown.piece.mark)}   {shown.easing.kit.name}", heading=True)
    yield Line(f"Scale {scale.name}")
    yield Line(
        f"Carries the top rail of {runs} over {post.words}; it bends {shown.easing.bend.value}."
    )
    yield Line(
        f"Turns {book.text_within(f'{key}.turn')} on a radius of {book.text(f'{key}.radius')}: "
        f"{book.text(f'{key}.arc')} along the arc; with {book.text(f'{key}.leg')} straight at "
        f"either end {book.text(f'{key}.over_all')} in all, along its axis."
    )
    yield Line(
        "The rails' axes meet "
        f"{book.text_within(f'{key}.meet_height')} {foot}, {book.text_within(f'{key}.meet')} level "
        f"from its {post.faces[0].side} face; the arc's middle stands "
        f"{book.text(f'{key}.external')} off that point. From it, alike on both sides: to the "
        "arc, to the rail's cut, to the easing's end."
    )
    yield Line(
        f"Its top over the post's middle: {book.text_within(f'{key}.top')} {foot}. The post is cut "
        f"level at {book.text_within(f'{post_key(shown.work.mark, post)}.height')}."
    )
    yield Line(f"Each rail is cut square and goes in {book.text(f'{key}.insertion')}.")


def _hang(
    shown: _Shown, book: FigureBook, scale: Scale, words: Sequence[Line], hook: Hook
) -> float:
    place, reach = hook.place, shown.reach
    wide = reach.size[0] / scale.denominator + 2 * _SIDE_MM
    high = place.size[1] * scale.denominator
    low = hook.below_mm - 2 * high
    pen = Pen(hook.doc.modelspace(), scale, book, (-reach.centre[0], low - reach.centre[1]))
    _draw(pen, shown)
    view = Rect(place.left, place.bottom, place.left + wide, place.top)
    add_view(hook.layout, view, pen.at(reach.centre), scale)
    column = Rect(view.right + _BESIDE_MM, place.bottom, place.right, place.top)
    left_over = set_lines(hook.layout, words, column)
    assert not left_over, "the picture is as high as its words"
    return low - high


def _draw(pen: Pen, shown: _Shown) -> None:
    easing, post, railing = shown.easing, shown.post, shown.work.railing
    number = railing.posts.index(post) + 1
    half = railing.kit.post.width_mm / 2
    left, right = post.centre_s_mm - half, post.centre_s_mm + half
    foot = post.top_z_mm - _POST_MM
    pen.outline(
        [(left, foot), (left, post.top_z_mm), (right, post.top_z_mm), (right, foot)],
        "POST",
        close=False,
    )
    draw_easing(pen, railing, post, number)
    _rails(pen, easing)
    _axes(pen, easing)
    _dimensions(pen, shown)


def _rails(pen: Pen, easing: Easing) -> None:
    """The rails' ends, what is let in hidden."""
    deep, far = easing.depth_mm / 2, easing.reach_mm + _STUB_MM
    for side in (0, 1):

        def at(up: float, along: float, side: int = side) -> Point:
            return easing.ends(up, along)[side]

        for up in (deep, -deep):
            pen.line(at(up, easing.reach_mm), at(up, far), "RAIL")
            pen.line(at(up, easing.set_back_mm), at(up, easing.reach_mm), "HIDDEN")
        pen.line(at(deep, easing.set_back_mm), at(-deep, easing.set_back_mm), "HIDDEN")


def _axes(pen: Pen, easing: Easing) -> None:
    for end in easing.ends(0.0, easing.reach_mm + _STUB_MM):
        pen.line(easing.meet, end, "CENTRE")


def _dimensions(pen: Pen, shown: _Shown) -> None:
    easing, key, face = shown.easing, shown.key, shown.post.faces[0]
    ends = easing.ends(0.0, easing.reach_mm)
    own = easing.ends(0.0, 1.0)[0]
    along = math.atan2(own[1] - easing.meet[1], own[0] - easing.meet[0])
    line = along if math.cos(along) > 0 else along + math.pi
    for row, (part, note) in enumerate((("tangent", "arc"), ("set_back", "cut"), ("reach", "end"))):
        far = {"tangent": easing.tangent_mm, "set_back": easing.set_back_mm}
        end = easing.ends(0.0, far.get(part, easing.reach_mm))[0]
        up = easing.half_mm + pen.paper(_FIRST_MM + row * _ROW_MM)
        base = easing.ends(up, 0.0)[0]
        pen.dim(easing.meet, end, base, line, f"{key}.{part}", note=note, outside="none")
    below = min(z for _, z in (*easing.ends(-easing.half_mm, easing.reach_mm), *ends))
    pen.dim(
        (face.s_mm, shown.post.top_z_mm),
        ends[0],
        (face.s_mm, below - pen.paper(_FIRST_MM)),
        LEVEL,
        f"{key}.from_face",
        note="face to its end",
        outside="end",
    )
    _turn(pen, easing, key)
    _radius(pen, easing, key)


def _radius(pen: Pen, easing: Easing, key: str) -> None:
    """The arc of the axis, and its radius at a point of it toward the other rail."""
    (x, z), radius = easing.centre, easing.kit.radius_mm
    arc = [math.atan2(b - z, a - x) for a, b in easing.ends(0.0, easing.tangent_mm)]
    turn = math.remainder(arc[1] - arc[0], math.tau)
    start, stop = (arc[0], arc[1]) if turn > 0 else (arc[1], arc[0])
    pen.arc((x, z), radius, start, stop, "CENTRE")
    # Out of the bend: over one that bends over, under the far rail of one that bends up.
    way = arc[0] + (0.75 if easing.bend is Bend.OVER else 1.0) * turn
    away = radius + easing.half_mm + pen.paper(_FIRST_MM + _ROW_MM)
    text = x + away * math.cos(way), z + away * math.sin(way)
    pen.radius((x, z), radius, way, text, f"{key}.radius")


def _turn(pen: Pen, easing: Easing, key: str) -> None:
    """The turn, between the own axis drawn on past the meeting and the other rail's."""
    own, other = easing.ends(0.0, 1.0)
    on = 2 * easing.meet[0] - own[0], 2 * easing.meet[1] - own[1]
    far = easing.reach_mm + _STUB_MM * 0.9

    def out(point: Point) -> Point:
        x, z = point[0] - easing.meet[0], point[1] - easing.meet[1]
        return easing.meet[0] + x * far, easing.meet[1] + z * far

    legs = out(on), out(other)
    pen.line(easing.meet, legs[0], "CENTRE")
    turn = (legs[0][0] - easing.meet[0]) * (legs[1][1] - easing.meet[1]) - (
        legs[0][1] - easing.meet[1]
    ) * (legs[1][0] - easing.meet[0])
    first, second = legs if turn > 0 else (legs[1], legs[0])
    pen.angle(easing.meet, first, second, far * 0.95, f"{key}.turn")

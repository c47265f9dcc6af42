"""The elevation of a level run, broken with match lines where it is longer than a sheet."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment, TextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import post_key
from railsheet.layout.railing import Bay, Railing
from railsheet.sheets.drawing import DETAIL, add_note, add_text
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, Pen, RunningMark
from railsheet.sheets.profile import draw_bays
from railsheet.sheets.scales import Scale
from railsheet.sheets.schedule import RunWork
from railsheet.sheets.spheres import draw_spheres

# Room on paper round the drawn run, mm.
_SIDE, BELOW_MM, _ABOVE = 30.0, 39.0, 21.0
# From the datum of the heights to the outer end of their figures, on paper, mm.
_HEIGHTS = 26.0
_NAME_BELOW = 34.0
# How far a view reaches past its match line, mm.
_PAST_MATCH = 3.0


@dataclass(frozen=True)
class Part:
    """The bays that one sheet shows, and what it shows of the run, mm along it."""

    bays: tuple[Bay, ...]
    low_mm: float
    high_mm: float


def side_mm(railing: Railing, scale: Scale) -> float:
    """Room on paper from the middle of a run's end post outward, for its plate and its heights."""
    return max(
        _SIDE,
        (railing.downhill_post.centre_s_mm - _heights_datum(railing)) / scale.denominator
        + _HEIGHTS,
    )


def _heights_datum(railing: Railing) -> float:
    """Where on the run the heights at the first post are drawn from, mm."""
    kit = railing.kit
    return railing.downhill_post.centre_s_mm - kit.post.width_mm / 2 - kit.plate.along_mm / 4


def _tall(railing: Railing) -> float:
    """Its tallest post: one shared with a flight stands above the others."""
    return max(railing.crown_z_mm(post) - post.surface_z_mm for post in railing.posts)


def _length(railing: Railing) -> float:
    return railing.uphill_post.centre_s_mm - railing.downhill_post.centre_s_mm


def parts_at(railing: Railing, scale: Scale, wide_mm: float) -> tuple[Part, ...]:
    """Whole bays to a part, as many as fit so wide a space on paper at a scale."""
    wide = wide_mm * scale.denominator
    sheets = max(-(-_length(railing) // wide), 1.0)
    longest = max(bay.clear_mm for bay in railing.bays) + railing.kit.post.width_mm
    # A sheet always holds one bay, whatever its length.
    share = max(_length(railing) / sheets, longest)
    parts: list[list[Bay]] = [[]]
    for bay, (start, stop) in zip(railing.bays, pairwise(railing.posts), strict=True):
        first = railing.posts[parts[-1][0].number - 1].centre_s_mm if parts[-1] else 0.0
        over = stop.centre_s_mm - first > wide
        if parts[-1] and (over or start.centre_s_mm - first >= share - 1.0):
            parts.append([])
        parts[-1].append(bay)
    return tuple(
        Part(
            tuple(bays),
            railing.posts[bays[0].number - 1].centre_s_mm,
            railing.posts[bays[-1].number].centre_s_mm,
        )
        for bays in parts
    )


def draw_level(doc: Drawing, work: RunWork, book: FigureBook, scale: Scale) -> float:
    """Draw the run in model space, with all its dimensions.

    Returns:
        How far down model space is taken by it, mm.
    """
    railing = work.railing
    pen = Pen(doc.modelspace(), scale, book)
    draw_deck(pen, railing)
    draw_bays(pen, railing)
    for bay in railing.bays:
        _bay(pen, work, bay)
    _places(pen, work)
    draw_first_heights(pen, work)
    if work.checks is not None:
        draw_spheres(pen, work, outside_only=True)
    return -pen.paper(BELOW_MM) - _tall(railing)


def view_high_mm(railing: Railing, scale: Scale, below_mm: float = BELOW_MM) -> float:
    """How high on paper a view of the run is, with room for its figures.

    Args:
        below_mm: of that, under the deck.
    """
    return _tall(railing) / scale.denominator + below_mm + _ABOVE


def draw_deck(pen: Pen, railing: Railing) -> None:
    """The deck under the run, a little past it at both ends."""
    low, high = railing.downhill_post, railing.uphill_post
    beyond = pen.paper(6.0)
    edge = -railing.stair.tread_thickness_mm
    pen.rect((low.centre_s_mm - beyond, edge), (high.centre_s_mm + beyond, 0.0), "STAIR")


def _bay(pen: Pen, work: RunWork, bay: Bay) -> None:
    railing, key = work.railing, f"{work.mark}.bay.{bay.number}"
    top = max(railing.crown_z_mm(post) for post in railing.posts)
    start, stop = bay.downhill_face_mm, bay.uphill_face_mm
    pen.dim((start, 0.0), (stop, 0.0), (start, -pen.paper(30)), LEVEL, f"{key}.clear", note="clear")
    row = bay.infill.row
    if row is None:
        return
    rail = bay.line.z_at(start)
    first, last = row.centres_mm[0] - row.width_mm / 2, row.centres_mm[-1] + row.width_mm / 2
    pen.dim(
        (start, top),
        (first, rail),
        (start, top + pen.paper(10)),
        LEVEL,
        f"{key}.gap",
        note="gap",
        outside="end",
    )
    pen.dim(
        (last, rail),
        (stop, top),
        (stop, top + pen.paper(16)),
        LEVEL,
        f"{key}.gap",
        note="gap",
        outside="start",
    )
    if len(row.centres_mm) > 1:
        # Under the gaps, and clear of their extension lines: none runs through a figure.
        one, other = row.centres_mm[1:3] if len(row.centres_mm) > 2 else row.centres_mm
        pen.dim(
            (one, rail),
            (other, rail),
            (one, top + pen.paper(4)),
            LEVEL,
            f"{key}.spacing",
            note="centres",
            outside="end",
        )


def _places(pen: Pen, work: RunWork) -> None:
    """Each post's face from the first post's plan point."""
    railing = work.railing
    marks = [
        RunningMark((post.face_s_mm, 0.0), f"{post_key(work.mark, post)}.from_nose")
        for post in railing.posts
    ]
    pen.running((0.0, 0.0), marks, -pen.paper(8), "x")


def name_posts(layout: Paperspace, railing: Railing, part: Part, scale: Scale, room: Rect) -> None:
    """Each post's name under it, on paper: one on a match line is named whole on both sheets."""
    for post in railing.posts[part.bays[0].number - 1 : part.bays[-1].number + 1]:
        middle = (part.low_mm + part.high_mm) / 2
        x = room.centre[0] + (post.centre_s_mm - middle) / scale.denominator
        add_note(
            layout,
            post.words,
            (x, room.bottom + BELOW_MM - _NAME_BELOW),
            align=MTextEntityAlignment.TOP_CENTER,
        )


def draw_first_heights(pen: Pen, work: RunWork) -> None:
    """Heights over the deck at the run's first post."""
    post = work.railing.downhill_post
    key = post_key(work.mark, post)
    edge = post.centre_s_mm - work.railing.kit.post.width_mm / 2
    marks = [
        RunningMark((edge, post.underside_z_mm), f"{key}.underside"),
        RunningMark((edge, post.rail_top_z_mm), f"{key}.rail_top"),
    ]
    if post.made:
        marks.append(RunningMark((edge, post.top_z_mm), f"{key}.height"))
    pen.running((_heights_datum(work.railing), 0.0), marks, -pen.paper(8), "y")


def show_part(
    pen: Pen,
    layout: Paperspace,
    part: Part,
    matched: tuple[int | None, int | None],
    room: Rect,
    high_mm: float,
    side_mm: float,
    below_mm: float = BELOW_MM,
) -> None:
    """One part's view, clipped a little past its match lines, which are named on paper.

    Args:
        matched: the sheets on which the run goes on at either end; None where it ends.
        high_mm, below_mm: how high the view is, and how much of that is under the deck.
    """
    per = pen.scale.denominator
    left, right = (side_mm if sheet is None else _PAST_MATCH for sheet in matched)
    wide = (part.high_mm - part.low_mm) / per
    start = room.left + (room.size[0] - wide) / 2
    view = Rect(start - left, room.bottom, start + wide + right, room.bottom + high_mm)
    centre = (
        part.low_mm + pen.paper((view.left + view.right) / 2 - start),
        pen.paper(high_mm / 2 - below_mm),
    )
    add_view(layout, view, pen.at(centre), pen.scale, hidden_layers=(DETAIL,))
    for s, other in zip((start, start + wide), matched, strict=True):
        if other is None:
            continue
        layout.add_line((s, view.bottom + 10.0), (s, view.top), dxfattribs={"layer": "CENTRE"})
        add_text(
            layout,
            f"match line, sheet {other}",
            (s + (-4.5 if s == start else 7.0), view.bottom + 12.0),
            align=TextEntityAlignment.LEFT,
            rotation_rad=1.5707963267948966,
        )

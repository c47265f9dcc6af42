"""The job in view: its parts as one would see them, on a sheet of their own, not to scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import shapely
from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace
from shapely import STRtree

from railsheet.sheets.drawing import FIGURE_MM, LINE_PITCH, add_note
from railsheet.sheets.lettering import text_width_mm, wrap
from railsheet.sheets.paper import Rect
from railsheet.sheets.sheet import SheetFrame
from railsheet.solids.view_lines import FlatPoint, JobInView, PartsInView, SeenPost

TITLE = "The job in view"
WORDS = (
    "Seen from above, not to scale: take no figure from it. Floors, decks and walls are shown in "
    "part."
)
_APART = "What bears a name below it is shown by itself: no plan says where it stands."

# The layer of each kind of part.
LAYER = {
    "post": "POST",
    "rail": "RAIL",
    "bracket": "BRACKET",
    "baluster": "BALUSTER",
    "fillet": "BALUSTER",
    "cable": "BALUSTER",
    "fitting": "RAIL",
    "brace": "BALUSTER",
    "pane": "RAIL",
    "member": "BALUSTER",
    "ground": "STAIR",
}
# One thin pen, hundredths of a mm: the parts are small.
_PEN = 13
# Between pictures side by side, round them for their letters, and over the words at the foot, mm.
_BETWEEN_MM, _ROUND_MM, _FOOT_MM = 10.0, 6.0, 5.0
# Lines are drawn to this many decimals of a millimetre of paper.
_PLACES = 3
# From a post's end to its letters, and clear round them, mm.
_OFF_MM, _CLEAR_MM = 2.0, 0.7


def draw_view(doc: Drawing, view: JobInView, frame: SheetFrame, number: int) -> Paperspace:
    """Add the sheet, drawn on paper: in model space its lines would be measured as lengths."""
    layout, _ = frame.start(doc, "in view", TITLE, number, None)
    room = frame.room(False)
    words = f"{WORDS} {_APART}" if len(view) > 1 else WORDS
    missing = [bay for parts in view for bay in parts.missing]
    if missing:
        words += f" Infill is missing from this view: {'; '.join(missing)}."
    told = wrap(words, FIGURE_MM, room.size[0])
    foot = room.bottom + FIGURE_MM * (1 + LINE_PITCH * (len(told) - 1)) + 0.5
    add_note(layout, "\n".join(told), (room.left, foot), layer="TITLE")
    inner = Rect(room.left, foot + _FOOT_MM, room.right, room.top).inset(_ROUND_MM)
    boxes = [_box(parts) for parts in view]
    wide = inner.size[0] - _BETWEEN_MM * (len(view) - 1)
    scale = min(
        wide / sum(box.size[0] for box in boxes),
        inner.size[1] / max(box.size[1] for box in boxes),
    )
    used = scale * sum(box.size[0] for box in boxes) + _BETWEEN_MM * (len(view) - 1)
    left = inner.centre[0] - used / 2
    lines: list[tuple[FlatPoint, ...]] = []
    posts: list[SeenPost] = []
    taken: list[shapely.Polygon] = []
    for parts, box in zip(view, boxes, strict=True):
        low = inner.centre[1] - scale * box.size[1] / 2
        place = _Place(scale, (left - scale * box.left, low - scale * box.bottom))
        lines += _draw(layout, parts, place)
        posts += [SeenPost(p.mark, place.at(p.foot), place.at(p.top)) for p in parts.posts]
        if len(view) > 1:
            at = left + scale * box.size[0] / 2, low - _OFF_MM - FIGURE_MM / 2
            taken.append(_block(parts.title, at))
            add_note(layout, parts.title, at, align=MTextEntityAlignment.MIDDLE_CENTER)
        left += scale * box.size[0] + _BETWEEN_MM
    within = Rect(room.left, foot + _CLEAR_MM, room.right, room.top)
    _letter(layout, posts, lines, taken, within)
    return layout


@dataclass(frozen=True)
class _Place:
    """Where parts are drawn: mm of paper to a mm of theirs, and where on paper their zero is."""

    scale: float
    origin: FlatPoint

    def at(self, point: FlatPoint) -> FlatPoint:
        """A point of theirs on paper, mm."""
        x, y = (self.scale * p + o for p, o in zip(point, self.origin, strict=True))
        return round(x, _PLACES), round(y, _PLACES)


def _box(parts: PartsInView) -> Rect:
    points = [point for line in parts.lines for point in line.points]
    across, up = [x for x, _ in points], [y for _, y in points]
    return Rect(min(across), min(up), max(across), max(up))


def _draw(layout: Paperspace, parts: PartsInView, place: _Place) -> Iterable[tuple[FlatPoint, ...]]:
    """Draw the lines, each once; what was drawn, mm of paper."""
    drawn = dict[tuple[FlatPoint, ...], str]()
    for line in parts.lines:
        points = tuple(point for point, _ in groupby(map(place.at, line.points)))
        if len(points) > 1:
            drawn.setdefault(points, LAYER[line.kind])
    for points, layer in sorted(drawn.items(), key=lambda item: (item[1], item[0])):
        looks = {"layer": layer, "lineweight": _PEN}
        if len(points) == 2:
            layout.add_line(*points, dxfattribs=looks)
        else:
            layout.add_lwpolyline(points, dxfattribs=looks)
    return drawn


def _letter(
    layout: Paperspace,
    posts: Sequence[SeenPost],
    lines: Sequence[tuple[FlatPoint, ...]],
    taken: Sequence[shapely.Polygon],
    within: Rect,
) -> None:
    """Each post's mark at its foot or over its top, where it touches nothing; else not at all."""
    tree = STRtree([shapely.LineString(points) for points in lines])
    words = [*taken]
    room = shapely.box(within.left, within.bottom, within.right, within.top)
    for post in posts:
        for at in _places(post):
            block = _block(post.mark, at)
            if len(tree.query(block, predicate="intersects")) or not room.covers(block):
                continue
            if any(block.intersects(other) for other in words):
                continue
            words.append(block)
            middle = MTextEntityAlignment.MIDDLE_CENTER
            add_note(layout, post.mark, at, align=middle, bold=True)
            break


def _block(text: str, at: FlatPoint) -> shapely.Polygon:
    """What a line of lettering takes, its middle there, and clear round it."""
    half = text_width_mm(text, FIGURE_MM, bold=True) / 2 + _CLEAR_MM
    high = FIGURE_MM / 2 + _CLEAR_MM
    return shapely.box(at[0] - half, at[1] - high, at[0] + half, at[1] + high)


def _places(post: SeenPost) -> Iterator[FlatPoint]:
    """Middles for a post's mark, the likeliest first."""
    half = text_width_mm(post.mark, FIGURE_MM, bold=True) / 2
    down, aside = _OFF_MM + FIGURE_MM / 2, _OFF_MM + half
    (x, y), (top_x, top_y) = post.foot, post.top
    for far in (1.0, 2.0, 3.0):
        yield x - far * aside, y
        yield x + far * aside, y
        yield x, y - far * down
        yield x - far * aside, y - down
        yield x + far * aside, y - down
        yield top_x, top_y + far * down

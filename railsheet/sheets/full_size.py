"""Sheets at full size: a base plate's holes and a rail's end at the post, to lay on the work.

On every sheet a bar along the foot and one up the side are of a stated length, so that a print at
any other scale is caught with a rule. What is larger than the paper is drawn in tiles that overlap.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.job.kit import Kit
from railsheet.layout.rail_ends import End
from railsheet.sheets.drawing import FIGURE_MM, HEADING_MM, add_note, add_text, document_unit
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen
from railsheet.sheets.rail_end_template import EndTemplate, end_templates
from railsheet.sheets.scales import Scale, standard_scales
from railsheet.sheets.schedule import RunWork
from railsheet.sheets.sheet import SheetFrame

CHECK = "job.check_length"
# Paper mm: the strips that hold the check bars, the heading over a template, between two of them.
_STRIP, _HEAD, _APART = 16.0, 14.0, 5.0
# Rows of dimensions beside a plate: one from the next, and room past the last.
_ROW, _PAST = 4.6, 4.0
# How far one tile of a large template reaches over the next.
_OVERLAP = 10.0


@dataclass(frozen=True)
class Template:
    """One thing drawn at full size. Lengths in mm.

    Attributes:
        title, words: over it.
        reach: what is drawn of it, dimensions included.
        draw: draws it with a pen of its own.
        body: the thing alone, without dimensions: what is shown where it goes in tiles.
        draw_body: draws that alone.
    """

    title: str
    words: str
    reach: Rect
    draw: Callable[[Pen], None]
    body: Rect
    draw_body: Callable[[Pen], None]


@dataclass(frozen=True)
class _Placed:
    """A template, or a tile of one, on a sheet: the window of it that is shown, and where."""

    template: Template
    shown: Rect
    at: Rect
    tile: str


def full_size_count(works: Sequence[RunWork], kit: Kit, frame: SheetFrame) -> int:
    """How many sheets the templates take."""
    return len(_laid(templates(works, kit), frame)[1])


def draw_full_size(
    doc: Drawing,
    works: Sequence[RunWork],
    kit: Kit,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
) -> None:
    """Add the full-size sheets to a document of their own, numbered from ``number``."""
    portrait, pages = _laid(templates(works, kit), frame)
    room = frame.room(portrait)
    scale = next(s for s in standard_scales(document_unit(doc)) if s.denominator == 1.0)
    down = 0.0
    for index, placed in enumerate(pages):
        name = "full size" + (f" {index + 1}" if index else "")
        layout, _ = frame.start(doc, name, "Full-size templates", number + index, scale, portrait)
        _check_bars(layout, Pen(doc.modelspace(), scale, book, (0.0, -down)), room)
        down += 2 * room.size[1]
        for each in placed:
            down = _show(doc, layout, each, scale, book, down)


def templates(works: Sequence[RunWork], kit: Kit) -> tuple[Template, ...]:
    """What the job has to lay on the work: its plate, then each raked run's rail ends."""
    found = []
    if kit.plate.holes and kit.plate.thickness_mm:
        found.append(_plate(kit))
    for work in works:
        found += [
            Template(t.title, t.words, t.reach, t.draw, t.reach, t.draw)
            for t in (*end_templates(work), *_wrapped(work))
        ]
    return tuple(found)


def _wrapped(work: RunWork) -> Iterable[EndTemplate]:
    """Paper to wrap round the ends that are cut askew or coped."""
    ends = (piece.rail.end(end) for piece in work.pieces.rails for end in End)
    if not any(end.slant or end.cope_mm for end in ends):
        return ()
    from railsheet.sheets.wrap_template import wrap_templates

    return wrap_templates(work)


def _plate(kit: Kit) -> Template:
    plate = kit.plate
    wide, deep = plate.along_mm, plate.across_mm

    def body(pen: Pen) -> None:
        pen.rect((0.0, 0.0), (wide, deep), "POST")
        half = kit.post.width_mm / 2
        if kit.post.round:
            pen.circle((wide / 2, deep / 2), half, "HIDDEN")
        else:
            low, high = (wide / 2 - half, deep / 2 - half), (wide / 2 + half, deep / 2 + half)
            pen.rect(low, high, "HIDDEN")
        for hole in plate.holes:
            x, y, radius = hole.along_mm, hole.across_mm, hole.size_mm / 2
            pen.circle((x, y), radius, "HOLE")
            pen.line((x - radius - 2.0, y), (x + radius + 2.0, y), "CENTRE")
            pen.line((x, y - radius - 2.0), (x, y + radius + 2.0), "CENTRE")

    def whole(pen: Pen) -> None:
        body(pen)
        for axis, rows in (("along", _places(kit, "along")), ("across", _places(kit, "across"))):
            for row, (at, key) in enumerate(rows, start=1):
                off = _ROW * row
                if axis == "along":
                    pen.dim((0.0, 0.0), (at, 0.0), (0.0, -off), LEVEL, key, outside="end")
                else:
                    pen.dim((0.0, 0.0), (0.0, at), (-off, 0.0), PLUMB, key, outside="end")
        sizes: dict[str, int] = {}
        for number in range(1, len(plate.holes) + 1):
            text = pen.book.text(f"kit.plate.hole.{number}.size")
            sizes[text] = sizes.get(text, 0) + 1
        pen.note(
            "\n".join(f"{count} holes {text} across" for text, count in sizes.items()),
            (wide / 2, deep / 2),
            align=MTextEntityAlignment.MIDDLE_CENTER,
        )

    rows = max(len(_places(kit, "along")), len(_places(kit, "across")))
    margin = _ROW * rows + _PAST
    return Template(
        "Base plate, holes to drill",
        "The run lies along the sheet. Dashed: the post, seen from above.",
        Rect(-margin, -margin, wide + 8.0, deep + 3.0),
        whole,
        Rect(0.0, 0.0, wide, deep),
        body,
    )


def _places(kit: Kit, way: str) -> list[tuple[float, str]]:
    """The distinct places of holes one way, nearest first, and the plate's whole size last."""
    seen: dict[float, str] = {}
    for number, hole in enumerate(kit.plate.holes, start=1):
        at = hole.along_mm if way == "along" else hole.across_mm
        seen.setdefault(round(at, 6), f"kit.plate.hole.{number}.{way}")
    size = kit.plate.along_mm if way == "along" else kit.plate.across_mm
    return [*sorted(seen.items()), (size, f"kit.plate.{way}")]


def _laid(found: Sequence[Template], frame: SheetFrame) -> tuple[bool, list[list[_Placed]]]:
    """Whether the sheets stand upright, and what is on each.

    A template in tiles has lost its dimensions: the paper is turned so that the fewest are, and
    then so that it takes the fewest sheets.
    """
    ways = [(portrait, _pages(found, frame.room(portrait))) for portrait in (False, True)]
    return min(
        ways,
        key=lambda way: (sum(bool(each.tile) for page in way[1] for each in page), len(way[1])),
    )


def _pages(found: Sequence[Template], room: Rect) -> list[list[_Placed]]:
    """Templates in rows, left to right and downward, a new sheet where one is full."""
    inner = Rect(room.left + _STRIP, room.bottom + _STRIP, room.right, room.top)
    pages: list[list[_Placed]] = []
    left, top, row = inner.left, inner.top, 0.0
    for template, shown, tile in _pieces(found, inner):
        wide, high = shown.size[0], shown.size[1] + _HEAD
        wide = max(
            wide,
            text_width_mm(_title(template, tile), HEADING_MM, bold=True),
            text_width_mm(_words(template, tile), FIGURE_MM),
        )
        if left + wide > inner.right + 1e-6:
            left, top, row = inner.left, top - row - _APART, 0.0
        if not pages or top - high < inner.bottom - 1e-6:
            pages.append([])
            left, top, row = inner.left, inner.top, 0.0
        bottom = top - high
        at = Rect(left, bottom, left + shown.size[0], top - _HEAD)
        pages[-1].append(_Placed(template, shown, at, tile))
        left += wide + _APART
        row = max(row, high)
    return pages


def _pieces(found: Sequence[Template], inner: Rect) -> Iterator[tuple[Template, Rect, str]]:
    """Each template whole, or, where it is larger than the paper, its body in tiles."""
    wide, high = inner.size[0], inner.size[1] - _HEAD
    for template in found:
        if template.reach.size[0] <= wide and template.reach.size[1] <= high:
            yield template, template.reach, ""
            continue
        across = _cuts(template.body.left, template.body.right, wide)
        up = _cuts(template.body.bottom, template.body.top, high)
        tiles = [(a, b) for b in reversed(up) for a in across]
        for number, ((left, right), (low, top)) in enumerate(tiles, start=1):
            yield template, Rect(left, low, right, top), f"part {number} of {len(tiles)}"


def _cuts(start: float, stop: float, most: float) -> list[tuple[float, float]]:
    """A length in equal stretches no longer than the paper, each reaching over the next."""
    count = 1
    while (stop - start + (count - 1) * _OVERLAP) / count > most:
        count += 1
    each = (stop - start + (count - 1) * _OVERLAP) / count
    starts = [start + n * (each - _OVERLAP) for n in range(count)]
    return [(at, at + each) for at in starts]


def _show(
    doc: Drawing,
    layout: Paperspace,
    placed: _Placed,
    scale: Scale,
    book: FigureBook,
    down: float,
) -> float:
    """Draw a template below what is drawn already, and its view; how far down it reaches."""
    template, shown, at = placed.template, placed.shown, placed.at
    whole = not placed.tile
    reach = template.reach if whole else template.body
    pen = Pen(doc.modelspace(), scale, book, (-reach.left, -down - reach.top))
    (template.draw if whole else template.draw_body)(pen)
    add_view(layout, at, pen.at(shown.centre), scale)
    title = _title(template, placed.tile)
    add_text(layout, title, (at.left, at.top + 8.0), height_mm=HEADING_MM, bold=True)
    add_text(layout, _words(template, placed.tile), (at.left, at.top + 2.5))
    if placed.tile:
        for low, high in pairwise(_corners(at)):
            layout.add_line(low, high, dxfattribs={"layer": "CENTRE"})
    return down + reach.size[1] + 2 * _STRIP


def _title(template: Template, tile: str) -> str:
    return f"{template.title}, {tile}" if tile else template.title


def _words(template: Template, tile: str) -> str:
    return "Each part reaches over the next: lay them together." if tile else template.words


def _corners(at: Rect) -> list[tuple[float, float]]:
    return [
        (at.left, at.bottom),
        (at.right, at.bottom),
        (at.right, at.top),
        (at.left, at.top),
        (at.left, at.bottom),
    ]


def _check_bars(layout: Paperspace, pen: Pen, room: Rect) -> None:
    """A bar along the foot and one up the left side, each of the check length."""
    length = pen.book.value(CHECK)
    pen.rect((0.0, 0.0), (length, 2.0), "BORDER")
    pen.dim((0.0, 2.0), (length, 2.0), (0.0, 5.0), LEVEL, CHECK, outside="none")
    beside = room.left + length + 8.0
    add_note(
        layout,
        "Lay a rule on both bars before use. Where either is not its length, the sheet was not "
        "printed at its own size: print it again at 100 %.",
        (beside, room.bottom + 9.5),
        width_mm=room.right - beside,
    )
    foot = Rect(room.left, room.bottom, room.right, room.bottom + 12.0)
    add_view(layout, foot, pen.at((foot.size[0] / 2 - 2.0, 5.0)), pen.scale)
    upright = Pen(
        pen.msp, pen.scale, pen.book, (pen.origin_mm[0], pen.origin_mm[1] - 30.0 - length)
    )
    upright.rect((0.0, 0.0), (2.0, length), "BORDER")
    upright.dim((2.0, 0.0), (2.0, length), (8.0, 0.0), PLUMB, CHECK, outside="none")
    side = Rect(room.left, foot.top + 1.0, room.left + 14.0, foot.top + length + 9.0)
    add_view(layout, side, upright.at((side.size[0] / 2 - 2.0, length / 2)), pen.scale)

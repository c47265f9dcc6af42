"""Pictures set onto as few sheets as they take, each at a standard scale that can be read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from railsheet.sheets.drawing import HEADING_MM, add_text
from railsheet.sheets.paper import Rect
from railsheet.sheets.scales import Scale

# Between two pictures on a sheet, mm.
GAP_MM = 4.0
# What a millionth of a millimetre settles is no matter of room.
_SLACK_MM = 1e-6


@dataclass(frozen=True)
class Hook:
    """Where a picture is hung.

    Attributes:
        doc: the document of the picture's run.
        layout: its sheet there.
        place: the picture's place on that sheet, mm.
        below_mm: model space of the document is free below this height, mm of the real thing.
        noted: whether the picture must say its own scale, for the sheet holds several.
        shared: whether other runs are on the sheet, so that the picture must say whose it is.
        number: the sheet's.
        elsewhere: the sheet on which each part of the run is drawn, by the part's number.
    """

    doc: Drawing
    layout: Paperspace
    place: Rect
    below_mm: float
    noted: bool
    shared: bool
    number: int
    elsewhere: Mapping[int, int]

    def heading(self, words: str, scale: Scale, part: tuple[int, int] = (1, 1)) -> None:
        """Letter a picture's name at its head: which part of how many, and its own scale."""
        number, total = part
        if total > 1:
            words += f", part {number} of {total}"
        if self.noted:
            words += f".  Scale {scale.name}"
        at = (self.place.left, self.place.top - HEADING_MM)
        add_text(self.layout, words, at, height_mm=HEADING_MM, bold=True)


@dataclass(frozen=True)
class Picture:
    """One drawn figure with its words, ready to be hung on a sheet.

    Attributes:
        run: mark of the run in whose document it is drawn.
        size_mm: how wide and high it is on paper, mm.
        scale: what it is drawn at; None for one not to scale.
        draw: draws it on its hook; what it returns is the height below which model space is free
            again, mm of the real thing.
        part: which part of its run it shows, from 1.
        short: whether it leaves words for the schedule, having no room for them.
    """

    run: str
    size_mm: tuple[float, float]
    scale: Scale | None
    draw: Callable[[Hook], float]
    part: int = 1
    short: bool = False


# The pictures of one sheet, each in its place, mm.
Hung = tuple[tuple[Picture, Rect], ...]


@dataclass
class _Shelf:
    """A row of pictures: its top, its height, and how far it is filled, mm."""

    top: float
    high: float
    filled: float


def fits(picture: Picture, room: Rect) -> bool:
    """Whether a picture is no larger than a sheet's room."""
    return all(a <= b + _SLACK_MM for a, b in zip(picture.size_mm, room.size, strict=True))


def pack(pictures: Sequence[Picture], room: Rect) -> tuple[Hung, ...]:
    """Pictures in order on shelves, each on the first that has room for it.

    No picture hangs on a sheet before the last one of its run.

    Returns:
        For each sheet, its pictures in place, the top left corners aligned along each shelf.

    Raises:
        ValueError: a picture is larger than the sheet.
    """
    sheets: list[list[tuple[Picture, Rect]]] = []
    shelves: list[list[_Shelf]] = []
    reached: dict[str, int] = {}
    for picture in pictures:
        wide, high = picture.size_mm
        if not fits(picture, room):
            raise ValueError(f"a picture of {wide:.0f} by {high:.0f} mm is larger than its sheet")
        for number in range(reached.get(picture.run, 0), len(sheets) + 1):
            if number == len(sheets):
                sheets.append([])
                shelves.append([])
            shelf = _shelf_for(shelves[number], picture.size_mm, room)
            if shelf is None:
                continue
            reached[picture.run] = number
            left = shelf.filled
            shelf.filled += wide + GAP_MM
            sheets[number].append((picture, Rect(left, shelf.top - high, left + wide, shelf.top)))
            break
    return tuple(tuple(sheet) for sheet in sheets)


def _shelf_for(shelves: list[_Shelf], size: tuple[float, float], room: Rect) -> _Shelf | None:
    """The first shelf of a sheet that has room, or a new one under the others."""
    wide, high = size
    for shelf in shelves:
        if high <= shelf.high + _SLACK_MM and shelf.filled + wide <= room.right + _SLACK_MM:
            return shelf
    top = shelves[-1].top - shelves[-1].high - GAP_MM if shelves else room.top
    if top - high < room.bottom - _SLACK_MM:
        return None
    shelves.append(_Shelf(top, high, room.left))
    return shelves[-1]


def fewest_sheets(choices: Sequence[Sequence[Picture]], room: Rect) -> tuple[Hung, ...]:
    """Of several ways to draw the same things, the first that takes the fewest sheets.

    Args:
        choices: the same pictures drawn at several scales, the largest first.
    """
    packed = [pack(pictures, room) for pictures in choices]
    return min(packed, key=len)


def runs_short(sheets: Iterable[Hung]) -> set[str]:
    """Marks of the runs whose pictures do not hold all that is to be said."""
    return {picture.run for hung in sheets for picture, _ in hung if picture.short}

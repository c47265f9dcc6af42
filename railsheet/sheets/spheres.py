"""The greatest sphere that passes each opening, drawn in place as a circle with its diameter.

Where the figures of a bay's openings of one sort have not all room, the chief ones keep theirs and
the rest are numbered: a list on the sheet gives each number's diameter.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from ezdxf.enums import MTextEntityAlignment

from railsheet.checks.flight_checks import CheckedOpening
from railsheet.checks.measured import places
from railsheet.checks.openings_of import Sort
from railsheet.figures.findings import opening_key
from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.free_room import FreeRoom
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.panel import Line, lines_high_mm
from railsheet.sheets.paper import Rect
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, Point
from railsheet.sheets.schedule import RunWork

# Paper mm between a circle and a diameter that stands outside it, and further out where that
# place is taken.
_CLEAR_MM = 1.8
_FURTHER_MM = (0.0, 3.5, 7.0)
# An opening this near to a limit keeps its figure beside it: a sixteenth of an inch, which a tape
# read twice may turn. Common practice, no source.
_NEAR_MM = 25.4 / 16


@dataclass(frozen=True)
class _Circle:
    """One circle to draw.

    Attributes:
        key: its diameter's, in the book.
        chief: whether its figure stands beside it before others: it is outside a limit or near
            one, or the greatest of its sort in its bay.
        upright: whether it stands between plumb members, with room over and under it alone.
    """

    checked: CheckedOpening
    key: str
    chief: bool
    upright: bool

    @property
    def layer(self) -> str:
        """What it is drawn on."""
        return "FINDING" if self.checked.outside else "DIM"

    @property
    def centre(self) -> Point:
        """In the view."""
        circle = self.checked.opening.circle
        return circle.s_mm, circle.z_mm

    @property
    def radius_mm(self) -> float:
        """Half its diameter."""
        return self.checked.opening.circle.diameter_mm / 2

    @property
    def group(self) -> tuple[str, str]:
        """Its bay and its sort."""
        return _group_of(self.checked)


def draw_spheres(
    pen: Pen,
    work: RunWork,
    *,
    outside_only: bool,
    between_mm: tuple[float, float] = (-math.inf, math.inf),
) -> tuple[Line, ...]:
    """Draw the circles of one run; those outside a limit on the FINDING layer.

    Beside every step and on the flats there is one each; of the openings through the infill
    there are those at the posts of each bay, those that stand outside, and the widest. Drawn last,
    so that figures find their room among the rest.

    Args:
        outside_only: leave out what stands within its limits, or has none, and number nothing:
            a shop drawing's notices name every place that is outside.
        between_mm: leave out what lies outside these places along the run.

    Returns:
        What the numbers in circles stand for; nothing where every figure had room.
    """
    low, high = between_mm
    circles = [
        circle
        for circle in _circles(work)
        if (circle.checked.outside or not outside_only) and low <= circle.centre[0] <= high
    ]
    room = FreeRoom(pen)
    for circle in circles:
        pen.circle(circle.centre, circle.radius_mm, circle.layer, key=circle.key)
        room.stand(circle.key, circle.centre, circle.radius_mm)
    numbered: list[_Circle] = []
    for _, group in groupby(sorted(circles, key=_group), key=_group):
        numbered += _set_figures(pen, room, list(group))
    if outside_only:
        return ()
    numbered.sort(key=circles.index)
    for number, circle in enumerate(numbered, start=1):
        _set_number(pen, room, circle, f"{number}")
    return _list(pen, numbered)


def _group_of(checked: CheckedOpening) -> tuple[str, str]:
    return checked.opening.where.partition(",")[0], checked.opening.sort.value


def _group(circle: _Circle) -> tuple[str, str]:
    return circle.group


def _circles(work: RunWork) -> Iterator[_Circle]:
    assert work.checks is not None, "only a checked run has openings to draw"
    openings = work.checks.openings
    infill = [each for each in openings if each.opening.sort is Sort.INFILL]
    widest = max(infill, key=_diameter, default=None)
    drawn = [
        (opening_key(work.mark, number), checked)
        for number, checked in enumerate(openings, start=1)
        if _diameter(checked) > 0.0
        and (checked.opening.sort is not Sort.INFILL or checked.outside or checked is widest)
    ]
    rows = {f"bay {bay.number}" for bay in work.railing.bays if bay.infill.row is not None}
    greatest: dict[tuple[str, str], CheckedOpening] = {}
    for _, checked in drawn:
        group = _group_of(checked)
        greatest[group] = max(greatest.get(group, checked), checked, key=_diameter)
    for key, checked in drawn:
        group = _group_of(checked)
        near = any(f.margin is not None and abs(f.margin) <= _NEAR_MM for f in checked.findings)
        chief = checked.outside or near or checked is greatest[group]
        upright = checked.opening.sort in (Sort.INFILL, Sort.END) and group[0] in rows
        yield _Circle(checked, key, chief, upright)


def _diameter(checked: CheckedOpening) -> float:
    return checked.opening.circle.diameter_mm


def _set_figures(pen: Pen, room: FreeRoom, group: Sequence[_Circle]) -> list[_Circle]:
    """Set the figures of one group beside their circles.

    Returns:
        The circles left without.
    """
    mark = room.mark()
    if not all(_find(pen, room, circle) for circle in group):
        room.back_to(mark)
        chief = [circle for circle in group if circle.chief]
        # What is outside a limit finds its place first.
        chief.sort(key=lambda circle: not circle.checked.outside)
    else:
        room.back_to(mark)
        chief = list(group)
    left = [circle for circle in group if circle not in chief]
    for circle in chief:
        place = _find(pen, room, circle)
        if place is None:
            left.append(circle)
        else:
            _write(pen, circle, pen.book.text(circle.key), place, key=circle.key)
    return left


def _find(pen: Pen, room: FreeRoom, circle: _Circle) -> tuple[Point, float] | None:
    text = pen.book.text(circle.key)
    return room.first_free(text, _places(pen, circle, text), own=circle.key)


def _places(pen: Pen, circle: _Circle, text: str) -> Iterator[tuple[Point, float]]:
    """Where a circle's figure may stand, and how it is turned, the best first."""
    (s, z), radius = circle.centre, circle.radius_mm
    long = pen.paper(text_width_mm(text, FIGURE_MM))
    if circle.upright:
        # Between two balusters there is room only along them.
        for side in (1, -1):
            for further in _FURTHER_MM:
                reach = radius + pen.paper(_CLEAR_MM + further) + long / 2
                yield (s, z + side * reach), PLUMB
        return
    if long <= 0.95 * 2 * radius:
        yield (s, z), LEVEL
    if circle.checked.opening.sort in (Sort.INFILL, Sort.END):
        return
    for further in _FURTHER_MM:
        # It then stands on the line of the tread or the plate.
        yield (s, z - radius - pen.paper(_CLEAR_MM + further + FIGURE_MM / 2)), LEVEL


def _set_number(pen: Pen, room: FreeRoom, circle: _Circle, number: str) -> None:
    """A number within its circle, or beside one too small or taken."""
    (s, z), radius = circle.centre, circle.radius_mm
    beside = radius + pen.paper(_CLEAR_MM + text_width_mm(number, FIGURE_MM) / 2)
    found = [((s, z), LEVEL)] if pen.paper(FIGURE_MM) < 1.7 * radius else []
    for further in _FURTHER_MM:
        out = beside + pen.paper(further)
        found += [((s + out, z), LEVEL), ((s - out, z), LEVEL)]
        found += [((s, z + out), LEVEL), ((s, z - out), LEVEL)]
    _write(
        pen, circle, number, room.first_free(number, found, own=circle.key) or found[0], key=None
    )


def _write(
    pen: Pen, circle: _Circle, text: str, place: tuple[Point, float], *, key: str | None
) -> None:
    at, rotation = place
    pen.note(
        text,
        at,
        align=MTextEntityAlignment.MIDDLE_CENTER,
        rotation_rad=rotation,
        mask=rotation == LEVEL and at != circle.centre,
        layer="FINDING" if circle.checked.outside else "TEXT",
        key=key,
    )


def _list(pen: Pen, numbered: Sequence[_Circle]) -> tuple[Line, ...]:
    """What each number stands for; those that print one and the same diameter on one line."""
    groups: dict[tuple[str, bool], list[str]] = {}
    for number, circle in enumerate(numbered, start=1):
        alike = pen.book.text(circle.key), circle.checked.outside
        groups.setdefault(alike, []).append(f"no. {number}")
    return tuple(
        Line(f"{shown}: {places(names)}", layer="FINDING" if outside else "TEXT")
        for (shown, outside), names in groups.items()
    )


def numbered_lines(numbers: Sequence[Line]) -> tuple[Line, ...]:
    """The list of numbered circles under its heading; nothing where there are none."""
    if not numbers:
        return ()
    return Line("Diameters of the numbered circles", heading=True), *numbers


def shortened(lines: Sequence[Line], room: Rect) -> tuple[Line, ...]:
    """As many lines as a column holds; where some are left over the last says where they are."""
    if lines_high_mm(lines, room.size[0]) <= room.size[1]:
        return tuple(lines)
    more = Line("More circles than this sheet can list: the findings name every opening.")
    kept = list(lines)
    while kept and lines_high_mm((*kept, more), room.size[0]) > room.size[1]:
        kept.pop()
    return (*kept, more)

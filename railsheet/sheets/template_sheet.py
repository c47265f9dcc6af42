"""Templates of flat infill: each pane at a scale, every edge and both diagonals dimensioned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.layout.infill.parts import Template
from railsheet.layout.railing import Bay
from railsheet.sheets.drawing import HEADING_MM
from railsheet.sheets.packing import Hook, Hung, Picture
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import PLUMB, Pen, Point
from railsheet.sheets.scales import MM_PER_UNIT, Scale, Unit, best_scale
from railsheet.sheets.schedule import RunWork

# Paper mm round a template: its name above, its dimensions on every side.
_TITLE_MM, _ROUND_MM = 12.0, 20.0


def template_sheets(
    works: Sequence[RunWork], book: FigureBook, room: Rect, unit: Unit
) -> tuple[Hung, ...]:
    """A sheet for each run whose infill is cut by templates."""
    return tuple(
        ((_picture(work, book, room, unit), room),)
        for work in works
        if any(bay.infill.templates for bay in work.railing.bays)
    )


def _found(work: RunWork) -> list[tuple[Bay, Template]]:
    return [(bay, template) for bay in work.railing.bays for template in bay.infill.templates]


def _picture(work: RunWork, book: FigureBook, room: Rect, unit: Unit) -> Picture:
    per = MM_PER_UNIT[unit]
    sizes = [_size(template) for _, template in _found(work)]
    wide, high = max(w for w, _ in sizes), max(h for _, h in sizes)
    column = room.size[0] / len(sizes)
    free = column - 2 * _ROUND_MM, room.size[1] - _TITLE_MM - 2 * _ROUND_MM
    scale = best_scale((wide / per, high / per), free, unit)
    return Picture(work.mark, room.size, scale, partial(_hang, work, book, scale))


def _hang(work: RunWork, book: FigureBook, scale: Scale, hook: Hook) -> float:
    """Every template side by side."""
    room, found = hook.place, _found(work)
    sizes = [_size(template) for _, template in found]
    wide, high = max(w for w, _ in sizes), max(h for _, h in sizes)
    column = room.size[0] / len(found)
    for index, (bay, template) in enumerate(found):
        step = (wide + 2 * _ROUND_MM * scale.denominator) * index
        a = template.outline[0]
        # Clear of what lies above by a whole view's height.
        low = hook.below_mm - room.size[1] * scale.denominator
        pen = Pen(hook.doc.modelspace(), scale, book, (step - a[0], low - a[1]))
        _draw(pen, work, bay, template)
        view = Rect(
            room.left + index * column, room.bottom, room.left + (index + 1) * column, room.top
        )
        w, h = sizes[index]
        centre = (a[0] + w / 2, a[1] + h / 2 + pen.paper(_TITLE_MM / 2))
        add_view(hook.layout, view, pen.at(centre), scale)
    return hook.below_mm - high - 2 * room.size[1] * scale.denominator


def _size(template: Template) -> tuple[float, float]:
    across = [s for s, _ in template.outline]
    up = [z for _, z in template.outline]
    return max(across) - min(across), max(up) - min(up)


def _draw(pen: Pen, work: RunWork, bay: Bay, template: Template) -> None:
    key = f"{work.mark}.bay.{bay.number}.pane"
    a, b, c, d = template.outline
    rake = math.atan2(b[1] - a[1], b[0] - a[0])
    pen.outline(template.outline, "RAIL")
    below = pen.paper(9.0)
    pen.dim(a, b, _off(a, rake, -below), rake, f"{key}.raked", note="both raked edges")
    pen.dim(a, d, (a[0] - below, a[1]), PLUMB, f"{key}.plumb", note="both plumb edges")
    rising = math.atan2(c[1] - a[1], c[0] - a[0])
    falling = math.atan2(b[1] - d[1], b[0] - d[0])
    # The diagonals cross at their middles, where their figures would stand: each is set aside.
    pen.dim(a, c, _off(a, rising, pen.paper(9.0)), rising, f"{key}.rising")
    pen.dim(d, b, _off(d, falling, -pen.paper(9.0)), falling, f"{key}.falling")
    pen.angle(a, b, d, pen.paper(12.0), f"{key}.corner")
    top = max(z for _, z in template.outline) + pen.paper(_ROUND_MM - 4.0)
    left = min(s for s, _ in template.outline)
    pen.note(
        f"{work.mark}{bay.number}-{template.suffix}   {template.name}",
        (left - pen.paper(_ROUND_MM - 3.0), top + pen.paper(6.0)),
        height_mm=HEADING_MM,
        bold=True,
    )
    pen.note(
        "Seen from the walking side, uphill to the right. Outline of the pane, its bites included.",
        (left - pen.paper(_ROUND_MM - 3.0), top),
        align=MTextEntityAlignment.BOTTOM_LEFT,
    )


def _off(point: Point, along_rad: float, up_mm: float) -> Point:
    """A point moved square to a direction, to its left."""
    return point[0] - up_mm * math.sin(along_rad), point[1] + up_mm * math.cos(along_rad)

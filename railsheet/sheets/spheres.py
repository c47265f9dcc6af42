"""The greatest sphere that passes an opening, drawn in place as a circle with its diameter."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ezdxf.enums import MTextEntityAlignment

from railsheet.checks.flight_checks import CheckedOpening
from railsheet.checks.openings_of import Sort
from railsheet.figures.findings import opening_key
from railsheet.sheets.drawing import FIGURE_MM
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.pen import PLUMB, Pen
from railsheet.sheets.schedule import RunWork

# Paper mm between a circle and a diameter that stands outside it.
_CLEAR_MM = 1.8


def draw_spheres(
    pen: Pen,
    work: RunWork,
    *,
    outside_only: bool,
    between_mm: tuple[float, float] = (-math.inf, math.inf),
) -> None:
    """Draw the circles of one run; those outside a limit on the FINDING layer.

    Beside every step and on the flats there is one each; of the openings through the infill
    there are the two at the posts of each bay, those that stand outside, and the widest.

    Args:
        outside_only: leave out what stands within its limits, or has none.
        between_mm: leave out what lies outside these places along the run.
    """
    for number, checked in _drawn(work):
        if outside_only and not checked.outside:
            continue
        if not between_mm[0] <= checked.opening.circle.s_mm <= between_mm[1]:
            continue
        _draw(pen, checked, opening_key(work.mark, number))


def _drawn(work: RunWork) -> Iterator[tuple[int, CheckedOpening]]:
    assert work.checks is not None, "only a checked run has openings to draw"
    openings = work.checks.openings
    infill = [each for each in openings if each.opening.sort is Sort.INFILL]
    widest = max(infill, key=lambda each: each.opening.circle.diameter_mm, default=None)
    for number, checked in enumerate(openings, start=1):
        if checked.opening.sort is not Sort.INFILL or checked.outside or checked is widest:
            yield number, checked


def _draw(pen: Pen, checked: CheckedOpening, key: str) -> None:
    circle = checked.opening.circle
    layer = "FINDING" if checked.outside else "DIM"
    centre, radius = (circle.s_mm, circle.z_mm), circle.diameter_mm / 2
    if radius <= 0.0:
        return
    pen.circle(centre, radius, layer)
    text = pen.book.text(key)
    long = text_width_mm(text, FIGURE_MM)
    rotation, at, mask = 0.0, centre, False
    if checked.opening.sort in (Sort.INFILL, Sort.END):
        # Between two balusters there is room only along them.
        rotation = PLUMB
        at = (centre[0], centre[1] + radius + pen.paper(_CLEAR_MM + long / 2))
    elif long > 0.95 * circle.diameter_mm / pen.scale.denominator:
        # It then stands on the line of the tread or the plate.
        at = (centre[0], centre[1] - radius - pen.paper(_CLEAR_MM + FIGURE_MM / 2))
        mask = True
    pen.note(
        text,
        at,
        align=MTextEntityAlignment.MIDDLE_CENTER,
        rotation_rad=rotation,
        mask=mask,
        layer="FINDING" if checked.outside else "TEXT",
        key=key,
    )

"""A handrail seen square on from the walk: a sheet for each straight of wall or posts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.figures.handrail import bracket_key, straight_datum_mm
from railsheet.job.handrail import Holds
from railsheet.layout.handrail_model import Handrail
from railsheet.layout.notice import Weight
from railsheet.sheets.drawing import FIGURE_MM, document_unit
from railsheet.sheets.handrail_outline import draw_brackets, draw_rail, draw_steps, place
from railsheet.sheets.handrail_work import HandrailWork
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.panel import Line, lines_high_mm, set_lines
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, RunningMark
from railsheet.sheets.scales import MM_PER_UNIT, best_scale
from railsheet.sheets.sheet import SheetFrame
from railsheet.units.display import Tape

# Room on paper round the drawn straight, mm.
_SIDE, _BELOW, _ABOVE = 12.0, 40.0, 16.0
_PANEL_WIDE_MM = 84.0
_LEADER = 9.0
# How far surfaces are drawn past the rail and the steps, mm of the real thing.
_RUN_ON_MM = 150.0
# Paper mm that two plumb figures need from one to the next.
_APART_MM = 4.5


def reach(handrail: Handrail, straight: int) -> Rect:
    """What is drawn of one straight, mm of the real thing."""
    way = handrail.way.straights[straight]
    places = [c.along_mm for c in handrail.corners if c.straight == straight]
    places += [c.after_mm for c in handrail.corners if c.straight == straight - 1]
    noses = [flight.nose_mm + nose.s_mm for flight in way.flights for nose in flight.stair.noses]
    low, high = min((*places, *noses)) - _RUN_ON_MM, max((*places, *noses)) + _RUN_ON_MM
    if straight:
        low = 0.0
    if math.isfinite(way.length_mm):
        high = way.length_mm
    tops = [
        corner.at[2]
        for corner in handrail.corners
        if straight in (corner.straight, corner.straight + (corner.words == "turn"))
    ]
    return Rect(low, way.floor_mm, high, max(tops) + handrail.spec.kit.section.depth_mm)


def draw_straight(
    doc: Drawing,
    work: HandrailWork,
    straight: int,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    below_mm: float,
) -> float:
    """Add the sheet of one straight; it lies in model space below ``below_mm``.

    Returns:
        How far down model space is taken by it, mm.
    """
    handrail = work.handrail
    unit = document_unit(doc)
    per = MM_PER_UNIT[unit]
    shown = reach(handrail, straight)
    room = frame.room(False)
    space = Rect(room.left, room.bottom, room.right - _PANEL_WIDE_MM - 4.0, room.top)
    free = space.size[0] - 2 * _SIDE, space.size[1] - _BELOW - _ABOVE
    scale = best_scale((shown.size[0] / per, shown.size[1] / per), free, unit)
    several = len(handrail.way.straights) > 1
    title = f"{work.title}: elevation"
    if several:
        title += f" on {_noun(handrail)} {straight + 1}"
    name = f"{work.mark} elevation {straight + 1}"
    layout, _ = frame.start(doc, name, title, number, scale)
    # Model space keeps every sheet's drawing apart from the others'.
    top = below_mm - space.size[1] * scale.denominator
    pen = Pen(doc.modelspace(), scale, book, (0.0, top - shown.top))
    draw_steps(pen, handrail.way.straights[straight], shown.left, shown.right)
    _wall_corners(pen, handrail, straight, shown)
    _supports(pen, handrail, straight, shown)
    draw_rail(pen, handrail, straight)
    draw_brackets(pen, handrail, straight)
    _dimension(pen, handrail, straight, shown)
    centre = (
        (shown.left + shown.right) / 2,
        (shown.bottom + shown.top) / 2 + pen.paper((_ABOVE - _BELOW) / 2),
    )
    add_view(layout, space, pen.at(centre), scale)
    lines = (
        *(attention(work, book.tape) if not straight else ()),
        *_set_out(work, straight, book),
    )
    column = Rect(room.right - _PANEL_WIDE_MM, room.bottom, room.right, room.top)
    if lines_high_mm(lines, _PANEL_WIDE_MM) <= column.size[1]:
        set_lines(layout, lines, column)
    else:
        more = Line("MORE on the schedule sheet, under Attention.", layer="FINDING")
        high = lines_high_mm((more,), _PANEL_WIDE_MM) + 1.0
        foot = Rect(column.left, column.bottom, column.right, column.bottom + high)
        set_lines(layout, lines, Rect(column.left, foot.top, column.right, column.top))
        set_lines(layout, (more,), foot)
    return top - pen.paper(2 * space.size[1])


def _noun(handrail: Handrail) -> str:
    return "posts" if handrail.spec.holds is Holds.POSTS else "wall"


def _wall_corners(pen: Pen, handrail: Handrail, straight: int, shown: Rect) -> None:
    """The wall's corners at either end, plumb."""
    way = handrail.way.straights[straight]
    for present, at in ((straight > 0, 0.0), (math.isfinite(way.length_mm), way.length_mm)):
        if present:
            foot = way.surface_mm(at) if at else way.floor_mm
            pen.line((at, foot), (at, shown.top + pen.paper(4)), "STAIR")


def _supports(pen: Pen, handrail: Handrail, straight: int, shown: Rect) -> None:
    """Studs, or posts' middles, as hidden plumb lines that reach past the rail."""
    way = handrail.way.straights[straight]
    for support in way.supports or ():
        x = support.along_mm
        if shown.left <= x <= shown.right:
            foot = way.surface_mm(x)
            head = min(support.top_mm, foot + handrail.spec.height_mm + pen.paper(8))
            pen.line((x, foot), (x, head), "HIDDEN")


def _dimension(pen: Pen, handrail: Handrail, straight: int, shown: Rect) -> None:
    at, way = handrail.mark, handrail.way.straights[straight]
    mine = [b for b in handrail.brackets if b.straight == straight]
    datum = straight_datum_mm(handrail, straight)
    low = shown.bottom
    if not straight:
        pen.line((datum, low - pen.paper(16)), (datum, low + pen.paper(7)), "CENTRE")
    marks = [
        RunningMark((b.along_mm, low), f"{bracket_key(handrail, b.number)}.along", f"({b.number})")
        for b in mine
    ]
    if marks:
        pen.running((datum, low), marks, -pen.paper(_LEADER), "x")
    taken = []
    for bracket in mine:
        foot = (bracket.along_mm, bracket.surface_z_mm)
        head = (bracket.along_mm, bracket.plate_z_mm)
        pen.dim(foot, head, foot, PLUMB, f"{bracket_key(handrail, bracket.number)}.height")
        taken.append(bracket.along_mm)
    for flight in way.flights:
        for number, nose in enumerate(flight.stair.noses, start=1):
            x = flight.nose_mm + nose.s_mm
            if all(abs(x - other) > pen.paper(_APART_MM) for other in taken):
                foot = (x, flight.floor_mm + nose.z_mm)
                head = (
                    x,
                    flight.floor_mm + nose.z_mm + handrail.line(flight.mark).height_over(nose),
                )
                key = f"{at}.over.{flight.mark}.nose.{number}.height"
                pen.dim(foot, head, foot, PLUMB, key)
    for bracket in mine:
        # Beside the arm, clear of its plate's own height below.
        pen.note(
            f"{bracket.number}",
            (bracket.along_mm + pen.paper(1.2), bracket.plate_z_mm - pen.paper(1.2)),
            align=MTextEntityAlignment.MIDDLE_LEFT,
            bold=True,
            mask=True,
        )
    _extensions(pen, handrail, straight, shown)
    for piece in handrail.pieces:
        if handrail.corners[piece.stop].straight != straight:
            continue
        if piece in handrail.returns:
            continue
        _name_piece(pen, handrail, piece.start, piece.stop, piece.mark, straight)


def _figures_mm(pen: Pen, handrail: Handrail) -> float:
    """How far under the steps the row of brackets reaches, on paper."""
    texts = [
        f"{pen.book.text(f'{bracket_key(handrail, b.number)}.along')} ({b.number})"
        for b in handrail.brackets
    ]
    return _LEADER + max((text_width_mm(text, FIGURE_MM) for text in texts), default=0.0)


def _name_piece(
    pen: Pen, handrail: Handrail, start: int, stop: int, mark: str, straight: int
) -> None:
    a, b = place(handrail, start, straight), place(handrail, stop, straight)
    turned = math.atan2(b[1] - a[1], b[0] - a[0])
    up = handrail.spec.kit.section.depth_mm / 2 + pen.paper(2.6)
    middle = (a[0] + b[0]) / 2 - up * math.sin(turned), (a[1] + b[1]) / 2 + up * math.cos(turned)
    pen.note(
        mark,
        middle,
        align=MTextEntityAlignment.MIDDLE_CENTER,
        rotation_rad=turned,
        bold=True,
        mask=True,
    )


def _extensions(pen: Pen, handrail: Handrail, straight: int, shown: Rect) -> None:
    at = handrail.mark
    low, high = handrail.ends
    if not straight:
        flight = handrail.way.straights[0].flights[0]
        riser = flight.first_riser_mm
        base = shown.bottom - pen.paper(_figures_mm(pen, handrail) + 5.0)
        ends = sorted((low.along_mm, flight.nose_mm))
        if ends[1] - ends[0] > pen.paper(0.2):
            pen.dim(
                (ends[0], shown.bottom),
                (ends[1], shown.bottom),
                (ends[0], base),
                LEVEL,
                f"{at}.start.from_nose",
                note="datum to nose 1",
                outside="end",
            )
        if handrail.bottom.sloping_mm > 0:
            z = low.at[2] + pen.paper(9)
            start = riser - handrail.bottom.sloping_mm
            pen.dim(
                (start, low.at[2]),
                (riser, low.at[2]),
                (start, z),
                LEVEL,
                f"{at}.bottom.sloping",
                outside="start",
            )
    if straight == len(handrail.way.straights) - 1:
        flight = handrail.way.straights[-1].flights[-1]
        riser = flight.top_riser_mm
        end = riser + handrail.top.reach_mm
        if handrail.top.level_mm > 0:
            z = high.at[2] + pen.paper(9)
            begins = end - handrail.top.level_mm
            pen.dim(
                (begins, high.at[2]),
                (end, high.at[2]),
                (end, z),
                LEVEL,
                f"{at}.top.level",
                note="level",
                outside="end",
            )


def attention(work: HandrailWork, tape: Tape) -> tuple[Line, ...]:
    """What needs attention, the gravest first."""
    if not work.notices:
        return ()
    lines = [Line("Attention", heading=True)]
    for notice in work.notices:
        stop = notice.weight is Weight.STOP
        words = f"{'STOP: ' if stop else ''}{notice.text(tape)}"
        lines.append(Line(words[0].upper() + words[1:], layer="FINDING" if stop else "TEXT"))
    return tuple(lines)


def _set_out(work: HandrailWork, straight: int, book: FigureBook) -> Sequence[Line]:
    handrail, at = work.handrail, work.mark
    spec, low = handrail.spec, handrail.ends[0]
    noun = _noun(handrail)
    lines = [Line("Set out by", heading=True), Line(f"Parts: {spec.kit.name}")]
    if not straight:
        way = "downhill" if low.along_mm < 0 else "uphill"
        lines.append(
            Line(
                f"Datum: a plumb line on the {noun}, {book.text(f'{at}.start.from_nose')} {way} "
                f"of nose 1 of flight {spec.follows[0]}: the rail's lower end"
            )
        )
    else:
        lines.append(Line(f"Datum: the corner of the {noun}"))
    lines += [
        Line("Below: level from the datum to each bracket's middle, its number in brackets"),
        Line(
            "Upright: each bracket's plate, its middle, over the surface below it; the rail's "
            "top over the noses between"
        ),
        Line(
            f"Rail's middle {book.text(f'{at}.face')} from the face; clear behind it "
            f"{book.text(f'{at}.clear')}"
        ),
        Line(f"Wanted {book.text(f'{at}.height_wanted')} over the noses"),
    ]
    for flight in handrail.way.straights[straight].flights:
        rake = book.text(f"{at}.over.{flight.mark}.rake")
        lines.append(Line(f"Rake over flight {flight.mark}: {rake}"))
    lines.append(
        Line(
            f"Brackets at most {book.text(f'{at}.spacing_most')} apart along the rail, and "
            f"{book.text(f'{at}.first_most')} from an end"
        )
    )
    mine = [b for b in handrail.brackets if b.straight == straight and b.on]
    if mine:
        held = ", ".join(f"{b.number} on {b.on}" for b in mine)
        lines.append(Line(f"Bracket {held}"))
    facing = "left" if spec.side.value == "right" else "right"
    lines.append(
        Line(
            f"Drawn uphill to the right. The rail is on the {spec.side.value} going up: facing the "
            f"{noun}, uphill is to your {facing}"
        )
    )
    return lines

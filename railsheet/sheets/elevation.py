"""The elevation of one flight: what stands where, dimensioned for setting out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import post_key
from railsheet.layout.notice import Weight
from railsheet.layout.notices import ground_words
from railsheet.layout.railing import Bay, Post, Railing
from railsheet.sheets.drawing import DETAIL, document_unit
from railsheet.sheets.heights import heights_at_noses
from railsheet.sheets.panel import Line, lines_high_mm, set_lines
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, RunningMark
from railsheet.sheets.profile import draw_flight, draw_window_band, nose_word
from railsheet.sheets.scales import NoScaleError, Scale, standard_scales
from railsheet.sheets.schedule import FlightWork, RunWork
from railsheet.sheets.sheet import SheetFrame
from railsheet.sheets.spheres import draw_spheres

# Room on paper for what stands round the drawn flight, mm.
_LEFT, _RIGHT, _BELOW, _ABOVE = 30.0, 34.0, 30.0, 12.0
# How far the bottom surface and the deck are drawn past the posts, mm of the real thing.
_RUN_ON_MM = 200.0
_PANEL_WIDE_MM = 86.0
# What stands over the rail on paper: the heights at the noses and the spacing above them.
_OVER_RAIL_MM = 24.0


@dataclass(frozen=True)
class _Panel:
    """Paragraphs and the column they stand in, mm."""

    lines: tuple[Line, ...]
    room: Rect

    @property
    def fits(self) -> bool:
        """Whether the column holds them all."""
        return lines_high_mm(self.lines, self.room.size[0]) <= self.room.size[1]


@dataclass(frozen=True)
class _Arrangement:
    """How the elevation's sheet is laid out: paper turned, scale, drawing and panels, mm."""

    portrait: bool
    scale: Scale
    drawing: Rect
    panels: tuple[_Panel, ...]


def flight_reach(railing: Railing) -> Rect:
    """What is drawn of the flight itself, mm of the real thing."""
    low, high = railing.downhill_post, railing.uphill_post
    half = railing.kit.plate.along_mm / 2
    return Rect(
        min(railing.stair.nose(1).s_mm, low.centre_s_mm - half) - _RUN_ON_MM,
        min(0.0, low.surface_z_mm),
        max(railing.stair.noses[-1].s_mm, high.centre_s_mm + half) + _RUN_ON_MM,
        high.top_z_mm,
    )


def _fits(railing: Railing, scale: Scale, room: Rect) -> bool:
    wide, high = (size / scale.denominator for size in flight_reach(railing).size)
    return wide + _LEFT + _RIGHT <= room.size[0] and high + _BELOW + _ABOVE <= room.size[1]


def _round_it(
    railing: Railing, scale: Scale, room: Rect, left: Sequence[Line], right: Sequence[Line]
) -> tuple[_Panel, ...]:
    """Two columns of text over a flight set to the lower right of an upright sheet.

    The left one reaches down into the free corner over the lower end of the rail; the right one
    stands over the top post.
    """
    reach = flight_reach(railing)
    low, high = railing.downhill_post, railing.uphill_post

    def x(s: float) -> float:
        return room.right - _RIGHT - (reach.right - s) / scale.denominator

    def y(z: float) -> float:
        return room.bottom + _BELOW + (z - reach.bottom) / scale.denominator

    edge = room.left + _PANEL_WIDE_MM + 3.0
    strip = Rect(edge + 3.0, y(high.top_z_mm) + _ABOVE, room.right, room.top)
    if x(high.face_s_mm) < edge:
        floor = strip.bottom
    else:
        under = low.face_s_mm + max(edge - x(low.face_s_mm), 0.0) * scale.denominator
        floor = _OVER_RAIL_MM + max(y(railing.line.z_at(under)), y(low.top_z_mm))
    corner = Rect(room.left, floor, edge - 3.0, room.top)
    return _Panel(tuple(left), corner), _Panel(tuple(right), strip)


def _arrange(
    railing: Railing,
    frame: SheetFrame,
    unit: Literal["in", "mm"],
    left: Sequence[Line],
    right: Sequence[Line],
) -> _Arrangement:
    """The largest standard scale wins; of two sheets at the same scale, the landscape one."""
    wide, tall = frame.room(False), frame.room(True)
    column = Rect(wide.right - _PANEL_WIDE_MM, wide.bottom, wide.right, wide.top)
    beside = Rect(wide.left, wide.bottom, column.left - 4.0, wide.top)
    for scale in standard_scales(unit):
        if _fits(railing, scale, beside):
            return _Arrangement(False, scale, beside, (_Panel((*right, *left), column),))
        if _fits(railing, scale, tall):
            panels = _round_it(railing, scale, tall, left, right)
            if all(panel.fits for panel in panels):
                return _Arrangement(True, scale, tall, panels)
    raise NoScaleError(f"flight {railing.spec.mark} fits the paper at no standard scale")


def draw_elevation(
    doc: Drawing, work: FlightWork, book: FigureBook, frame: SheetFrame, number: int
) -> float:
    """Add the elevation's sheet to the document.

    Returns:
        How far down model space is taken by it, mm.
    """
    railing = work.railing
    left = key_figures(work, book)
    right = (*attention(work, book), *window_lines(work, book))
    arranged = _arrange(railing, frame, document_unit(doc), left, right)
    scale, space = arranged.scale, arranged.drawing
    layout, _ = frame.start(
        doc,
        f"{work.mark} elevation",
        f"Flight {work.mark}: elevation",
        number,
        scale,
        arranged.portrait,
    )
    pen = Pen(doc.modelspace(), scale, book)
    reach = flight_reach(railing)
    draw_flight(pen, railing, reach.left, reach.right)
    draw_window_band(pen, railing)
    _dimension(pen, work)
    if work.checks is not None:
        draw_spheres(pen, work, outside_only=True)
    # The flight stands to the lower right of its space, which leaves the upper left corner free.
    centre = (
        reach.right + pen.paper(_RIGHT - space.size[0] / 2),
        reach.bottom + pen.paper(space.size[1] / 2 - _BELOW),
    )
    if not arranged.portrait:
        spare = space.size[0] - _LEFT - _RIGHT - reach.size[0] / scale.denominator
        lift = space.size[1] - _BELOW - _ABOVE - reach.size[1] / scale.denominator
        centre = centre[0] + pen.paper(spare / 2), centre[1] - pen.paper(lift / 2)
    add_view(layout, space, pen.at(centre), scale, hidden_layers=(DETAIL,))
    for panel in arranged.panels:
        _set_panel(layout, panel)
    return reach.bottom - pen.paper(space.size[1])


def _set_panel(layout: Paperspace, panel: _Panel) -> None:
    """Set a panel; what finds no room is pointed at, never dropped in silence."""
    room = panel.room
    if panel.fits:
        set_lines(layout, panel.lines, room)
        return
    more = Line(
        "MORE on the schedule sheet, under Attention and Set out by: read it before cutting.",
        layer="FINDING",
    )
    high = lines_high_mm((more,), room.size[0]) + 1.0
    last = Rect(room.left, room.bottom, room.right, room.bottom + high)
    set_lines(layout, panel.lines, Rect(room.left, last.top, room.right, room.top))
    set_lines(layout, (more,), last)


def _dimension(pen: Pen, work: FlightWork) -> None:
    railing, at = work.railing, work.mark
    for bay in railing.bays:
        _level_row(pen, railing, bay, at)
    # After the row of gaps: a height's ground covers the extension line it stands on.
    heights_at_noses(pen, railing, at)
    _posts(pen, railing, at)
    _noses(pen, railing, at)
    _rake(pen, railing, at)
    for post in railing.posts:
        if post.through:
            _line_post_name(pen, post)


def _level_row(pen: Pen, railing: Railing, bay: Bay, at: str) -> None:
    """A bay's clear distance, its gaps, and one spacing."""
    low, high = railing.posts[bay.number - 1], railing.posts[bay.number]
    line, key = bay.line, f"{at}.bay.{bay.number}"
    start, stop = bay.downhill_face_mm, bay.uphill_face_mm
    pen.dim(
        (start, low.surface_z_mm),
        (stop, high.surface_z_mm),
        (start, flight_reach(railing).bottom - pen.paper(25)),
        LEVEL,
        f"{key}.clear",
        note="clear",
    )
    row = bay.infill.row
    if row is None:
        return
    first, last = row.centres_mm[0] - row.width_mm / 2, row.centres_mm[-1] + row.width_mm / 2
    pen.dim(
        (start, low.top_z_mm),
        (first, line.z_at(first)),
        (first, _over_heights(pen, railing, bay, low)),
        LEVEL,
        f"{key}.gap",
        note="gap",
        outside="start",
    )
    pen.dim(
        (last, line.z_at(last)),
        (stop, high.top_z_mm),
        (last, high.top_z_mm + pen.paper(10 if high.through else 5)),
        LEVEL,
        f"{key}.gap",
        note="gap",
        # Past a line post the rail goes on and would lie under the figure.
        outside="start" if high.through else "end",
    )
    if len(row.centres_mm) < 2:
        return
    middle = len(row.centres_mm) // 2
    before, after = row.centres_mm[middle - 1], row.centres_mm[middle]
    pen.dim(
        (before, line.z_at(before)),
        (after, line.z_at(after)),
        (before, line.z_at(after) + pen.paper(17)),
        LEVEL,
        f"{key}.spacing",
        note="centres",
        outside="start",
    )


def _over_heights(pen: Pen, railing: Railing, bay: Bay, low: Post) -> float:
    """A level over the bottom post that clears the heights written at the noses beside it."""
    beside = [
        bay.line.z_at(nose.s_mm)
        for nose in railing.stair.noses
        if 0 < nose.s_mm - bay.downhill_face_mm < pen.paper(14)
    ]
    return max(low.top_z_mm + pen.paper(8), *(z + pen.paper(14) for z in beside), 0.0)


def _posts(pen: Pen, railing: Railing, at: str) -> None:
    half_plate = railing.kit.plate.along_mm / 2
    for post in railing.posts:
        if post.through:
            continue
        key = post_key(at, post)
        outer = post.centre_s_mm - post.end.inward * half_plate
        datum = (outer, post.surface_z_mm)
        edge = post.centre_s_mm - post.end.inward * railing.kit.post.width_mm / 2
        marks = [
            RunningMark((edge, post.underside_z_mm), f"{key}.underside"),
            RunningMark((edge, post.rail_top_z_mm), f"{key}.rail_top"),
            RunningMark((edge, post.top_z_mm), f"{key}.height"),
        ]
        pen.running(datum, marks, -post.end.inward * pen.paper(9), "y")
        _post_name(pen, post, edge)


def _post_name(pen: Pen, post: Post, edge: float) -> None:
    name = post.words
    outward = -post.end.inward
    at = (edge + outward * pen.paper(2.5), (post.underside_z_mm + post.rail_top_z_mm) / 2)
    pen.note(name, at, rotation_rad=PLUMB, align=MTextEntityAlignment.MIDDLE_CENTER, height_mm=2.5)


def _line_post_name(pen: Pen, post: Post) -> None:
    """A line post's name under its tread: beside it there is no room between the balusters."""
    pen.note(
        post.words,
        (post.centre_s_mm, post.surface_z_mm - pen.paper(4)),
        align=MTextEntityAlignment.TOP_CENTER,
        mask=True,
    )


def _noses(pen: Pen, railing: Railing, at: str) -> None:
    """Each nose from the datum, nose 1 on the bottom surface, along below and up at the right."""
    stair = railing.stair
    bottom = min(0.0, railing.downhill_post.surface_z_mm)
    datum = (stair.nose(1).s_mm, 0.0)
    along = [
        RunningMark((nose.s_mm, nose.z_mm), f"{at}.nose.{number}.s")
        for number, nose in enumerate(stair.noses, start=1)
    ]
    pen.running(datum, along, bottom - pen.paper(4), "x")
    up = [
        RunningMark((nose.s_mm, nose.z_mm), f"{at}.nose.{number}.z")
        for number, nose in enumerate(stair.noses, start=1)
    ]
    pen.running((0.0, 0.0), up, flight_reach(railing).right + pen.paper(10), "y")


def _rake(pen: Pen, railing: Railing, at: str) -> None:
    """The rake, on a piece of the rail's line drawn beside the top post."""
    line, high = railing.line, railing.uphill_post
    s = high.centre_s_mm + railing.kit.post.width_mm / 2 + pen.paper(10)
    leg = pen.paper(20)
    # Midway up the post, between the figures of the bottom rail and those of the cut.
    middle = (high.underside_z_mm + high.rail_top_z_mm) / 2
    vertex = (s, middle - leg * line.slope / 2)
    level, raked = (s + leg, vertex[1]), (s + leg, vertex[1] + leg * line.slope)
    pen.line(vertex, level, "DIM")
    pen.line(vertex, raked, "DIM")
    pen.angle(vertex, level, raked, pen.paper(13), f"{at}.rake")


def attention(work: RunWork, book: FigureBook) -> tuple[Line, ...]:
    """What must be settled, then what is worth knowing."""
    if not work.notices:
        return ()
    lines = [Line("Attention", heading=True)]
    for notice in work.notices:
        stops = notice.weight is Weight.STOP
        words = notice.text(book.tape)
        sentence = words[0].upper() + words[1:] + "."
        lines.append(
            Line(f"STOP: {sentence}" if stops else sentence, layer="FINDING" if stops else "TEXT")
        )
    return tuple(lines)


def key_figures(work: FlightWork, book: FigureBook) -> tuple[Line, ...]:
    """The figures to set out by."""
    at, railing = work.mark, work.railing

    def say(key: str) -> str:
        return book.text(f"{at}.{key}")

    def within(key: str) -> str:
        return book.text_within(f"{at}.{key}")

    lines = [
        Line("Set out by", heading=True),
        Line(f"Rake {within('rake')}"),
        *gap_lines(at, book),
        Line(
            f"{say('rail_height_wanted')} wanted over the noses; by {railing.spec.rail_rule.value} "
            f"within {say('deviation')}"
        ),
        Line(f"{say('section_height')} rails over all, plumb"),
    ]
    for bay in railing.bays:
        lines += bay_lines(bay, f"{at}.bay.{bay.number}", book)
    for post in railing.posts:
        where = "back from" if post.spec.surface == 0 else "from"
        face = "downhill face" if post.through else "face"
        lines.append(
            Line(
                f"{post.title}: {face} {within(f'post.{post.key}.from_nose')} {where} "
                f"{nose_word(post)}"
            )
        )
        if post.slide_mm is not None:
            down, up = (say(f"post.{post.key}.slide_{way}") for way in ("downhill", "uphill"))
            lines.append(Line(f"{post.title} may slide {up} uphill, {down} downhill"))
    return tuple(lines)


def gap_lines(at: str, book: FigureBook) -> Iterator[Line]:
    """The allowed gap at a post, for infill that has one."""
    least, most = f"{at}.gap_least", f"{at}.gap_most"
    if least not in book:
        return
    if book.value(least):
        yield Line(f"Gap at a post: allowed {book.text(least)} to {book.text(most)}")
    else:
        yield Line(f"Openings, the posts' gaps among them: allowed {book.text(most)}")


def bay_lines(bay: Bay, key: str, book: FigureBook) -> Iterator[Line]:
    """One bay's figures to set out by."""
    noun = bay.infill.noun
    words = f"Bay {bay.number}: {book.text_within(f'{key}.clear')} clear"
    if bay.infill.row is not None:
        count, gap = book.text(f"{key}.balusters"), book.text_within(f"{key}.gap")
        words += f", {count} {noun}s, gaps {gap}"
    elif bay.infill.count > 1:
        words += f", {book.text(f'{key}.members')} {noun}s"
    yield Line(words)
    for fact in bay.infill.facts:
        if fact.shown:
            yield Line(f"{fact.words} {book.text(f'{key}.{fact.name}')}")


def window_lines(work: FlightWork, book: FigureBook) -> list[Line]:
    """The post window: where the free post's face may stand."""
    freedom, post = work.railing.freedom, work.railing.free_post
    if freedom is None or post is None:
        return []
    if work.railing.bays[0].infill.row is None:
        # Infill that is cut to any distance leaves the post free wherever its plate may stand.
        return []
    at, noun = work.mark, work.railing.bays[0].infill.noun
    lines = [Line(f"Post window: face of the {post.words}", heading=True)]
    if freedom.chosen is not None:
        up = book.text(f"{at}.window.slide_uphill")
        down = book.text(f"{at}.window.slide_downhill")
        lines.append(Line(f"As drawn (solid band) it may slide {up} uphill, {down} downhill"))
    for window in freedom.near_windows:
        key = f"{at}.window.{window.balusters}"
        used = ", used" if window == freedom.chosen else ""
        count = f"{window.balusters} {noun}s"
        if window.clipped is not None:
            words = f"{book.text(f'{key}.from')} to {book.text(f'{key}.to')} from {nose_word(post)}"
        elif book.value(f"{key}.gaps_from") < 0:
            words = f"no place on {ground_words(post)}"
        else:
            words = (
                f"no place on {ground_words(post)}; its gaps want "
                f"{book.text(f'{key}.gaps_from')} to {book.text(f'{key}.gaps_to')}"
            )
        lines.append(Line(f"{count}: {words}{used}"))
    return lines

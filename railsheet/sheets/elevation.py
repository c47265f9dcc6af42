"""The elevation of one flight: what stands where, dimensioned for setting out."""

from __future__ import annotations

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.figures.flight import POST_NAMES
from railsheet.layout.notice import Weight
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Post, Railing
from railsheet.sheets.drawing import DETAIL, document_unit
from railsheet.sheets.panel import Line, set_lines, split_columns
from railsheet.sheets.paper import Paper, Rect, add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen, RunningMark
from railsheet.sheets.profile import draw_flight, draw_window_band, nose_word
from railsheet.sheets.scales import Scale, standard_scales
from railsheet.sheets.schedule import FlightWork
from railsheet.sheets.sheet import SheetFrame

# Room on paper for what stands round the drawn flight, mm.
_LEFT, _RIGHT, _BELOW, _ABOVE = 30.0, 34.0, 17.0, 20.0
# How far the bottom surface and the deck are drawn past the posts, mm of the real thing.
_RUN_ON_MM = 260.0
_PANEL_HIGH_MM, _PANEL_WIDE_MM = 66.0, 84.0


def _reach(railing: Railing) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of what is drawn, mm."""
    low, high = railing.posts
    half = railing.kit.plate.along_mm / 2
    left = min(railing.stair.nose(1).s_mm, low.centre_s_mm - half) - _RUN_ON_MM
    right = max(railing.stair.noses[-1].s_mm, high.centre_s_mm + half) + _RUN_ON_MM
    bottom = min(0.0, low.surface_z_mm)
    return left, bottom, right, high.top_z_mm


def _fits(railing: Railing, scale: Scale, room_mm: tuple[float, float]) -> bool:
    left, bottom, right, top = _reach(railing)
    wide = (right - left) / scale.denominator + _LEFT + _RIGHT
    high = (top - bottom) / scale.denominator + _BELOW + _ABOVE
    return wide <= room_mm[0] and high <= room_mm[1]


def _layout(room: Rect, portrait: bool) -> tuple[Rect, Rect]:
    """The drawing's space and the panel's."""
    if portrait:
        split = room.top - _PANEL_HIGH_MM
        return Rect(room.left, room.bottom, room.right, split - 3), Rect(
            room.left, split, room.right, room.top
        )
    split = room.right - _PANEL_WIDE_MM
    return Rect(room.left, room.bottom, split - 4, room.top), Rect(
        split, room.bottom, room.right, room.top
    )


def best_turn(railing: Railing, frame: SheetFrame, unit: str) -> tuple[bool, Scale]:
    """Whether the sheet stands upright, and the scale: the larger scale wins, then landscape."""
    scales = standard_scales("in" if unit == "in" else "mm")
    found = []
    for portrait in (False, True):
        space, _ = _layout(frame.room(portrait), portrait)
        fitting = [s for s in scales if _fits(railing, s, space.size)]
        if fitting:
            found.append((fitting[0].denominator, portrait, fitting[0]))
    if not found:
        return False, scales[-1]
    _, portrait, scale = min(found, key=lambda entry: entry[:2])
    return portrait, scale


def draw_elevation(
    doc: Drawing, work: FlightWork, book: FigureBook, frame: SheetFrame, number: int
) -> Paper:
    """Add the elevation's sheet to the document; returns the paper it stands on."""
    railing = work.railing
    portrait, scale = best_turn(railing, frame, document_unit(doc))
    layout, paper = frame.start(
        doc, f"{work.mark} elevation", f"Flight {work.mark}: elevation", number, scale, portrait
    )
    space, panel = _layout(frame.room(portrait), portrait)
    pen = Pen(doc.modelspace(), scale, book)
    left, bottom, right, top = _reach(railing)
    draw_flight(pen, railing, left, right)
    draw_window_band(pen, railing)
    _dimension(pen, work)
    # The flight stands in the middle of its space, with the room it needs on either side.
    width, height = space.size
    spare_x = width - ((right - left) / scale.denominator + _LEFT + _RIGHT)
    spare_y = height - ((top - bottom) / scale.denominator + _BELOW + _ABOVE)
    corner = (
        left - pen.paper(_LEFT + spare_x / 2),
        bottom - pen.paper(_BELOW + spare_y / 2),
    )
    centre = pen.at((corner[0] + pen.paper(width) / 2, corner[1] + pen.paper(height) / 2))
    add_view(layout, space, centre, scale, hidden_layers=(DETAIL,))
    columns = split_columns(panel, 3 if portrait else 1)
    lines = (*attention(work, book), *key_figures(work, book))
    left_over = set_lines(layout, lines, columns)
    if any(line.layer == "FINDING" for line in left_over):
        raise ValueError("what must be settled has no room on the first sheet")
    return paper


def _dimension(pen: Pen, work: FlightWork) -> None:
    railing, at = work.railing, work.mark
    _heights_at_noses(pen, railing, at)
    _level_row(pen, railing, at)
    _posts(pen, railing, at)
    _noses(pen, railing, at)
    _rake(pen, railing, at)


def _heights_at_noses(pen: Pen, railing: Railing, at: str) -> None:
    for number, nose in enumerate(railing.stair.noses, start=1):
        if not railing.downhill_post.face_s_mm < nose.s_mm < railing.uphill_post.face_s_mm:
            continue
        key = f"{at}.nose.{number}.rail_height"
        foot, head = (nose.s_mm, nose.z_mm), (nose.s_mm, railing.line.z_at(nose.s_mm))
        pen.dim(foot, head, foot, PLUMB, key)


def _level_row(pen: Pen, railing: Railing, at: str) -> None:
    low, high = railing.posts
    line = railing.line
    level = high.top_z_mm + pen.paper(13)
    pen.dim(
        (low.face_s_mm, low.top_z_mm),
        (high.face_s_mm, high.top_z_mm),
        (low.face_s_mm, level),
        LEVEL,
        f"{at}.clear",
        note="clear",
    )
    width = railing.kit.baluster.width_mm
    first, last = railing.baluster_s_mm[0] - width / 2, railing.baluster_s_mm[-1] + width / 2
    low_level = low.top_z_mm + pen.paper(6)
    pen.dim(
        (low.face_s_mm, low.top_z_mm),
        (first, line.z_at(first)),
        (first, low_level),
        LEVEL,
        f"{at}.gap",
        note="gap",
        outside="start",
    )
    pen.dim(
        (last, line.z_at(last)),
        (high.face_s_mm, high.top_z_mm),
        (last, high.top_z_mm + pen.paper(6)),
        LEVEL,
        f"{at}.gap",
        note="gap",
        outside="start",
    )
    if len(railing.baluster_s_mm) < 2:
        return
    middle = len(railing.baluster_s_mm) // 2
    before, after = railing.baluster_s_mm[middle - 1], railing.baluster_s_mm[middle]
    spacing_level = line.z_at(after) + pen.paper(9)
    pen.dim(
        (before, line.z_at(before)),
        (after, line.z_at(after)),
        (before, spacing_level),
        LEVEL,
        f"{at}.spacing",
        note="centres",
        outside="start",
    )


def _posts(pen: Pen, railing: Railing, at: str) -> None:
    half_plate = railing.kit.plate.along_mm / 2
    for post in railing.posts:
        key = f"{at}.post.{POST_NAMES[post.end]}"
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
    name = f"{POST_NAMES[post.end]} post"
    outward = -post.end.inward
    at = (edge + outward * pen.paper(2.5), (post.underside_z_mm + post.rail_top_z_mm) / 2)
    pen.note(name, at, rotation_rad=PLUMB, align=MTextEntityAlignment.MIDDLE_CENTER, height_mm=2.5)


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
    _, _, right, _ = _reach(railing)
    up = [
        RunningMark((nose.s_mm, nose.z_mm), f"{at}.nose.{number}.z")
        for number, nose in enumerate(stair.noses, start=1)
    ]
    pen.running((0.0, 0.0), up, right + pen.paper(12), "y")


def _rake(pen: Pen, railing: Railing, at: str) -> None:
    """The rake, shown on a piece of the rail's line drawn clear above it."""
    line, low = railing.line, railing.downhill_post
    s = low.face_s_mm + railing.clear_mm * 0.16
    lift = pen.paper(24)
    vertex = (s, line.z_at(s) + lift)
    leg = pen.paper(26)
    level = (s + leg, vertex[1])
    raked = (s + leg, vertex[1] + leg * line.slope)
    pen.line(vertex, level, "CENTRE")
    pen.line(vertex, raked, "CENTRE")
    pen.angle(vertex, level, raked, pen.paper(16), f"{at}.rake")


def attention(work: FlightWork, book: FigureBook) -> tuple[Line, ...]:
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

    lines = [
        Line("Set out by", heading=True),
        Line(f"Rake {say('rake')}"),
        Line(f"{say('clear')} clear between post faces, level"),
        Line(f"{say('balusters')} balusters, {say('spacing')} centre to centre, level"),
        Line(f"{say('pitch')} centre to centre along the rail"),
        Line(f"{say('opening')} clear between balusters"),
        Line(f"{say('gap')} gap at each post; allowed {say('gap_least')} to {say('gap_most')}"),
        Line(f"{say('rail_height_wanted')} wanted over the noses, least squares line"),
        Line(f"{say('section_height')} rails over all, plumb"),
    ]
    for post in railing.posts:
        name = POST_NAMES[post.end]
        where = "back from" if post.spec.surface == 0 else "from"
        lines.append(
            Line(
                f"{name.capitalize()} post: face {say(f'post.{name}.from_nose')} {where} "
                f"{nose_word(post)}"
            )
        )
    lines += window_lines(work, book)
    return tuple(lines)


def window_lines(work: FlightWork, book: FigureBook) -> list[Line]:
    """The post window: where the free post's face may stand."""
    freedom = work.railing.freedom
    if freedom is None:
        return []
    low, high = work.railing.posts
    post = low if freedom.end is End.DOWNHILL else high
    at = work.mark
    lines = [Line(f"Post window: face of the {POST_NAMES[post.end]} post", heading=True)]
    if freedom.chosen is not None:
        up = book.text(f"{at}.window.slide_uphill")
        down = book.text(f"{at}.window.slide_downhill")
        lines.append(Line(f"As drawn it may slide {up} uphill, {down} downhill"))
    for window in freedom.windows:
        key = f"{at}.window.{window.balusters}"
        used = ", used" if window == freedom.chosen else ""
        if window.clipped is None:
            lines.append(
                Line(
                    f"{window.balusters} balusters: no place here; gaps alone would want "
                    f"{book.text(f'{key}.gaps_from')} to {book.text(f'{key}.gaps_to')}"
                )
            )
        else:
            lines.append(
                Line(
                    f"{window.balusters} balusters: {book.text(f'{key}.from')} to "
                    f"{book.text(f'{key}.to')} from {nose_word(post)}{used}"
                )
            )
    return lines

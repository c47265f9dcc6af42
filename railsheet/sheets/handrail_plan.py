"""A handrail in plan: walls or posts, the rail round its turns and into its returns."""

from __future__ import annotations

import math

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment

from railsheet.figures.book import FigureBook
from railsheet.figures.handrail import corner_key, piece_key
from railsheet.job.handrail import Holds
from railsheet.layout.handrail_model import Handrail, HandrailPiece
from railsheet.sheets.drawing import document_unit
from railsheet.sheets.handrail_outline import bend_outline
from railsheet.sheets.handrail_work import HandrailWork
from railsheet.sheets.paper import Rect, add_view
from railsheet.sheets.pen import Pen, Point
from railsheet.sheets.scales import MM_PER_UNIT, best_scale
from railsheet.sheets.sheet import SheetFrame

_SIDE_MM = 30.0
_TINY = 1e-6
# How far a nose's line is drawn from the wall, mm of the real thing.
_NOSE_MM = 350.0


def draw_handrail_plan(
    doc: Drawing,
    work: HandrailWork,
    book: FigureBook,
    frame: SheetFrame,
    number: int,
    below_mm: float,
) -> float:
    """Add the plan's sheet; it lies in model space below ``below_mm``.

    Returns:
        How far down model space is taken by it, mm.
    """
    handrail = work.handrail
    unit = document_unit(doc)
    per = MM_PER_UNIT[unit]
    shown = _reach(handrail)
    room = frame.room(False)
    free = room.size[0] - 2 * _SIDE_MM, room.size[1] - 2 * _SIDE_MM
    scale = best_scale((shown.size[0] / per, shown.size[1] / per), free, unit)
    title = f"{work.title}: plan and returns"
    layout, _ = frame.start(doc, f"{work.mark} plan", title, number, scale)
    # The view shows a whole sheet of model space: it is kept free of the drawings beside it.
    top = below_mm - room.size[1] * scale.denominator
    pen = Pen(doc.modelspace(), scale, book, (0.0, top - shown.top))
    _walls(pen, handrail)
    for piece in handrail.pieces:
        _piece(pen, handrail, piece)
    for corner in handrail.corners:
        if not corner.past_wall:
            pen.circle((corner.at[0], corner.at[1]), pen.paper(0.6), "BRACKET")
    _fittings(pen, handrail)
    _brackets(pen, handrail)
    _dimensions(pen, handrail)
    _turns(pen, handrail)
    add_view(layout, room, pen.at(shown.centre), scale)
    return top - shown.size[1] - pen.paper(room.size[1])


def _reach(handrail: Handrail) -> Rect:
    xs = [corner.at[0] for corner in handrail.corners]
    ys = [corner.at[1] for corner in handrail.corners]
    for point in _wall_points(handrail):
        xs.append(point[0])
        ys.append(point[1])
    return Rect(min(xs), min(ys), max(xs), max(ys))


def _frames(handrail: Handrail) -> list[tuple[Point, float]]:
    """Each straight's origin and bearing in plan."""
    found = []
    x = y = bearing = 0.0
    for straight in handrail.way.straights:
        found.append(((x, y), bearing))
        if math.isfinite(straight.length_mm):
            x += straight.length_mm * math.cos(bearing)
            y += straight.length_mm * math.sin(bearing)
            bearing += straight.turn_rad
    return found


def _on(frame: tuple[Point, float], along: float, across: float) -> Point:
    (x, y), bearing = frame
    ux, uy = math.cos(bearing), math.sin(bearing)
    return x + along * ux - across * uy, y + along * uy + across * ux


def _wall_points(handrail: Handrail) -> list[Point]:
    """The line of the wall or posts from the rail's lower end to its upper end."""
    frames = _frames(handrail)
    low, high = handrail.ends
    points = [_on(frames[0], low.along_mm, 0.0)]
    points += [frame[0] for frame in frames[1:]]
    return [*points, _on(frames[-1], high.along_mm, 0.0)]


def _walls(pen: Pen, handrail: Handrail) -> None:
    """The wall's face as a line, or each post's middle, and the noses as far as they are shown."""
    frames = _frames(handrail)
    posts = handrail.spec.holds is Holds.POSTS
    points = _wall_points(handrail)
    layer = "CENTRE" if posts else "STAIR"
    pen.outline(points, layer, close=False)
    out = handrail.way.side
    for frame, straight in zip(frames, handrail.way.straights, strict=True):
        for flight in straight.flights:
            for number, nose in enumerate(flight.stair.noses, start=1):
                along = flight.nose_mm + nose.s_mm
                foot, head = _on(frame, along, 0.0), _on(frame, along, out * _NOSE_MM)
                pen.line(foot, head, "STAIR")
                if number in (1, len(flight.stair.noses)):
                    # Downhill of the line, where no piece's dimension begins.
                    at = _on(frame, along - pen.paper(8), out * (_NOSE_MM - pen.paper(2)))
                    pen.note(
                        f"{flight.mark} nose {number}",
                        at,
                        align=MTextEntityAlignment.MIDDLE_CENTER,
                        mask=True,
                    )
        if posts:
            half = handrail.way.offset_mm - handrail.way.face_mm
            for post in straight.supports or ():
                corners = [
                    _on(frame, post.along_mm + dx * half, dy * half)
                    for dx, dy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
                ]
                pen.outline(corners, "POST")


def _flat(handrail: Handrail, piece: HandrailPiece) -> tuple[Point, Point]:
    start, stop = handrail.corners[piece.start].at, handrail.corners[piece.stop].at
    return (start[0], start[1]), (stop[0], stop[1])


def _piece(pen: Pen, handrail: Handrail, piece: HandrailPiece) -> None:
    start, stop = _flat(handrail, piece)
    level = math.dist(start, stop)
    half = handrail.spec.kit.section.width_mm / 2
    if level < _TINY:
        pen.circle(start, half * 0.8, "RAIL")
        return
    run = math.hypot(piece.way[0], piece.way[1])
    u = (stop[0] - start[0]) / level, (stop[1] - start[1]) / level
    low, high = piece.lower.back_mm * run, level - piece.upper.back_mm * run

    def at(along: float, across: float) -> Point:
        return start[0] + u[0] * along - u[1] * across, start[1] + u[1] * along + u[0] * across

    pen.outline([at(low, -half), at(high, -half), at(high, half), at(low, half)], "RAIL")


def _fittings(pen: Pen, handrail: Handrail) -> None:
    half = handrail.spec.kit.section.width_mm / 2
    for joint in handrail.joints:
        if joint.fitting is None:
            continue
        before, after = handrail.pieces[joint.corner - 1], handrail.pieces[joint.corner]
        far, middle = _flat(handrail, before)
        _, on = _flat(handrail, after)
        ends = [
            (end, math.hypot(piece.way[0], piece.way[1]))
            for end, piece in ((far, before), (on, after))
            if math.dist(end, middle) > _TINY
        ]
        for end, run in ends:
            other = next((each for each, _ in ends if each is not end), None)
            back = joint.set_back_mm * run
            pen.outline(bend_outline(middle, end, other, half, back), "BRACKET")


def _brackets(pen: Pen, handrail: Handrail) -> None:
    frames = _frames(handrail)
    out = handrail.way.side
    face = handrail.way.offset_mm - handrail.way.face_mm
    for bracket in handrail.brackets:
        frame = frames[bracket.straight]
        start = _on(frame, bracket.along_mm, out * face)
        stop = _on(frame, bracket.along_mm, out * handrail.way.offset_mm)
        pen.line(start, stop, "BRACKET")
        pen.note(
            f"{bracket.number}",
            _on(frame, bracket.along_mm, -out * pen.paper(3.0)),
            align=MTextEntityAlignment.MIDDLE_CENTER,
            bold=True,
        )


def _dimensions(pen: Pen, handrail: Handrail) -> None:
    """Each piece from corner to corner in plan, those of one straight in one row.

    The rows stand on the outside of the turns, where no two cross: behind the wall where it turns
    toward the walk, else past the noses.
    """
    way = handrail.way
    past = -(way.offset_mm + pen.paper(11)), _NOSE_MM + pen.paper(7)
    far = past[0] if _behind(handrail) else past[1]
    for piece in handrail.pieces:
        start, stop = _flat(handrail, piece)
        if math.dist(start, stop) < _TINY:
            continue
        angle = math.atan2(stop[1] - start[1], stop[0] - start[0])
        key = f"{piece_key(handrail, piece)}.level"
        if piece in handrail.returns:
            _return(pen, handrail, piece, start, stop, key)
            continue
        nx, ny = -math.sin(angle) * way.side, math.cos(angle) * way.side
        base = start[0] + nx * far, start[1] + ny * far
        pen.dim(start, stop, base, _upright(angle), key, note=piece.mark, outside="end")


def _behind(handrail: Handrail) -> bool:
    """Whether the wall turns toward the walk, all in all."""
    turns = sum(straight.turn_rad for straight in handrail.way.straights)
    return turns * handrail.way.side > 0


def _return(
    pen: Pen, handrail: Handrail, piece: HandrailPiece, start: Point, stop: Point, key: str
) -> None:
    """A return, from the rail's middle to the face, dimensioned off the end of the rail."""
    lower = piece.start == 0
    end = handrail.ends[0 if lower else 1]
    inner = handrail.pieces[handrail.first_piece if lower else handrail.last_piece].way
    size = math.hypot(inner[0], inner[1])
    sign = -1.0 if lower else 1.0
    off = pen.paper(7)
    base = end.at[0] + sign * inner[0] / size * off, end.at[1] + sign * inner[1] / size * off
    angle = math.atan2(stop[1] - start[1], stop[0] - start[0])
    pen.dim(start, stop, base, _upright(angle), key, note=piece.mark, outside="beyond")


def _upright(angle: float) -> float:
    """A dimension line's direction, so that its figure reads upright."""
    turned = angle % math.pi
    return 0.0 if math.pi - turned < _TINY else turned


def _turns(pen: Pen, handrail: Handrail) -> None:
    """The turn at each corner of the wall, in words: in plan it is what it is in space."""
    for joint in handrail.joints:
        corner = handrail.corners[joint.corner]
        if corner.words != "turn":
            continue
        made = "mitre" if joint.fitting is None else joint.fitting.name
        text = f"turn {pen.book.text(f'{corner_key(handrail, joint.corner)}.turn')}: {made}"
        # Off the corner into the walk, clear of both rows.
        frames = _frames(handrail)
        frame = frames[corner.straight]
        out = handrail.way.side
        at = _on(
            frame, corner.along_mm - pen.paper(8), out * (handrail.way.offset_mm + pen.paper(8))
        )
        pen.note(text, at, align=MTextEntityAlignment.MIDDLE_RIGHT)

"""A top rail's return to a wall from above: the post, the rail's end, the return, the wall."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

from ezdxf.enums import MTextEntityAlignment

from railsheet.cuts.pieces import RailPiece
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import rail_key
from railsheet.layout.infill.parts import Corner
from railsheet.layout.post_section import post_in_plan
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing, Return
from railsheet.sheets.drawing import HEADING_MM
from railsheet.sheets.packing import Hook, Picture
from railsheet.sheets.paper import add_view
from railsheet.sheets.pen import LEVEL, PLUMB, Pen
from railsheet.sheets.scales import MM_PER_UNIT, Scale, Unit, best_scale
from railsheet.sheets.schedule import RunWork

# Paper mm: a picture's size, what is kept free round the drawn things, its heading.
_WIDE, _HIGH = 112.0, 84.0
_ROUND = 18.0
_HEAD = 10.0
_APART = 30.0
# How far a rail's end and a wall are drawn past the last post, mm.
_RAIL_MM, _WALL_MM = 120.0, 90.0


def return_pictures(
    work: RunWork, pieces: Sequence[RailPiece], book: FigureBook, unit: Unit
) -> tuple[Picture, ...]:
    """A picture of each return among these pieces."""
    found = []
    for piece in pieces:
        if piece.beyond is None:
            continue
        scale = _scale(work.railing, piece.beyond, unit)
        draw = partial(_hang, work, piece, piece.beyond, book, scale)
        found.append(Picture(work.mark, (_WIDE, _HIGH), scale, draw))
    return tuple(found)


def return_outlines(railing: Railing, piece: Return) -> tuple[tuple[Corner, ...], ...]:
    """The rail's end past its post and the return, from above: (s, to the left), mm.

    An elbow's outline closes the corner between the two.
    """
    rail = piece.rail.kit
    half, out = rail.width_mm / 2, -piece.end.inward
    bay = railing.bays[-1 if piece.end is End.UPHILL else 0]
    face = bay.uphill_face_mm if piece.end is End.UPHILL else bay.downhill_face_mm
    corner, to = piece.corner_s_mm, piece.aside
    wall = to * (piece.to_wall_mm - piece.gap_mm)
    kit = railing.kit.top_return
    back = 0.0 if kit is None else kit.set_back_mm
    # From above a raked rail is foreshortened, a level return is not.
    behind = back * math.cos(railing.line.rake_rad)

    def at(along_mm: float, aside_mm: float) -> Corner:
        """A place from the corner: back along the rail, and toward the wall."""
        return corner - out * along_mm, to * aside_mm

    start = face - out * _RAIL_MM
    if not back:
        far, near = at(-half, -half), at(half, half)
        return (
            ((start, to * -half), far, near, (start, to * half)),
            (far, (corner + out * half, wall), (corner - out * half, wall), near),
        )
    return (
        (
            (start, -half),
            (corner - out * behind, -half),
            (corner - out * behind, half),
            (start, half),
        ),
        (at(half, back), at(-half, back), (corner + out * half, wall), (corner - out * half, wall)),
        (
            at(behind, -half),
            at(-half, -half),
            at(-half, back),
            at(half, back),
            at(half, half),
            at(behind, half),
        ),
    )


def _scale(railing: Railing, piece: Return, unit: Unit) -> Scale:
    per = MM_PER_UNIT[unit]
    corners = [corner for outline in return_outlines(railing, piece) for corner in outline]
    wide = max(s for s, _ in corners) - min(s for s, _ in corners)
    high = max(abs(y) for _, y in corners) + railing.kit.post.width_mm
    return best_scale(
        (wide / per, high / per), (_WIDE - 2 * _ROUND, _HIGH - _HEAD - 2 * _ROUND), unit
    )


def _hang(
    work: RunWork, piece: RailPiece, beyond: Return, book: FigureBook, scale: Scale, hook: Hook
) -> float:
    railing = work.railing
    post = railing.uphill_post if beyond.end is End.UPHILL else railing.downhill_post
    key, out, to = rail_key(work.mark, piece), -beyond.end.inward, beyond.aside
    outlines = return_outlines(railing, beyond)
    corners = [corner for outline in outlines for corner in outline]
    left, right = min(s for s, _ in corners), max(s for s, _ in corners)
    half = railing.kit.post.width_mm / 2
    low, high = sorted((-to * half, to * beyond.to_wall_mm))
    # The picture's own middle stands at the view's.
    tall = hook.place.size[1] * scale.denominator
    pen = Pen(
        hook.doc.modelspace(),
        scale,
        book,
        (-(left + right) / 2, hook.below_mm - tall / 2 - (low + high) / 2),
    )
    pen.section(post_in_plan(railing.kit.post, (post.centre_s_mm, 0.0), 0.0), "POST")
    for outline in outlines[:2]:
        pen.outline(outline, "RAIL")
    for outline in outlines[2:]:
        pen.outline(outline, "BRACKET")
    wall, corner = to * beyond.to_wall_mm, beyond.corner_s_mm
    pen.line((corner - _WALL_MM, wall), (corner + _WALL_MM, wall), "STAIR")
    face = post.centre_s_mm + out * half
    far = corner + out * (railing.kit.top_rail.width_mm / 2 + pen.paper(7.0))
    start, end = sorted((face, corner))
    pen.dim(
        (start, -to * half),
        (end, 0.0),
        (start, -to * (half + pen.paper(8.0))),
        LEVEL,
        f"{key}.past",
        outside="end",
    )
    start, end = sorted((0.0, wall))
    pen.dim((corner, start), (corner, end), (far, start), PLUMB, f"{key}.to_wall", outside="end")
    start, end = sorted((to * half, wall))
    back = post.centre_s_mm - out * (half + pen.paper(7.0))
    pen.dim(
        (post.centre_s_mm, start),
        (post.centre_s_mm, end),
        (back, start),
        PLUMB,
        f"{key}.clear",
        outside="end",
    )
    wide, tall_mm = hook.place.size
    head = (left + right) / 2 - pen.paper(wide / 2 - 1.0), (low + high) / 2 + tall / 2
    pen.note(piece.mark, (head[0], head[1] - pen.paper(4.8)), height_mm=HEADING_MM, bold=True)
    pen.note(
        f"From above, uphill to the right. Scale {scale.name}",
        (head[0], head[1] - pen.paper(9.4)),
    )
    pen.note(
        "the wall",
        (corner, wall + to * pen.paper(3.0)),
        align=MTextEntityAlignment.MIDDLE_CENTER,
    )
    add_view(hook.layout, hook.place, pen.at(((left + right) / 2, (low + high) / 2)), scale)
    return hook.below_mm - pen.paper(tall_mm + _APART)

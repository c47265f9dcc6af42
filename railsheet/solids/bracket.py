"""Brackets, drawn from the few sizes that a kit gives of them.

A bracket is its mount on the post and its body over the rail's end, cut to the rail that it holds.
Its inner shape is its maker's; what is true of it here is where it stands on the post, the stop
that the rail meets, and the mouth where it ends.
"""

from __future__ import annotations

import cadquery as cq

from railsheet.job.kit_bracket import BracketKit, EndCut
from railsheet.job.kit_ends import WallPlateKit
from railsheet.solids.bar import Bar, stock
from railsheet.solids.end import EndPlanes
from railsheet.solids.part import Part, PartKind
from railsheet.solids.space import FAR, beyond, box, plumb_flat, whole


def bracket_part(
    mark: str,
    bracket: BracketKit,
    bar: Bar,
    end: EndPlanes,
    face_s_mm: float,
    inward: float,
    post: Part,
    *,
    askew: bool,
) -> Part | None:
    """A bracket in place; None where it is hidden within rail and post.

    Args:
        mark: what it is called.
        face_s_mm: the post's face on the rails' middle line.
        inward: from the post into the bay, 1 or -1.
        post: what it stands on.
        askew: whether it leaves the face off square: then it is drawn cut to the face.
    """
    wall = (bracket.body_depth_mm - bar.kit.depth_mm) / 2
    deep = bracket.stand_off_mm or bracket.reach_mm - bracket.insertion_mm
    if wall <= 0 and deep <= 0:
        return None
    # Askew, it begins behind the face, for the post to cut it.
    back = bracket.mount_width_mm + bar.kit.width_mm if askew else 0.0
    start = face_s_mm - inward * back
    pieces: list[cq.Shape] = []
    if deep > 0:
        ends = sorted((start, face_s_mm + inward * deep))
        half = cq.Vector(0, bracket.mount_width_mm / 2, bracket.mount_height_mm / 2)
        pin = cq.Vector(0, 0, end.pin.z)
        pieces.append(
            box(cq.Vector(ends[0], 0, 0) + pin - half, cq.Vector(ends[1], 0, 0) + pin + half)
        )
    if wall > 0:
        pieces.append(_body(bracket, bar, end, wall, start, inward))
    solid = pieces[0] if len(pieces) == 1 else pieces[0].fuse(*pieces[1:])
    rail = stock(bar).cut(beyond(end.stop))
    solid = solid.cut(rail)
    if askew:
        solid = _before(solid.cut(post.solid), face_s_mm, inward)
    return Part(mark, PartKind.BRACKET, whole(solid), (post.mark,), drawn_to_fit=True)


def plate_part(
    mark: str, plate: WallPlateKit, bar: Bar, end: EndPlanes, face_s_mm: float, wall: Part
) -> Part:
    """A plate on a wall, cut to the rail that goes into it."""
    half = cq.Vector(0, plate.width_mm / 2, plate.height_mm / 2)
    middle = cq.Vector(0, 0, end.pin.z)
    low, high = sorted((face_s_mm, float(end.mouth.at.x)))
    solid = box(
        cq.Vector(low, 0, 0) + middle - half,
        cq.Vector(high, 0, 0) + middle + half,
    ).cut(stock(bar).cut(beyond(end.stop)))
    return Part(mark, PartKind.BRACKET, whole(solid), (wall.mark,), drawn_to_fit=True)


def _body(
    bracket: BracketKit, bar: Bar, end: EndPlanes, wall: float, start: float, inward: float
) -> cq.Shape:
    """The body over the rail's end, equally thick all round, from pin or face to mouth."""
    width = bar.kit.width_mm + 2 * wall
    low = cq.Vector(-FAR, bar.middle_mm - bracket.body_depth_mm / 2, -width / 2)
    long = cq.Solid.makeBox(2 * FAR, bracket.body_depth_mm, width, low)
    long = long.moved(bar.plane.location)
    out_of_mouth = type(end.mouth)(end.mouth.at, end.mouth.normal * -1.0)
    if bracket.cut is EndCut.SQUARE:
        behind = type(end.stop)(end.pin, end.stop.normal)
    else:
        behind = plumb_flat(start, -inward)
    return long.cut(beyond(out_of_mouth), beyond(behind))


def _before(solid: cq.Shape, face_s_mm: float, inward: float) -> cq.Shape:
    """Of what a post cuts in two, the piece on the rail's side."""
    return max(
        solid.Solids(), key=lambda piece: inward * (piece.BoundingBox().center.x - face_s_mm)
    )

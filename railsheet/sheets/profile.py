"""Outlines of a flight as seen from the walking side: stair, posts, rails, balusters."""

from __future__ import annotations

import math

from railsheet.cuts.pieces import easing_mark, post_mark, rail_mark
from railsheet.figures.flight import post_key
from railsheet.job.kit_infill import CableKit
from railsheet.layout.footprint import footprint
from railsheet.layout.infill.parts import Member
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End, along
from railsheet.layout.railing import Bay, Rail, Railing, Return
from railsheet.sheets.part_blocks import PartTag, Shape, insert_part, over_all_mm
from railsheet.sheets.pen import Pen, Point
from railsheet.survey.stair import Stair


def stair_outlines(stair: Stair, left_mm: float, right_mm: float) -> list[list[Point]]:
    """The stair's cut outline from a place on the bottom surface to one on the deck.

    A closed flight is one line; an open one is its surfaces, each with its thickness.
    """
    thick = stair.tread_thickness_mm
    if stair.open_risers:
        outlines: list[list[Point]] = [[(left_mm, 0.0), (stair.face_s_mm(1), 0.0)]]
        for number, nose in enumerate(stair.noses, start=1):
            back = stair.surface(number).back_mm
            end = right_mm if back is None else back
            outlines.append(
                [
                    (nose.s_mm, nose.z_mm),
                    (end, nose.z_mm),
                    (end, nose.z_mm - thick),
                    (nose.s_mm, nose.z_mm - thick),
                    (nose.s_mm, nose.z_mm),
                ]
            )
        return outlines
    line: list[Point] = [(left_mm, 0.0)]
    below = 0.0
    for number, nose in enumerate(stair.noses, start=1):
        face = stair.face_s_mm(number)
        underside = max(nose.z_mm - thick, below)
        line += [(face, below), (face, underside), (nose.s_mm, underside), (nose.s_mm, nose.z_mm)]
        below = nose.z_mm
    line += [(right_mm, below), (right_mm, below - thick)]
    return [line]


def rail_outline(bay: Bay, rail: Rail) -> list[Point]:
    """A rail's four corners in place: lower edge uphill, then the upper edge back down."""
    rake = bay.line.rake_rad
    half = rail.kit.depth_mm / 2
    corners = []
    for end, offset in (
        (End.DOWNHILL, -half),
        (End.UPHILL, -half),
        (End.UPHILL, half),
        (End.DOWNHILL, half),
    ):
        # A coped end goes on past the post's outline, to its long sides.
        cut = rail.end(end)
        u = cut.u_at(offset, rail.kit.width_mm / 2 if cut.cope_mm else 0.0)
        corners.append(point_on_rail(bay, rail, u, offset, rake))
    return corners


def point_on_rail(bay: Bay, rail: Rail, u_mm: float, offset_mm: float, rake: float) -> Point:
    """Where a point of a rail lies in the run frame, from its place along the rail."""
    s = (u_mm - offset_mm * math.tan(rake)) * math.cos(rake)
    z = bay.line.z_at(s) - rail.axis_drop_mm + offset_mm / math.cos(rake)
    return s, z


def _end_on(bay: Bay, piece: Return) -> list[Point]:
    """A return's section where its middle and the rail's cross."""
    rail, rake = bay.top_rail, bay.line.rake_rad
    wide, deep = piece.rail.kit.width_mm / 2, piece.rail.kit.depth_mm / 2
    corner = along(piece.corner_s_mm, 0.0, rake)
    return [
        point_on_rail(bay, rail, corner + u, offset, rake)
        for u, offset in ((-wide, -deep), (wide, -deep), (wide, deep), (-wide, deep))
    ]


def draw_flight(pen: Pen, railing: Railing, left_mm: float, right_mm: float) -> None:
    """Stair, posts, rails, brackets and balusters, with no dimension."""
    for outline in stair_outlines(railing.stair, left_mm, right_mm):
        if outline[0] == outline[-1]:
            pen.section(outline[:-1], "STAIR")
        else:
            pen.outline(outline, "STAIR", close=False)
    draw_bays(pen, railing)


def draw_bays(pen: Pen, railing: Railing) -> None:
    """Posts, rails, brackets and what fills the bays; what repeats is drawn as blocks."""
    for number, post in enumerate(railing.posts, start=1):
        if post.made:
            _draw_post(pen, railing, post, number)
        if post.easing is not None:
            draw_easing(pen, railing, post, number)
    for bay in railing.bays:
        for rail in bay.rails:
            pen.outline(rail_outline(bay, rail), "RAIL")
            for end in End:
                _draw_holder(pen, railing, bay, rail, end)
        for piece in bay.returns:
            # Seen along it, and rolled with the rail.
            pen.outline(_end_on(bay, piece), "RAIL")
        for member in bay.infill.members:
            mark = f"{railing.spec.mark}{bay.number}-{member.number}"
            insert_part(
                pen,
                "INFILL",
                Shape((member.outline,)),
                "BALUSTER",
                PartTag(
                    mark,
                    _profile(railing, bay, member),
                    pen.book.tape.text(over_all_mm(member.body)),
                ),
            )
    for post in railing.posts:
        for face in post.faces:
            for mount in face.mounts:
                half = mount.height_mm / 2
                low, high = mount.centre_z_mm - half, mount.centre_z_mm + half
                pen.line((face.s_mm, low), (face.s_mm, high), "BRACKET")


def _profile(railing: Railing, bay: Bay, member: Member) -> str:
    """What one part of a bay's infill is made of, as the kit names it."""
    infill = railing.kit.infill
    if infill.baluster is not None:
        return infill.baluster.name
    # Cables are held apart by braces, which are numbered after them.
    if isinstance(infill, CableKit) and member.number > bay.infill.count:
        return infill.brace
    return infill.name


def _draw_post(pen: Pen, railing: Railing, post: Post, number: int) -> None:
    kit, at = railing.kit, railing.spec.mark
    foot = post.surface_z_mm
    top_of_plate = foot + kit.plate.thickness_mm
    stands = footprint(railing, post)
    left, right = stands.section_s_mm
    low_top = post.top_z_mm - post.top_slope * (right - left)
    shaft: tuple[Point, ...] = (
        (left, top_of_plate),
        (right, top_of_plate),
        (right, post.top_z_mm),
        (left, low_top),
    )
    outlines = [shaft]
    if kit.plate.thickness_mm:
        outlines.append(upright(stands.low_s_mm, foot, stands.high_s_mm, top_of_plate))
    key = f"{post_key(at, post)}.height"
    part = PartTag(post_mark(at, post, number), kit.post.name, pen.book.text(key), key)
    insert_part(pen, "POST", Shape(tuple(outlines)), "POST", part)


def draw_easing(pen: Pen, railing: Railing, post: Post, number: int) -> None:
    """The easing over a post, its arcs true arcs."""
    assert post.easing is not None
    corners, bulges = post.easing.outline()
    key = f"{post_key(railing.spec.mark, post)}.easing.over_all"
    mark = easing_mark(post_mark(railing.spec.mark, post, number))
    part = PartTag(mark, post.easing.kit.name, pen.book.text(key), key)
    insert_part(pen, "EASING", Shape((corners,), bulges=(bulges,)), "BRACKET", part)


def upright(left: float, low: float, right: float, high: float) -> tuple[Point, ...]:
    """An upright rectangle's corners, from its lower left one."""
    return (left, low), (right, low), (right, high), (left, high)


def _draw_holder(pen: Pen, railing: Railing, bay: Bay, rail: Rail, end: End) -> None:
    """What covers a rail's end, and the pin that it turns on."""
    rake, cut = bay.line.rake_rad, rail.end(end)
    if not cut.body:
        return
    corners = tuple(point_on_rail(bay, rail, u, offset, rake) for u, offset in cut.body)
    circles: tuple[tuple[Point, float], ...] = ()
    if cut.pin is not None:
        u, radius = cut.pin
        circles = ((point_on_rail(bay, rail, u, 0.0, rake), radius),)
    along = [u for u, _ in cut.body]
    part = PartTag(
        f"{rail_mark(railing.spec.mark, bay, rail)} {end.value}",
        cut.holder,
        pen.book.tape.text(max(along) - min(along)),
    )
    insert_part(pen, "BRACKET", Shape((corners,), circles), "BRACKET", part)


def draw_window_band(pen: Pen, railing: Railing) -> None:
    """Where the free post's face may stand, as bands just under its surface."""
    freedom, post = railing.freedom, railing.free_post
    if freedom is None or post is None or railing.bays[0].infill.row is None:
        return
    top = post.surface_z_mm
    for window in freedom.near_windows:
        if window.clipped is None:
            continue
        low, high = window.clipped
        corners = [
            (low, top),
            (high, top),
            (high, top - pen.paper(1.4)),
            (low, top - pen.paper(1.4)),
        ]
        if window == freedom.chosen:
            pen.fill(corners, "WINDOW")
        pen.outline(corners, "WINDOW")


def nose_word(post: Post) -> str:
    """Which nose a post's place is measured from."""
    return f"nose {max(post.spec.surface, 1)}"

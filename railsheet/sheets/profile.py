"""Outlines of a flight as seen from the walking side: stair, posts, rails, balusters."""

from __future__ import annotations

import math

from railsheet.layout.footprint import footprint
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay, Post, Rail, Railing
from railsheet.sheets.pen import Pen, Point
from railsheet.survey.stair import Stair


def stair_outlines(stair: Stair, left_mm: float, right_mm: float) -> list[list[Point]]:
    """The stair's cut outline from a place on the bottom surface to one on the deck.

    A closed flight is one line; an open one is its surfaces, each with its thickness.
    """
    thick, nosing = stair.tread_thickness_mm, stair.nosing_mm
    if stair.open_risers:
        outlines: list[list[Point]] = [[(left_mm, 0.0), (stair.nose(1).s_mm + nosing, 0.0)]]
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
    for nose in stair.noses:
        face = nose.s_mm + nosing
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
        u = rail.end(end).u_at(offset)
        corners.append(point_on_rail(bay, rail, u, offset, rake))
    return corners


def point_on_rail(bay: Bay, rail: Rail, u_mm: float, offset_mm: float, rake: float) -> Point:
    """Where a point of a rail lies in the run frame, from its place along the rail."""
    s = (u_mm - offset_mm * math.tan(rake)) * math.cos(rake)
    z = bay.line.z_at(s) - rail.axis_drop_mm + offset_mm / math.cos(rake)
    return s, z


def draw_flight(pen: Pen, railing: Railing, left_mm: float, right_mm: float) -> None:
    """Stair, posts, rails, brackets and balusters, with no dimension."""
    for outline in stair_outlines(railing.stair, left_mm, right_mm):
        pen.outline(outline, "STAIR", close=False)
    draw_bays(pen, railing)


def draw_bays(pen: Pen, railing: Railing) -> None:
    """Posts, rails, brackets and balusters."""
    for post in railing.posts:
        if post.made:
            _draw_post(pen, railing, post)
    for bay in railing.bays:
        for rail in bay.rails:
            pen.outline(rail_outline(bay, rail), "RAIL")
            for end in End:
                _draw_holder(pen, bay, rail, end)
        for member in bay.infill.members:
            pen.outline(member.outline, "BALUSTER")
    for post in railing.posts:
        for face in post.faces:
            for mount in face.mounts:
                half = mount.height_mm / 2
                low, high = mount.centre_z_mm - half, mount.centre_z_mm + half
                pen.line((face.s_mm, low), (face.s_mm, high), "BRACKET")


def _draw_post(pen: Pen, railing: Railing, post: Post) -> None:
    kit = railing.kit
    foot = post.surface_z_mm
    top_of_plate = foot + kit.plate.thickness_mm
    stands = footprint(railing, post)
    left, right = stands.section_s_mm
    corners = [
        (left, top_of_plate),
        (right, top_of_plate),
        (right, post.top_z_mm),
        (left, post.top_z_mm - post.top_slope * (right - left)),
    ]
    pen.outline(corners, "POST")
    pen.rect((stands.low_s_mm, foot), (stands.high_s_mm, top_of_plate), "POST")


def _draw_holder(pen: Pen, bay: Bay, rail: Rail, end: End) -> None:
    """What covers a rail's end, and the pin that it turns on."""
    rake = bay.line.rake_rad
    cut = rail.end(end)
    if cut.body:
        corners = [point_on_rail(bay, rail, u, offset, rake) for u, offset in cut.body]
        pen.outline(corners, "BRACKET")
    if cut.pin is not None:
        u, radius = cut.pin
        pen.circle(point_on_rail(bay, rail, u, 0.0, rake), radius, "BRACKET")


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

"""A top rail that goes over its run's end post: its axis there, and its end cut otherwise."""

from __future__ import annotations

import math
from dataclasses import replace

from railsheet.job.kit import Kit
from railsheet.layout.empty_holes import with_empty_holes
from railsheet.layout.infill.door import supply_of
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End, RailEnd
from railsheet.layout.railing import Rail, Railing, Working
from railsheet.layout.site_model import Meeting, Partner


def partner_of(meeting: Meeting, railing: Railing) -> Partner:
    """A meeting's rail as the other rail of the joint sees it."""
    rake = railing.line.rake_rad
    climb = rake if meeting.face.end is End.DOWNHILL else -rake
    axis = axis_over_foot_mm(railing, meeting.post, meeting.post.centre_s_mm)
    return Partner(meeting.run, meeting.way_rad, climb, axis)


def axis_over_foot_mm(railing: Railing, post: Post, s_mm: float) -> float:
    """The top rail's axis at a place on the run, over a post's foot."""
    half = railing.kit.top_rail.depth_mm / 2 / math.cos(railing.line.rake_rad)
    return railing.line.z_at(s_mm) - half - post.surface_z_mm


def end_post(railing: Railing, end: End) -> Post:
    """The post at one end of a run."""
    return railing.downhill_post if end is End.DOWNHILL else railing.uphill_post


def with_end(rail: Rail, end: RailEnd) -> Rail:
    """A rail with one end cut otherwise, its holes where they were in place."""
    up = end.end is End.UPHILL
    cut = replace(rail, uphill=end) if up else replace(rail, downhill=end)
    shift = cut.uphill_point_u_mm - rail.uphill_point_u_mm
    holes = tuple(replace(h, from_uphill_mm=h.from_uphill_mm + shift) for h in rail.holes)
    return replace(cut, holes=holes)


def cut_again(kit: Kit, rail: Rail, end: RailEnd) -> Rail:
    """A rail with one end cut otherwise, and the empty holes that it then holds."""
    cut = with_end(rail, end)
    pitch = supply_of(kit).pitch_mm
    if cut.working is Working.PUNCHED and pitch is not None:
        return with_empty_holes(cut, pitch)
    return cut


def with_top_rail(railing: Railing, end: End, rail: Rail, lift_mm: float = 0.0) -> Railing:
    """A run with the top rail of its first or its last bay in another's stead.

    Args:
        lift_mm: how far the top over that end's face stands above the line.
    """
    first = end is End.DOWNHILL
    bay = railing.bays[0 if first else -1]
    low, high = bay.lift_mm
    bay = replace(bay, top_rail=rail, lift_mm=(lift_mm, high) if first else (low, lift_mm))
    bays = (bay, *railing.bays[1:]) if first else (*railing.bays[:-1], bay)
    return replace(railing, bays=bays)

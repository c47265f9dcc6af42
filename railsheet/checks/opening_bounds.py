"""What bounds a railing's openings in the plane of the guard: rails' edges, plates, steps."""

from __future__ import annotations

import math

from shapely.geometry import LineString, Polygon

from railsheet.checks.stair_opening import EdgeLine, Step
from railsheet.job.model import Ground
from railsheet.layout.footprint import footprint
from railsheet.layout.post import Post
from railsheet.layout.railing import Bay, Rail, Railing
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_MM


def rail_edge(bay: Bay, rail: Rail) -> EdgeLine:
    """A rail's punched face in the plane of the guard."""
    rise = rail.punched_offset_mm / math.cos(bay.line.rake_rad) - rail.axis_drop_mm
    return EdgeLine(bay.line.slope, bay.line.start_mm + rise)


def underside(bay: Bay) -> EdgeLine:
    """The bottom rail's lower face."""
    return EdgeLine(bay.line.slope, bay.line.start_mm - bay.section.height_plumb_mm)


def plate_box(railing: Railing, post: Post) -> tuple[float, float, float, float]:
    """A base plate: its least s and z, its greatest s and z, in mm.

    Of a turned one, what the rails' line crosses.
    """
    plate, foot, kit = footprint(railing, post), post.surface_z_mm, railing.kit.plate
    low, high = plate.low_s_mm, plate.high_s_mm
    if post.spec.skew.angle_rad:
        line = post.in_from_side_mm + kit.across_mm / 2
        crossed = Polygon(plate.plate).intersection(LineString([(low, line), (high, line)]))
        low, _, high, _ = crossed.bounds
    return low, foot - 1.0, high, foot + kit.thickness_mm


def bottom_floor_z(railing: Railing) -> float:
    """The floor under the rail at the bottom, mm: a slab that lies lower is the floor there."""
    post = railing.downhill_post
    return post.surface_z_mm if post.spec.ground is Ground.SLAB else 0.0


def step_below(stair: Stair, nose_mm: tuple[float, float], riser: int) -> Step:
    """The step whose tread begins at a nose and ends at a riser, counted from 1."""
    ahead = stair.nose(riser)
    rise = ahead.z_mm - nose_mm[1]
    return Step(
        nose_mm=nose_mm,
        next_nose_mm=(ahead.s_mm, ahead.z_mm),
        overhang_mm=stair.nosing_mm(riser),
        # A tread as thick as the rise leaves no riser to see; the outline wants a hair of one.
        thickness_mm=min(stair.tread_thickness_mm, rise - SAME_MM),
        open_riser=stair.open_risers,
    )

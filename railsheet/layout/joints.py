"""Top rails that join over a shared post."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from railsheet.job.kit import RailPlace
from railsheet.job.kit_bracket import EndCut
from railsheet.layout.compound import Vector, meet, raked_bar
from railsheet.layout.eased_joint import bearing_mm, place_easing, with_easing
from railsheet.layout.ends.kind import EndPlace
from railsheet.layout.ends.over import under_rail_mm
from railsheet.layout.joined_rail import axis_over_foot_mm, cut_again, partner_of, with_top_rail
from railsheet.layout.rail_ends import End, RailEnd, along
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Meets, Partner, SitePost
from railsheet.tolerance import SAME_MM, SAME_RAD


@dataclass(frozen=True)
class Joined:
    """One end after its joint. Lengths in mm.

    Attributes:
        off_middle_mm: level, from the post's middle to the joint, on the rail's axis, out of the
            bay.
        step_mm: how much higher this rail's axis stands there than the other's.
        lip_mm: how far the two sections' corners stand apart in the cut.
    """

    off_middle_mm: float
    step_mm: float
    lip_mm: float


def meetings_of(railings: Mapping[str, Railing], post: SitePost) -> dict[str, Meets]:
    """What each run's rails come to at a post, by run."""
    found = {}
    for meeting in post.meetings:
        others = [other for other in post.meetings if other is not meeting]
        partner = None
        if len(others) == 1 and railings[meeting.run].kit.top_end.runs_over:
            partner = partner_of(others[0], railings[others[0].run])
        back = abs(meeting.post.centre_s_mm - meeting.face.s_mm)
        found[meeting.run] = Meets(meeting.way_rad, back, partner, post.easing.kit)
    return found


def with_meeting(railing: Railing, end: End, meets: Meets) -> tuple[Railing, Joined | None]:
    """A run with its top rail's end cut for the rail that it joins over a shared post.

    Returns:
        The run, and what its top rail's joint over the post came to; None where there is none.
    """
    bay = railing.bays[0 if end is End.DOWNHILL else -1]
    post = railing.downhill_post if end is End.DOWNHILL else railing.uphill_post
    if meets.partner is None:
        return railing, None
    if meets.easing is not None:
        easing = place_easing(railing, end, meets.partner, meets.easing)
        return with_easing(railing, end, easing), None
    at = EndPlace(
        kit=railing.kit,
        place=RailPlace.TOP,
        end=end,
        line=railing.line,
        section=railing.section,
        face_s_mm=post.face(end).s_mm,
    )
    new, joined = _over(railing, at, meets, meets.partner)
    return with_top_rail(railing, end, cut_again(railing.kit, bay.top_rail, new)), joined


def _over(railing: Railing, at: EndPlace, meets: Meets, partner: Partner) -> tuple[RailEnd, Joined]:
    """Cut to the plane that halves the two rails' angle, through where their axes cross.

    In line the axes cross where their heights are equal; at a plan corner only over the post's
    middle, and there their heights must agree.
    """
    rake, rail = at.rake_rad, at.kit.top_rail
    own_climb = rake if at.end is End.DOWNHILL else -rake
    first = raked_bar(meets.way_rad + math.pi, -own_climb)
    second = raked_bar(partner.way_rad, partner.climb_rad)
    joint = meet(first, second, rail.width_mm, rail.depth_mm)
    middle = at.face_s_mm - at.end.inward * meets.back_mm
    post = railing.downhill_post if at.end is End.DOWNHILL else railing.uphill_post
    step = axis_over_foot_mm(railing, post, middle) - partner.axis_mm
    off = 0.0
    turn = abs(math.remainder(partner.way_rad - meets.way_rad - math.pi, math.tau))
    bend = math.tan(partner.climb_rad) + math.tan(own_climb)
    if turn < SAME_RAD and abs(bend) > SAME_RAD:
        # Out of the bay this rail climbs at -own_climb, the other at its own climb.
        off, step = step / bend, 0.0
    lean, slant = _plane(joint.cut_normal, meets, at.end, rake)
    s = middle - at.end.inward * off
    cut = EndCut.COMPOUND if slant else EndCut.MITRE
    if not slant and abs(lean - math.tan(rake)) < SAME_RAD:
        cut = EndCut.PLUMB
    end = RailEnd(
        end=at.end,
        cut=cut,
        face_s_mm=at.face_s_mm,
        u_axis_mm=along(s, 0.0, rake),
        mouth_axis_mm=along(at.face_s_mm, 0.0, rake),
        insertion_mm=meets.back_mm + off,
        held_by="post",
        lean=lean,
        slant=slant,
        # The post's face stands plumb, whatever the cut.
        mouth_lean=math.tan(rake),
        stays_out=False,
    )
    return end, Joined(off, step, joint.lip_mm)


def _plane(normal: Vector, meets: Meets, end: End, rake_rad: float) -> tuple[float, float]:
    """A cut's lean and slant along a rail, from its normal in the site's axes."""
    bearing = meets.way_rad if end is End.DOWNHILL else meets.way_rad + math.pi
    x, y, z = normal
    cos, sin = math.cos(bearing), math.sin(bearing)
    s, aside = x * cos + y * sin, y * cos - x * sin
    on_axis = s * math.cos(rake_rad) + z * math.sin(rake_rad)
    up = z * math.cos(rake_rad) - s * math.sin(rake_rad)
    lean, slant = -up / on_axis, -aside / on_axis
    return _cleared(lean), _cleared(slant)


def _cleared(tangent: float) -> float:
    return tangent if abs(tangent) > SAME_RAD else 0.0


def top_under_rails_mm(railings: Mapping[str, Railing], post: SitePost) -> float:
    """A shared post's height under rails that join over it: level, under the lowest of them."""
    return min(low for low, _ in _undersides_mm(railings, post))


def packing_mm(railings: Mapping[str, Railing], post: SitePost) -> float:
    """How far the highest underside stands over a level top under the lowest; 0 if they agree."""
    spans = _undersides_mm(railings, post)
    gap = max(high for _, high in spans) - min(low for low, _ in spans)
    return gap if gap > SAME_MM else 0.0


def _undersides_mm(railings: Mapping[str, Railing], post: SitePost) -> list[tuple[float, float]]:
    """Over the post's foot: where each rail's bearing on its half of the post is, low and high.

    An easing bears on all of it.
    """
    if post.easing.kit is not None:
        return [bearing_mm(railings, post.meetings, post.easing.kit)]
    spans = []
    for meeting in post.meetings:
        railing = railings[meeting.run]
        under = under_rail_mm(railing.kit, railing.line.rake_rad) + meeting.post.surface_z_mm
        ends = meeting.face.s_mm, meeting.post.centre_s_mm
        heights = [railing.line.z_at(s) - under for s in ends]
        spans.append((min(heights), max(heights)))
    return spans

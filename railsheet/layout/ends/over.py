"""A top rail that runs over the posts: joined over the middle of each, cut free past the last."""

from __future__ import annotations

import math
from dataclasses import replace

from railsheet.job.kit import Kit
from railsheet.job.kit_bracket import EndCut
from railsheet.job.kit_ends import OverKit
from railsheet.job.model import PostKind
from railsheet.layout.ends.kind import EndKind, EndPlace, plumb_end, screw_parts
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import RailEnd, along
from railsheet.layout.rail_line import RailLine


def _kit(at: EndPlace) -> OverKit:
    end = at.kit.end(at.place)
    assert isinstance(end, OverKit)
    return end


def _end(at: EndPlace) -> RailEnd:
    over, width = _kit(at), at.kit.post.width_mm
    if at.through:
        # Both rails of the joint bear on half the post.
        return plumb_end(at, -width / 2, 0.0, "post", stays_out=False)
    if at.post is PostKind.HALF:
        # The half post stands against the wall, and the rail ends there too.
        return plumb_end(at, -width / 2, 0.0, "post", stays_out=False)
    past = width + over.past_mm
    if over.cut is EndCut.PLUMB:
        return plumb_end(at, -past, 0.0, "post", stays_out=False)
    rake = at.rake_rad
    u = along(at.face_s_mm - at.end.inward * past, 0.0, rake)
    return RailEnd(
        end=at.end,
        cut=EndCut.SQUARE,
        face_s_mm=at.face_s_mm,
        u_axis_mm=u,
        mouth_axis_mm=along(at.face_s_mm, 0.0, rake),
        insertion_mm=past,
        held_by="post",
        lean=0.0,
        # The post's face stands plumb, whatever the cut.
        mouth_lean=math.tan(rake),
        stays_out=False,
    )


def _mount(_: EndPlace) -> Mount | None:
    """Nothing is marked on the post's face: the rail lies on its cut top."""
    return None


def _parts(at: EndPlace) -> tuple[Part, ...]:
    over = _kit(at)
    return Part("fixing", over.fixing, 1), *screw_parts(over.screws)


def under_rail_mm(kit: Kit, rake_rad: float) -> float:
    """Plumb, from the top of the top rail down to the cut top of a post under it."""
    over = kit.top_end
    assert isinstance(over, OverKit)
    return (kit.top_rail.depth_mm + over.saddle_mm) / math.cos(rake_rad)


def _top(kit: Kit, line: RailLine, post: Post) -> Post:
    """Cut to the rail's rake, a saddle under it: highest at the uphill face."""
    uphill = post.centre_s_mm + kit.post.width_mm / 2
    top = line.z_at(uphill) - under_rail_mm(kit, line.rake_rad)
    return replace(post, top_z_mm=top, top_slope=line.slope)


OVER = EndKind(_end, _mount, _parts, turns=True, top=_top)

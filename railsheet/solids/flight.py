"""A flight's railing as solids: posts, rails with their holes, balusters, brackets."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from railsheet.job.kit import RailPlace
from railsheet.job.model import Side
from railsheet.layout.infill.parts import Bore, Member
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay, Post, PostFace, Rail, Railing
from railsheet.solids.step_file import save_step

if TYPE_CHECKING:
    import cadquery

Point = tuple[float, float]


def railing_solids(railing: Railing) -> cadquery.Assembly:
    """Every part of a flight's railing, named by its mark, in millimetres.

    x is s, z is up, and the rails' middle lies on y = 0 with the walking side at positive y for a
    rail on the right going up, negative y for one on the left. Rails are drawn solid, since a kit
    gives no wall thickness: each hole is a pocket, plumb-sided and as deep as the baluster's seat,
    and a plough or groove is as wide as what it holds.
    Brackets are left to the maker's own model.
    """
    import cadquery

    mark = railing.spec.mark
    whole = cadquery.Assembly(name=f"flight {mark}")
    for number, post in enumerate(railing.posts, start=1):
        whole.add(post_solid(railing, post), name=f"{mark}-P{number}")
    for bay in railing.bays:
        for rail in bay.rails:
            letters = "TR" if rail.place is RailPlace.TOP else "BR"
            whole.add(rail_solid(bay, rail), name=f"{mark}{bay.number}-{letters}")
        for member in bay.infill.members:
            solid = member_solid(member)
            whole.add(solid, name=f"{mark}{bay.number}-B{member.number}")
    return whole


def post_solid(railing: Railing, post: Post) -> cadquery.Workplane:
    """A post in place on its plate, bored as its faces ask."""
    import cadquery

    kit = railing.kit
    side = -1 if railing.spec.side is Side.LEFT else 1
    foot = post.surface_z_mm
    plate, width = kit.plate, kit.post.width_mm
    tall = post.height_mm - plate.thickness_mm
    # The post stands at the plate's middle; the rails stand on the mounts, across the post.
    bracket = kit.top_bracket
    mount = (bracket.across_least_mm + bracket.across_most_mm) / 2
    y = side * (width / 2 - mount)
    base = cadquery.Workplane().box(
        plate.along_mm, plate.across_mm, plate.thickness_mm, centered=(True, True, False)
    )
    shaft = (
        cadquery.Workplane()
        .box(width, width, tall, centered=(True, True, False))
        .translate((0, 0, plate.thickness_mm))
    )
    solid = base.union(shaft).translate((post.centre_s_mm, y, foot))
    for face in post.faces:
        for bore in face.bores:
            solid = solid.cut(_drill(railing, post, face, bore))
    return solid


def _drill(railing: Railing, post: Post, face: PostFace, bore: Bore) -> cadquery.Workplane:
    """What a bore takes out, along the rails: through an end post, to the middle of a line post.

    A line post is bored from both its faces, for the bays beside it may differ.
    """
    import cadquery

    rake, out = railing.line.rake_rad, -face.end.inward
    width = railing.kit.post.width_mm
    # Past the face it starts from by the mouth's slope; past the far one likewise.
    reach = bore.diameter_mm + 1.0
    deep = width / 2 if post.through else width + reach
    along = cadquery.Vector(out * math.cos(rake), 0.0, out * math.sin(rake))
    mouth = cadquery.Vector(face.s_mm, 0.0, face.underside_z_mm + bore.over_underside_mm)
    rod = cadquery.Solid.makeCylinder(
        bore.diameter_mm / 2, (deep + reach) / math.cos(rake), mouth - along * reach, along
    )
    return cadquery.Workplane(rod)


def rail_solid(bay: Bay, rail: Rail) -> cadquery.Workplane:
    """One rail in place, cut to length, its holes down to the balusters' stops."""
    half = rail.kit.depth_mm / 2
    corners = [
        _in_place(bay, rail, rail.end(end).u_at(offset), offset)
        for end, offset in (
            (End.DOWNHILL, -half),
            (End.UPHILL, -half),
            (End.UPHILL, half),
            (End.DOWNHILL, half),
        )
    ]
    bar = _extrude(corners, rail.kit.width_mm)
    into = 1 if rail.place is RailPlace.TOP else -1
    face, deep = rail.punched_offset_mm, into * rail.kit.seat_mm
    lean = deep * math.tan(bay.line.rake_rad)
    if rail.groove_mm:
        whole = [
            _in_place(bay, rail, rail.end(end).u_at(offset), offset)
            for end, offset in (
                (End.DOWNHILL, face),
                (End.UPHILL, face),
                (End.UPHILL, face + deep),
                (End.DOWNHILL, face + deep),
            )
        ]
        return bar.cut(_extrude(whole, rail.groove_mm))
    if not rail.kit.seat_mm:
        return bar
    for hole in rail.holes:
        u = rail.uphill_point_u_mm - hole.from_uphill_mm
        ends = u - rail.hole_mm / 2, u + rail.hole_mm / 2
        pocket = [
            _in_place(bay, rail, ends[0], face),
            _in_place(bay, rail, ends[1], face),
            _in_place(bay, rail, ends[1] + lean, face + deep),
            _in_place(bay, rail, ends[0] + lean, face + deep),
        ]
        bar = bar.cut(_extrude(pocket, rail.hole_mm))
    return bar


def member_solid(member: Member) -> cadquery.Workplane:
    """One part of the infill in place, with all that the rails hold of it, drawn square."""
    return _extrude(member.body, member.thick_mm)


def write_step(railing: Railing, dated: datetime.date, path: Path) -> None:
    """Write a flight's solids as STEP, dated as asked."""
    save_step(railing_solids(railing), dated, path)


def _in_place(bay: Bay, rail: Rail, u_mm: float, offset_mm: float) -> Point:
    rake = bay.line.rake_rad
    s = (u_mm - offset_mm * math.tan(rake)) * math.cos(rake)
    return s, bay.line.z_at(s) - rail.axis_drop_mm + offset_mm / math.cos(rake)


def _extrude(corners: Sequence[Point], width_mm: float) -> cadquery.Workplane:
    """An outline in the plane of the run, as thick as asked, its middle on y = 0."""
    import cadquery

    # An XZ workplane's normal points to negative y; extruded both ways it does not matter.
    return cadquery.Workplane("XZ").polyline(list(corners)).close().extrude(width_mm / 2, both=True)

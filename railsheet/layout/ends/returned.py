"""A top rail's free end past its last post, turned back to a wall: mitred, or in an elbow.

The return is level and square to the run, and rolled with the rail: its section keeps the rail's
rake, so that in the mitre each face of the one runs on into the same face of the other.
"""

from __future__ import annotations

import math

from railsheet.job.kit import RailPlace
from railsheet.job.kit_bracket import EndCut
from railsheet.job.kit_return import ReturnKit
from railsheet.layout.compound import Bar, cut_slopes, meet, raked_bar
from railsheet.layout.ends.kind import EndKind, EndPlace, ToWall, screw_parts
from railsheet.layout.ends.over import OVER
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.rail_ends import End, RailEnd, along
from railsheet.layout.railing import Rail, Return, Working
from railsheet.tolerance import SAME_MM


def _kit(at: EndPlace) -> tuple[ReturnKit, ToWall]:
    assert at.kit.top_return is not None
    assert at.wall is not None
    return at.kit.top_return, at.wall


def _corner_mm(at: EndPlace) -> float:
    """Where the middles of rail and return cross, along the rail."""
    kit, _ = _kit(at)
    past = at.kit.post.width_mm + kit.past_mm
    return along(at.face_s_mm - at.end.inward * past, 0.0, at.rake_rad)


def _slopes(at: EndPlace) -> tuple[tuple[float, float], tuple[float, float]]:
    """The mitre's lean and slant: on the rail, and on the return."""
    _, wall = _kit(at)
    uphill = raked_bar(0.0, at.rake_rad)
    out = -at.end.inward
    rail = at.kit.rail(at.place)
    leaving = Bar((out * uphill.axis[0], 0.0, out * uphill.axis[2]), uphill.up)
    joint = meet(leaving, Bar((0.0, wall.aside, 0.0), uphill.up), rail.width_mm, rail.depth_mm)
    assert joint.lip_mm <= SAME_MM, "a return rolled with its rail meets it flush"
    # Going up the run one goes on to the wall past the uphill end, and comes from it before the
    # downhill end.
    own = Bar((0.0, out * wall.aside, 0.0), uphill.up)
    return cut_slopes(uphill, joint.cut_normal), cut_slopes(own, joint.cut_normal)


def _end(at: EndPlace) -> RailEnd:
    kit, _ = _kit(at)
    corner = _corner_mm(at)
    face_u = along(at.face_s_mm, 0.0, at.rake_rad)
    past = at.kit.post.width_mm + kit.past_mm
    back = kit.set_back_mm
    lean, slant = (0.0, 0.0) if kit.elbow else _slopes(at)[0]
    half = at.half_depth_mm
    inward = at.end.inward
    cut, far = corner + inward * back, corner - inward * at.kit.rail(at.place).width_mm / 2
    return RailEnd(
        end=at.end,
        cut=EndCut.SQUARE if kit.elbow else EndCut.MITRE,
        face_s_mm=at.face_s_mm,
        u_axis_mm=cut,
        mouth_axis_mm=face_u,
        insertion_mm=past - back * math.cos(at.rake_rad),
        held_by="post",
        lean=lean,
        slant=slant,
        # The post's face stands plumb, whatever the cut.
        mouth_lean=math.tan(at.rake_rad),
        body=((cut, -half), (cut, half), (far, half), (far, -half)) if kit.elbow else (),
        holder=kit.elbow.name if kit.elbow else "",
        stays_out=False,
    )


def _beyond(at: EndPlace) -> Return:
    kit, wall = _kit(at)
    reach = wall.from_middle_mm
    ends = {
        # At the rail, where the piece's own u is zero at the corner; and at the wall.
        True: (kit.set_back_mm, EndCut.SQUARE if kit.elbow else EndCut.MITRE),
        False: (reach - kit.gap_mm, EndCut.SQUARE),
    }
    lean, slant = (0.0, 0.0) if kit.elbow else _slopes(at)[1]
    way = -at.end.inward

    def cut(end: End) -> RailEnd:
        at_rail = end is not at.end
        u, how = ends[at_rail]
        return RailEnd(
            end=end,
            cut=how,
            face_s_mm=0.0,
            u_axis_mm=way * u,
            mouth_axis_mm=way * u,
            insertion_mm=0.0,
            held_by="cut",
            lean=lean if at_rail else 0.0,
            slant=slant if at_rail else 0.0,
            stays_out=False,
        )

    rail = at.kit.rail(at.place)
    piece = Rail(
        place=RailPlace.TOP,
        kit=rail,
        axis_drop_mm=0.0,
        punched_offset_mm=-rail.depth_mm / 2,
        downhill=cut(End.DOWNHILL),
        uphill=cut(End.UPHILL),
        working=Working.PLAIN,
        hole_mm=0.0,
        holes=(),
    )
    past = at.kit.post.width_mm + kit.past_mm
    corner_s = at.face_s_mm - at.end.inward * past
    return Return(
        at.end, piece, corner_s, wall.aside, reach, kit.past_mm, wall.clear_mm, kit.gap_mm
    )


def _mount(_: EndPlace) -> Mount | None:
    """Nothing is marked on the post's face: the rail lies on its cut top."""
    return None


def _parts(at: EndPlace) -> tuple[Part, ...]:
    kit, _ = _kit(at)
    joint = Part("elbow", kit.elbow.name, 1) if kit.elbow else Part("fixing", kit.fixing, 1)
    return *OVER.parts(at), joint, Part("plate", kit.plate, 1), *screw_parts(kit.screws)


RETURNED = EndKind(_end, _mount, _parts, turns=True, top=OVER.top, beyond=_beyond)

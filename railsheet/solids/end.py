"""What cuts a rail's end, by the kind of end: planes standing off the post as it is found."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import cadquery as cq

from railsheet.job.kit_bracket import BracketKit, EndCut
from railsheet.job.kit_easing import EasingKit
from railsheet.job.kit_ends import ButtKit, CopedKit, HousedKit, OverKit, WallPlateKit
from railsheet.job.kit_return import ReturnKit
from railsheet.job.model import PostKind
from railsheet.solids.bar import Bar
from railsheet.solids.returned import Returned, returned
from railsheet.solids.setting_out import Holder, Station
from railsheet.solids.space import FAR, RUN, UP, Flat, facing, plumb_flat


class MouthOn(Enum):
    """What shows where a rail's end begins to be covered."""

    HOLDER = "bracket or plate"
    EASING = "easing"
    POST = "post"
    CUT = "cut"
    NOTHING = "nothing"


@dataclass(frozen=True)
class EndPlanes:
    """What is made of a rail's end.

    Attributes:
        pin: a bracket's pivot pin, or where the rail's axis meets the post's face.
        stop: the plane that cuts the rail, looking out of the bay.
        mouth: where what covers the end begins.
        seen_on: on which solid that shows.
        hollow: what a cope takes out of the rail's end besides; None where it has none.
    """

    pin: cq.Vector
    stop: Flat
    mouth: Flat
    seen_on: MouthOn
    hollow: cq.Solid | None = None


@dataclass(frozen=True)
class EndAt:
    """Where a rail comes to a post. Lengths in mm.

    Attributes:
        station: the post.
        bar: the rail's line.
        faces_mm: the post's downhill and uphill face, on that line.
        inward: 1 at the rail's downhill end, -1 at its uphill end: from the post into the bay.
    """

    station: Station
    bar: Bar
    faces_mm: tuple[float, float]
    inward: int

    @property
    def holds(self) -> Holder:
        """What holds the rail."""
        return self.station.ends[self.inward, self.bar.place]

    @property
    def face_mm(self) -> float:
        """The face toward the bay."""
        return self.faces_mm[1 if self.inward > 0 else 0]

    @property
    def outer_mm(self) -> float:
        """The face away from it."""
        return self.faces_mm[0 if self.inward > 0 else 1]

    def axis_at(self, s_mm: float) -> cq.Vector:
        """Where the rail's axis stands at a place on the run."""
        start = self.bar.point(0.0, self.bar.middle_mm)
        return plumb_flat(s_mm).met_by(start, self.bar.along)

    def out(self, s_mm: float) -> Flat:
        """A plumb plane square across the run, looking out of the bay."""
        return plumb_flat(s_mm, -self.inward)

    def returned(self) -> Returned:
        """Where the rail turns back to a wall."""
        assert isinstance(self.holds, ReturnKit)
        assert self.station.wall is not None
        clear, aside = self.station.wall
        # The post stands in the rail's middle: half of it, on the wall's side, and the clear.
        half = abs(self.faces_mm[1] - self.faces_mm[0]) / 2
        wall = aside * (half + clear)
        return returned(self.holds, self.bar, self.outer_mm, -self.inward, aside, wall)


def end_planes(at: EndAt, joint: Flat | None) -> EndPlanes:
    """The planes at a rail's end.

    A pivoting bracket's pin stands off the face, on the rail's axis; stop and mouth are square to
    the rail, and measured from the pin along it. A fixed bracket's are plumb, and measured level
    from the face. A butted end is parallel to the face, however that is turned. A housed one stops
    short of the housing's floor. A rail over its post ends at the post's middle where another goes
    on, at the wall behind a half post, past the outer face where it is free.

    Args:
        at: the rail and the post.
        joint: where the rail is joined over the post with another run's: the plane between them.
    """
    holds, inward = at.holds, at.inward
    if isinstance(holds, BracketKit):
        return _bracket(at, holds)
    pin = at.axis_at(at.face_mm)
    if isinstance(holds, ReturnKit):
        joint_flat = at.returned().joint
        return EndPlanes(pin, joint_flat, at.out(at.face_mm), MouthOn.POST)
    if isinstance(holds, WallPlateKit):
        mouth = at.face_mm + inward * holds.thickness_mm
        stop = at.out(mouth - inward * holds.socket_mm)
        return EndPlanes(pin, stop, at.out(mouth), MouthOn.HOLDER)
    if isinstance(holds, ButtKit):
        face = _face_of(at)
        stop = Flat(face.at + face.normal * holds.clearance_mm, face.normal * -1.0)
        return EndPlanes(pin, stop, stop, MouthOn.CUT)
    mouth_flat = at.out(at.face_mm)
    assert not isinstance(holds, EasingKit), "an easing brings its own planes"
    if isinstance(holds, CopedKit):
        # Cut off at the post's own axis, and the round with its clearance taken out of it.
        stop = at.out(at.station.middle_mm)
        around = abs(at.outer_mm - at.face_mm) / 2 + holds.clearance_mm
        foot = cq.Vector(at.station.middle_mm, at.station.aside_mm, pin.z - FAR)
        # The kernel begins a round along x: turned a quarter, where no rail is coped.
        hollow = cq.Solid.makeCylinder(around, 2 * FAR, foot).rotate(foot, foot + UP, 90.0)
        return EndPlanes(pin, stop, mouth_flat, MouthOn.CUT, hollow)
    if isinstance(holds, HousedKit):
        stop = at.out(at.face_mm - inward * (holds.depth_mm - holds.short_mm))
    else:
        stop = _over(at, holds) if joint is None else joint
    return EndPlanes(pin, stop, mouth_flat, MouthOn.POST)


def _bracket(at: EndAt, bracket: BracketKit) -> EndPlanes:
    inward, bar = at.inward, at.bar
    pin = at.axis_at(at.face_mm + inward * bracket.stand_off_mm)
    way = bar.along if bracket.cut is EndCut.SQUARE else RUN
    stop = pin + way * (inward * (bracket.reach_mm - bracket.insertion_mm))
    mouth = pin + way * (inward * bracket.reach_mm)
    hidden = bracket.body_depth_mm <= bar.kit.depth_mm
    seen_on = MouthOn.NOTHING if hidden else MouthOn.HOLDER
    return EndPlanes(pin, Flat(stop, way * -inward), Flat(mouth, way * -inward), seen_on)


def _face_of(at: EndAt) -> Flat:
    """The post's face toward the bay, looking into it, turned as the post is."""
    point = at.axis_at(at.face_mm)
    turned = 0.0 if at.station.kind is PostKind.WALL else at.station.turned_rad
    return facing(point, turned, RUN * at.inward)


def _over(at: EndAt, over: OverKit) -> Flat:
    if at.station.through or at.station.kind is PostKind.HALF:
        return at.out(at.station.middle_mm)
    end = at.outer_mm - at.inward * over.past_mm
    if over.cut is EndCut.PLUMB:
        return at.out(end)
    return Flat(at.axis_at(end), at.bar.along * -at.inward)


def stands_off_mm(at: EndAt, *, shared: bool) -> float | None:
    """How near a rail with no bracket or plate comes to its post; None where that is not fixed.

    A housed rail: half the ease beside its cheeks, or what it stops short of the floor. Over a
    post that runs share the top is level, and a raked rail may stand higher on a packing.
    """
    holds = at.holds.over if isinstance(at.holds, ReturnKit) else at.holds
    if isinstance(holds, ButtKit | CopedKit):
        return holds.clearance_mm
    if isinstance(holds, HousedKit):
        return min(holds.ease_mm / 2, holds.short_mm)
    return holds.saddle_mm if isinstance(holds, OverKit) and not shared else None

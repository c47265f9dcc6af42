"""The solved railing of one flight: plain values, exact, in millimetres and radians."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from railsheet.job.kit import Kit, RailKit, RailPlace
from railsheet.job.model import FlightSpec
from railsheet.layout.freedom import Freedom
from railsheet.layout.infill.parts import Infill, Row
from railsheet.layout.notice import Notice
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End, RailEnd
from railsheet.layout.rail_line import RailLine
from railsheet.layout.section import Section
from railsheet.survey.stair import Nose, Stair

if TYPE_CHECKING:
    pass


class Working(Enum):
    """What is done to a rail for its infill: what its marks stand for."""

    PUNCHED = "punched"
    DRILLED = "drilled"
    MARKED = "marked"
    PLAIN = "plain"


@dataclass(frozen=True)
class Hole:
    """A hole within a cut rail, or the mark where an unpunched rail takes a baluster.

    Attributes:
        from_uphill_mm: along the rail from its uphill end (long point) to the hole's centre on
            the face toward the infill.
        baluster: its baluster's number counted from the downhill post; None where none stands.
    """

    from_uphill_mm: float
    baluster: int | None


@dataclass(frozen=True)
class Rail:
    """One rail cut to length. Lengths in mm, along the rail.

    Attributes:
        kit: its section.
        axis_drop_mm: from the top-of-rail line down to its axis, plumb.
        punched_offset_mm: the height over the axis, square to the rail, of the face toward the
            infill: the punched one, where rails are punched.
        working: what the holes are.
        hole_mm: their size along the rail; 0 where there are none.
        holes: from the uphill end down.
        groove_mm: the width of a groove along the whole of that face, as deep as the kit's seat;
            0 where it has none.
    """

    place: RailPlace
    kit: RailKit
    axis_drop_mm: float
    punched_offset_mm: float
    downhill: RailEnd
    uphill: RailEnd
    working: Working
    hole_mm: float
    holes: tuple[Hole, ...]
    groove_mm: float = 0.0

    @property
    def takes_balusters(self) -> bool:
        """Whether any hole or mark is a baluster's."""
        return any(hole.baluster is not None for hole in self.holes)

    @property
    def uphill_point_u_mm(self) -> float:
        """Where the uphill end's long point stands: the datum of every mark on this rail."""
        return self.uphill.long_u_mm(self.kit.depth_mm, self.kit.width_mm)

    @property
    def length_mm(self) -> float:
        """Longest, from the uphill end's long point to the downhill end's."""
        low = self.downhill.long_u_mm(self.kit.depth_mm, self.kit.width_mm)
        return self.uphill_point_u_mm - low

    def short_mm(self, end: End) -> float:
        """How far an end's short point stands back from its long point; 0 for a square cut."""
        return self.end(end).short_mm(self.kit.depth_mm, self.kit.width_mm)

    @property
    def edge_length_mm(self) -> float:
        """Along the punched face, from cut to cut."""
        offset = self.punched_offset_mm
        return self.uphill.u_at(offset) - self.downhill.u_at(offset)

    def long_side_mm(self, end: End) -> float:
        """How far aside the longer arris of an end lies; 0 where the cut is square across.

        A cope's two are alike, and both longer than its middle.
        """
        cut = self.end(end)
        if cut.cope_mm:
            return self.kit.width_mm / 2
        return math.copysign(self.kit.width_mm / 2, -cut.inward_slant) if cut.slant else 0.0

    def end(self, end: End) -> RailEnd:
        """One of the two ends."""
        return self.uphill if end is End.UPHILL else self.downhill

    def from_uphill_mm(self, u_mm: float) -> float:
        """A place along the rail as measured from the uphill end's long point."""
        return self.uphill_point_u_mm - u_mm

    def end_hole(self, end: End) -> Hole:
        """The baluster hole nearest an end."""
        filled = [hole for hole in self.holes if hole.baluster is not None]
        return filled[0] if end is End.UPHILL else filled[-1]

    def hole_to_cut_mm(self, end: End) -> float:
        """From the end baluster's hole to the cut, on the punched face."""
        cut = self.from_uphill_mm(self.end(end).u_at(self.punched_offset_mm))
        return abs(cut - self.end_hole(end).from_uphill_mm)

    def hole_to_mouth_mm(self, end: End) -> float:
        """From the end baluster's hole to where the bracket ends, on the punched face."""
        mouth = self.mouth_from_uphill_mm(end)
        return abs(mouth - self.end_hole(end).from_uphill_mm)

    def mouth_from_uphill_mm(self, end: End) -> float:
        """From the uphill end's long point to where a bracket ends, on the punched face."""
        return self.from_uphill_mm(self.end(end).mouth_at(self.punched_offset_mm))


@dataclass(frozen=True)
class Return:
    """A piece that goes on from a top rail's free end, level and square to the run, to a wall.

    Lengths in mm, level.

    Attributes:
        end: the end of its bay's top rail that it goes on from.
        rail: the piece; its u is zero where its middle and the rail's cross, and grows as one goes
            up the run: to the wall past an uphill end, from the wall before a downhill one.
        corner_s_mm: where the middles cross, on the run.
        aside: the way to the wall: 1 to the left of one looking uphill, -1 to the right.
        to_wall_mm: from the rail's middle to the wall.
        past_mm: from the last post's outer face to its middle, along the run.
        clear_mm: from the last post's side to the wall.
        gap_mm: between its cut end and the wall.
    """

    end: End
    rail: Rail
    corner_s_mm: float
    aside: float
    to_wall_mm: float
    past_mm: float
    clear_mm: float
    gap_mm: float

    @property
    def word(self) -> str:
        """What it is called beside its rail."""
        return f"{self.end.value} return"

    def words_of(self, end: End) -> str:
        """What one of its own ends comes to."""
        return "wall" if end is self.end else "rail"

    @property
    def left_face(self) -> str:
        """Its left face, going up the run: to the wall, or from it."""
        turns_left = (self.aside > 0) == (self.end is End.UPHILL)
        return "face toward the run" if turns_left else "face away from the run"


@dataclass(frozen=True)
class Bay:
    """What stands between two neighbouring post faces. Lengths in mm.

    Attributes:
        number: counted uphill from 1.
        line: the top of the top rail.
        downhill_face_mm, uphill_face_mm: s of the two post faces.
        infill: what fills it.
        lift_mm: how far the top over each face stands above the line: off it where an easing
            turns the rail over the post.
        returns: the pieces that go on from its top rail's free ends.
    """

    number: int
    line: RailLine
    section: Section
    downhill_face_mm: float
    uphill_face_mm: float
    infill: Infill
    top_rail: Rail
    bottom_rail: Rail
    lift_mm: tuple[float, float] = (0.0, 0.0)
    returns: tuple[Return, ...] = ()

    @property
    def row(self) -> Row:
        """The row of balusters.

        Raises:
            ValueError: what fills this bay is not a row.
        """
        if self.infill.row is None:
            raise ValueError(f"bay {self.number} holds no row of balusters")
        return self.infill.row

    @property
    def gap_mm(self) -> float:
        """The clear gap at each post of a row, equal at both ends."""
        return self.row.gap_mm

    @property
    def baluster_s_mm(self) -> tuple[float, ...]:
        """Each baluster's centre on the run, from the downhill post; none in other infill."""
        return self.infill.row.centres_mm if self.infill.row else ()

    @property
    def clear_mm(self) -> float:
        """Level, from post face to post face."""
        return self.uphill_face_mm - self.downhill_face_mm

    @property
    def rails(self) -> tuple[Rail, Rail]:
        """Top, bottom."""
        return self.top_rail, self.bottom_rail

    @property
    def diagonals_mm(self) -> tuple[float, float]:
        """Corner to corner between the post faces.

        First from the underside of the bottom rail downhill to the top of the top rail uphill,
        then the other way.
        """
        rise = self.line.z_at(self.uphill_face_mm) - self.line.z_at(self.downhill_face_mm)
        deep, (low, high) = self.section.height_plumb_mm, self.lift_mm
        rising, falling = rise + deep + high, rise - deep - low
        return math.hypot(self.clear_mm, rising), math.hypot(self.clear_mm, falling)

    @property
    def tops_mm(self) -> tuple[float, float]:
        """Height of the top rail, or of the easing that it goes over in, at the two faces."""
        faces = self.downhill_face_mm, self.uphill_face_mm
        low, high = (self.line.z_at(s) + up for s, up in zip(faces, self.lift_mm, strict=True))
        return low, high


@dataclass(frozen=True)
class Railing:
    """One flight's railing, solved. Lengths in mm.

    Attributes:
        posts: going uphill.
        bays: going uphill, each between two neighbouring posts.
        freedom: the free post's windows; None where every post was given.
    """

    spec: FlightSpec
    kit: Kit
    stair: Stair
    line: RailLine
    section: Section
    posts: tuple[Post, ...]
    bays: tuple[Bay, ...]
    freedom: Freedom | None
    notices: tuple[Notice, ...]

    @property
    def level(self) -> bool:
        """Whether it is a level run, over no noses."""
        return not self.stair.noses

    @property
    def downhill_post(self) -> Post:
        """The lowest post."""
        return self.posts[0]

    @property
    def uphill_post(self) -> Post:
        """The highest post."""
        return self.posts[-1]

    @property
    def free_post(self) -> Post | None:
        """The post whose place the layout chose."""
        if self.freedom is None:
            return None
        return self.downhill_post if self.freedom.end is End.DOWNHILL else self.uphill_post

    @property
    def underside_drop_mm(self) -> float:
        """From the top-of-rail line down to the underside of the bottom rail, plumb."""
        return self.section.height_plumb_mm

    def crown_z_mm(self, post: Post) -> float:
        """The highest of a post and the top rail over it, at the post."""
        if not self.kit.top_end.runs_over:
            return post.top_z_mm
        half = self.kit.post.width_mm / 2
        low, high = post.centre_s_mm - half, post.centre_s_mm + half
        if post.easing is not None:
            return post.easing.heights_mm(low, high, post.easing.half_mm)[1]
        return max(post.top_z_mm, self.line.z_at(high))

    def spans(self, nose: Nose) -> bool:
        """Whether the rail passes over a nose."""
        return self.downhill_post.face_s_mm < nose.s_mm < self.uphill_post.face_s_mm

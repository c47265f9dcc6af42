"""What every kind of rail end answers: the door's one shape."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_bracket import EndCut, Screw
from railsheet.job.model import SQUARE, PostKind, Skew
from railsheet.layout.infill.parts import Part
from railsheet.layout.mount import Mount
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End, OnRail, RailEnd, along
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Return
from railsheet.layout.section import Section


@dataclass(frozen=True)
class ToWall:
    """A wall beside a free end, square to the run. Lengths in mm, level.

    Attributes:
        clear_mm: from the post's side to the wall.
        from_middle_mm: from the rail's middle to the wall.
        aside: the way to it: 1 to the left of one looking uphill, -1 to the right.
    """

    clear_mm: float
    from_middle_mm: float
    aside: float


@dataclass(frozen=True)
class EndPlace:
    """Where one end of one rail comes to a post or a wall. Lengths in mm, run frame.

    Attributes:
        line: the top of the top rail.
        face_s_mm: the post's face (the wall's, where there is no post), on the rails' middle line.
        post: what stands there.
        through: whether rails of this run go on past the post.
        skew: how the rail leaves the face.
        wall: what the top rail is returned to; None where it is not.
    """

    kit: Kit
    place: RailPlace
    end: End
    line: RailLine
    section: Section
    face_s_mm: float
    post: PostKind = PostKind.POST
    through: bool = False
    skew: Skew = SQUARE
    wall: ToWall | None = None

    @property
    def rake_rad(self) -> float:
        """The rail's angle from horizontal."""
        return self.section.rake_rad

    @property
    def half_depth_mm(self) -> float:
        """Half the rail's upright size, square to it."""
        return self.kit.rail(self.place).depth_mm / 2

    @property
    def depth_plumb_mm(self) -> float:
        """The rail's upright size, plumb."""
        return 2 * self.half_depth_mm / math.cos(self.rake_rad)

    @property
    def across_mm(self) -> tuple[float, float]:
        """Where the rail's middle may stand across the post, from its side-edge face."""
        return self.kit.end(self.place).across_mm(self.kit.post.width_mm)

    def axis_z(self, s_mm: float) -> float:
        """Height of the rail's axis at a place on the run."""
        half = self.depth_plumb_mm / 2
        drop = half if self.place is RailPlace.TOP else self.section.height_plumb_mm - half
        return self.line.z_at(s_mm) - drop


def square_top(_: Kit, __: RailLine, post: Post) -> Post:
    """A post cut square, a reveal over the rail, as the layout has it."""
    return post


def nothing_beyond(_: EndPlace) -> Return | None:
    """The rail ends there."""
    return None


@dataclass(frozen=True)
class EndKind:
    """One kind of rail end.

    Attributes:
        end: where the rail's cut end comes to be.
        mount: the mark it asks for on its post's face; None where it asks for none.
        parts: what must be bought for it.
        turns: whether it can be cut to a face turned in plan off square to the rail.
        top: a post's cut top under or beside a top rail that ends so.
        beyond: the piece that goes on from the rail's end; None where it has none.
    """

    end: Callable[[EndPlace], RailEnd]
    mount: Callable[[EndPlace], Mount | None]
    parts: Callable[[EndPlace], tuple[Part, ...]]
    turns: bool = False
    top: Callable[[Kit, RailLine, Post], Post] = square_top
    beyond: Callable[[EndPlace], Return | None] = nothing_beyond


def plumb_end(
    at: EndPlace,
    stop_mm: float,
    mouth_mm: float,
    held_by: str,
    body: tuple[OnRail, ...] = (),
    *,
    holder: str = "",
    stays_out: bool = True,
    turned: bool = False,
) -> RailEnd:
    """An end cut plumb: square to the rail in plan, or parallel to the face it comes to.

    Parallel to a face turned in plan the cut is compound.

    Args:
        at: where.
        stop_mm: level and square to the face, into the bay, to the cut; below zero it lies within
            the post.
        mouth_mm: likewise, to where what holds the end begins.
        held_by: what begins there.
        body: its outline from the side.
        holder: its name in the kit.
        stays_out: whether every corner of the cut must stay clear of the post.
        turned: whether the cut is turned with the face.
    """
    rake = at.rake_rad
    # The rail leaves the face so far to the left; seen from it, the face is turned to the right.
    face_rad = -at.skew.angle_rad if turned else 0.0
    skewed = face_rad != 0.0
    way = at.end.inward / math.cos(face_rad)
    cut = EndCut.COMPOUND if skewed else EndCut.PLUMB
    return RailEnd(
        end=at.end,
        cut=cut,
        face_s_mm=at.face_s_mm,
        u_axis_mm=along(at.face_s_mm + way * stop_mm, 0.0, rake),
        mouth_axis_mm=along(at.face_s_mm + way * mouth_mm, 0.0, rake),
        insertion_mm=mouth_mm - stop_mm,
        held_by=held_by,
        lean=math.tan(rake),
        # The face's plane: s = face - aside * tan(skew); along the rail that grows by 1 / cos.
        slant=-math.tan(face_rad) / math.cos(rake) if skewed else 0.0,
        body=body,
        holder=holder,
        # A cut parallel to the face is as clear of it everywhere as on the rail's axis.
        stays_out=stays_out and not skewed,
    )


def own_end(at: EndPlace) -> Mount:
    """What is marked on the post where the rail itself comes to it: its end, on its middle line."""
    return Mount(
        place=at.place,
        word="rail end",
        centre_z_mm=at.axis_z(at.face_s_mm),
        height_mm=at.depth_plumb_mm,
        width_mm=at.kit.rail(at.place).width_mm,
        across_mm=at.across_mm,
    )


def screw_parts(screws: tuple[Screw, ...]) -> tuple[Part, ...]:
    """An end's screws, spares bought over the count."""
    return tuple(Part("screw", f"{s.name}, {s.joins}", s.count, spared=True) for s in screws)

"""A post as it stands in its run, and its faces that hold rails: plain values, exact."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from railsheet.job.model import PostKind, PostSpec
from railsheet.layout.infill.parts import Bore, Part
from railsheet.layout.mount import Mount
from railsheet.layout.rail_ends import End

if TYPE_CHECKING:
    from railsheet.layout.easing import Easing


@dataclass(frozen=True)
class PostFace:
    """One face of a post, with the rails that meet it. Lengths in mm; places in the run frame.

    Attributes:
        end: the rails' end that it holds.
        s_mm: its place on the run.
        underside_z_mm: the underside of the bottom rail's line at the face.
        rail_top_z_mm: the top of the top rail's line at the face; of an easing over the post.
        mounts: top rail's first.
        bores: holes that the bay's infill asks for in this face, along the rails.
        parts: what is bought for the rails' ends here.
    """

    end: End
    s_mm: float
    underside_z_mm: float
    rail_top_z_mm: float
    mounts: tuple[Mount, ...]
    bores: tuple[Bore, ...] = ()
    parts: tuple[Part, ...] = ()

    @property
    def side(self) -> str:
        """Which side of its post it is: uphill where it holds the downhill end of its rails."""
        return "uphill" if self.end is End.DOWNHILL else "downhill"

    def bore_z_mm(self, bore: Bore) -> float:
        """The height of a hole's axis where it meets the face."""
        return self.underside_z_mm + bore.over_underside_mm


@dataclass(frozen=True)
class Post:
    """One post. Lengths in mm; places in the run frame.

    Attributes:
        name: what it is in its run: ``bottom``, ``line 1``, ``top``; unique in the run.
        centre_s_mm: its middle.
        surface_z_mm: what its plate stands on.
        top_z_mm: its cut top, where that is highest.
        in_from_side_mm: from the step's side edge to its plate.
        faces: the faces that hold rails of this run; the first is the one it is set out by. An
            end post has one; a line post has its downhill face, then its uphill face.
        slide_mm: how far a line post may slide downhill and uphill, its neighbours standing as
            drawn, with both its gaps in range and its plate where the kit wants it; None for a
            post at a run's end.
        owned: whether this run lists it among its pieces; a shared post is listed by one run.
        top_slope: how its cut top rises uphill, over its run: 0 where it is cut square.
        easing: what carries the top rail round a change of rake over it; None where nothing does.
    """

    name: str
    spec: PostSpec
    centre_s_mm: float
    surface_z_mm: float
    top_z_mm: float
    in_from_side_mm: float
    faces: tuple[PostFace, ...]
    slide_mm: tuple[float, float] | None = None
    owned: bool = True
    top_slope: float = 0.0
    easing: Easing | None = None

    @property
    def made(self) -> bool:
        """Whether there is a post at all: a wall plate is none."""
        return self.spec.kind is not PostKind.WALL

    @property
    def key(self) -> str:
        """Its name in a figure's key."""
        return self.name.replace(" ", "")

    @property
    def words(self) -> str:
        """Its name in a sentence: ``bottom post``, ``line post 1``."""
        if self.spec.mark:
            return f"{self.spec.kind.value} {self.spec.mark}"
        kind, _, number = self.name.partition(" ")
        return f"{kind} post {number}".rstrip()

    @property
    def with_article(self) -> str:
        """Its name in a sentence, with what it asks for: ``the bottom post``, ``line post 1``."""
        return self.words if self.through or self.spec.mark else f"the {self.words}"

    @property
    def title(self) -> str:
        """Its name at the start of a sentence."""
        return self.words[0].upper() + self.words[1:]

    @property
    def through(self) -> bool:
        """Whether rails of this run meet it on both sides."""
        return len(self.faces) > 1

    @property
    def end(self) -> End:
        """The rails' end held by the face it is set out by."""
        return self.faces[0].end

    @property
    def face_s_mm(self) -> float:
        """The face it is set out by."""
        return self.faces[0].s_mm

    @property
    def underside_z_mm(self) -> float:
        """The underside of the bottom rail's line at the face it is set out by."""
        return self.faces[0].underside_z_mm

    @property
    def rail_top_z_mm(self) -> float:
        """The top of the top rail's line at the face it is set out by."""
        return self.faces[0].rail_top_z_mm

    @property
    def mounts(self) -> tuple[Mount, ...]:
        """Every mount on it, face by face."""
        return tuple(mount for face in self.faces for mount in face.mounts)

    def face(self, end: End) -> PostFace:
        """The face that holds one end of rails.

        Raises:
            KeyError: no face of it does.
        """
        for face in self.faces:
            if face.end is end:
                return face
        raise KeyError(end)

    @property
    def height_mm(self) -> float:
        """From what its plate stands on to its cut top."""
        return self.top_z_mm - self.surface_z_mm

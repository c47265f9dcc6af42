"""How a kit's rails end, as its file gives it: one value for each kind of end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import ClassVar, TypeAlias

from railsheet.job.kit_bracket import BracketKit, EndCut, Screw, read_bracket, read_screws
from railsheet.job.source import Table


class _InPostsMiddle:
    """An end without a mount: the rails' middle stands in the post's."""

    runs_over: ClassVar[bool] = False
    mount_width_mm: ClassVar[float] = 0.0

    def across_mm(self, post_mm: float) -> tuple[float, float]:
        """In the post's middle."""
        return post_mm / 2, post_mm / 2

    def farthest_across_mm(self, post_mm: float) -> float:
        """In the post's middle."""
        return post_mm / 2


@dataclass(frozen=True)
class ButtKit(_InPostsMiddle):
    """A rail between posts, cut plumb and fastened tight to the post's face. Lengths in mm.

    Attributes:
        clearance_mm: level, from the post's face to the cut: what a coat or a gasket takes.
        fixing: the part that holds it, in words.
        screws: kinds and counts for one end.
    """

    into_post_mm: ClassVar[float] = 0.0

    name: str
    clearance_mm: float
    fixing: str
    screws: tuple[Screw, ...]


@dataclass(frozen=True)
class HousedKit(_InPostsMiddle):
    """A rail let into a housing cut in the post's face. Lengths in mm.

    Attributes:
        depth_mm: of the housing, level from the post's face to its plumb floor.
        ease_mm: how much wider and taller than the rail the housing is cut, in all.
        short_mm: how far the rail's cut stands off the housing's floor, level.
        screws: kinds and counts for one end.
    """

    name: str
    depth_mm: float
    ease_mm: float
    short_mm: float
    screws: tuple[Screw, ...]

    @property
    def into_post_mm(self) -> float:
        """How deep it is let into the post."""
        return self.depth_mm


@dataclass(frozen=True)
class CopedKit(_InPostsMiddle):
    """A rail coped to a round post: its end hollowed to lie against the round. Lengths in mm.

    Attributes:
        clearance_mm: square to the post's round, from it to the cope: what a weld's root takes.
        fixing: what holds it, in words.
        screws: kinds and counts for one end; none where it is welded.
    """

    into_post_mm: ClassVar[float] = 0.0

    name: str
    clearance_mm: float
    fixing: str
    screws: tuple[Screw, ...]


@dataclass(frozen=True)
class OverKit(_InPostsMiddle):
    """A top rail that runs over the posts, each cut to its rake under it. Lengths in mm.

    Attributes:
        cut: how a free end is cut, past the last post: square or plumb.
        past_mm: level, from the last post's outer face to that cut on the rail's axis.
        saddle_mm: square to the rail, from the post's cut top to the rail's underside.
        fixing: the part between, or what holds the rail down, in words; one to an end.
        screws: kinds and counts for one end.
    """

    runs_over: ClassVar[bool] = True
    into_post_mm: ClassVar[float] = 0.0

    name: str
    cut: EndCut
    past_mm: float
    saddle_mm: float
    fixing: str
    screws: tuple[Screw, ...]


@dataclass(frozen=True)
class WallPlateKit:
    """A plate on a wall that a rail ends in, where there is no post. Lengths in mm.

    Attributes:
        plate: the plate in words.
        thickness_mm: how far the plate's face stands off the wall.
        socket_mm: how deep the rail's plumb cut goes in behind that face; 0 where it butts it.
        height_mm, width_mm: the plate's size on the wall.
        screws: kinds and counts for one plate.
    """

    plate: str
    thickness_mm: float
    socket_mm: float
    height_mm: float
    width_mm: float
    screws: tuple[Screw, ...]


EndKit: TypeAlias = BracketKit | ButtKit | HousedKit | OverKit | CopedKit


def read_end(root: Table, place: str) -> EndKit:
    """How the top or the bottom rail ends: ``[top_bracket]``, or ``[top_end]`` with its kind.

    Raises:
        BadInput: a key is missing, misspelt or out of range.
    """
    named = f"{place}_end"
    if not root.has(named):
        return read_bracket(root.table(f"{place}_bracket"))
    if root.has(f"{place}_bracket"):
        raise root.bad(named, f"a rail has one kind of end: leave {place}_bracket out", "")
    table = root.table(named)
    kind = table.choice("kind", list(_READERS))
    end = _READERS[kind](table)
    table.done()
    if end.runs_over and place != "top":
        raise table.bad("kind", "only the top rail runs over posts", kind)
    return end


def read_wall_plate(root: Table) -> WallPlateKit | None:
    """The plate that rails end in at a wall; None where the kit's own ends go there too.

    Raises:
        BadInput: as `read_end`.
    """
    if not root.has("wall_plate"):
        return None
    table = root.table("wall_plate")
    thickness = table.length("thickness", 0, 80)
    plate = WallPlateKit(
        plate=table.text("name", "the plate in words"),
        thickness_mm=thickness,
        socket_mm=table.length("socket", 0, 80),
        height_mm=table.length("height", 10, 300),
        width_mm=table.length("width", 10, 300),
        screws=read_screws(table),
    )
    if plate.socket_mm > thickness:
        raise table.bad("socket", "the rail would go into the wall: at most the thickness")
    table.done()
    return plate


def _butt(table: Table) -> ButtKit:
    return ButtKit(
        name=table.text("name", "the end in words"),
        clearance_mm=table.length("clearance", 0, 25),
        fixing=table.text("fixing", "the part that holds the rail to the post, in words"),
        screws=read_screws(table),
    )


def _housed(table: Table) -> HousedKit:
    depth = table.length("depth", 2, 100)
    housed = HousedKit(
        name=table.text("name", "the end in words"),
        depth_mm=depth,
        ease_mm=table.length("ease", 0, 10),
        short_mm=table.length("short", 0, 25),
        screws=read_screws(table),
    )
    if housed.short_mm >= depth:
        raise table.bad("short", "the rail would stay out of its housing: less than the depth")
    return housed


def _over(table: Table) -> OverKit:
    return OverKit(
        name=table.text("name", "the end in words"),
        cut=EndCut(table.choice("cut", [EndCut.SQUARE.value, EndCut.PLUMB.value])),
        past_mm=table.length("past", 0, 300),
        saddle_mm=table.length("saddle", 0, 100),
        fixing=table.text("fixing", "what holds the rail down on a post, in words"),
        screws=read_screws(table),
    )


def _coped(table: Table) -> CopedKit:
    return CopedKit(
        name=table.text("name", "the end in words"),
        clearance_mm=table.length("clearance", 0, 12),
        fixing=table.text("fixing", "what holds the rail to the post, in words"),
        screws=read_screws(table) if table.has("screw") else (),
    )


_READERS: Mapping[str, Callable[[Table], ButtKit | HousedKit | OverKit | CopedKit]] = {
    "butt": _butt,
    "housed": _housed,
    "over post": _over,
    "coped": _coped,
}

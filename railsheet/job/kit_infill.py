"""What fills a bay, as a kit file gives it: one value for each kind of infill."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import ClassVar, TypeAlias

from railsheet.job.source import Table
from railsheet.units.length import MM_PER_INCH

# How far apart two parts of a guard may be asked to stand; wide enough for any code's opening.
_OPENING_MM = (10.0, 300.0)
_OVER_ALL_MM = (12 * MM_PER_INCH, 60 * MM_PER_INCH)

Clash: TypeAlias = tuple[str, str]
"""Where a kit contradicts itself, and how."""


@dataclass(frozen=True)
class HoleKit:
    """The punched holes of both rails. Lengths in mm.

    Attributes:
        pitch_mm: centre to centre along the rail.
        size_mm: the opening's length along the rail.
    """

    pitch_mm: float
    size_mm: float


@dataclass(frozen=True)
class BalusterKit:
    """A baluster of square section, or one picket of a panel. Lengths in mm.

    Attributes:
        width_mm: the section's side.
        length_mm: its length as supplied: where balusters are cut to fit, of one stock length.
        least_seat_mm: how deep its shallow corner must still stand within the rail.
    """

    name: str
    width_mm: float
    length_mm: float
    least_seat_mm: float


@dataclass(frozen=True)
class GapKit:
    """The allowed clear gap between a post and the nearest baluster, in mm."""

    least_mm: float
    most_mm: float


def _seats_clash(baluster: BalusterKit, seats_mm: float) -> Clash | None:
    """Balusters whose length, as supplied, decides how far apart the rails stand."""
    if seats_mm < baluster.length_mm:
        return None
    return "baluster > length", "shorter than its two seats"


@dataclass(frozen=True)
class PunchedKit:
    """Rails punched at a fixed pitch, balusters of a fixed length."""

    word: ClassVar[str] = "punched"
    weighed: ClassVar[tuple[str, ...]] = ("baluster",)
    from_punched_bar: ClassVar[bool] = True
    over_all_mm: ClassVar[None] = None

    baluster: BalusterKit
    holes: HoleKit
    gap: GapKit

    def clash(self, seat_top_mm: float, seat_bottom_mm: float) -> Clash | None:
        """What contradicts the rails' seats."""
        return _seats_clash(self.baluster, seat_top_mm + seat_bottom_mm)


@dataclass(frozen=True)
class DrilledKit:
    """Plain rails drilled to fit, balusters of a fixed length.

    Attributes:
        hole_mm: the drilled hole's size along the rail.
        greatest_opening_mm: the greatest clear opening between balusters, and at a post.
    """

    word: ClassVar[str] = "drilled"
    weighed: ClassVar[tuple[str, ...]] = ("baluster",)
    from_punched_bar: ClassVar[bool] = False
    over_all_mm: ClassVar[None] = None

    baluster: BalusterKit
    hole_mm: float
    greatest_opening_mm: float

    def clash(self, seat_top_mm: float, seat_bottom_mm: float) -> Clash | None:
        """What contradicts the rails' seats."""
        return _seats_clash(self.baluster, seat_top_mm + seat_bottom_mm)


class BalusterEnd(Enum):
    """How a baluster's ends are cut."""

    SQUARE = "square"
    RAKED = "raked"


@dataclass(frozen=True)
class FilletKit:
    """The fillets that fill a rail's plough between balusters. Lengths in mm.

    Attributes:
        thickness_mm: square to the rail; at most the plough's depth, which is the rail's seat.
        stock_mm: the lengths it is supplied in, shortest first.
    """

    name: str
    thickness_mm: float
    stock_mm: tuple[float, ...]


@dataclass(frozen=True)
class CutKit:
    """Balusters cut to fit between plain rails.

    Attributes:
        ends: square, or on the rake.
        over_all_mm: underside of the bottom rail to the top of the top rail, plumb, at any rake.
        greatest_opening_mm: the greatest clear opening between balusters, and at a post.
        fillet: what fills the ploughs between balusters; None where rails are plain.
    """

    word: ClassVar[str] = "cut"
    weighed: ClassVar[tuple[str, ...]] = ("baluster", "fillet")
    from_punched_bar: ClassVar[bool] = False

    baluster: BalusterKit
    ends: BalusterEnd
    over_all_mm: float
    greatest_opening_mm: float
    fillet: FilletKit | None

    def clash(self, seat_top_mm: float, seat_bottom_mm: float) -> Clash | None:
        """What contradicts the rails' seats: nothing."""
        return None


@dataclass(frozen=True)
class PanelKit:
    """Factory panels whose pickets turn in their rails, so that the panel racks.

    Attributes:
        panel: the panel in words.
        baluster: its picket.
        holes: its pickets' pitch, and the picket's slot, along the rail.
        gap: the allowed clear gap between a post and the nearest picket.
        axes_apart_mm: along a picket, from the one rail's axis to the other's.
        greatest_rack_rad: the steepest rake it racks to.
    """

    word: ClassVar[str] = "panel"
    weighed: ClassVar[tuple[str, ...]] = ("baluster",)
    from_punched_bar: ClassVar[bool] = True
    over_all_mm: ClassVar[None] = None

    panel: str
    baluster: BalusterKit
    holes: HoleKit
    gap: GapKit
    axes_apart_mm: float
    greatest_rack_rad: float

    def clash(self, seat_top_mm: float, seat_bottom_mm: float) -> Clash | None:
        """What contradicts the rails' seats: nothing."""
        return None


@dataclass(frozen=True)
class CableKit:
    """Cables or rods from post to post, parallel to the rails.

    Attributes:
        name: the cable in words.
        diameter_mm: across it.
        bore_mm: the hole through a post that it, or its end fitting, passes.
        tension_n: the least tension each is kept at, whole newtons.
        push_n: the force that presses the sphere, whole newtons.
        sphere_mm: the sphere that must not pass.
        fitting: the end fitting, two to a cable, in words.
        brace: what holds the cables apart between posts, in words.
        brace_width_mm: of one brace, along the run.
        greatest_free_mm: the greatest length of cable free between posts and braces, along it.
        over_all_mm: underside of the bottom rail to the top of the top rail, plumb.
    """

    word: ClassVar[str] = "cable"
    weighed: ClassVar[tuple[str, ...]] = ("cable", "brace")
    from_punched_bar: ClassVar[bool] = False
    baluster: ClassVar[None] = None

    name: str
    diameter_mm: float
    bore_mm: float
    tension_n: int
    push_n: int
    sphere_mm: float
    fitting: str
    brace: str
    brace_width_mm: float
    greatest_free_mm: float
    over_all_mm: float

    def clash(self, seat_top_mm: float, seat_bottom_mm: float) -> Clash | None:
        """What contradicts the rails' seats: nothing."""
        return None


@dataclass(frozen=True)
class SolidKit:
    """One pane to a bay, held in both rails.

    Attributes:
        name: the pane in words.
        thickness_mm: of the pane.
        side_clearance_mm: level, from a post's face to the pane's edge.
        bite_top_mm, bite_bottom_mm: how deep the pane stands in each rail, square to it.
        greatest_side_mm: the longest edge a pane can be bought with.
        over_all_mm: underside of the bottom rail to the top of the top rail, plumb.
    """

    word: ClassVar[str] = "solid"
    weighed: ClassVar[tuple[str, ...]] = ("pane",)
    from_punched_bar: ClassVar[bool] = False
    baluster: ClassVar[None] = None

    name: str
    thickness_mm: float
    side_clearance_mm: float
    bite_top_mm: float
    bite_bottom_mm: float
    greatest_side_mm: float
    over_all_mm: float

    def clash(self, seat_top_mm: float, seat_bottom_mm: float) -> Clash | None:
        """What contradicts the rails' seats."""
        if self.bite_top_mm > seat_top_mm or self.bite_bottom_mm > seat_bottom_mm:
            return "infill > bite", "deeper than the rail's groove, its seat"
        return None


InfillKit: TypeAlias = PunchedKit | DrilledKit | CutKit | PanelKit | CableKit | SolidKit


def read_infill(root: Table, limits: Table) -> InfillKit:
    """The infill of a kit file; one without an ``[infill]`` table is of punched rails.

    Raises:
        BadInput: a key is missing, misspelt or out of range.
    """
    if not root.has("infill"):
        return _punched(root, limits)
    table = root.table("infill")
    kind = table.choice("kind", list(_READERS))
    infill = _READERS[kind](root, limits, table)
    table.done()
    return infill


def _punched(root: Table, limits: Table) -> PunchedKit:
    baluster = _baluster(root.table("baluster"))
    return PunchedKit(baluster, _holes(root.table("holes"), baluster), _gap(limits))


def _punched_by_name(root: Table, limits: Table, _: Table) -> PunchedKit:
    return _punched(root, limits)


def _drilled(root: Table, _: Table, table: Table) -> DrilledKit:
    baluster = _baluster(root.table("baluster"))
    hole = table.length("hole", 5, 200)
    if hole < baluster.width_mm:
        raise table.bad("hole", "a baluster of the kit's width does not enter the hole")
    return DrilledKit(baluster, hole, table.length("greatest_opening", *_OPENING_MM))


def _cut(root: Table, _: Table, table: Table) -> CutKit:
    return CutKit(
        baluster=_baluster(root.table("baluster")),
        ends=BalusterEnd(table.choice("ends", [end.value for end in BalusterEnd])),
        over_all_mm=table.length("over_all", *_OVER_ALL_MM),
        greatest_opening_mm=table.length("greatest_opening", *_OPENING_MM),
        fillet=_fillet(table.table("fillet")) if table.has("fillet") else None,
    )


def _fillet(table: Table) -> FilletKit:
    fillet = FilletKit(
        name=table.text("name", "the fillet in words"),
        thickness_mm=table.length("thickness", 1, 50),
        stock_mm=tuple(sorted(table.lengths("stock", "stock length", 200, 13000))),
    )
    table.done()
    return fillet


def _panel(root: Table, limits: Table, table: Table) -> PanelKit:
    baluster = _baluster(root.table("baluster"))
    return PanelKit(
        panel=table.text("panel", "the panel in words"),
        baluster=baluster,
        holes=_holes(root.table("holes"), baluster),
        gap=_gap(limits),
        axes_apart_mm=table.length("axes_apart", *_OVER_ALL_MM),
        greatest_rack_rad=math.radians(table.number("greatest_rack", 0, 60, "degrees")),
    )


def _cable(_: Table, __: Table, table: Table) -> CableKit:
    diameter = table.length("diameter", 1, 25)
    bore = table.length("bore", 1, 60)
    if bore < diameter:
        raise table.bad("bore", "the cable does not pass the hole")
    return CableKit(
        name=table.text("name", "the cable in words"),
        diameter_mm=diameter,
        bore_mm=bore,
        tension_n=table.count("tension", 50, 20000),
        push_n=table.count("push", 1, 1000),
        sphere_mm=table.length("sphere", 20, 300),
        fitting=table.text("fitting", "the end fitting in words"),
        brace=table.text("brace", "what holds the cables apart between posts, in words"),
        brace_width_mm=table.length("brace_width", 2, 100),
        greatest_free_mm=table.length("greatest_free", 100, 3000),
        over_all_mm=table.length("over_all", *_OVER_ALL_MM),
    )


def _solid(_: Table, __: Table, table: Table) -> SolidKit:
    return SolidKit(
        name=table.text("name", "the pane in words"),
        thickness_mm=table.length("thickness", 1, 80),
        side_clearance_mm=table.length("side_clearance", 0, 150),
        bite_top_mm=table.length("bite_top", 0, 100),
        bite_bottom_mm=table.length("bite_bottom", 0, 100),
        greatest_side_mm=table.length("greatest_side", 200, 6000),
        over_all_mm=table.length("over_all", *_OVER_ALL_MM),
    )


_READERS: Mapping[str, Callable[[Table, Table, Table], InfillKit]] = {
    PunchedKit.word: _punched_by_name,
    DrilledKit.word: _drilled,
    CutKit.word: _cut,
    PanelKit.word: _panel,
    CableKit.word: _cable,
    SolidKit.word: _solid,
}


def _holes(table: Table, baluster: BalusterKit) -> HoleKit:
    holes = HoleKit(
        pitch_mm=table.length("pitch", 20, 500),
        size_mm=table.length("size", 5, 200),
    )
    if holes.size_mm >= holes.pitch_mm:
        raise table.bad("size", "a hole must be smaller than the pitch")
    if baluster.width_mm > holes.size_mm:
        raise table.bad("size", "a baluster of the kit's width does not enter the hole")
    table.done()
    return holes


def _baluster(table: Table) -> BalusterKit:
    baluster = BalusterKit(
        name=table.text("name", "the baluster in words"),
        width_mm=table.length("width", 5, 150),
        length_mm=table.length("length", 200, 7000),
        least_seat_mm=table.length("least_seat", 0, 100),
    )
    table.done()
    return baluster


def _gap(limits: Table) -> GapKit:
    table = limits.table("end_gap")
    gap = GapKit(
        least_mm=table.length("least", 0, 400),
        most_mm=table.length("most", 1, 400),
    )
    if gap.least_mm > gap.most_mm:
        raise table.bad("least", "the least gap is over the most")
    table.done()
    return gap

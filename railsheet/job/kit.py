"""A kit: every dimension of a rail system that the layout needs, read from a TOML file."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING

from railsheet.errors import BadInput
from railsheet.job.buying import StockOffer, read_packs, read_stock
from railsheet.job.data_file import named_file, open_parts_file, shipped_names
from railsheet.job.kit_ends import CopedKit, EndKit, WallPlateKit, read_end, read_wall_plate
from railsheet.job.kit_infill import BalusterKit, Clash, InfillKit, read_infill
from railsheet.job.kit_mass import NOT_WEIGHED, MassKit, read_masses
from railsheet.job.plate_holes import PlateHole, read_plate_holes
from railsheet.job.source import Table
from railsheet.units.length import Unit

if TYPE_CHECKING:
    from railsheet.job.kit_easing import EasingKit
    from railsheet.job.kit_return import ReturnKit

# One foot: a shorter bay looks like a mistake. common practice, no source
_LEAST_BAY_MM = 304.8

_DATA = Path(__file__).parent.parent / "data" / "kits"


class RailPlace(Enum):
    """Which rail of a section: the top one or the bottom one."""

    TOP = "top"
    BOTTOM = "bottom"


@dataclass(frozen=True)
class PostKit:
    """A post welded to its base plate. Lengths in mm.

    Attributes:
        width_mm: the section's side, along the run and across it; a round one's diameter.
        stock_height_mm: from the underside of the plate to the top, as supplied.
        reveal_mm: how far the cut post stands above the top of the top rail, at the face that
            the rail meets.
        round: whether it is a pipe or a bar, alike all round.
    """

    name: str
    width_mm: float
    stock_height_mm: float
    reveal_mm: float
    round: bool = False

    def beside_mm(self, rail_mm: float) -> float:
        """From its middle, along a rail of a width, to where the rail's sides meet it."""
        half = self.width_mm / 2
        return math.sqrt(half**2 - (rail_mm / 2) ** 2) if self.round else half


@dataclass(frozen=True)
class PlateKit:
    """The base plate. Lengths in mm.

    Attributes:
        along_mm: its length along the run; the post stands at its middle.
        across_mm: its width across the step.
        thickness_mm: its thickness, counted within the post's stock height.
        edge_distance_mm: the least distance from the plate to any edge of the step it stands on.
        back_clearance_mm: the least distance from the plate to a riser face behind it.
        fasteners: how many fasteners hold it down.
        fastener: what they are, in words.
        holes: what they go through; none where the kit does not give them.
    """

    along_mm: float
    across_mm: float
    thickness_mm: float
    edge_distance_mm: float
    back_clearance_mm: float
    fasteners: int
    fastener: str
    holes: tuple[PlateHole, ...] = ()


@dataclass(frozen=True)
class CoverKit:
    """The cover over a base plate and the cap on a post, by name."""

    cover: str
    cover_height_mm: float
    cap: str


@dataclass(frozen=True)
class RailKit:
    """One rail's section. Lengths in mm.

    Attributes:
        depth_mm: upright size of the section, square to the rail.
        width_mm: size across.
        seat_mm: from the face toward the infill to the stop that the infill's end bears on,
            square to the rail.
        first_hole_mm: from the end of a stock bar to the centre of its first hole; None where
            the bar comes without holes.
        stock: the bars it is supplied as, shortest first.
        faces_alike: whether front and back look the same, so that a bar may be cut either end
            first.
    """

    name: str
    depth_mm: float
    width_mm: float
    seat_mm: float
    first_hole_mm: float | None
    stock: tuple[StockOffer, ...]
    faces_alike: bool = True

    @property
    def stock_mm(self) -> tuple[float, ...]:
        """The lengths it is supplied in, shortest first."""
        return tuple(offer.length_mm for offer in self.stock)


@dataclass(frozen=True)
class Kit:
    """A whole rail system.

    Attributes:
        file: where it was read.
        infill: what fills a bay, of one of the kinds.
        source: where its dimensions come from, as the file says.
        greatest_span_mm: the greatest clear distance between post faces, level.
        greatest_rake_rad: the steepest rake it takes.
        fit_tolerance_mm: how far a fitted reading may stand from the figure.
        spare_rate: the share of small parts bought over the count.
        order_of_work: the steps of fitting, first to last.
        finish: of every rail; a bar and a drop are of one profile in one finish.
        packs: how many of a part come in a pack, by the part's name.
        wall_plate: what a rail ends in at a wall; None where its own end goes there too.
        least_bay_mm: the least clear distance of a bay made up beside full panels.
        easings: what carries the top rail round a change of rake over a post, tried in order;
            none where it is mitred there.
        mass: what its parts weigh, as far as the file says.
        top_return: how the top rail is returned to a wall; None where it is not made to.
    """

    name: str
    file: str
    source: str
    unit: Unit
    post: PostKit
    plate: PlateKit
    cover: CoverKit
    top_rail: RailKit
    bottom_rail: RailKit
    infill: InfillKit
    top_end: EndKit
    bottom_end: EndKit
    greatest_span_mm: float
    greatest_rake_rad: float
    fit_tolerance_mm: float
    spare_rate: float
    order_of_work: tuple[str, ...]
    finish: str = "as supplied"
    packs: tuple[tuple[str, int], ...] = ()
    wall_plate: WallPlateKit | None = None
    least_bay_mm: float = _LEAST_BAY_MM
    easings: tuple[EasingKit, ...] = ()
    top_return: ReturnKit | None = None
    mass: MassKit = NOT_WEIGHED

    @property
    def baluster(self) -> BalusterKit:
        """The kit's baluster or picket.

        Raises:
            ValueError: the infill is not of balusters.
        """
        if self.infill.baluster is None:
            raise ValueError(f"kit {self.name} has no balusters")
        return self.infill.baluster

    def rail(self, place: RailPlace) -> RailKit:
        """The section of the top or the bottom rail."""
        return self.top_rail if place is RailPlace.TOP else self.bottom_rail

    def end(self, place: RailPlace) -> EndKit:
        """How the top or the bottom rail ends."""
        return self.top_end if place is RailPlace.TOP else self.bottom_end

    @property
    def wide_at_wall_mm(self) -> float:
        """How wide what holds a rail's end at a wall is: a plate, a mount, or the rail itself."""
        if self.wall_plate is not None:
            return self.wall_plate.width_mm
        return self.top_end.mount_width_mm or self.top_rail.width_mm

    @property
    def rail_across_mm(self) -> float:
        """Where the rails' middle stands across a post, from its face on the step's side edge."""
        return sum(self.top_end.across_mm(self.post.width_mm)) / 2


def shipped_kits() -> tuple[str, ...]:
    """Names of the kits that come with the package."""
    return shipped_names(_DATA)


def find_kit(asked: str, beside: Path, asked_in: str, place: str) -> Path:
    """The kit's file: a shipped name, or a path beside the job.

    Raises:
        BadInput: there is no such kit.
    """
    path = named_file(asked, beside, _DATA)
    if path is not None:
        return path
    if asked.endswith(".toml"):
        raise BadInput(asked_in, place, asked, f"there is no kit file {beside / asked}")
    known = ", ".join(shipped_kits())
    raise BadInput(
        asked_in, place, asked, f"no such kit; shipped are {known}; a file of yours ends in .toml"
    )


def load_kit(path: Path) -> Kit:
    """Read and validate a kit file.

    Raises:
        BadInput: a key is missing, misspelt, out of range, or two values contradict.
    """
    head, root = open_parts_file(path)
    limits = root.table("limits")
    infill = read_infill(root, limits)
    top_end = read_end(root, RailPlace.TOP.value)
    kit = Kit(
        name=head.text("name", "the rail system's name"),
        file=str(path),
        source=head.text("source", "where the dimensions come from"),
        unit=head.unit,
        post=_post(root.table("post")),
        plate=_plate(root.table("plate")),
        cover=_cover(root.table("cover")),
        top_rail=_rail(root.table("top_rail"), infill.from_punched_bar),
        bottom_rail=_rail(root.table("bottom_rail"), infill.from_punched_bar),
        infill=infill,
        top_end=top_end,
        bottom_end=read_end(root, RailPlace.BOTTOM.value),
        greatest_span_mm=limits.length("greatest_span", 300, 6000),
        greatest_rake_rad=math.radians(limits.number("greatest_rake", 0, 60, "degrees")),
        fit_tolerance_mm=limits.length("fit_tolerance", 0.1, 12),
        least_bay_mm=limits.length("least_bay", 50, 3000, _LEAST_BAY_MM),
        spare_rate=head.number("spare_rate", 0, 0.5, "a share, 0.1 for one in ten", 0.0),
        order_of_work=head.texts("order_of_work", "the steps of fitting, first to last"),
        finish=head.text("finish", "the rails' finish", "as supplied"),
        packs=read_packs(root.table("pack")) if root.has("pack") else (),
        wall_plate=read_wall_plate(root),
        easings=_easings(root),
        mass=read_masses(root, infill),
        top_return=_return(root, top_end),
    )
    limits.done()
    head.done()
    root.done()
    _consistent(kit)
    return kit


def _post(table: Table) -> PostKit:
    post = PostKit(
        name=table.text("name", "the post in words"),
        width_mm=table.length("width", 20, 200),
        stock_height_mm=table.length("stock_height", 300, 3000),
        reveal_mm=table.length("reveal", 0, 300),
        round=table.choice("section", ["square", "round"], "square") == "round",
    )
    table.done()
    return post


def _plate(table: Table) -> PlateKit:
    along, across = table.length("along", 20, 400), table.length("across", 20, 400)
    fasteners = table.count("fasteners", 1, 12)
    plate = PlateKit(
        along_mm=along,
        across_mm=across,
        thickness_mm=table.length("thickness", 0, 50),
        edge_distance_mm=table.length("edge_distance", 0, 200),
        back_clearance_mm=table.length("back_clearance", 0, 200),
        fasteners=fasteners,
        fastener=table.text("fastener", "what holds the plate down, in words"),
        holes=read_plate_holes(table, along, across, fasteners),
    )
    table.done()
    return plate


def _cover(table: Table) -> CoverKit:
    cover = CoverKit(
        cover=table.text("name", "the plate's cover in words"),
        cover_height_mm=table.length("height", 1, 200),
        cap=table.text("cap", "the post's cap in words"),
    )
    table.done()
    return cover


def _rail(table: Table, punched: bool) -> RailKit:
    rail = RailKit(
        name=table.text("name", "the rail in words"),
        depth_mm=table.length("depth", 10, 200),
        width_mm=table.length("width", 10, 200),
        seat_mm=table.length("seat", 0, 200),
        first_hole_mm=table.length("first_hole", 0, 1000) if punched else None,
        stock=read_stock(table),
        faces_alike=table.flag("faces_alike", True),
    )
    if rail.seat_mm > rail.depth_mm:
        raise table.bad("seat", "a seat cannot be deeper than its rail")
    table.done()
    return rail


# What only some kits have is loaded only for them.


def _easings(root: Table) -> tuple[EasingKit, ...]:
    if not root.has("easing"):
        return ()
    from railsheet.job.kit_easing import read_easings

    return read_easings(root)


def _easing_clash(kit: Kit) -> Clash | None:
    if not kit.easings:
        return None
    from railsheet.job.kit_easing import easing_clash

    rail = kit.top_rail
    return easing_clash(kit.easings, kit.top_end, kit.infill, rail.name, rail.depth_mm)


def _return(root: Table, top_end: EndKit) -> ReturnKit | None:
    if not root.has("top_return"):
        return None
    from railsheet.job.kit_return import read_return

    return read_return(root, top_end)


def _consistent(kit: Kit) -> None:
    """Refuse dimensions that contradict each other across tables."""
    for place in RailPlace:
        end = kit.end(place)
        if isinstance(end, CopedKit) != kit.post.round:
            words = "coped, on a round post; on a square one any other kind"
            raise BadInput(kit.file, f"{place.value}_end > kind", "", words)
        if kit.post.round and kit.rail(place).width_mm >= kit.post.width_mm:
            words = "narrower than the round post that the rail is coped to"
            raise BadInput(kit.file, f"{place.value}_rail > width", "", words)
        if end.farthest_across_mm(kit.post.width_mm) > kit.post.width_mm:
            raise BadInput(
                kit.file,
                f"{place.value}_bracket > across",
                "",
                "the mount's centre would stand off the post",
            )
        if 2 * end.into_post_mm >= kit.post.width_mm:
            raise BadInput(
                kit.file, f"{place.value}_end > depth", "", "less than half the post's width"
            )
    if kit.top_end.runs_over and kit.post.reveal_mm:
        raise BadInput(kit.file, "post > reveal", "", "a post under its rail shows none: 0")
    if kit.top_return is not None and kit.infill.from_punched_bar:
        raise BadInput(kit.file, "top_return", "", "a return is cut from a rail without holes")
    rail = kit.top_rail
    clash = kit.infill.clash(rail.seat_mm, kit.bottom_rail.seat_mm) or _easing_clash(kit)
    if clash is not None:
        raise BadInput(kit.file, clash[0], "", clash[1])
    over_all = kit.infill.over_all_mm
    if over_all is not None and over_all <= kit.top_rail.depth_mm + kit.bottom_rail.depth_mm:
        raise BadInput(kit.file, "infill > over_all", "", "no more than the two rails' depths")

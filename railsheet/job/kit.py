"""A kit: every dimension of a rail system that the layout needs, read from a TOML file."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from railsheet.errors import BadInput
from railsheet.job.buying import StockOffer, read_packs, read_stock
from railsheet.job.kit_infill import BalusterKit, InfillKit, read_infill
from railsheet.job.source import Table, read_toml
from railsheet.units.length import Unit

_DATA = Path(__file__).parent.parent / "data" / "kits"


class EndCut(Enum):
    """How a rail's end is cut for its bracket."""

    SQUARE = "square"
    PLUMB = "plumb"


class RailPlace(Enum):
    """Which rail of a section: the top one or the bottom one."""

    TOP = "top"
    BOTTOM = "bottom"


@dataclass(frozen=True)
class PostKit:
    """A post welded to its base plate. Lengths in mm.

    Attributes:
        width_mm: the section's side, along the run and across it.
        stock_height_mm: from the underside of the plate to the top, as supplied.
        reveal_mm: how far the cut post stands above the top of the top rail, at the face that
            the rail meets.
    """

    name: str
    width_mm: float
    stock_height_mm: float
    reveal_mm: float


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
    """

    along_mm: float
    across_mm: float
    thickness_mm: float
    edge_distance_mm: float
    back_clearance_mm: float
    fasteners: int
    fastener: str


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
class Screw:
    """One kind of screw: its name, how many to a bracket, and what it joins."""

    name: str
    count: int
    joins: str


@dataclass(frozen=True)
class BracketKit:
    """What holds a rail's end to a post. Lengths in mm.

    Attributes:
        cut: how the rail's end is cut.
        stand_off_mm: level, from the post's face to the pivot pin on the rail's axis; 0 where the
            bracket does not pivot.
        reach_mm: from the pin along the rail (pivoting) or from the post's face, level (fixed), to
            the mouth where the bracket ends.
        insertion_mm: how far the rail goes in past the mouth, measured the same way.
        body_depth_mm: upright size of the body, square to the rail.
        mount: the part screwed to the post, in words.
        mount_height_mm: its upright size on the post.
        mount_width_mm: its size across the post.
        across_least_mm, across_most_mm: where its centre may stand across the post, from the
            post's face on the step's side edge.
        rising: the part that fits a rail rising away from the post (its downhill end).
        falling: the part that fits a rail falling away from the post (its uphill end).
        screws: kinds and counts for one bracket.
    """

    name: str
    cut: EndCut
    stand_off_mm: float
    reach_mm: float
    insertion_mm: float
    body_depth_mm: float
    mount: str
    mount_height_mm: float
    mount_width_mm: float
    across_least_mm: float
    across_most_mm: float
    rising: str
    falling: str
    screws: tuple[Screw, ...]


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
    top_bracket: BracketKit
    bottom_bracket: BracketKit
    greatest_span_mm: float
    greatest_rake_rad: float
    fit_tolerance_mm: float
    spare_rate: float
    order_of_work: tuple[str, ...]
    finish: str = "as supplied"
    packs: tuple[tuple[str, int], ...] = ()

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

    def bracket(self, place: RailPlace) -> BracketKit:
        """The bracket of the top or the bottom rail."""
        return self.top_bracket if place is RailPlace.TOP else self.bottom_bracket


def shipped_kits() -> tuple[str, ...]:
    """Names of the kits that come with the package."""
    return tuple(sorted(path.stem for path in _DATA.glob("*.toml")))


def find_kit(asked: str, beside: Path, asked_in: str, place: str) -> Path:
    """The kit's file: a shipped name, or a path beside the job.

    Raises:
        BadInput: there is no such kit.
    """
    if asked.endswith(".toml"):
        path = beside / asked
        if path.is_file():
            return path
        raise BadInput(asked_in, place, asked, f"there is no kit file {path}")
    path = _DATA / f"{asked}.toml"
    if asked in shipped_kits():
        return path
    known = ", ".join(shipped_kits())
    raise BadInput(
        asked_in, place, asked, f"no such kit; shipped are {known}; a file of yours ends in .toml"
    )


def load_kit(path: Path) -> Kit:
    """Read and validate a kit file.

    Raises:
        BadInput: a key is missing, misspelt, out of range, or two values contradict.
    """
    data = read_toml(path)
    head = Table(str(path), "", data, Unit.INCH).table("kit")
    unit = Unit(head.choice("units", [u.value for u in Unit]))
    root = Table(str(path), "", data, unit)
    root.has("kit")
    head = head.with_unit(unit)
    limits = root.table("limits")
    infill = read_infill(root, limits)
    kit = Kit(
        name=head.text("name", "the rail system's name"),
        file=str(path),
        source=head.text("source", "where the dimensions come from"),
        unit=unit,
        post=_post(root.table("post")),
        plate=_plate(root.table("plate")),
        cover=_cover(root.table("cover")),
        top_rail=_rail(root.table("top_rail"), infill.from_punched_bar),
        bottom_rail=_rail(root.table("bottom_rail"), infill.from_punched_bar),
        infill=infill,
        top_bracket=_bracket(root.table("top_bracket")),
        bottom_bracket=_bracket(root.table("bottom_bracket")),
        greatest_span_mm=limits.length("greatest_span", 300, 6000),
        greatest_rake_rad=math.radians(limits.number("greatest_rake", 0, 60, "degrees")),
        fit_tolerance_mm=limits.length("fit_tolerance", 0.1, 12),
        spare_rate=head.number("spare_rate", 0, 0.5, "a share, 0.1 for one in ten", 0.0),
        order_of_work=head.texts("order_of_work", "the steps of fitting, first to last"),
        finish=head.text("finish", "the rails' finish", "as supplied"),
        packs=read_packs(root.table("pack")) if root.has("pack") else (),
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
    )
    table.done()
    return post


def _plate(table: Table) -> PlateKit:
    plate = PlateKit(
        along_mm=table.length("along", 20, 400),
        across_mm=table.length("across", 20, 400),
        thickness_mm=table.length("thickness", 0, 50),
        edge_distance_mm=table.length("edge_distance", 0, 200),
        back_clearance_mm=table.length("back_clearance", 0, 200),
        fasteners=table.count("fasteners", 1, 12),
        fastener=table.text("fastener", "what holds the plate down, in words"),
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


def _bracket(table: Table) -> BracketKit:
    cut = EndCut(table.choice("cut", [c.value for c in EndCut]))
    across = table.lengths("across", "limit", 0, 200)
    if len(across) != 2 or across[0] > across[1]:
        raise table.bad("across", "two lengths, the least and the most")
    bracket = BracketKit(
        name=table.text("name", "the bracket in words"),
        cut=cut,
        stand_off_mm=table.length("stand_off", 0, 150),
        reach_mm=table.length("reach", 1, 200),
        insertion_mm=table.length("insertion", 0, 200),
        body_depth_mm=table.length("body_depth", 5, 200),
        mount=table.text("mount", "the part screwed to the post, in words"),
        mount_height_mm=table.length("mount_height", 5, 300),
        mount_width_mm=table.length("mount_width", 5, 200),
        across_least_mm=across[0],
        across_most_mm=across[1],
        rising=table.text("rising", "the part for a rail rising away from the post"),
        falling=table.text("falling", "the part for a rail falling away from the post"),
        screws=tuple(_screw(t) for t in table.tables("screw", "the screws of one bracket")),
    )
    if bracket.insertion_mm > bracket.reach_mm:
        raise table.bad("insertion", "the rail would go through the post: at most the reach")
    if cut is EndCut.PLUMB and bracket.stand_off_mm:
        raise table.bad("stand_off", "a fixed bracket has no pin: 0")
    table.done()
    return bracket


def _screw(table: Table) -> Screw:
    screw = Screw(
        name=table.text("name", "the screw in words"),
        count=table.count("count", 1, 20),
        joins=table.text("joins", "what it joins, in words"),
    )
    table.done()
    return screw


def _consistent(kit: Kit) -> None:
    """Refuse dimensions that contradict each other across tables."""
    for place in RailPlace:
        bracket = kit.bracket(place)
        if bracket.across_most_mm > kit.post.width_mm:
            raise BadInput(
                kit.file,
                f"{place.value}_bracket > across",
                "",
                "the mount's centre would stand off the post",
            )
    clash = kit.infill.clash(kit.top_rail.seat_mm, kit.bottom_rail.seat_mm)
    if clash is not None:
        raise BadInput(kit.file, clash[0], "", clash[1])
    over_all = kit.infill.over_all_mm
    if over_all is not None and over_all <= kit.top_rail.depth_mm + kit.bottom_rail.depth_mm:
        raise BadInput(kit.file, "infill > over_all", "", "no more than the two rails' depths")

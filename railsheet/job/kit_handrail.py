"""Handrail parts: section, brackets, fittings and ends, read from a TOML file."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from railsheet.errors import BadInput
from railsheet.job.buying import StockOffer, read_packs, read_stock
from railsheet.job.data_file import named_file, open_parts_file, shipped_names
from railsheet.job.fitting import Fitting, read_fitting
from railsheet.job.kit_bracket import Screw, read_screw
from railsheet.job.site import Grip, read_grip_sizes
from railsheet.job.source import Table

_DATA = Path(__file__).parent.parent / "data" / "kits" / "handrails"
ROUND = "round"


class Finish(Enum):
    """How an end of the rail is finished.

    WALL: turned square into the wall. POST: turned square into the end post. NEWEL: run straight
    into a newel or a wall across its way. FLOOR: turned down to the floor. CAP: it simply ends.
    """

    WALL = "wall"
    POST = "post"
    NEWEL = "newel"
    FLOOR = "floor"
    CAP = "cap"

    @property
    def turns(self) -> bool:
        """Whether the rail turns off its way there."""
        return self in (Finish.WALL, Finish.POST, Finish.FLOOR)


@dataclass(frozen=True)
class HandrailSection:
    """The rail's section. Lengths in mm.

    Attributes:
        depth_mm: upright size, square to the rail.
        width_mm: size across.
        grip: shape and sizes as a code limits them.
        stock: the bars it is supplied as, shortest first.
    """

    name: str
    depth_mm: float
    width_mm: float
    grip: Grip
    stock: tuple[StockOffer, ...]

    @property
    def round(self) -> bool:
        """Whether it is the same all round, so that a piece may be rolled on the saw."""
        return self.grip.shape == ROUND


@dataclass(frozen=True)
class HandrailBracket:
    """A bracket under the rail. Lengths in mm.

    Attributes:
        saddle_mm: its hold on the rail, along it.
        from_joint_mm: least from the saddle to a joint or a bend.
        drop_mm: from the rail's underside, plumb, down to the middle of its plate.
        below_mm: how far the arm goes straight down from the rail's underside.
        plate_height_mm, plate_width_mm: its plate on the wall or post.
        clear_least_mm, clear_most_mm: between the rail and what the plate is on, as it adjusts.
        screws: kinds and counts for one.
    """

    name: str
    saddle_mm: float
    from_joint_mm: float
    drop_mm: float
    below_mm: float
    plate_height_mm: float
    plate_width_mm: float
    clear_least_mm: float
    clear_most_mm: float
    screws: tuple[Screw, ...]


@dataclass(frozen=True)
class EndPart:
    """What finishes an end.

    Attributes:
        gap_mm: between the cut rail and the surface that it ends at; for a cap, what the cap adds.
        screws: how many it takes, of ``screw``.
    """

    name: str
    gap_mm: float
    screws: int
    screw: str


@dataclass(frozen=True)
class Splice:
    """What joins two rails end to end, in line. Lengths in mm.

    Attributes:
        gap_mm: between their square-cut ends.
        near_mm: the farthest that it may stand from the middle of the nearest bracket.
    """

    name: str
    gap_mm: float
    near_mm: float

    @property
    def fitting(self) -> Fitting:
        """It, as a joint that makes no turn."""
        return Fitting(self.name, 0.0, 0.0, 0.0, self.gap_mm / 2)


@dataclass(frozen=True)
class HandrailKit:
    """Everything a handrail is made of.

    Attributes:
        ends: by the finish they serve; NEWEL is served by the post's part.
        least_piece_mm: the shortest piece that can be cut and held.
        splice: what joins two rails in line; None where the parts have nothing that does.
    """

    name: str
    file: str
    source: str
    finish: str
    section: HandrailSection
    bracket: HandrailBracket
    fittings: tuple[Fitting, ...]
    ends: tuple[tuple[Finish, EndPart], ...]
    least_piece_mm: float
    packs: tuple[tuple[str, int], ...]
    splice: Splice | None = None

    def end(self, finish: Finish) -> EndPart:
        """The part that finishes an end."""
        asked = Finish.POST if finish is Finish.NEWEL else finish
        return dict(self.ends)[asked]

    def fitting_for(self, turn_rad: float) -> Fitting | None:
        """The first fitting that makes a turn; None where none does."""
        for fitting in self.fittings:
            if fitting.makes(turn_rad):
                return fitting
        return None


def shipped_handrail_kits() -> tuple[str, ...]:
    """Names of the handrail parts that come with the package."""
    return shipped_names(_DATA)


def find_handrail_kit(asked: str, beside: Path, asked_in: str, place: str) -> Path:
    """The file: a shipped name, or a path beside the job.

    Raises:
        BadInput: there is no such file.
    """
    path = named_file(asked, beside, _DATA)
    if path is not None:
        return path
    known = ", ".join(shipped_handrail_kits())
    raise BadInput(
        asked_in,
        place,
        asked,
        f"no such handrail parts; shipped are {known}; a file of yours ends in .toml",
    )


def load_handrail_kit(path: Path) -> HandrailKit:
    """Read and validate a file of handrail parts.

    Raises:
        BadInput: a key is missing, misspelt, out of range, or two values contradict.
    """
    head, root = open_parts_file(path)
    ends = root.table("ends")
    fittings = root.tables("fitting", "[[fitting]]") if root.has("fitting") else ()
    limits = root.table("limits")
    kit = HandrailKit(
        name=head.text("name", "the parts' name"),
        file=str(path),
        source=head.text("source", "where the dimensions come from"),
        finish=head.text("finish", "the rail's finish", "as supplied"),
        section=_section(root.table("section")),
        bracket=_bracket(root.table("bracket")),
        fittings=tuple(read_fitting(table) for table in fittings),
        ends=tuple(
            (finish, _end(ends.table(finish.value)))
            for finish in (Finish.WALL, Finish.POST, Finish.FLOOR, Finish.CAP)
        ),
        least_piece_mm=limits.length("least_piece", 1, 300),
        packs=read_packs(root.table("pack")) if root.has("pack") else (),
        splice=_splice(root.table("splice")) if root.has("splice") else None,
    )
    for table in (limits, ends, head, root):
        table.done()
    return kit


def _section(table: Table) -> HandrailSection:
    shape = table.choice("shape", (ROUND, "oblong", "recessed"))
    sizes = read_grip_sizes(table)
    known = dict(sizes)
    if shape == ROUND:
        if "diameter" not in known:
            raise table.bad("diameter", "missing; a round section's outside diameter")
        depth = width = known["diameter"]
    else:
        depth, width = table.length("depth", 10, 200), table.length("width", 10, 200)
        known.setdefault("section", max(depth, width))
    section = HandrailSection(
        name=table.text("name", "the rail in words"),
        depth_mm=depth,
        width_mm=width,
        grip=Grip(shape, tuple(known.items())),
        stock=read_stock(table),
    )
    table.done()
    return section


def _bracket(table: Table) -> HandrailBracket:
    clear = table.table("clear")
    bracket = HandrailBracket(
        name=table.text("name", "the bracket in words"),
        saddle_mm=table.length("saddle", 5, 300),
        from_joint_mm=table.length("from_joint", 0, 300),
        drop_mm=table.length("drop", 0, 300),
        below_mm=table.length("below", 0, 300),
        plate_height_mm=table.length("plate_height", 5, 300),
        plate_width_mm=table.length("plate_width", 5, 300),
        clear_least_mm=clear.length("least", 0, 300),
        clear_most_mm=clear.length("most", 0, 300),
        screws=tuple(read_screw(t) for t in table.tables("screw", "the screws of one bracket")),
    )
    if bracket.clear_most_mm < bracket.clear_least_mm:
        raise clear.bad("most", "less than the least")
    clear.done()
    table.done()
    return bracket


def _splice(table: Table) -> Splice:
    splice = Splice(
        name=table.text("name", "the splice in words"),
        gap_mm=table.length("gap", 0, 50),
        near_mm=table.length("near", 10, 1000),
    )
    table.done()
    return splice


def _end(table: Table) -> EndPart:
    screws = table.count("screws", 0, 20)
    part = EndPart(
        name=table.text("name", "the part in words"),
        gap_mm=table.length("gap", 0, 50),
        screws=screws,
        screw=table.text("screw", "the screw in words") if screws else "",
    )
    table.done()
    return part

"""What stands round a flight: the facts that decide which rules of a code are its rules.

Every fact may be left out. A rule that hangs on one that is left out is not checked, and the
check says which fact it is.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from railsheet.job.source import Table
from railsheet.units.length import MM_PER_INCH

_DROP_MM = (0.0, 1200 * MM_PER_INCH)
_HANDRAIL_MM = (20 * MM_PER_INCH, 60 * MM_PER_INCH)
_CLEARANCE_MM = (0.0, 24 * MM_PER_INCH)
_PAST_MM = (0.0, 60 * MM_PER_INCH)
_GRIP_MM = (0.05 * MM_PER_INCH, 24 * MM_PER_INCH)

# Sizes of a handrail's section that a code may limit, as a job file names them.
GRIP_KEYS = (
    "diameter",
    "perimeter",
    "section",
    "recess_start",
    "recess_depth",
    "recess_depth_within",
    "recess_continues_to",
    "width_above_recess",
)


@dataclass(frozen=True)
class Building:
    """What the stair belongs to; None where the job does not say.

    Attributes:
        dwelling: it is within or serves one dwelling.
        outdoors: it stands outside the building.
        storeys: storeys of the building above grade.
    """

    dwelling: bool | None = None
    outdoors: bool | None = None
    storeys: int | None = None


@dataclass(frozen=True)
class Grip:
    """A handrail's section.

    Attributes:
        shape: round, oblong or recessed.
        sizes_mm: the sizes that were read, by the names in ``GRIP_KEYS``.
    """

    shape: str
    sizes_mm: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Handrail:
    """The flight's handrail. Lengths in mm; None where not read.

    Attributes:
        sides: how many sides of the flight have one, the guard's own top included.
        height_mm: a handrail apart from the guard: least and greatest height of its top, plumb
            over the noses.
        clearance_mm: clear between it and the wall or surface beside it.
        projection_mm: a handrail apart from the guard: how far it stands out into the stair.
        past_top_mm: how far its level part goes past the top riser; 0 where it ends over it.
        past_bottom_mm: how far it goes past the lowest riser, level.
    """

    sides: int | None = None
    height_mm: tuple[float, float] | None = None
    clearance_mm: float | None = None
    projection_mm: float | None = None
    past_top_mm: float | None = None
    past_bottom_mm: float | None = None
    grip: Grip | None = None


@dataclass(frozen=True)
class FlightSite:
    """What is beside one run on the rail's side. Lengths in mm; None where not read.

    Attributes:
        edge: ``open`` or ``wall``.
        drop_mm: the greatest drop beside the steps and the deck, as the code measures it.
        bottom_drop_mm: the drop beside the bottom walking surface.
        guard_is_handrail: the top of the guard is also the handrail.
    """

    edge: str | None = None
    drop_mm: float | None = None
    bottom_drop_mm: float | None = None
    guard_is_handrail: bool | None = None
    handrail: Handrail = field(default_factory=Handrail)


def read_building(root: Table) -> Building:
    """The job's ``[building]`` table, if it has one.

    Raises:
        BadInput: a key is misspelt or has a value that is not allowed.
    """
    if not root.has("building"):
        return Building()
    table = root.table("building")
    building = Building(
        dwelling=_flag(table, "dwelling"),
        outdoors=_flag(table, "outdoors"),
        storeys=table.count("storeys", 1, 200) if table.has("storeys") else None,
    )
    table.done()
    return building


def read_site(flight: Table) -> FlightSite:
    """A flight's ``[flight.site]`` and ``[flight.handrail]`` tables, if it has them.

    Raises:
        BadInput: a key is misspelt, has a value that is not allowed, or contradicts another.
    """
    site = FlightSite()
    if flight.has("site"):
        table = flight.table("site")
        site = FlightSite(
            edge=table.choice("edge", ("open", "wall")) if table.has("edge") else None,
            drop_mm=table.length_or_none("D", *_DROP_MM),
            bottom_drop_mm=table.length_or_none("B", *_DROP_MM),
            guard_is_handrail=_flag(table, "guard_is_handrail"),
        )
        table.done()
    if not flight.has("handrail"):
        return site
    handrail = _handrail(flight.table("handrail"), bool(site.guard_is_handrail))
    return FlightSite(
        site.edge, site.drop_mm, site.bottom_drop_mm, site.guard_is_handrail, handrail
    )


def read_level_site(level: Table) -> FlightSite:
    """A level run's ``[level.site]`` table, if it has one: its edge, and the drop beside it.

    Raises:
        BadInput: a key is misspelt or has a value that is not allowed.
    """
    if not level.has("site"):
        return FlightSite()
    table = level.table("site")
    site = FlightSite(
        edge=table.choice("edge", ("open", "wall")) if table.has("edge") else None,
        drop_mm=table.length_or_none("D", *_DROP_MM),
    )
    table.done()
    return site


def _handrail(table: Table, is_guard: bool) -> Handrail:
    handrail = Handrail(
        sides=table.count("sides", 0, 2) if table.has("sides") else None,
        height_mm=_height(table),
        clearance_mm=table.length_or_none("C", *_CLEARANCE_MM),
        projection_mm=table.length_or_none("P", *_CLEARANCE_MM),
        past_top_mm=table.length_or_none("X_top", *_PAST_MM),
        past_bottom_mm=table.length_or_none("X_bottom", *_PAST_MM),
        grip=_grip(table.table("grip")) if table.has("grip") else None,
    )
    table.done()
    if not is_guard:
        return handrail
    if handrail.sides == 0:
        raise table.bad("sides", "the guard is the handrail: 1 or 2")
    for key in ("H", "H_most", "P", "X_top", "X_bottom"):
        if table.has(key):
            raise table.bad(key, "the guard is the handrail: this follows from the layout")
    return handrail


def _height(table: Table) -> tuple[float, float] | None:
    least = table.length_or_none("H", *_HANDRAIL_MM)
    most = table.length_or_none("H_most", *_HANDRAIL_MM)
    if least is None:
        if most is not None:
            raise table.bad("H", "missing beside H_most: the least height is wanted too")
        return None
    if most is not None and most < least:
        raise table.bad("H_most", "less than H, the least height")
    return least, least if most is None else most


def _grip(table: Table) -> Grip:
    shape = table.choice("shape", ("round", "oblong", "recessed"))
    sizes = read_grip_sizes(table)
    table.done()
    return Grip(shape, sizes)


def read_grip_sizes(table: Table) -> tuple[tuple[str, float], ...]:
    """The sizes of a handrail's section that are given, by the names in ``GRIP_KEYS``."""
    return tuple((key, table.length(key, *_GRIP_MM)) for key in GRIP_KEYS if table.has(key))


def _flag(table: Table, key: str) -> bool | None:
    return table.flag(key) if table.has(key) else None

"""Handrails that are parts of their own, read from the job file's ``[[handrail]]`` tables."""

from __future__ import annotations

import math
from pathlib import Path

from railsheet.job.handrail import HandrailEnd, HandrailSpec, Holds, Joints, Landing
from railsheet.job.kit_handrail import Finish, HandrailKit, find_handrail_kit, load_handrail_kit
from railsheet.job.model import FlightSpec, LevelSpec
from railsheet.job.plan import RUN_MARK, read_mark
from railsheet.job.rail_rule import Rule
from railsheet.job.side import Side
from railsheet.job.source import Table
from railsheet.units.length import MM_PER_INCH

_HEIGHT_MM = (20 * MM_PER_INCH, 60 * MM_PER_INCH)
_CLEAR_MM = (0.0, 24 * MM_PER_INCH)
_SPACING_MM = (4 * MM_PER_INCH, 120 * MM_PER_INCH)
_PAST_MM = (0.0, 120 * MM_PER_INCH)
_WALL_MM = (0.0, 1200 * MM_PER_INCH)

_TURNS = {"straight": 0.0, "left": 1.0, "right": -1.0}


def read_handrails(
    root: Table, flights: tuple[FlightSpec, ...], levels: tuple[LevelSpec, ...], beside: Path
) -> tuple[HandrailSpec, ...]:
    """The ``[[handrail]]`` tables, in the file's order.

    Raises:
        BadInput: anything that is missing, misspelt, out of range, or follows no run.
    """
    known = {flight.mark: flight for flight in flights}
    others = tuple(level.mark for level in levels)
    found: list[HandrailSpec] = []
    for table in root.tables("handrail", "[[handrail]] for each handrail"):
        spec = _handrail(table, known, others, beside)
        if spec.mark in (*known, *others, *(other.mark for other in found)):
            raise table.bad("mark", "a run or another handrail bears this mark")
        found.append(spec)
    return tuple(found)


def _handrail(
    table: Table, flights: dict[str, FlightSpec], levels: tuple[str, ...], beside: Path
) -> HandrailSpec:
    holds = Holds(table.choice("on", [h.value for h in Holds]))
    follows = _follows(table, holds, flights, levels)
    asked = table.text("parts", "the name of shipped handrail parts, or a file beside the job")
    path = find_handrail_kit(asked, beside, table.file, table.where("parts"))
    spec = HandrailSpec(
        mark=read_mark(table, "mark", RUN_MARK),
        follows=follows,
        side=Side(table.choice("side", [s.value for s in Side])),
        holds=holds,
        height_mm=table.length("H", *_HEIGHT_MM),
        rule=Rule(table.choice("rail_line", [r.value for r in Rule], Rule.LEAST_SQUARES.value)),
        clear_mm=table.length("C", *_CLEAR_MM),
        spacing_mm=table.length("spacing", *_SPACING_MM),
        first_mm=table.length("first", *_SPACING_MM),
        studs_mm=_studs(table, holds),
        bottom=_end(table.table("bottom"), holds, bottom=True),
        top=_end(table.table("top"), holds, bottom=False),
        landings=_landings(table, holds, len(follows) - 1),
        joints=Joints(table.choice("joints", [j.value for j in Joints], Joints.FITTINGS.value)),
        kit=load_handrail_kit(path),
    )
    _studs_of_every_wall(table, spec)
    bracket = spec.kit.bracket
    if not bracket.clear_least_mm <= spec.clear_mm <= bracket.clear_most_mm:
        raise table.bad("C", f"the {bracket.name} does not adjust to it: {_clear(table, spec.kit)}")
    if spec.holds is Holds.POSTS:
        for mark in follows:
            if mark in flights and flights[mark].side is not spec.side:
                raise table.bad("side", f"flight {mark}'s posts are on its other side")
    table.done()
    return spec


def _studs_of_every_wall(table: Table, spec: HandrailSpec) -> None:
    """Studs of one wall and none of the next would put brackets where nothing holds them."""
    walls = [bool(spec.studs_mm), *(bool(each.studs_mm) for each in spec.landings if each.turn_rad)]
    if any(walls) and not all(walls):
        raise table.bad("studs", "studs of every wall it follows, or of none", "some walls only")


def _clear(table: Table, kit: HandrailKit) -> str:
    least, most = (
        value / table.unit.mm for value in (kit.bracket.clear_least_mm, kit.bracket.clear_most_mm)
    )
    return f"{least:.4g} to {most:.4g} {table.unit.symbol}"


def _follows(
    table: Table, holds: Holds, flights: dict[str, FlightSpec], levels: tuple[str, ...]
) -> tuple[str, ...]:
    marks = table.texts("follows", "the marks of the runs it follows, going up")
    for mark in marks:
        if mark in levels and holds is Holds.WALL:
            raise table.bad("follows", f"{mark} is a level run: a wall's length is a landing's L")
        if mark not in flights and mark not in levels:
            raise table.bad("follows", f"there is no run {mark}")
    if len(set(marks)) < len(marks):
        raise table.bad("follows", "each run once, going up")
    if marks[0] not in flights or marks[-1] not in flights:
        raise table.bad("follows", "a handrail begins and ends with a flight")
    return marks


def _studs(table: Table, holds: Holds) -> tuple[float, ...]:
    """Studs uphill of nose 1, and those downhill of it, which no tape reads below zero."""
    for key in ("studs", "studs_below"):
        if holds is Holds.POSTS and table.has(key):
            raise table.bad(key, "the posts are where its brackets go: leave it out")
    above = table.lengths("studs", "stud", *_WALL_MM) if table.has("studs") else ()
    below = table.lengths("studs_below", "stud", *_WALL_MM) if table.has("studs_below") else ()
    if below and not above:
        raise table.bad("studs", "missing; the studs uphill of nose 1 too")
    return tuple(sorted({*above, *(-stud for stud in below)}))


def _end(table: Table, holds: Holds, *, bottom: bool) -> HandrailEnd:
    finish = Finish(table.choice("end", [f.value for f in Finish]))
    if finish is Finish.WALL and holds is Holds.POSTS:
        raise table.bad("end", "there is no wall: post, newel, floor or cap")
    if finish is Finish.POST and holds is Holds.WALL:
        raise table.bad("end", "there is no post: wall, newel, floor or cap")
    past = table.length_or_none("X", *_PAST_MM)
    if finish is Finish.POST and past is not None:
        raise table.bad("X", "it ends at the end post, wherever that stands: leave it out")
    level = table.length("level", *_PAST_MM, 0.0) if bottom else 0.0
    if finish is Finish.POST and level:
        raise table.bad("level", "it ends at the end post: leave it out")
    table.done()
    return HandrailEnd(finish, past, level)


def _landings(table: Table, holds: Holds, wanted: int) -> tuple[Landing, ...]:
    if holds is Holds.POSTS:
        if table.has("landing"):
            raise table.bad("landing", "the runs' own plan says how posts stand: leave it out", "")
        return ()
    tables = (
        table.tables("landing", "[[handrail.landing]] between each two flights")
        if table.has("landing")
        else ()
    )
    if len(tables) != wanted:
        raise table.bad(
            "landing",
            f"one [[handrail.landing]] between each two flights: {wanted} wanted",
            f"{len(tables)} given",
        )
    return tuple(_landing(each) for each in tables)


def _landing(table: Table) -> Landing:
    way = table.choice("turn", list(_TURNS), "straight")
    lower = table.length("L", *_WALL_MM)
    if way == "straight":
        for key in ("degrees", "M", "studs"):
            if table.has(key):
                raise table.bad(key, "the wall runs straight on: leave it out")
        table.done()
        return Landing(lower, 0.0, 0.0, ())
    degrees = table.number("degrees", 5, 135, "how far the wall turns, in degrees", 90.0)
    landing = Landing(
        lower,
        _TURNS[way] * math.radians(degrees),
        table.length("M", *_WALL_MM),
        tuple(sorted(table.lengths("studs", "stud", *_WALL_MM))) if table.has("studs") else (),
    )
    table.done()
    return landing

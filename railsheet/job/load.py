"""From a job file to a validated job."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from railsheet.errors import BadInput
from railsheet.job.absurd import MOST_NAME
from railsheet.job.kit import find_kit, load_kit
from railsheet.job.model import (
    FlightReadings,
    FlightSpec,
    Ground,
    Job,
    LevelSpec,
    Paper,
    Place,
    PostSpec,
    Side,
)
from railsheet.job.plan import (
    POST_MARK,
    read_bearing,
    read_bearing_sigma,
    read_diagonals,
    read_floor,
    read_levels,
    read_mark,
    read_posts,
)
from railsheet.job.rail_rule import Rule
from railsheet.job.readings import read_readings
from railsheet.job.saw import read_saw
from railsheet.job.site import Handrail, read_building, read_site
from railsheet.job.source import Table, read_toml
from railsheet.job.wall_return import read_wall_return
from railsheet.units.display import default_tape, parse_tape
from railsheet.units.length import MM_PER_INCH, LengthError, Unit

if TYPE_CHECKING:
    from railsheet.job.handrail import HandrailSpec
    from railsheet.job.revision import Revision

# What a reading can sensibly be. Wide enough for an odd garden stair, narrow enough that metres
# typed for inches, or a slipped decimal, never pass.
_HEIGHT_MM = (20 * MM_PER_INCH, 60 * MM_PER_INCH)
_FROM_NOSE_MM = (0.0, 120 * MM_PER_INCH)
_IN_FROM_SIDE_MM = (0.0, 24 * MM_PER_INCH)
_DROP_MM = (0.0, 24 * MM_PER_INCH)
_STANDING_MM = (12 * MM_PER_INCH, 120 * MM_PER_INCH)

# A run's drawing is named for its mark. Some systems keep these names for devices (from memory);
# the plan has the last for itself.
_NO_FILE_NAMES = frozenset(
    {"CON", "PRN", "AUX", "NUL", "SITE"}
    | {f"{port}{number}" for port in ("COM", "LPT") for number in range(10)}
)

_BOTH = "both"
# A flight railed on both sides is written once: its left rail, and the right one mirrored.
_SIDES = {"left": Side.LEFT, "right": Side.RIGHT, _BOTH: Side.LEFT}

_MARK = re.compile(r"[A-Z][A-Z0-9]{0,3}")
_TREAD = re.compile(r"tread (\d+)")


def load_job(path: Path) -> Job:
    """Read a job file, its kit with it.

    Raises:
        BadInput: anything that is missing, misspelt, ambiguous or out of range.
    """
    data = read_toml(path)
    root = Table(str(path), "", data, Unit.INCH)
    head = root.table("job")
    unit = Unit(head.choice("units", [u.value for u in Unit]))
    root, head = root.with_unit(unit), head.with_unit(unit)
    tape = default_tape(unit)
    if head.has("tape"):
        try:
            tape = parse_tape(head.text("tape", "a tape's division"), unit)
        except LengthError as error:
            raise head.bad("tape", str(error)) from None
    kit_name = head.text("kit", "the name of a shipped kit, or a kit file beside the job")
    kit_path = find_kit(kit_name, path.parent, str(path), head.where("kit"))
    papers = {p.label: p for p in Paper}
    flights, levels = _flights(root, tape.step_mm), read_levels(root)
    job = Job(
        file=str(path),
        name=head.text("name", "the job's name", most=MOST_NAME),
        place=head.text("place", "where it is", most=MOST_NAME),
        date=head.date("date"),
        measured_by=head.text("measured_by", "who took the readings", most=MOST_NAME),
        tape=tape,
        paper=papers[head.choice("paper", list(papers), "letter")],
        code=head.text("code", "the name of a code profile") if head.has("code") else None,
        kit=load_kit(kit_path),
        flights=flights,
        posts=read_posts(root),
        levels=levels,
        building=read_building(root),
        saw=read_saw(root),
        revisions=_revisions(root),
        diagonals=read_diagonals(root),
        bearing_sigma_rad=read_bearing_sigma(root),
        handrails=_handrails(root, flights, levels, path.parent),
    )
    head.done()
    root.done()
    _read_or_laid_out(job)
    marks = [*(flight.mark for flight in job.flights), *(level.mark for level in job.levels)]
    for mark in marks:
        kind = "flight" if mark in [f.mark for f in job.flights] else "level"
        if marks.count(mark) > 1:
            raise BadInput(str(path), f"{kind} > mark", mark, f"two {kind}s bear this mark")
    named = (("flight", job.flights), ("level", job.levels), ("handrail", job.handrails))
    for kind, runs in named:
        for run in runs:
            if run.mark in _NO_FILE_NAMES:
                taken = "no name for a drawing's file on every system: choose another"
                raise BadInput(str(path), f"{kind} > mark", run.mark, taken)
    return job


# What only some jobs have is loaded only for them.


def _revisions(root: Table) -> tuple[Revision, ...]:
    if not root.has("revision"):
        return ()
    from railsheet.job.revision import read_revisions

    return read_revisions(root)


def _handrails(
    root: Table, flights: tuple[FlightSpec, ...], levels: tuple[LevelSpec, ...], beside: Path
) -> tuple[HandrailSpec, ...]:
    if not root.has("handrail"):
        return ()
    from railsheet.job.handrail_read import read_handrails

    return read_handrails(root, flights, levels, beside)


def _read_or_laid_out(job: Job) -> None:
    """Refuse a handrail that is read beside a flight and laid out there too: which is it?"""
    for handrail in job.handrails:
        for flight in job.flights:
            read = flight.site.handrail
            if flight.mark not in handrail.follows or flight.site.guard_is_handrail:
                continue
            if replace(read, sides=None) != Handrail():
                raise BadInput(
                    job.file,
                    f"flight {flight.mark} > handrail",
                    "",
                    f"handrail {handrail.mark} is laid out there: leave all but sides out",
                )


def _flights(root: Table, tape_step_mm: float) -> tuple[FlightSpec, ...]:
    """Every flight, in the file's order; a site of level runs alone needs none."""
    if root.has("level") and not root.has("flight"):
        return ()
    return tuple(
        flight
        for number, table in enumerate(root.tables("flight", "[[flight]] for each flight"), 1)
        for flight in _hands(table, number, tape_step_mm)
    )


def _hands(table: Table, number: int, tape_step_mm: float) -> tuple[FlightSpec, ...]:
    """A flight's rail, or its two: the right one mirrored unless it has readings of its own."""
    left = _flight(table, number, tape_step_mm)
    if table.text("side", "left, right or both") != _BOTH:
        table.done()
        return (left,)
    right = replace(left, mark=f"{left.mark}R", side=Side.RIGHT)
    if table.has("right"):
        own = table.table("right")
        if own.has("readings"):
            right = replace(right, readings=read_readings(own.table("readings"), tape_step_mm))
        if own.has("bottom_post"):
            post = _post(own.table("bottom_post"), right.readings, bottom=True)
            right = replace(right, bottom_post=post)
        if own.has("top_post"):
            post = _post(own.table("top_post"), right.readings, bottom=False)
            right = replace(right, top_post=post)
        own.done()
    table.done()
    for which in ("bottom_post", "top_post"):
        mark = getattr(left, which).mark
        if mark and getattr(right, which).mark == mark:
            raise table.bad(
                f"{which} > mark",
                f"both hands cannot share post {mark}: give the right one its own [flight.right."
                f"{which}]",
                mark,
            )
    _check_posts(table, right)
    return replace(left, mark=f"{left.mark}L"), right


def _flight(table: Table, number: int, tape_step_mm: float) -> FlightSpec:
    mark = table.text("mark", "a letter for the flight", chr(ord("A") + (number - 1) % 26))
    if not _MARK.fullmatch(mark):
        raise table.bad("mark", "a capital letter, then at most three capitals or digits")
    readings = read_readings(table.table("readings"), tape_step_mm)
    band = _band(table)
    usual = Rule.LEAST_SQUARES if band is None else Rule.LEAST_GREATEST_DEVIATION
    flight = FlightSpec(
        mark=mark,
        readings=readings,
        side=_SIDES[table.choice("side", list(_SIDES))],
        rail_height_mm=table.length("rail_height", *_HEIGHT_MM),
        bottom_post=_post(table.table("bottom_post"), readings, bottom=True),
        top_post=_post(table.table("top_post"), readings, bottom=False),
        rail_rule=Rule(table.choice("rail_line", [r.value for r in Rule], usual.value)),
        band_mm=band,
        site=read_site(table),
        bearing_rad=read_bearing(table),
        floor_mm=read_floor(table),
    )
    _check_posts(table, flight)
    return flight


def _check_posts(table: Table, flight: FlightSpec) -> None:
    if flight.bottom_post.surface >= flight.top_post.surface:
        raise table.bad("top_post > stands_on", "the top post must stand above the bottom post")
    if flight.bottom_post.place is Place.FREE and flight.top_post.place is Place.FREE:
        raise table.bad("bottom_post > place", "one post may be free, not both: give the other's E")


def _band(table: Table) -> tuple[float, float] | None:
    if not table.has("band"):
        return None
    band = table.lengths("band", "limit", *_HEIGHT_MM)
    if len(band) != 2 or band[0] > band[1]:
        raise table.bad("band", 'two heights, the least first, as ["34", "38"]')
    return band[0], band[1]


def _post(table: Table, readings: FlightReadings, *, bottom: bool) -> PostSpec:
    ground, surface = _stands_on(table, len(readings.risers_mm), bottom=bottom)
    place = Place(table.choice("place", [p.value for p in Place]))
    from_nose = table.length_or_none("E", *_FROM_NOSE_MM)
    if from_nose is None and place is not Place.FREE:
        raise table.bad(
            "E", f"missing; a {place.value} post needs its distance from the nose to its face"
        )
    in_from_side = table.length_or_none("I", *_IN_FROM_SIDE_MM)
    if in_from_side is None and place is Place.STANDING:
        raise table.bad("I", "missing; a standing post needs its distance in from the side edge")
    if table.has("V") and place is not Place.STANDING:
        raise table.bad("V", "only a standing post has a height already")
    height = table.length_or_none("V", *_STANDING_MM)
    post = PostSpec(
        ground=ground,
        surface=surface,
        place=place,
        from_nose_mm=from_nose,
        in_from_side_mm=in_from_side,
        slab_drop_mm=table.length("G", *_DROP_MM) if ground is Ground.SLAB else 0.0,
        height_mm=height,
        mark=read_mark(table, "mark", POST_MARK) if table.has("mark") else "",
        wall=read_wall_return(table),
    )
    table.done()
    return post


def _stands_on(table: Table, risers: int, *, bottom: bool) -> tuple[Ground, int]:
    treads = f"tread 1 to tread {risers - 1}"
    allowed = f"landing, slab or {treads}" if bottom else f"deck or {treads}"
    written = table.text("stands_on", allowed)
    if bottom and written in ("landing", "slab"):
        return Ground(written), 0
    if not bottom and written == "deck":
        return Ground.DECK, risers
    tread = _TREAD.fullmatch(written)
    if tread and 1 <= int(tread[1]) < risers:
        return Ground.TREAD, int(tread[1])
    raise table.bad("stands_on", allowed)

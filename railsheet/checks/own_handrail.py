"""A handrail that is a part of its own: its figures beside one flight, taken off the layout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from railsheet.checks.choose import limits_for
from railsheet.checks.judge import Sense
from railsheet.checks.limit import Grip, Quantity, Situation
from railsheet.checks.measured import Measured, situation_of
from railsheet.checks.profile import Profile
from railsheet.job.handrail import Holds
from railsheet.job.model import FlightSpec
from railsheet.job.site import GRIP_KEYS, Building
from railsheet.layout.handrail_model import Extension, Handrail
from railsheet.survey.stair import Stair

_GRIP = {key: Quantity(f"grip_{key}") for key in GRIP_KEYS}


def own_handrail_figures(
    handrail: Handrail, mark: str, stair: Stair, on_stair: Situation
) -> Iterator[Measured]:
    """Every figure of a handrail beside one of the flights that it follows.

    Where it runs on to another flight it has no end there, and so no extension: a clause that asks
    for one excepts handrails that are continuous between flights.

    Args:
        mark: the flight's mark.
    """
    spec = handrail.spec
    name = f"handrail {spec.mark}"
    there = replace(on_stair, grip=Grip(spec.kit.section.grip.shape))
    line = handrail.line(mark)
    for number, nose in enumerate(stair.noses, start=1):
        where = f"{name}, nose {number}"
        yield Measured(Quantity.HANDRAIL_HEIGHT, where, there, line.height_over(nose))
    if mark == spec.follows[0]:
        yield from _bottom(handrail.bottom, stair, there, name)
    if mark == spec.follows[-1]:
        yield from _top(handrail.top, stair, there, name)
    yield Measured(Quantity.HANDRAIL_CLEARANCE, name, there, spec.clear_mm)
    # From the wall, or from the posts of the guard, into the stair.
    where = name if spec.holds is Holds.WALL else f"{name}, from the posts' faces"
    projects = spec.clear_mm + spec.kit.section.width_mm
    yield Measured(Quantity.HANDRAIL_PROJECTION, where, there, projects)
    for end, finish in (("lower", spec.bottom.finish), ("upper", spec.top.finish)):
        at_flight = spec.follows[0] if end == "lower" else spec.follows[-1]
        if finish.turns and mark == at_flight:
            gap = spec.kit.end(finish).gap_mm
            where = f"{name}, {end} return"
            yield Measured(Quantity.HANDRAIL_RETURN_GAP, where, there, gap)
    yield Measured(
        Quantity.HANDRAIL_CLEAR_BELOW, f"{name}, brackets", there, spec.kit.bracket.below_mm
    )
    sizes = dict(spec.kit.section.grip.sizes_mm)
    for key, quantity in _GRIP.items():
        missing = f"the section's {key.replace('_', ' ')} ({spec.kit.name}: section > {key})"
        size = sizes.get(key)
        asked = () if size is not None else (missing,)
        yield Measured(quantity, f"{name}'s section", there, size, asked)


def _bottom(end: Extension, stair: Stair, there: Situation, name: str) -> Iterator[Measured]:
    where = f"{name}, lower end"
    yield Measured(Quantity.HANDRAIL_REACH_BOTTOM, where, there, end.reach_mm)
    nosing = end.reach_mm - stair.nosing_mm(1)
    yield Measured(Quantity.HANDRAIL_REACH_BOTTOM_NOSING, where, there, nosing)
    depths = end.sloping_mm / min(stair.runs_mm)
    yield Measured(Quantity.HANDRAIL_EXTENSION_BOTTOM, f"{where}, tread depths", there, depths)


def _top(end: Extension, stair: Stair, there: Situation, name: str) -> Iterator[Measured]:
    where = f"{name}, upper end"
    yield Measured(Quantity.HANDRAIL_REACH_TOP, where, there, end.reach_mm)
    nosing = end.reach_mm + stair.nosing_mm(len(stair.noses))
    yield Measured(Quantity.HANDRAIL_REACH_TOP_NOSING, where, there, nosing)
    yield Measured(Quantity.HANDRAIL_EXTENSION_TOP, f"{where}, level", there, end.level_mm)


@dataclass(frozen=True)
class CodeReach:
    """How far a code has a handrail go past a riser. Lengths in mm.

    Attributes:
        past_mm: the least that keeps every limit that applies; None where none applies.
        missing: facts that a limit hangs on and the job does not say.
    """

    past_mm: float | None
    missing: tuple[str, ...]


def code_reach(
    profile: Profile, building: Building, spec: FlightSpec, stair: Stair, *, bottom: bool
) -> CodeReach:
    """How far the named code has a handrail go past the lowest or the highest riser."""
    choice = limits_for(profile, situation_of(building, spec, stair))
    least_tread = min(stair.runs_mm)
    scales = (
        {
            Quantity.HANDRAIL_REACH_BOTTOM: (1.0, 0.0),
            Quantity.HANDRAIL_REACH_BOTTOM_NOSING: (1.0, stair.nosing_mm(1)),
            Quantity.HANDRAIL_EXTENSION_BOTTOM: (least_tread, 0.0),
        }
        if bottom
        else {
            Quantity.HANDRAIL_REACH_TOP: (1.0, 0.0),
            Quantity.HANDRAIL_REACH_TOP_NOSING: (1.0, -stair.nosing_mm(len(stair.noses))),
            Quantity.HANDRAIL_EXTENSION_TOP: (1.0, 0.0),
        }
    )
    found = [
        bound.value * scales[limit.quantity][0] + scales[limit.quantity][1]
        for limit in choice.applying
        if limit.quantity in scales
        for bound in limit.bounds
        if bound.sense is Sense.AT_LEAST
    ]
    missing = [
        fact
        for entry in choice.undecided
        if entry.limit.quantity in scales
        for fact in entry.missing
    ]
    past = max(max(found), 0.0) if found else None
    return CodeReach(past, tuple(dict.fromkeys(missing)))

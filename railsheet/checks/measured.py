"""Figures taken off a solved railing, each with the place it was taken at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from railsheet.checks.choose import Undecided, limits_for
from railsheet.checks.finding import Finding, findings_for, not_checked
from railsheet.checks.limit import Edge, Grip, Place, Quantity, Situation
from railsheet.checks.profile import Profile
from railsheet.job.model import FlightSpec
from railsheet.job.site import Building, FlightSite
from railsheet.survey.stair import Stair

# A list of places longer than this is no help to a reader.
_FEW = 60


@dataclass(frozen=True)
class Measured:
    """One figure, or the want of one.

    Attributes:
        quantity: what it is a figure of.
        where: the place, as marked on the drawing.
        situation: what is known of that place.
        figure: in the unit the quantity has inside; None where it could not be taken.
        missing: what has to be read first, where it could not.
        sigma: the figure's standard deviation from the readings' spreads, same unit; None where
            it has none.
    """

    quantity: Quantity
    where: str
    situation: Situation
    figure: float | None
    missing: tuple[str, ...] = ()
    sigma: float | None = None

    @property
    def key(self) -> str:
        """What tells it from the other figures of one flight."""
        return f"{self.quantity.value}, {self.where}"


def situation_of(building: Building, spec: FlightSpec, stair: Stair) -> Situation:
    """What is known of a flight as a whole, on the stair itself."""
    site, grip = spec.site, spec.site.handrail.grip
    return Situation(
        place=Place.STAIR,
        edge=None if site.edge is None else Edge(site.edge),
        dwelling=building.dwelling,
        outdoors=building.outdoors,
        serves_as_handrail=site.guard_is_handrail,
        open_risers=stair.open_risers,
        grip=None if grip is None else Grip(grip.shape),
        drop_mm=site.drop_mm,
        width_mm=stair.width_mm,
        tread_depth_mm=min(stair.runs_mm),
        risers=len(stair.noses),
        storeys=building.storeys,
    )


def level_situation(building: Building, site: FlightSite) -> Situation:
    """What is known of a level run: all of it stands beside a flat walk."""
    return Situation(
        place=Place.FLAT,
        edge=None if site.edge is None else Edge(site.edge),
        dwelling=building.dwelling,
        outdoors=building.outdoors,
        serves_as_handrail=site.guard_is_handrail,
        drop_mm=site.drop_mm,
        storeys=building.storeys,
    )


def held_against(profile: Profile, measured: Iterable[Measured]) -> tuple[Finding, ...]:
    """Hold every figure against the limits that apply where it was taken.

    A limit that cannot be told to apply is named once for each missing fact, not once for each
    place; a run of places with one and the same figure is one finding that names them all.
    """
    found: list[Finding] = []
    undecided: dict[tuple[str, tuple[str, ...]], tuple[Undecided, list[str]]] = {}
    for each in measured:
        choice = limits_for(profile, each.situation).on(each.quantity)
        for limit in choice.applying:
            if each.figure is None:
                found += not_checked(limit, each.where, each.missing)
            else:
                found += findings_for(limit, each.figure, each.where, each.sigma)
        for entry in choice.undecided:
            # The sizes of a handrail's section all hang on its shape: one row asks for it.
            grip = each.quantity.value.startswith("grip_")
            key = ("grip" if grip else entry.limit.key, entry.missing)
            where = "its section, every size of it" if grip else each.where
            undecided.setdefault(key, (entry, []))[1].append(where)
    for entry, wheres in undecided.values():
        where = places(wheres)
        found += not_checked(
            entry.limit, where if len(where) <= _FEW else "several places", entry.missing
        )
    return merged(found)


def merged(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """One finding where the same bound met the same figure, or the same want, at several places."""
    groups: list[list[Finding]] = []
    for finding in findings:
        for group in groups:
            if _same(group[0], finding):
                group.append(finding)
                break
        else:
            groups.append([finding])
    return tuple(
        replace(
            group[0],
            where=places([finding.where for finding in group]),
            sigma=max((f.sigma for f in group if f.sigma is not None), default=None),
        )
        for group in groups
    )


def _same(first: Finding, second: Finding) -> bool:
    if first.limit != second.limit:
        return False
    if first.figure is None or second.figure is None:
        return first.figure is second.figure and first.missing == second.missing
    return first.bound == second.bound and abs(first.figure - second.figure) <= first.kind.tie


def places(wheres: list[str]) -> str:
    """Several places in few words: ``riser 1, 3 to 5``.

    Places are named by words that end in a number; those that share the words are gathered.
    """
    gathered: dict[str, list[int]] = {}
    for where in dict.fromkeys(wheres):
        words, _, number = where.rpartition(" ")
        if number.isdigit():
            gathered.setdefault(words, []).append(int(number))
        else:
            gathered.setdefault(where, [])
    return "; ".join(
        f"{words} {_runs(sorted(numbers))}" if numbers else words
        for words, numbers in gathered.items()
    )


def _runs(numbers: list[int]) -> str:
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]}" if len(run) == 1 else f"{run[0]}{' to ' if len(run) > 2 else ', '}{run[-1]}"
        for run in runs
    )

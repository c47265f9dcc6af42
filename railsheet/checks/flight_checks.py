"""One solved run checked against a code: what was found, every opening, and the loads."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from railsheet.checks.finding import Finding, any_outside, worst_first
from railsheet.checks.handrail_figures import handrail_figures
from railsheet.checks.height_figures import Height, height_figures, heights_of, level_heights
from railsheet.checks.judge import Status
from railsheet.checks.kit_figures import kit_findings
from railsheet.checks.limit import Situation
from railsheet.checks.load_statement import LoadStatement, load_statement
from railsheet.checks.measured import Measured, held_against, level_situation, situation_of
from railsheet.checks.openings_of import Opening, opening_figures, openings_of
from railsheet.checks.profile import Profile
from railsheet.checks.return_figures import beside_returns
from railsheet.checks.shared_load import NO_LEANS, Leans
from railsheet.checks.stair_figures import stair_figures
from railsheet.job.site import Building
from railsheet.layout.railing import Railing

if TYPE_CHECKING:
    from railsheet.checks.turn_figures import CheckedTurn, TurnFigure
    from railsheet.layout.handrail_model import Handrail


@dataclass(frozen=True)
class CheckedOpening:
    """An opening and what it was held against.

    Attributes:
        findings: worst first; none where no limit applies to it.
    """

    opening: Opening
    findings: tuple[Finding, ...]

    @property
    def outside(self) -> bool:
        """Whether it stands outside a limit."""
        return any_outside(self.findings)


@dataclass(frozen=True)
class CheckedHeight:
    """A height of the rail that stands outside a limit.

    Attributes:
        findings: what stands outside, worst first.
    """

    height: Height
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class FlightChecks:
    """All that was checked on one run, flight or level.

    Attributes:
        profile: the code that it was checked against.
        findings: worst first.
        openings: every opening, with its greatest circle.
        heights_outside: every height of the rail that stands outside a limit, going uphill.
        loads: the load statement.
        turns: the gaps where the run's rail ends, in plan.
    """

    profile: Profile
    findings: tuple[Finding, ...]
    openings: tuple[CheckedOpening, ...]
    heights_outside: tuple[CheckedHeight, ...]
    loads: LoadStatement
    turns: tuple[CheckedTurn, ...] = ()

    @property
    def outside(self) -> tuple[Finding, ...]:
        """What stands outside a limit."""
        return tuple(f for f in self.findings if f.status is Status.OUTSIDE)


# Standard deviations by a figure's key, for the figures and the openings of a run.
Doubting = Callable[[Sequence[Measured], Sequence[Opening]], Mapping[str, float]]


def flight_figures(
    railing: Railing,
    building: Building,
    openings: Sequence[Opening],
    handrails: Sequence[Handrail] = (),
) -> Iterator[Measured]:
    """Every figure of a solved flight that a code may limit; of its own handrails too."""
    on_stair = situation_of(building, railing.spec, railing.stair)
    yield from stair_figures(railing, on_stair)
    yield from height_figures(railing, on_stair)
    yield from handrail_figures(railing, on_stair, handrails)
    yield from opening_figures(openings, railing.spec.site, on_stair)
    yield from beside_returns(railing, on_stair)


def level_figures(
    railing: Railing, building: Building, openings: Sequence[Opening]
) -> Iterator[Measured]:
    """Every figure of a solved level run that a code may limit."""
    on_flat = level_situation(building, railing.spec.site)
    for height in level_heights(railing, on_flat):
        yield from height.measured
    yield from opening_figures(openings, railing.spec.site, on_flat)
    yield from beside_returns(railing, on_flat)


def check_flight(
    railing: Railing,
    building: Building,
    profile: Profile,
    doubting: Doubting | None = None,
    leans: Leans = NO_LEANS,
    handrails: Sequence[Handrail] = (),
    turns: Sequence[TurnFigure] = (),
) -> FlightChecks:
    """Check a solved flight.

    Args:
        doubting: tells what the flight's figures scatter by; left out, no finding has a
            standard deviation.
        leans: the rails of every post that several runs share, by its mark.
        handrails: the job's handrails that are parts of their own.
        turns: the gaps where its rail ends.
    """
    on_stair = situation_of(building, railing.spec, railing.stair)
    openings = openings_of(railing)
    figures = tuple(flight_figures(railing, building, openings, handrails))
    figures = _doubted(figures, openings, doubting)
    heights = heights_of(railing, on_stair)
    return _all_checked(profile, railing, on_stair, figures, openings, heights, leans, turns)


def check_level(
    railing: Railing,
    building: Building,
    profile: Profile,
    doubting: Doubting | None = None,
    leans: Leans = NO_LEANS,
    turns: Sequence[TurnFigure] = (),
) -> FlightChecks:
    """Check a solved level run, as a guard beside a flat walk over its whole length.

    Args:
        doubting: as for a flight.
        leans: the rails of every post that several runs share, by its mark.
        turns: the gaps where its rail ends.
    """
    on_flat = level_situation(building, railing.spec.site)
    openings = openings_of(railing)
    heights = level_heights(railing, on_flat)
    figures = tuple(level_figures(railing, building, openings))
    figures = _doubted(figures, openings, doubting)
    return _all_checked(profile, railing, on_flat, figures, openings, heights, leans, turns)


def _doubted(
    figures: tuple[Measured, ...], openings: Sequence[Opening], doubting: Doubting | None
) -> tuple[Measured, ...]:
    if doubting is None:
        return figures
    sigmas = doubting(figures, openings)
    return tuple(replace(each, sigma=sigmas.get(each.key)) for each in figures)


def _all_checked(
    profile: Profile,
    railing: Railing,
    situation: Situation,
    figures: Sequence[Measured],
    openings: Sequence[Opening],
    heights: Iterable[Height],
    leans: Leans,
    turns: Sequence[TurnFigure],
) -> FlightChecks:
    at_turns = [measured for turn in turns for measured in turn.measured]
    findings = (*held_against(profile, (*figures, *at_turns)), *kit_findings(railing))
    site = railing.spec.site
    checked = tuple(
        CheckedOpening(
            opening,
            worst_first(held_against(profile, opening_figures((opening,), site, situation))),
        )
        for opening in openings
    )
    return FlightChecks(
        profile,
        worst_first(findings),
        checked,
        tuple(_heights_outside(profile, heights)),
        load_statement(profile, railing, situation, leans),
        _checked_turns(profile, turns) if turns else (),
    )


def _checked_turns(profile: Profile, turns: Sequence[TurnFigure]) -> tuple[CheckedTurn, ...]:
    from railsheet.checks.turn_figures import CheckedTurn

    return tuple(
        CheckedTurn(turn, worst_first(held_against(profile, turn.measured))) for turn in turns
    )


def _heights_outside(profile: Profile, heights: Iterable[Height]) -> Iterator[CheckedHeight]:
    for height in sorted(heights, key=lambda each: each.s_mm):
        found = worst_first(held_against(profile, height.measured))
        outside = tuple(finding for finding in found if finding.status is Status.OUTSIDE)
        if outside:
            yield CheckedHeight(height, outside)

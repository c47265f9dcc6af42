"""What a run's checked figures scatter by, from the spreads of the readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias

from railsheet.checks.amount import Kind
from railsheet.checks.flight_checks import flight_figures, level_figures
from railsheet.checks.limit import Quantity
from railsheet.checks.measured import Measured, held_against
from railsheet.checks.openings_of import openings_of
from railsheet.checks.profile import Profile
from railsheet.figures.doubt import Doubt, flight_doubts
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.railing import Railing
from railsheet.survey.flight import Survey
from railsheet.survey.stair import Stair

if TYPE_CHECKING:
    from railsheet.layout.handrail_model import Handrail

# An opening further than this from every limit on it is given no spread: to be in doubt there it
# would have to scatter by more than 2 mm, and finding its circle again and again takes time.
# Common practice, no source.
_NEAR_MM = 4.0
# Less than this is a figure that does not rest on the readings of the survey at all.
_NO_SPREAD = 1e-9
_OPENINGS = (Quantity.GUARD_OPENING, Quantity.TRIANGLE_OPENING)

# The handrails beside a flight, for its stair and wishes.
Beside: TypeAlias = "Callable[[Stair, FlightSpec], Sequence[Handrail]]"
# What figures taken off a level run scatter by, for what takes them off it.
LevelDoubts = Callable[[Callable[[Railing], Mapping[str, float]]], Iterable[Doubt]]


def no_handrails(_stair: Stair, _wishes: FlightSpec) -> Sequence[Handrail]:
    """No handrail of its own stands beside the flight."""
    return ()


def finding_sigmas(
    job: Job,
    survey: Survey,
    spec: FlightSpec,
    profile: Profile,
    figures: Sequence[Measured],
    solve: Callable[[Stair, FlightSpec], Railing],
    handrails: Beside = no_handrails,
) -> Mapping[str, float]:
    """Standard deviations of a flight's checked lengths and angles, mm or rad, by their keys.

    Figures that do not rest on the survey are left out, and so are openings that are far inside
    or far outside of their limits.

    Args:
        figures: the figures of the flight as solved.
        solve: solves the flight again for another stair and wishes.
        handrails: those beside the flight, solved again for its stair and wishes.
    """
    near = _near_openings(profile, figures)

    def again(stair: Stair, wishes: FlightSpec) -> dict[str, float]:
        railing = solve(stair, wishes)
        openings = openings_of(railing, near)
        return _sizes(flight_figures(railing, job.building, openings, handrails(stair, wishes)))

    return _sigmas(flight_doubts(survey, spec, again))


def level_finding_sigmas(
    job: Job,
    profile: Profile,
    doubts: LevelDoubts,
    figures: Sequence[Measured],
) -> Mapping[str, float]:
    """Standard deviations of a level run's checked figures from its length's, by their keys.

    Left out are figures that do not rest on the length, and openings far from their limits.

    Args:
        doubts: what figures taken off the run, solved again, scatter by.
        figures: the figures of the run as solved.
    """
    near = _near_openings(profile, figures)

    def again(railing: Railing) -> dict[str, float]:
        return _sizes(level_figures(railing, job.building, openings_of(railing, near)))

    return _sigmas(doubts(again))


def _near_openings(profile: Profile, figures: Sequence[Measured]) -> set[str]:
    return {
        each.where.partition(", beside the ")[0]
        for each in figures
        if each.quantity in _OPENINGS and _near(profile, each)
    }


def _sizes(figures: Iterable[Measured]) -> dict[str, float]:
    return {
        each.key: each.figure
        for each in figures
        if each.figure is not None and each.quantity.kind in (Kind.LENGTH, Kind.ANGLE)
    }


def _sigmas(doubts: Iterable[Doubt]) -> dict[str, float]:
    return {doubt.key: doubt.sigma for doubt in doubts if doubt.sigma > _NO_SPREAD}


def _near(profile: Profile, figure: Measured) -> bool:
    return any(
        finding.margin is not None and abs(finding.margin) < _NEAR_MM
        for finding in held_against(profile, (figure,))
    )

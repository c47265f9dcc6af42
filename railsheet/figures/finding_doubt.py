"""What a run's checked figures scatter by, from the spreads of the readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias

from railsheet.checks.amount import Kind
from railsheet.checks.flight_checks import flight_figures, level_figures
from railsheet.checks.limit import Quantity
from railsheet.checks.measured import Measured, held_against
from railsheet.checks.opening_contacts import Following, following
from railsheet.checks.openings_of import Opening
from railsheet.checks.profile import Profile
from railsheet.figures.doubt import AlongLine, Doubt, doubts_along
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.flight_again import FlightAgain
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Railing
from railsheet.survey.flight import Survey
from railsheet.survey.stair import Stair

if TYPE_CHECKING:
    from railsheet.layout.handrail_model import Handrail

# An opening further than this from every limit on it is given no spread: to be in doubt there it
# would have to scatter by more than 2 mm. Common practice, no source.
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
    solve: FlightAgain,
    railing: Railing,
    figures: Sequence[Measured],
    openings: Sequence[Opening],
    handrails: Beside = no_handrails,
) -> Mapping[str, float]:
    """Standard deviations of a flight's checked lengths and angles, mm or rad, by their keys.

    Figures that do not rest on the survey are left out, and so are openings that are far inside
    or far outside of their limits.

    Args:
        solve: solves the flight again.
        railing: the flight as checked, its ends cut as its site has them.
        figures: its figures.
        openings: its openings.
        handrails: those beside the flight, solved again for its stair and wishes.
    """
    alone = solve.along(survey.stair, spec, solve.line(survey.stair, spec))
    near = following(_near_openings(profile, figures, openings), railing, alone)

    def again(stair: Stair, wishes: FlightSpec, along: RailLine) -> dict[str, float]:
        moved = solve.along(stair, wishes, along)
        beside = handrails(stair, wishes)
        return _sizes(flight_figures(moved, job.building, near.moved(moved), beside))

    return _sigmas(doubts_along(survey, spec, AlongLine(solve.line, again, _no_greatest)))


def _no_greatest(_stair: Stair, _wishes: FlightSpec, _line: RailLine) -> Mapping[str, float]:
    """No checked figure is the greatest of several over the line."""
    return {}


def level_finding_sigmas(
    job: Job,
    profile: Profile,
    doubts: LevelDoubts,
    railing: Railing,
    figures: Sequence[Measured],
    openings: Sequence[Opening],
) -> Mapping[str, float]:
    """Standard deviations of a level run's checked figures from its length's, by their keys.

    Left out are figures that do not rest on the length, and openings far from their limits.

    Args:
        doubts: what figures taken off the run, solved again, scatter by.
        railing: the run as checked.
        figures: its figures.
        openings: its openings.
    """
    near = Following(railing, _near_openings(profile, figures, openings))

    def again(moved: Railing) -> dict[str, float]:
        return _sizes(level_figures(moved, job.building, near.moved(moved)))

    return _sigmas(doubts(again))


def _near_openings(
    profile: Profile, figures: Sequence[Measured], openings: Sequence[Opening]
) -> tuple[Opening, ...]:
    places = {
        each.where.partition(", beside the ")[0]
        for each in figures
        if each.quantity in _OPENINGS and _near(profile, each)
    }
    return tuple(opening for opening in openings if opening.where in places)


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

"""The gap where a rail ends, as a code limits it: an opening like any other in a guard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from railsheet.checks.finding import Finding, any_outside
from railsheet.checks.limit import Quantity, Situation
from railsheet.checks.measured import Measured, level_situation, situation_of
from railsheet.checks.return_figures import at_post
from railsheet.job.site import Building
from railsheet.layout.post import Post
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Site
from railsheet.layout.turn import Turn, TurnKind
from railsheet.layout.turn_spread import turn_sigmas_mm


@dataclass(frozen=True)
class TurnFigure:
    """A gap where a rail ends, and its figure once for each walk that it lies beside.

    Attributes:
        number: from 1, in the order of the site's turns.
        measured: without a figure where the gap is no opening, or may be none.
    """

    number: int
    turn: Turn
    measured: tuple[Measured, ...]


@dataclass(frozen=True)
class CheckedTurn:
    """A gap where a rail ends, and what it was held against.

    Attributes:
        findings: worst first; none where no limit applies to it.
    """

    figure: TurnFigure
    findings: tuple[Finding, ...]

    @property
    def outside(self) -> bool:
        """Whether it stands outside a limit."""
        return any_outside(self.findings)


def turn_figures(site: Site, run: str, building: Building) -> tuple[TurnFigure, ...]:
    """The gaps that a run tells, in the order of the site's turns."""
    sigmas = turn_sigmas_mm(site)
    return tuple(
        TurnFigure(number, turn, tuple(_measured(site, turn, building, sigmas.get(number))))
        for number, turn in enumerate(site.turns, start=1)
        if turn.owner == run
    )


def _measured(
    site: Site, turn: Turn, building: Building, sigma_mm: float | None
) -> Iterator[Measured]:
    missing: tuple[str, ...] = ()
    if turn.kind is TurnKind.WAY:
        missing = (f"nothing to read: not an opening, the way onto flight {turn.flight}",)
    elif turn.kind is TurnKind.UNCLOSED:
        missing = ("what closes the way between: the job does not say",)
    figure, sigma = (None, None) if missing else (turn.clear_mm, sigma_mm)
    for situation in dict.fromkeys(_situations(site, turn, building)):
        yield Measured(Quantity.GUARD_OPENING, turn.between, situation, figure, missing, sigma)


def _situations(site: Site, turn: Turn, building: Building) -> Iterator[Situation]:
    """On the walks that end there: of a flight, on what its end post stands on."""
    for run, mark in zip(turn.runs, (turn.post, turn.beside_post), strict=True):
        railing = site.railings[run]
        if railing.level:
            yield level_situation(building, railing.spec.site)
            continue
        on_stair = situation_of(building, railing.spec, railing.stair)
        post = _end_post(site, run, mark)
        yield on_stair if post is None else at_post(on_stair, railing.spec.site, post)


def _end_post(site: Site, run: str, mark: str) -> Post | None:
    railing: Railing = site.railings[run]
    leg = site.legs[run]
    if mark == leg.start:
        return railing.downhill_post
    return railing.uphill_post if mark == leg.end else None

"""One solved flight checked against a code: what was found, every opening, and the loads."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.checks.finding import Finding, worst_first
from railsheet.checks.handrail_figures import handrail_figures
from railsheet.checks.height_figures import height_figures
from railsheet.checks.judge import Status
from railsheet.checks.kit_figures import kit_findings
from railsheet.checks.load_statement import LoadStatement, load_statement
from railsheet.checks.measured import held_against, situation_of
from railsheet.checks.openings_of import Opening, opening_figures, openings_of
from railsheet.checks.profile import Profile
from railsheet.checks.stair_figures import stair_figures
from railsheet.job.site import Building
from railsheet.layout.railing import Railing


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
        return any(finding.status is Status.OUTSIDE for finding in self.findings)


@dataclass(frozen=True)
class FlightChecks:
    """All that was checked on one flight.

    Attributes:
        profile: the code that it was checked against.
        findings: worst first.
        openings: every opening, with its greatest circle.
        loads: the load statement.
    """

    profile: Profile
    findings: tuple[Finding, ...]
    openings: tuple[CheckedOpening, ...]
    loads: LoadStatement

    @property
    def outside(self) -> tuple[Finding, ...]:
        """What stands outside a limit."""
        return tuple(f for f in self.findings if f.status is Status.OUTSIDE)


def check_flight(railing: Railing, building: Building, profile: Profile) -> FlightChecks:
    """Check a solved flight."""
    on_stair = situation_of(building, railing.spec, railing.stair)
    openings = openings_of(railing)
    figures = (
        *stair_figures(railing, on_stair),
        *height_figures(railing, on_stair),
        *handrail_figures(railing, on_stair),
        *opening_figures(openings, railing.spec.site, on_stair),
    )
    findings = (*held_against(profile, figures), *kit_findings(railing))
    site = railing.spec.site
    checked = tuple(
        CheckedOpening(
            opening,
            worst_first(held_against(profile, opening_figures((opening,), site, on_stair))),
        )
        for opening in openings
    )
    return FlightChecks(
        profile, worst_first(findings), checked, load_statement(profile, railing, on_stair)
    )

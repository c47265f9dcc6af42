"""How high each post's foot stands over the site's datum, agreed among its runs."""

from __future__ import annotations

from collections.abc import Mapping

from railsheet.errors import BadInput
from railsheet.job.model import Job
from railsheet.layout.plan import Leg
from railsheet.layout.railing import Railing


def foot_heights(
    job: Job,
    legs: Mapping[str, Leg],
    railings: Mapping[str, Railing],
    floors_mm: Mapping[str, float],
) -> dict[str, float]:
    """Every end post's foot, mm over the site's datum.

    Where no level run states its floor, the bottom of the first run by mark is the datum.

    Args:
        floors_mm: the stated floors, by level run.

    Raises:
        BadInput: two runs put one post's foot at different heights, by more than the kit's fit
            tolerance for each run.
    """
    feet: dict[str, float] = {}
    said_by: dict[str, str] = {}
    allowed = 2 * job.kit.fit_tolerance_mm

    def enter(run: str, base_mm: float) -> None:
        railing, leg = railings[run], legs[run]
        ends = (leg.start, railing.downhill_post), (leg.end, railing.uphill_post)
        for mark, post in ends:
            foot = base_mm + post.surface_z_mm
            if mark in feet and abs(feet[mark] - foot) > allowed:
                here, there = (job.tape.say(z) for z in (foot, feet[mark]))
                raise BadInput(
                    job.file,
                    f"post {mark}",
                    f"run {run} has its foot at {here}",
                    f"run {said_by[mark]} has it at {there}, over the site's datum: they must "
                    f"agree within {job.tape.say(allowed)}; look at F and at the flights' risers",
                )
            if mark not in feet:
                feet[mark], said_by[mark] = foot, run

    for run in sorted(floors_mm):
        enter(run, floors_mm[run])
    left = [run for run in sorted(legs) if run not in floors_mm]
    while left:
        run = next((r for r in left if legs[r].start in feet or legs[r].end in feet), left[0])
        left.remove(run)
        leg, railing = legs[run], railings[run]
        if leg.start in feet:
            base = feet[leg.start] - railing.downhill_post.surface_z_mm
        elif leg.end in feet:
            base = feet[leg.end] - railing.uphill_post.surface_z_mm
        else:
            base = 0.0
        enter(run, base)
    return feet

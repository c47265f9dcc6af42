"""How high each post's foot stands over the site's datum, agreed among its runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from railsheet.errors import BadInput
from railsheet.job.model import Job
from railsheet.layout.plan import Leg
from railsheet.layout.railing import Railing


def foot_heights(
    job: Job,
    legs: Mapping[str, Leg],
    railings: Mapping[str, Railing],
) -> dict[str, float]:
    """Every end post's foot, mm over the site's datum.

    Where no run states its floor, the bottom of the first run by mark is the datum, and every other
    run must hang together with it by shared posts.

    Raises:
        BadInput: two runs put one post's foot at different heights, by more than the kit's fit
            tolerance for each run; or nothing says how high a run stands over the others.
    """
    stated = {flight.mark: flight.floor_mm for flight in job.flights}
    stated |= {level.mark: level.floor_mm for level in job.levels}
    floors_mm = {run: floor for run, floor in stated.items() if floor is not None}
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
        elif not feet:
            base = 0.0
        else:
            raise _height_unknown(job, run, sorted({*legs} - {run, *left}), bool(floors_mm))
        enter(run, base)
    return feet


def _height_unknown(job: Job, run: str, others: Sequence[str], stated: bool) -> BadInput:
    apart = f"{'runs' if len(others) > 1 else 'run'} {', '.join(others)}"
    also = "" if stated else f", and F of {apart if len(others) == 1 else 'one of those'} too"
    return BadInput(
        job.file,
        f"run {run} > F",
        "",
        f"missing; it shares no post with {apart}, so nothing says how high it stands over them: "
        "state F, the height of its floor (of a flight, its bottom surface) over the site's "
        f"datum{also}",
    )

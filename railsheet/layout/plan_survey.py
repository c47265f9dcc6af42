"""A site's readings in plan gathered for the adjustment, and its runs as it leaves them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from railsheet.errors import BadInput
from railsheet.job.model import Job
from railsheet.layout.notice import Notice, look, stop
from railsheet.layout.plan import Leg, Point
from railsheet.layout.survey_notices import suspect_notice
from railsheet.survey.plan_adjust import PlanSurvey, adjust_plan, plan_sigma_mm
from railsheet.survey.plan_readings import PlanBearing, PlanDistance
from railsheet.survey.readings import Reading

# A flight comes out as long as it was laid out; what a loop is off by is not looked for in it.
# Small against any tape's spread. common practice, no source
_FLIGHT_SIGMA_MM = 0.05


def survey_plan(
    job: Job,
    legs: Sequence[Leg],
    reckoned_mm: Mapping[str, Point],
    held: Sequence[str],
    middles_mm: Mapping[str, Point],
) -> PlanSurvey | None:
    """Adjust every length, bearing and check diagonal of a site together.

    Args:
        legs: the runs, as read and as laid out.
        reckoned_mm: where each post stands by dead reckoning.
        held: posts whose places the job gives; where there are none, one post is the datum.
        middles_mm: each post's middle from its plan point: between middles diagonals are read.

    Returns:
        None where every post's place is given.

    Raises:
        BadInput: a diagonal to a post that is not there.
    """
    for diagonal in job.diagonals:
        for mark in (diagonal.start, diagonal.end):
            if mark not in reckoned_mm:
                known = ", ".join(sorted(reckoned_mm))
                raise BadInput(job.file, "diagonal", mark, f"no such post; known: {known}")
    datum = list(held) or [min(legs, key=lambda leg: leg.run).start]
    if set(reckoned_mm) <= set(datum):
        return None
    readings = [*_runs(job, legs), *_diagonals(job, middles_mm)]
    return adjust_plan(readings, reckoned_mm, datum)


def _runs(job: Job, legs: Sequence[Leg]) -> Iterator[Reading]:
    levels = {level.mark: level for level in job.levels}
    for leg in sorted(legs, key=lambda leg: leg.run):
        level = levels.get(leg.run)
        name, ends = f"length of run {leg.run}", (leg.start, leg.end)
        if level is None:
            laid = f"{name}, as laid out"
            yield PlanDistance(f"L {leg.run}", laid, leg.length_mm, _FLIGHT_SIGMA_MM, *ends)
        elif level.length_mm is not None:
            sigma = plan_sigma_mm(level.length_mm, job.tape.step_mm)
            yield PlanDistance(f"L {leg.run}", name, level.length_mm, sigma, *ends)
        if level is None or level.bearing_rad is not None:
            way = f"bearing of run {leg.run}"
            sigma = job.bearing_sigma_rad
            yield PlanBearing(f"bearing {leg.run}", way, leg.bearing_rad, sigma, *ends)


def _diagonals(job: Job, middles_mm: Mapping[str, Point]) -> Iterator[Reading]:
    for diagonal in job.diagonals:
        start, end = diagonal.start, diagonal.end
        (x0, y0), (x1, y1) = middles_mm[start], middles_mm[end]
        yield PlanDistance(
            key=f"D {start}-{end}",
            name=f"diagonal, post {start} to post {end}",
            read_mm=diagonal.length_mm,
            sigma_mm=plan_sigma_mm(diagonal.length_mm, job.tape.step_mm),
            start=start,
            end=end,
            apart_mm=(x1 - x0, y1 - y0),
        )


def as_adjusted(leg: Leg, survey: PlanSurvey) -> Leg:
    """A run between its posts as adjusted; as it was where nothing was read twice."""
    if not survey.redundancy:
        return leg
    (x0, y0), (x1, y1) = survey.places_mm[leg.start], survey.places_mm[leg.end]
    dx, dy = x1 - x0, y1 - y0
    return replace(leg, length_mm=math.hypot(dx, dy), bearing_rad=math.atan2(dy, dx) % math.tau)


def plan_notices(survey: PlanSurvey, legs: Mapping[str, Leg]) -> dict[str, list[Notice]]:
    """Suspect readings and the test of the whole, by the run that prints them."""
    found: dict[str, list[Notice]] = {}
    names = {reading.key: reading.name for reading in survey.readings}
    first = min(legs)
    if not survey.redundancy:
        words = (
            "in plan nothing could be checked: no length was read more than needed, so a misread "
            "tape would not show. Worth taking: a diagonal across each corner, as [[diagonal]]"
        )
        found[first] = [look("unchecked plan", words)]
    for suspect in survey.suspects:
        _, _, of = suspect.key.partition(" ")
        post = of.partition("-")[0]
        run = of if of in legs else next((r for r in sorted(legs) if legs[r].start == post), first)
        found.setdefault(run, []).append(suspect_notice(names, suspect))
    if survey.test is not None and not survey.test.passes and not survey.suspects:
        words = (
            "the plan's readings disagree more than their spreads allow, and no single one stands "
            "out: measure the runs and diagonals again"
        )
        found.setdefault(first, []).append(stop("readings disagree", words))
    return found

"""A site's level runs, each with all that follows from it, and what runs do to each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from railsheet.checks.flight_checks import check_level
from railsheet.checks.profile import Profile
from railsheet.checks.shared_load import leans_of
from railsheet.checks.turn_figures import turn_figures
from railsheet.cuts.job_stock import JobStock
from railsheet.cuts.masses import run_masses
from railsheet.cuts.pieces import Pieces
from railsheet.cuts.take_off import take_off
from railsheet.figures.book import FigureBook
from railsheet.figures.doubt import Doubt
from railsheet.figures.finding_doubt import level_finding_sigmas
from railsheet.figures.findings import enter_checks, enter_site, finding_notices
from railsheet.figures.flight import enter_flight
from railsheet.figures.level_doubt import level_doubts
from railsheet.figures.masses import enter_masses
from railsheet.figures.moved_figures import MovedFigures
from railsheet.figures.stock import enter_places
from railsheet.job.model import Job
from railsheet.layout.joints import with_meeting
from railsheet.layout.level import solve_level
from railsheet.layout.notice import Weight
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Site
from railsheet.sheets.schedule import LevelWork
from railsheet.survey.plan_adjust import plan_sigma_mm


def level_work(
    job: Job,
    book: FigureBook,
    site: Site,
    railing: Railing,
    pieces: Pieces,
    stock: JobStock,
    profile: Profile | None,
) -> LevelWork:
    """A level run's work, its figures entered into the book."""
    parts = take_off(railing, pieces, stock.cut)
    doubts_of = partial(_level_doubts, job, site, railing.spec.mark)
    checks = None
    if profile is not None:
        turns = turn_figures(site, railing.spec.mark, job.building)
        doubting = partial(level_finding_sigmas, job, profile, doubts_of, railing)
        checks = check_level(railing, job.building, profile, doubting, leans_of(site), turns)
    found = () if checks is None else finding_notices(checks, job.tape)
    notices = tuple(
        sorted(
            (
                *railing.notices,
                *site.notices[railing.spec.mark],
                *pieces.notices,
                *stock.notices(pieces.rails, pieces.fills),
                *found,
            ),
            key=lambda notice: notice.weight is Weight.LOOK,
        )
    )
    enter_flight(book, railing, pieces, parts, notices)
    enter_masses(book, railing.spec.mark, run_masses(railing, pieces))
    enter_places(book, railing.spec.mark, pieces, stock)
    if checks is not None:
        enter_site(book, railing.spec.mark, railing.spec.site)
        enter_checks(book, railing.spec.mark, checks)
    doubts = doubts_of(MovedFigures(job.tape).of)
    for doubt in doubts:
        # A wall plate has no cut, which the run alone would give a post.
        if doubt.key in book:
            book.scatter(doubt.key, doubt.sigma, doubt.sigma_then)
    return LevelWork(railing, pieces, parts, notices, doubts, stock, checks)


def _level_doubts(
    job: Job, site: Site, mark: str, taken_off: Callable[[Railing], Mapping[str, float]]
) -> tuple[Doubt, ...]:
    """What figures taken off a level run scatter by."""
    spec = next(level for level in job.levels if level.mark == mark)
    ends, leg = site.ends[mark], site.legs[mark]
    again = plan_sigma_mm(ends.length_mm, job.tape.step_mm)
    sigma = again
    if site.survey is not None and {leg.start, leg.end} & site.survey.moved:
        sigma = site.survey.distance_sigma_mm(leg.start, leg.end)

    def figures(length_mm: float) -> Mapping[str, float]:
        solved = solve_level(spec, replace(ends, length_mm=length_mm), job.kit, job.file)
        return taken_off(met(site, solved))

    return level_doubts(mark, ends.length_mm, sigma, again, figures)


def met(site: Site, railing: Railing) -> Railing:
    """A run solved alone, with its top rail cut for those that it joins."""
    for end, meets in site.meets[railing.spec.mark]:
        railing, _ = with_meeting(railing, end, meets)
    return railing

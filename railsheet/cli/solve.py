"""From a job to everything that follows from it, in one go."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from railsheet.checks.flight_checks import check_flight
from railsheet.checks.profile import Profile, find_profile, load_profile, shipped_profiles
from railsheet.checks.shared_load import NO_LEANS, leans_of
from railsheet.cuts.job_stock import NO_RACK, STOCK_EFFORT, JobStock, Rack, plan_job
from railsheet.cuts.masses import run_masses
from railsheet.cuts.pieces import Pieces, cut_pieces
from railsheet.cuts.purchase import Purchase, purchases
from railsheet.cuts.rail_stock import from_bars
from railsheet.cuts.take_off import take_off
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook
from railsheet.figures.doubt import AlongLine, doubts_along
from railsheet.figures.finding_doubt import finding_sigmas, no_handrails
from railsheet.figures.findings import enter_checks, enter_site, finding_notices
from railsheet.figures.flight import deviation_key, deviation_mm, enter_flight
from railsheet.figures.kit import enter_job, enter_kit
from railsheet.figures.masses import enter_masses
from railsheet.figures.moved_figures import MovedFigures
from railsheet.figures.steps import enter_steps
from railsheet.figures.stock import enter_places, enter_purchases, enter_stock
from railsheet.figures.survey import enter_survey
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.flight import solve_flight
from railsheet.layout.flight_again import FlightAgain
from railsheet.layout.notice import Notice, Weight
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Railing
from railsheet.layout.survey_notices import survey_notices
from railsheet.sheets.schedule import FlightWork, RunWork
from railsheet.survey.defect import UnderdeterminedError
from railsheet.survey.flight import Survey, survey_flight
from railsheet.survey.network import NotConvergedError

# What only some jobs have, runs in plan and handrails of their own, is loaded where it is met.
if TYPE_CHECKING:
    from railsheet.checks.turn_figures import TurnFigure
    from railsheet.cli.handrails import Handrails
    from railsheet.layout.site_model import Site
    from railsheet.sheets.handrail_work import HandrailWork
    from railsheet.sheets.schedule import LevelWork
    from railsheet.survey.stair import Stair


@dataclass(frozen=True)
class SolvedJob:
    """A job solved: each flight's work, and the one book that holds all their figures.

    Attributes:
        profile: the code that it was checked against; None where the job names none.
        stock: what is cut from which bar, for all flights together.
        buying: what to buy, for all flights together.
        levels: each level run's work.
        site: the runs in plan; None where the job lays none out.
        handrails: each handrail's work.
    """

    job: Job
    works: tuple[FlightWork, ...]
    book: FigureBook
    profile: Profile | None
    stock: JobStock
    buying: tuple[Purchase, ...]
    levels: tuple[LevelWork, ...] = ()
    site: Site | None = None
    handrails: tuple[HandrailWork, ...] = ()

    @property
    def runs(self) -> tuple[RunWork, ...]:
        """Every run's work, flights first."""
        return (*self.works, *self.levels)

    @property
    def notices(self) -> tuple[Notice, ...]:
        """Every run's notices, run by run, then every handrail's."""
        runs = (notice for work in self.runs for notice in work.notices)
        return (*runs, *(notice for work in self.handrails for notice in work.notices))


@dataclass(frozen=True)
class _Laid:
    """One flight laid out, with its pieces."""

    spec: FlightSpec
    survey: Survey
    railing: Railing
    pieces: Pieces


def solve_job(job: Job, rack: Rack = NO_RACK, stock_effort: float = STOCK_EFFORT) -> SolvedJob:
    """Solve every flight of a job, and the cutting of all of them together.

    Args:
        rack: drops on hand, used first.
        stock_effort: how hard the stock plan is sought; what is proven does not depend on it.

    Raises:
        BadInput: a flight that the kit cannot be laid out on, or a code profile that cannot be
            used.
    """
    profile = job_profile(job)
    book = FigureBook(job.tape)
    enter_job(book)
    enter_kit(book, job.kit)
    surveys = {spec.mark: _survey(job, spec) for spec in job.flights}

    def alone(spec: FlightSpec) -> Railing:
        return _solve(job, surveys[spec.mark].stair, spec)

    site = _site(job, alone)
    leans = NO_LEANS if site is None else leans_of(site)
    flights = [
        _laid(surveys[spec.mark], alone(spec) if site is None else site.railings[spec.mark])
        for spec in job.flights
    ]
    levels = [] if site is None else [site.railings[spec.mark] for spec in job.levels]
    level_pieces = [(railing, cut_pieces(railing)) for railing in levels]
    work = [(flight.spec, from_bars(job.kit, flight.pieces)) for flight in flights]
    work += [(railing.spec, from_bars(job.kit, pieces)) for railing, pieces in level_pieces]
    every = [*(flight.pieces for flight in flights), *(pieces for _, pieces in level_pieces)]
    fills = [fill for pieces in every for fill in pieces.fills]
    railings = {railing.spec.mark: railing for railing in (*(f.railing for f in flights), *levels)}
    handrails = _handrails(job, surveys, railings, site, profile)
    extra = () if handrails is None else handrails.stock
    stock = plan_job(job, work, rack, stock_effort, fills, extra)
    enter_stock(book, stock, job.saw)
    works = []
    for flight in flights:
        spec, survey, railing, pieces = flight.spec, flight.survey, flight.railing, flight.pieces
        meeting = () if site is None else site.notices[spec.mark]
        parts = take_off(railing, pieces, stock.cut)
        # Both sorts of doubt differentiate the same solve: each stair near this one is solved once.
        again = FlightAgain(railing, job.file)
        checks = None
        if profile is not None:
            beside = no_handrails if handrails is None else partial(handrails.beside, spec.mark)
            doubting = partial(
                finding_sigmas, job, survey, spec, profile, again, railing, handrails=beside
            )
            own = () if handrails is None else handrails.solved
            turns = _turns(job, site, spec.mark)
            checks = check_flight(railing, job.building, profile, doubting, leans, own, turns)
        found = () if checks is None else finding_notices(checks, job.tape)
        notices = tuple(
            sorted(
                (
                    *survey_notices(survey),
                    *railing.notices,
                    *meeting,
                    *pieces.notices,
                    *stock.notices(pieces.rails, pieces.fills),
                    *found,
                ),
                key=lambda notice: notice.weight is Weight.LOOK,
            )
        )
        enter_flight(book, railing, pieces, parts, notices)
        enter_masses(book, spec.mark, run_masses(railing, pieces))
        enter_places(book, spec.mark, pieces, stock)
        enter_survey(book, spec.mark, survey)
        enter_steps(book, spec.mark, survey.stair, profile)
        figures = AlongLine(
            again.line, partial(_figures, MovedFigures(job.tape), site, again), _deviation
        )
        doubts = doubts_along(survey, spec, figures)
        for doubt in doubts:
            # A wall plate has no cut, which the flight alone would give a post.
            if doubt.key in book:
                book.scatter(doubt.key, doubt.sigma, doubt.sigma_then)
        if checks is not None:
            enter_site(book, spec.mark, spec.site)
            enter_checks(book, spec.mark, checks)
        works.append(FlightWork(railing, pieces, parts, notices, survey, doubts, stock, checks))
    level_works: list[LevelWork] = []
    if site is not None:
        from railsheet.cli.site_work import level_work
        from railsheet.figures.plan import enter_plan, enter_turns

        enter_plan(book, site)
        level_works = [
            level_work(job, book, site, railing, pieces, stock, profile)
            for railing, pieces in level_pieces
        ]
        runs: tuple[RunWork, ...] = (*works, *level_works)
        enter_turns(book, site, [work.checks for work in runs])
    rails = () if handrails is None else handrails.works(stock, book)
    listed = (
        *(work.parts for work in works),
        *(work.parts for work in level_works),
        *(work.parts for work in rails),
    )
    packs = job.kit.packs if handrails is None else handrails.packs
    buying = purchases(listed, stock, packs, job.kit.spare_rate)
    enter_purchases(book, buying)
    return SolvedJob(
        job, tuple(works), book, profile, stock, buying, tuple(level_works), site, rails
    )


def _laid(survey: Survey, railing: Railing) -> _Laid:
    return _Laid(railing.spec, survey, railing, cut_pieces(railing))


def _site(job: Job, alone: Callable[[FlightSpec], Railing]) -> Site | None:
    """The runs in plan; None where the job lays none out."""
    if not job.has_plan:
        return None
    from railsheet.layout.site import solve_site

    return solve_site(job, alone)


def _turns(job: Job, site: Site | None, mark: str) -> Sequence[TurnFigure]:
    """The gaps where a run's rail ends in plan."""
    if site is None:
        return ()
    from railsheet.checks.turn_figures import turn_figures

    return turn_figures(site, mark, job.building)


def _handrails(
    job: Job,
    surveys: Mapping[str, Survey],
    railings: Mapping[str, Railing],
    site: Site | None,
    profile: Profile | None,
) -> Handrails | None:
    """The handrails that are parts of their own; None where the job has none."""
    if not job.handrails:
        return None
    from railsheet.cli.handrails import solve_handrails

    return solve_handrails(job, surveys, railings, site, profile)


def _survey(job: Job, spec: FlightSpec) -> Survey:
    where = f"flight {spec.mark} > readings"
    try:
        return survey_flight(spec.readings)
    except UnderdeterminedError as loose:
        if not spec.readings.left_out:
            raise BadInput(job.file, where, "", str(loose)) from None
        left_out = ", ".join(spec.readings.left_out)
        allowed = f"without what is left out {loose}"
        raise BadInput(job.file, f"{where} > left_out", left_out, allowed) from None
    except NotConvergedError as contradicted:
        raise BadInput(
            job.file,
            f"{where} > {contradicted.key}",
            contradicted.name,
            "the readings contradict one another, this one most: measure it again",
        ) from None


def job_profile(job: Job) -> Profile | None:
    """The code profile that a job names, with its local amendments; None where it names none.

    Raises:
        BadInput: there is no such profile, or it cannot be used.
    """
    if job.code is None:
        return None
    return load_profile(find_profile(job.code, Path(job.file).parent, job.file, "job > code"))


def _solve(job: Job, stair: Stair, spec: FlightSpec) -> Railing:
    return solve_flight(stair, spec, job.kit, job.file)


def _figures(
    moved: MovedFigures,
    site: Site | None,
    solve: FlightAgain,
    stair: Stair,
    spec: FlightSpec,
    line: RailLine,
) -> dict[str, float]:
    """One flight's lengths and angles by key, solved alone, what it joins standing as it is."""
    railing = solve.along(stair, spec, line)
    if site is not None:
        from railsheet.cli.site_work import met

        railing = met(site, railing)
    return moved.of(railing)


def _deviation(stair: Stair, spec: FlightSpec, line: RailLine) -> dict[str, float]:
    return {deviation_key(spec.mark): deviation_mm(line, stair, spec.rail_height_mm)}


def no_code(job: Job) -> BadInput:
    """The message for a job that has to be checked and names no code."""
    known = ", ".join(shipped_profiles())
    return BadInput(
        job.file,
        "job > code",
        "",
        f"missing; name one to check against: {known}, or a profile file of yours",
    )

"""From a job to everything that follows from it, in one go."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from railsheet.checks.flight_checks import check_flight
from railsheet.checks.profile import Profile, find_profile, load_profile, shipped_profiles
from railsheet.cuts.job_stock import NO_RACK, STOCK_TIME_S, JobStock, Rack, from_bars, plan_job
from railsheet.cuts.pieces import Pieces, cut_pieces
from railsheet.cuts.purchase import Purchase, purchases
from railsheet.cuts.take_off import take_off
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook, Kind
from railsheet.figures.doubt import flight_doubts
from railsheet.figures.finding_doubt import finding_sigmas
from railsheet.figures.findings import enter_checks, enter_site, finding_notices
from railsheet.figures.flight import enter_flight, enter_job, enter_kit
from railsheet.figures.steps import enter_steps
from railsheet.figures.stock import enter_places, enter_purchases, enter_stock
from railsheet.figures.survey import enter_survey
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.flight import solve_flight
from railsheet.layout.notice import Notice, Weight
from railsheet.layout.railing import Railing
from railsheet.layout.survey_notices import survey_notices
from railsheet.sheets.schedule import FlightWork
from railsheet.survey.defect import UnderdeterminedError
from railsheet.survey.flight import Survey, survey_flight
from railsheet.survey.network import NotConvergedError
from railsheet.survey.stair import Stair


@dataclass(frozen=True)
class SolvedJob:
    """A job solved: each flight's work, and the one book that holds all their figures.

    Attributes:
        profile: the code that it was checked against; None where the job names none.
        stock: what is cut from which bar, for all flights together.
        buying: what to buy, for all flights together.
    """

    job: Job
    works: tuple[FlightWork, ...]
    book: FigureBook
    profile: Profile | None
    stock: JobStock
    buying: tuple[Purchase, ...]

    @property
    def notices(self) -> tuple[Notice, ...]:
        """Every flight's notices, flight by flight."""
        return tuple(notice for work in self.works for notice in work.notices)


@dataclass(frozen=True)
class _Laid:
    """One flight laid out, with its pieces."""

    spec: FlightSpec
    survey: Survey
    railing: Railing
    pieces: Pieces


def solve_job(job: Job, rack: Rack = NO_RACK, stock_time_s: float = STOCK_TIME_S) -> SolvedJob:
    """Solve every flight of a job, and the cutting of all of them together.

    Args:
        rack: drops on hand, used first.
        stock_time_s: how long the stock plan may take; what is proven does not depend on it.

    Raises:
        BadInput: a flight that the kit cannot be laid out on, or a code profile that cannot be
            used.
    """
    profile = job_profile(job)
    book = FigureBook(job.tape)
    enter_job(book)
    enter_kit(book, job.kit)
    flights = [_lay(job, spec) for spec in job.flights]
    work = [(flight.spec, from_bars(job.kit, flight.pieces)) for flight in flights]
    fills = [fill for flight in flights for fill in flight.pieces.fills]
    stock = plan_job(job, work, rack, stock_time_s, fills)
    enter_stock(book, stock, job.saw)
    works = []
    for flight in flights:
        spec, survey, railing, pieces = flight.spec, flight.survey, flight.railing, flight.pieces
        parts = take_off(railing, pieces, stock.cut)
        checks = None
        if profile is not None:
            doubting = partial(finding_sigmas, job, survey, spec, profile)
            checks = check_flight(railing, job.building, profile, doubting)
        found = () if checks is None else finding_notices(checks, job.tape)
        notices = tuple(
            sorted(
                (
                    *survey_notices(survey),
                    *railing.notices,
                    *pieces.notices,
                    *stock.notices(pieces.rails, pieces.fills),
                    *found,
                ),
                key=lambda notice: notice.weight is Weight.LOOK,
            )
        )
        enter_flight(book, railing, pieces, parts, notices)
        enter_places(book, spec.mark, pieces, stock)
        enter_survey(book, spec.mark, survey)
        enter_steps(book, spec.mark, survey.stair, profile)
        doubts = flight_doubts(survey, spec, partial(_figures, job))
        for doubt in doubts:
            book.scatter(doubt.key, doubt.sigma, doubt.sigma_then)
        if checks is not None:
            enter_site(book, spec.mark, spec.site)
            enter_checks(book, spec.mark, checks)
        works.append(FlightWork(railing, pieces, parts, notices, survey, doubts, stock, checks))
    buying = purchases((work.parts for work in works), stock, job.kit.packs, job.kit.spare_rate)
    enter_purchases(book, buying)
    return SolvedJob(job, tuple(works), book, profile, stock, buying)


def _lay(job: Job, spec: FlightSpec) -> _Laid:
    survey = _survey(job, spec)
    railing = solve_flight(survey.stair, spec, job.kit, job.file)
    return _Laid(spec, survey, railing, cut_pieces(railing))


def _survey(job: Job, spec: FlightSpec) -> Survey:
    where = f"flight {spec.mark} > readings"
    try:
        return survey_flight(spec.readings)
    except UnderdeterminedError as loose:
        raise BadInput(job.file, where, "", str(loose)) from None
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


def _figures(job: Job, stair: Stair, spec: FlightSpec) -> dict[str, float]:
    """One flight's lengths and angles by key, solved alone."""
    book = FigureBook(job.tape)
    railing = solve_flight(stair, spec, job.kit, job.file)
    enter_flight(book, railing, cut_pieces(railing), (), ())
    return {figure.key: figure.value for figure in book if figure.kind in (Kind.LENGTH, Kind.ANGLE)}


def no_code(job: Job) -> BadInput:
    """The message for a job that has to be checked and names no code."""
    known = ", ".join(shipped_profiles())
    return BadInput(
        job.file,
        "job > code",
        "",
        f"missing; name one to check against: {known}, or a profile file of yours",
    )

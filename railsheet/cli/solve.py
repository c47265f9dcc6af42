"""From a job to everything that follows from it, in one go."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.cuts.pieces import cut_pieces
from railsheet.cuts.take_off import take_off
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import enter_flight, enter_job, enter_kit
from railsheet.figures.survey import enter_survey
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.flight import solve_flight
from railsheet.layout.notice import Notice, Weight
from railsheet.layout.survey_notices import survey_notices
from railsheet.sheets.schedule import FlightWork
from railsheet.survey.defect import UnderdeterminedError
from railsheet.survey.flight import Survey, survey_flight
from railsheet.survey.network import NotConvergedError


@dataclass(frozen=True)
class SolvedJob:
    """A job solved: each flight's work, and the one book that holds all their figures."""

    job: Job
    works: tuple[FlightWork, ...]
    book: FigureBook

    @property
    def notices(self) -> tuple[Notice, ...]:
        """Every flight's notices, flight by flight."""
        return tuple(notice for work in self.works for notice in work.notices)


def solve_job(job: Job) -> SolvedJob:
    """Solve every flight of a job.

    Raises:
        BadInput: a flight that the kit cannot be laid out on.
    """
    book = FigureBook(job.tape)
    enter_job(book)
    enter_kit(book, job.kit)
    works = []
    for spec in job.flights:
        survey = _survey(job, spec)
        railing = solve_flight(survey.stair, spec, job.kit, job.file)
        pieces = cut_pieces(railing)
        parts = take_off(railing, pieces)
        notices = tuple(
            sorted(
                (*survey_notices(survey), *railing.notices, *pieces.notices),
                key=lambda notice: notice.weight is Weight.LOOK,
            )
        )
        enter_flight(book, railing, pieces, parts, notices)
        enter_survey(book, spec.mark, survey)
        works.append(FlightWork(railing, pieces, parts, notices, survey))
    return SolvedJob(job, tuple(works), book)


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

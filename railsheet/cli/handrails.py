"""Solve a job's handrails, and all that follows from each."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from railsheet.checks.own_handrail import code_reach
from railsheet.checks.profile import Profile
from railsheet.cuts.handrail_cuts import (
    ExtraStock,
    all_packs,
    handrail_stock,
    handrail_take_off,
)
from railsheet.cuts.job_stock import JobStock
from railsheet.errors import BadInput
from railsheet.figures.book import FigureBook
from railsheet.figures.handrail import enter_handrail, enter_handrail_work
from railsheet.figures.handrail_doubt import handrail_doubts
from railsheet.job.handrail import HandrailEnd, HandrailSpec, Holds
from railsheet.job.kit_handrail import Finish
from railsheet.job.model import FlightSpec, Job
from railsheet.layout.flight import solve_flight
from railsheet.layout.handrail import solve_handrail
from railsheet.layout.handrail_brackets import Held, supports_used
from railsheet.layout.handrail_model import Handrail
from railsheet.layout.notice import Notice, Weight, stop
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Site
from railsheet.sheets.handrail_work import HandrailWork
from railsheet.survey.flight import Survey
from railsheet.survey.stair import Stair


@dataclass(frozen=True)
class Handrails:
    """A job's handrails, with what they were solved from, so that they can be solved again.

    Attributes:
        solved: in the job's order.
    """

    job: Job
    surveys: Mapping[str, Survey]
    railings: Mapping[str, Railing]
    site: Site | None
    solved: tuple[Handrail, ...]

    def again(self, handrail: Handrail, mark: str, stair: Stair, wishes: FlightSpec) -> Handrail:
        """One handrail with one flight's stair, and wishes, other than they are.

        Which studs or posts it is fixed to is a choice, and held; posts that runs share stay where
        the site has them.
        """
        spec = handrail.spec
        stairs = {m: survey.stair for m, survey in self.surveys.items()} | {mark: stair}
        railings = dict(self.railings)
        if spec.holds is Holds.POSTS and self.site is None:
            railings[mark] = solve_flight(stair, wishes, self.job.kit, self.job.file)
        return _solve(self.job, spec, stairs, railings, self.site, supports_used(handrail))

    def beside(self, mark: str, stair: Stair, wishes: FlightSpec) -> tuple[Handrail, ...]:
        """The handrails that follow a flight, with that flight other than it is."""
        return tuple(
            self.again(handrail, mark, stair, wishes)
            for handrail in self.solved
            if mark in handrail.spec.follows
        )

    @property
    def stock(self) -> tuple[ExtraStock, ...]:
        """What they are cut from: an entry for each section.

        Raises:
            BadInput: two files of parts have sections of one name that differ.
        """
        return handrail_stock(self.solved)

    @property
    def packs(self) -> tuple[tuple[str, int], ...]:
        """The kit's pack sizes with those of the handrails' parts."""
        return all_packs(self.job.kit.packs, self.solved)

    def works(self, stock: JobStock, book: FigureBook) -> tuple[HandrailWork, ...]:
        """Every handrail's parts and notices, its figures entered into the book."""
        job = self.job
        specs = {flight.mark: flight for flight in job.flights}
        works = []
        for handrail in self.solved:
            parts = handrail_take_off(handrail, job.kit.spare_rate)
            notices = (*handrail.notices, *_uncut(handrail, stock))
            ordered = tuple(sorted(notices, key=lambda notice: notice.weight is Weight.LOOK))
            enter_handrail(book, handrail)
            enter_handrail_work(book, handrail, parts, ordered, stock)
            doubts = handrail_doubts(
                handrail,
                self.surveys,
                specs,
                partial(self.again, handrail),
                job.tape,
            )
            for doubt in doubts:
                book.scatter(doubt.key, doubt.sigma, doubt.sigma_then)
            works.append(HandrailWork(handrail, parts, ordered, stock))
        return tuple(works)


def solve_handrails(
    job: Job,
    surveys: Mapping[str, Survey],
    railings: Mapping[str, Railing],
    site: Site | None,
    profile: Profile | None,
) -> Handrails:
    """Solve every handrail of a job.

    Raises:
        BadInput: one that cannot be laid out, or whose length nobody says.
    """
    stairs = {mark: survey.stair for mark, survey in surveys.items()}
    solved = tuple(
        _solve(job, _with_code(job, spec, stairs, profile), stairs, railings, site)
        for spec in job.handrails
    )
    return Handrails(job, surveys, railings, site, solved)


def _solve(
    job: Job,
    spec: HandrailSpec,
    stairs: Mapping[str, Stair],
    railings: Mapping[str, Railing],
    site: Site | None,
    held: Held | None = None,
) -> Handrail:
    return solve_handrail(spec, stairs, railings, site, job.file, job.tape.say, held)


def _with_code(
    job: Job, spec: HandrailSpec, stairs: Mapping[str, Stair], profile: Profile | None
) -> HandrailSpec:
    """A handrail whose ends go as far as the code has them where the job does not say."""
    if profile is None:
        return spec
    ends = {}
    for name, end, mark in (
        ("bottom", spec.bottom, spec.follows[0]),
        ("top", spec.top, spec.follows[-1]),
    ):
        ends[name] = end
        if end.past_mm is None and end.finish is not Finish.POST:
            past = _code_past(job, spec, stairs, profile, name, mark)
            ends[name] = HandrailEnd(end.finish, past, end.level_mm)
    return replace(spec, bottom=ends["bottom"], top=ends["top"])


def _code_past(
    job: Job,
    spec: HandrailSpec,
    stairs: Mapping[str, Stair],
    profile: Profile,
    name: str,
    mark: str,
) -> float:
    flight = next(flight for flight in job.flights if flight.mark == mark)
    bottom = name == "bottom"
    reach = code_reach(profile, job.building, flight, stairs[mark], bottom=bottom)
    if reach.missing or reach.past_mm is None:
        why = "; ".join(reach.missing) or f"{profile.short} says nothing of it"
        raise BadInput(
            job.file,
            f"handrail {spec.mark} > {name} > X",
            "",
            f"missing; how far it goes past the riser. What {profile.short} asks hangs on: {why}",
        )
    # Up to the tape's next division: what is set out by the sheet is never short of the clause.
    step = job.tape.step_mm
    return step * math.ceil(reach.past_mm / step - 1e-9)


def _uncut(handrail: Handrail, stock: JobStock) -> Sequence[Notice]:
    """Pieces that fit no bar once both its ends are trimmed."""
    section = handrail.spec.kit.section
    return [
        stop(
            "handrail stock",
            f"{piece.mark}, {{length}} long, fits no bar of {section.name} once both ends are "
            "trimmed; the longest is {longest}",
            length=piece.length_mm,
            longest=section.stock[-1].length_mm,
        )
        for piece in handrail.pieces
        if piece.mark in stock.uncut and piece.length_mm <= section.stock[-1].length_mm
    ]

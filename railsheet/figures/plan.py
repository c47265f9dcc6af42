"""Enter a site's plan into the book of figures."""

from __future__ import annotations

from collections.abc import Iterable

from railsheet.checks.flight_checks import FlightChecks
from railsheet.checks.telling import figure_text
from railsheet.figures.book import Figure, FigureBook, Kind
from railsheet.figures.survey import enter_readings
from railsheet.layout.site_model import Site
from railsheet.layout.turn_spread import turn_sigmas_mm


def plan_post_key(mark: str) -> str:
    """Where a post's plan figures stand in the book."""
    return f"site.post.{mark.replace('-', '_')}"


def diagonal_key(ends: tuple[str, str]) -> str:
    """Where a check diagonal stands in the book."""
    return f"site.diagonal.{'.'.join(mark.replace('-', '_') for mark in ends)}"


def turn_key(number: int) -> str:
    """Where the clear at a rail's end stands in the book; numbered from 1, in the site's order."""
    return f"site.turn.{number}.clear"


def enter_turns(book: FigureBook, site: Site, checks: Iterable[FlightChecks | None]) -> None:
    """Enter the clear at every rail's end, printed as its finding needs it where it has one."""
    shown = {
        turn.figure.number: figure_text(finding, book.tape)
        for run in checks
        if run is not None
        for turn in run.turns
        for finding in turn.findings[:1]
    }
    sigmas = turn_sigmas_mm(site)
    for number, turn in enumerate(site.turns, start=1):
        about = f"clear in plan {turn.between}"
        text = shown.get(number) or None
        book.add(Figure(turn_key(number), turn.clear_mm, Kind.LENGTH, about, shown=text))
        if number in sigmas:
            # Nothing says which of the plan's readings would lessen it most.
            book.scatter(turn_key(number), sigmas[number], sigmas[number])


def enter_plan(book: FigureBook, site: Site) -> None:
    """Enter every plan figure, from the site's datum.

    The datum of the printed places is the least x and the least y of any post, so that none is
    negative.
    """
    datum = plan_datum(site)
    for mark, post in site.posts.items():
        key = plan_post_key(mark)
        book.length(
            f"{key}.x", post.middle_mm[0] - datum[0], f"post {mark}: along x from the datum"
        )
        book.length(
            f"{key}.y", post.middle_mm[1] - datum[1], f"post {mark}: along y from the datum"
        )
        book.length(f"{key}.foot", post.foot_mm, f"post {mark}: its foot over the site's datum")
        book.length(f"{key}.height", post.height_mm, f"post {mark}: cut height for all its runs")
        if post.set_off:
            x, y = (at - zero for at, zero in zip(post.at_mm, datum, strict=True))
            book.length(f"{key}.lines_x", x, f"post {mark}: where its rails' lines meet, along x")
            book.length(f"{key}.lines_y", y, f"post {mark}: where its rails' lines meet, along y")
        for meeting in post.meetings:
            if meeting.skew.angle_rad:
                off = abs(meeting.skew.angle_rad)
                book.angle(
                    f"{key}.skew.{meeting.run}", off, f"post {mark}: run {meeting.run} askew"
                )
        book.angle(f"{key}.turned", post.turned_rad, f"post {mark}: a face's way from x")
    for run, leg in site.legs.items():
        book.length(f"site.run.{run}.length", leg.length_mm, f"run {run}: between its end posts")
        book.angle(f"site.run.{run}.bearing", leg.bearing_rad, f"run {run}: its way from x")
    _enter_survey(book, site)
    for ends, across in site.diagonals_mm.items():
        about = f"check across a corner, post {ends[0]} to post {ends[1]}"
        book.length(diagonal_key(ends), across, about)


def _enter_survey(book: FigureBook, site: Site) -> None:
    survey = site.survey
    if survey is not None:
        enter_readings(book, "site", survey.readings, survey.redundancy, survey.test)


def plan_datum(site: Site) -> tuple[float, float]:
    """The least x and the least y of any post's middle, mm."""
    places = [post.middle_mm for post in site.posts.values()]
    return min(x for x, _ in places), min(y for _, y in places)

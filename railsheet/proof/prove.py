"""A job proven: its figures derived anew from solids, and its parts looked at for fit.

What is independent: the solids are raised from the setting-out alone (`solids/setting_out.py`), by
planes in space, and measured by Open CASCADE's faces, edges and distances. Lengths, cuts, holes,
seats, gaps, heights on posts, the rails' distance and the balusters' fit are found so, and share no
formula with the layout.

A handrail's corners are taken by their places in plan; their heights, and all of its pieces, are
found so too.

What is not: the rail's line, the posts' middles and how many balusters go in a bay are taken as
solved; that they are the best is for the layout's own tests. The kit's dimensions and the adjusted
stair are taken as read. A bracket's inner shape is not in the kit: it is drawn cut to its rail, so
that only its place, its stop and its mouth prove anything. Which bar's hole takes a rail is taken
from the sheet, and held against the bar's own punching.

Infill of a kind that `solids` does not raise from the kit stands where the layout has it: it is
tried for clashes alone, and its bays' figures of infill, and its run's windows, are left.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from railsheet.proof.bars import bar_figures
from railsheet.proof.bays import BayTaken, bay_figures, line_figures, take_bay
from railsheet.proof.compare import Compared, compare
from railsheet.proof.contacts import Contacts, contacts, contacts_between
from railsheet.proof.derived import Derived
from railsheet.proof.handrails import handrail_figures
from railsheet.proof.masses import mass_figures
from railsheet.proof.posts import post_figures
from railsheet.proof.pressed import pressed_figures
from railsheet.proof.rail_ends import rail_end_figures
from railsheet.proof.returns import return_figures
from railsheet.proof.spheres import sphere_figures
from railsheet.proof.windows import window_figures
from railsheet.solids.fill import BayPlace
from railsheet.solids.given import given_words
from railsheet.solids.handrail_raised import handrail_parts
from railsheet.solids.raised import RaisedJob
from railsheet.solids.run import RaisedRun

# Figures of which the solids and the sheets must have as many as each other.
_EACH = re.compile(
    r"\.rail\.(top|bottom)\.hole\.\d+$|\.baluster\.\d+\.from_face$|\.bay\.\d+\.cable\.\d+$"
)


@dataclass(frozen=True)
class Proof:
    """What came of it.

    Attributes:
        parts: how many solids there are.
        compared: figures found on both, worst first.
        only_solid: figures that the solids have and the sheets ought to.
        only_sheet: figures that the sheets have and the solids ought to.
        left: the sheets' other figures, which the solids have no part in.
        contacts: by run; what stands between runs under ``site``.
        given: in words, infill that is not raised from the kit, or not at all.
    """

    parts: int
    compared: tuple[Compared, ...]
    only_solid: tuple[str, ...]
    only_sheet: tuple[str, ...]
    left: tuple[str, ...]
    contacts: Mapping[str, Contacts]
    given: tuple[str, ...] = ()

    @property
    def failing(self) -> tuple[Compared, ...]:
        """Figures that differ by more than the limit."""
        return tuple(held for held in self.compared if held.fails)

    @property
    def holds(self) -> bool:
        """Whether nothing at all is wrong."""
        clashes = any(each.clashes for each in self.contacts.values())
        return not (self.failing or self.only_solid or self.only_sheet or clashes)


def prove(job: RaisedJob, figures: Mapping[str, Any]) -> Proof:
    """Derive every figure that the solids hold, and hold it against the record's.

    Args:
        job: the job in space.
        figures: ``figures`` of figures.json.
    """
    derived = derive(job, figures)
    compared = compare(derived, figures)
    found = {one.key for one in derived}
    given = tuple(f"{mark}." for mark, run in job.runs.items() if run.out.given)
    each = {key for key in figures if _EACH.search(key) and not key.startswith(given)}
    held = {one.key for one in compared}
    looked = {mark: contacts(run.parts) for mark, run in job.runs.items()}
    looked |= {rail.out.mark: contacts(handrail_parts(rail)) for rail in job.handrails}
    if len(job.runs) > 1:
        looked["site"] = contacts_between(job)
    return Proof(
        parts=sum(len(run.parts) for run in job.runs.values())
        + sum(len(rail.pieces) for rail in job.handrails),
        compared=compared,
        only_solid=tuple(sorted(k for k in found if _EACH.search(k) and k not in figures)),
        only_sheet=tuple(sorted(each - found)),
        left=tuple(key for key in figures if key not in held and key not in each),
        contacts=looked,
        given=given_words({mark: run.out for mark, run in job.runs.items()}),
    )


def derive(job: RaisedJob, figures: Mapping[str, Any]) -> list[Derived]:
    """Every figure that the solids hold; of the record only bars' holes and names are read."""
    found = [one for run in job.runs.values() for one in _run(run, figures)]
    found += mass_figures(job)
    found += [one for rail in job.handrails for one in handrail_figures(rail)]
    return [*found, *rail_end_figures(job, figures)]


def _run(run: RaisedRun, figures: Mapping[str, Any]) -> Iterator[Derived]:
    mark = run.out.mark
    bays = tuple(take_bay(run, bay) for bay in run.bays)
    for number, (bay, taken) in enumerate(zip(run.bays, bays, strict=True), start=1):
        key = f"{mark}.bay.{number}"
        yield from bay_figures(key, run, bay, taken)
        if not run.out.given:
            yield from _bars(key, bay, taken, figures)
        yield from return_figures(key, run, bay, taken)
    yield from line_figures(mark, run, bays[0])
    yield from post_figures(run, bays)
    yield from sphere_figures(run, bays, figures)
    if not run.out.given:
        yield from pressed_figures(run, bays, figures)
        yield from window_figures(run, bays, figures)


def _bars(
    key: str, bay: BayPlace, taken: BayTaken, figures: Mapping[str, Any]
) -> Iterator[Derived]:
    for name, rail, measured in (
        ("top", bay.kit.top_rail, taken.top),
        ("bottom", bay.kit.bottom_rail, taken.bottom),
    ):
        yield from bar_figures(f"{key}.rail.{name}", rail, bay.kit.infill, measured, figures)

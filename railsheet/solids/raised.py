"""A whole job in space: every run in its own frame, and where each stands on the site."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import cadquery as cq

from railsheet.solids.handrail_out import HandrailOut
from railsheet.solids.handrail_raised import RaisedHandrail, raise_handrail
from railsheet.solids.part import Part
from railsheet.solids.run import RaisedRun, raise_runs
from railsheet.solids.setting_out import JobPlaces, Standing, location_of


@dataclass(frozen=True)
class RaisedJob:
    """A job's runs in space, by mark.

    Attributes:
        runs: each in its own frame.
        standings: where each stands in plan.
        handrails: each in its own frame.
    """

    runs: Mapping[str, RaisedRun]
    standings: Mapping[str, Standing]
    handrails: tuple[RaisedHandrail, ...] = ()

    def location(self, run: str) -> cq.Location:
        """From a run's frame to the site's."""
        return location_of(self.standings[run])

    def parts(self, run: str) -> Iterator[Part]:
        """A run's parts that no earlier run has: a shared post is one part."""
        earlier: set[str] = set()
        for mark, raised in self.runs.items():
            if mark == run:
                break
            earlier |= set(raised.parts)
        yield from (p for m, p in self.runs[run].parts.items() if m not in earlier)


def raise_job(places: JobPlaces, handrails: Iterable[HandrailOut]) -> RaisedJob:
    """Raise every run and handrail of a job from its setting-out."""
    return RaisedJob(
        raise_runs(places.outs, places.standings),
        places.standings,
        tuple(raise_handrail(out) for out in handrails),
    )

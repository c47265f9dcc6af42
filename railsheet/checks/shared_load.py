"""What the loads along the top ask of a post that several runs lean on, added as vectors.

A code's load acts in any direction: square to each rail at once, as a crowd leans out at a corner,
or all one way. Forces at one point are added by their components, and moments about the post's
base likewise (resultant of concurrent forces, any text on statics; from memory). The post itself
is a cantilever from its base, as in ``checks/statics.py``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeAlias

from railsheet.checks.amount import Kind
from railsheet.checks.demand import Demand, Loads, Term, load_size
from railsheet.checks.statics import post_demands
from railsheet.job.model import Side
from railsheet.layout.rail_ends import End

if TYPE_CHECKING:
    from railsheet.layout.site_model import Meeting, Site

_RESULTANT = "resultant of concurrent forces by their components; the post a cantilever"


@dataclass(frozen=True)
class Lean:
    """One run's rail at a shared post.

    Attributes:
        run: the run's mark.
        along_mm: the length of its rail that leans on the post: half its span there, along it.
        height_mm: its top over the post's foot.
        out_rad: the way square off it, away from the walking side, counter-clockwise from x.
    """

    run: str
    along_mm: float
    height_mm: float
    out_rad: float


Leans: TypeAlias = Mapping[str, tuple[Lean, ...]]
"""By post mark: the rails of every post that more than one run comes to."""

NO_LEANS: Leans = MappingProxyType({})


def leans_of(site: Site) -> Leans:
    """By post mark: the rails of every post that more than one run comes to."""
    return {
        mark: tuple(_lean(site, meeting) for meeting in post.meetings)
        for mark, post in site.posts.items()
        if len(post.meetings) > 1
    }


def _lean(site: Site, meeting: Meeting) -> Lean:
    railing = site.railings[meeting.run]
    bay = railing.bays[0 if meeting.face.end is End.DOWNHILL else -1]
    quarter = math.pi / 2 if railing.spec.side is Side.LEFT else -math.pi / 2
    return Lean(
        run=meeting.run,
        along_mm=bay.clear_mm / math.cos(bay.line.rake_rad) / 2,
        height_mm=meeting.rail_top_mm,
        out_rad=(site.legs[meeting.run].bearing_rad + quarter) % math.tau,
    )


def shared_demands(leans: Sequence[Lean], loads: Loads) -> tuple[Demand, ...]:
    """What the loads ask of the post's base.

    The concentrated load stands at the highest rail. The uniform load is worked twice: square to
    each rail, outward; and on all of them one way, which no other direction can exceed.

    Args:
        leans: every rail that comes to the post.
        loads: the code's loads.
    """
    tallest = max(lean.height_mm for lean in leans)
    whole = sum(lean.along_mm for lean in leans)
    alone = Loads(loads.concentrated, None, None, None)
    demands = list(post_demands(tallest, whole, alone))
    load = loads.uniform
    if load is None:
        return tuple(demands)
    w = load_size(load)
    leaning = [Term("w", "uniform load", w, Kind.LINE_LOAD)]
    high: list[Term] = []
    out: list[Term] = []
    for number, lean in enumerate(leans, start=1):
        of = f"run {lean.run}"
        length = f"length of {of}'s rail that leans on it"
        leaning.append(Term(f"t{number}", length, lean.along_mm, Kind.LENGTH))
        high.append(
            Term(f"h{number}", f"base to the top of {of}'s rail", lean.height_mm, Kind.LENGTH)
        )
        out.append(
            Term(
                f"a{number}",
                f"way square off {of}'s rail, u(a{number}) 1 long",
                lean.out_rad,
                Kind.ANGLE,
            )
        )
    numbers = range(1, len(leans) + 1)
    force = " + ".join(f"t{n}·u(a{n})" for n in numbers)
    turn = " + ".join(f"t{n}·h{n}·u(a{n})" for n in numbers)
    sums = " + ".join(f"t{n}" for n in numbers), " + ".join(f"t{n}·h{n}" for n in numbers)
    square, one_way = "load all along, square to each rail", "load all along, all one way"
    for what, kind, value, formula, terms in (
        (
            f"post base moment, {square}",
            Kind.MOMENT,
            w * _resultant([(lean.along_mm * lean.height_mm, lean.out_rad) for lean in leans]),
            f"M = w·|{turn}|",
            (*leaning, *high, *out),
        ),
        (
            f"post base shear, {square}",
            Kind.FORCE,
            w * _resultant([(lean.along_mm, lean.out_rad) for lean in leans]),
            f"V = w·|{force}|",
            (*leaning, *out),
        ),
        (
            f"post base moment, {one_way}",
            Kind.MOMENT,
            w * sum(lean.along_mm * lean.height_mm for lean in leans),
            f"M = w·({sums[1]})",
            (*leaning, *high),
        ),
        (
            f"post base shear, {one_way}",
            Kind.FORCE,
            w * whole,
            f"V = w·({sums[0]})",
            tuple(leaning),
        ),
    ):
        demands.append(Demand(what, value, kind, formula, terms, load, _RESULTANT))
    return tuple(demands)


def _resultant(parts: Sequence[tuple[float, float]]) -> float:
    """The length of the sum of vectors, each given by its size and its way."""
    return math.hypot(
        math.fsum(size * math.cos(way) for size, way in parts),
        math.fsum(size * math.sin(way) for size, way in parts),
    )

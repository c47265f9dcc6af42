"""The load statement: what a code's loads ask of one flight's rails, posts and balusters."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.checks.choose import limits_for
from railsheet.checks.demand import Demand, Loads, loads_among
from railsheet.checks.limit import Limit, Situation
from railsheet.checks.profile import Profile
from railsheet.checks.shared_load import NO_LEANS, Leans, shared_demands
from railsheet.checks.statics import baluster_demands, post_demands, rail_demands
from railsheet.layout.railing import Railing


@dataclass(frozen=True)
class LoadRow:
    """One demand and the part it is asked of."""

    part: str
    demand: Demand


@dataclass(frozen=True)
class LoadStatement:
    """What is asked of each part.

    Attributes:
        loads: the limits that give the loads.
        rows: the demands, bays going uphill, then posts.
        undecided: loads that were not worked, each with what is missing: a fact that decides
            whether it applies, or how a part that is no beam carries it.
    """

    loads: tuple[Limit, ...]
    rows: tuple[LoadRow, ...]
    undecided: tuple[tuple[Limit, tuple[str, ...]], ...]


def load_statement(
    profile: Profile,
    railing: Railing,
    on_stair: Situation,
    leans: Leans = NO_LEANS,
) -> LoadStatement:
    """Work the loads of a code on a railing.

    Spans are the clear length along the rail between post faces; a post carries half of each
    span beside it, those of other runs that share it included; a baluster stands between the
    rails' punched faces, plumb.

    Args:
        leans: the rails of every post that several runs share, by its mark; left out, the
            statement is of this run alone and says so.
    """
    choice = limits_for(profile, on_stair)
    loads = loads_among(choice.applying)
    named = tuple(
        load
        for load in (loads.concentrated, loads.uniform, loads.infill, loads.pressure)
        if load is not None
    )
    may = tuple(
        (entry.limit, entry.missing)
        for entry in choice.undecided
        if entry.limit.quantity.value.endswith(("_load", "_pressure"))
    )
    unworked = (*may, *_not_beams(railing, loads), *_on_walls(railing, loads))
    return LoadStatement(named, tuple(_rows(railing, loads, leans)), unworked)


def _not_beams(railing: Railing, loads: Loads) -> list[tuple[Limit, tuple[str, ...]]]:
    """Infill loads on what is no row of balusters: no beam formula is theirs."""
    nouns = dict.fromkeys(bay.infill.noun for bay in railing.bays if bay.infill.row is None)
    return [
        (load, (f"how each {noun} carries it: the maker's tested figures, or an engineer's",))
        for noun in nouns
        for load in (loads.infill, loads.pressure)
        if load is not None
    ]


def _on_walls(railing: Railing, loads: Loads) -> list[tuple[Limit, tuple[str, ...]]]:
    """Rail loads at a wall plate, which is no cantilever: the wall's fixings carry the reaction."""
    plates = [post for post in railing.posts if not post.made]
    return [
        (load, (f"how the wall carries the rail's end at {post.with_article}: an engineer's",))
        for post in plates
        for load in (loads.concentrated, loads.uniform)
        if load is not None
    ]


def _rows(railing: Railing, loads: Loads, leans: Leans) -> list[LoadRow]:
    rows: list[LoadRow] = []
    spans = [bay.clear_mm / math.cos(bay.line.rake_rad) for bay in railing.bays]
    for bay, span in zip(railing.bays, spans, strict=True):
        rows += [LoadRow(f"bay {bay.number}, top rail", d) for d in rail_demands(span, loads)]
        row = bay.infill.row
        if row is not None:
            demands = baluster_demands(bay.section.clear_plumb_mm, row.spacing_mm, loads)
            rows += [LoadRow(f"bay {bay.number}, each {bay.infill.noun}", d) for d in demands]
    for index, post in enumerate(railing.posts):
        if not post.made:
            continue
        shared, part = leans.get(post.spec.mark), post.with_article
        if shared is not None:
            part += f", runs {' and '.join(lean.run for lean in shared)}"
            demands = shared_demands(shared, loads)
        else:
            beside = spans[max(index - 1, 0) : index + 1]
            height = post.rail_top_z_mm - post.surface_z_mm
            demands = post_demands(height, sum(beside) / 2, loads)
            if post.spec.mark and leans is NO_LEANS:
                part += ", from this run alone"
        rows += [LoadRow(part, demand) for demand in demands]
    return rows

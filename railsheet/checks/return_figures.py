"""A top rail's return to a wall, as a code limits it: its gap, and the opening beside its post."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from railsheet.checks.limit import Place, Quantity, Situation
from railsheet.checks.measured import Measured
from railsheet.job.model import Ground
from railsheet.job.site import FlightSite
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing, Return


def returns_of(railing: Railing) -> tuple[tuple[Post, Return], ...]:
    """Each return of a run, with the post that it stands past."""
    return tuple(
        (railing.uphill_post if each.end is End.UPHILL else railing.downhill_post, each)
        for bay in railing.bays
        for each in bay.returns
    )


def at_post(on_stair: Situation, site: FlightSite, post: Post) -> Situation:
    """What is known of the walk beside a flight's end post."""
    if post.spec.ground is Ground.TREAD:
        return on_stair
    drop = site.drop_mm if post.spec.ground is Ground.DECK else site.bottom_drop_mm
    return replace(on_stair, place=Place.FLAT, drop_mm=drop)


def beside_returns(railing: Railing, situation: Situation) -> Iterator[Measured]:
    """The opening between each returned rail's last post and the wall, both plumb.

    The return itself closes it at the rail's height only; a sphere passes below.

    Args:
        situation: on the stair; of a level run, on its one walk.
    """
    for post, each in returns_of(railing):
        there = situation
        if situation.place is not Place.FLAT:
            there = at_post(situation, railing.spec.site, post)
        where = f"between the {post.words} and the wall that the rail returns to"
        yield Measured(Quantity.GUARD_OPENING, where, there, each.clear_mm)


def return_gaps(railing: Railing, on_stair: Situation) -> Iterator[Measured]:
    """How far each return's end stands off the wall, of a top rail that is the handrail."""
    for _, each in returns_of(railing):
        where = f"top rail, {each.word}"
        yield Measured(Quantity.HANDRAIL_RETURN_GAP, where, on_stair, each.gap_mm)


def reach_mm(railing: Railing) -> tuple[float, float]:
    """From where to where a top rail goes as a handrail, on the run, mm.

    From face to face of its end posts; past one where it is returned, up to the return's bend.
    """
    start, stop = railing.downhill_post.face_s_mm, railing.uphill_post.face_s_mm
    kit = railing.kit.top_return
    bend = 0.0 if kit is None else kit.bend_mm
    for _, each in returns_of(railing):
        level = bend / (1.0 + railing.line.slope**2) ** 0.5
        if each.end is End.UPHILL:
            stop = each.corner_s_mm - level
        else:
            start = each.corner_s_mm + level
    return start, stop

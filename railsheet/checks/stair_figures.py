"""What a code limits on the steps themselves: risers, runs, nosing, pitch, width, open risers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from railsheet.checks.limit import Quantity, Situation
from railsheet.checks.measured import Measured
from railsheet.job.nosings import Nosings
from railsheet.layout.footprint import footprint
from railsheet.layout.railing import Railing


def stair_figures(railing: Railing, on_stair: Situation) -> Iterator[Measured]:
    """Every figure of the steps. Treads are numbered by the nose they begin with."""
    stair = railing.stair
    risers, runs = stair.risers_mm, stair.runs_mm
    for number, riser in enumerate(risers, start=1):
        yield Measured(Quantity.RISER_HEIGHT, f"riser {number}", on_stair, riser)
    for number, run in enumerate(runs, start=1):
        yield Measured(Quantity.TREAD_DEPTH, f"tread {number}", on_stair, run)
        # The rise and the going of one step: the going and the rise at its back.
        twice = 2 * risers[number] + run
        yield Measured(Quantity.TWICE_RISER_PLUS_TREAD, f"tread {number}", on_stair, twice)
        pitch = math.atan2(risers[number], run)
        yield Measured(Quantity.PITCH, f"tread {number}", on_stair, pitch)
    spread = max(risers) - min(risers)
    yield Measured(Quantity.RISER_VARIATION, "greatest less smallest", on_stair, spread)
    spread = max(runs) - min(runs)
    yield Measured(Quantity.TREAD_VARIATION, "greatest less smallest", on_stair, spread)
    yield from _nosings(Quantity.NOSING_PROJECTION, stair.nosings, on_stair)
    yield from _nosing_variation(stair.nosings, on_stair)
    if stair.open_risers:
        yield from _open_risers(railing, on_stair)
    yield _width(railing, on_stair)


def _nosings(
    quantity: Quantity, nosings: Nosings, on_stair: Situation, first: int = 1
) -> Iterator[Measured]:
    """How far each nose stands out, from one of them on; one not read is asked for."""
    if nosings.once:
        yield Measured(quantity, "nosing as read", on_stair, nosings.each_mm[0])
        return
    for number, nosing in enumerate(nosings.each_mm, start=1):
        if number < first:
            continue
        unread = number in nosings.unread
        asked = (f"N at nose {number}",) if unread else ()
        yield Measured(quantity, f"nosing {number}", on_stair, None if unread else nosing, asked)


def _nosing_variation(nosings: Nosings, on_stair: Situation) -> Iterator[Measured]:
    """Greatest less smallest; what was not read could only make it more."""
    asked: tuple[str, ...]
    if nosings.once:
        asked = ("the nosing at each step: N was read once",)
    else:
        spread = max(nosings.read_mm) - min(nosings.read_mm)
        whose = "of those read" if nosings.unread else "greatest less smallest"
        yield Measured(Quantity.NOSING_VARIATION, whose, on_stair, spread)
        asked = tuple(f"N at nose {number}" for number in nosings.unread)
    if asked:
        yield Measured(Quantity.NOSING_VARIATION, "whole flight", on_stair, None, asked)


def _open_risers(railing: Railing, on_stair: Situation) -> Iterator[Measured]:
    stair, below = railing.stair, railing.spec.site.bottom_drop_mm
    for number, riser in enumerate(stair.risers_mm, start=1):
        # Where the floor below is level with what was read at the bottom, a low riser may lie
        # too low for the limit; where that was not read the flight's greatest drop stands in.
        drop = on_stair.drop_mm
        if below is not None:
            drop = below + stair.nose(number).z_mm
        yield Measured(
            Quantity.OPEN_RISER_OPENING,
            f"riser {number}",
            replace(on_stair, drop_mm=drop),
            riser - stair.tread_thickness_mm,
        )
    # The lowest nose has the floor below it, no tread to overlap.
    yield from _nosings(Quantity.OPEN_RISER_OVERLAP, stair.nosings, on_stair, first=2)


def _width(railing: Railing, on_stair: Situation) -> Measured:
    """From the post's inner face to the other side edge: the least there is beside this rail."""
    inner = max(footprint(railing, post).inner_mm for post in railing.posts)
    return Measured(
        Quantity.STAIR_WIDTH,
        "post to the far side edge",
        on_stair,
        railing.stair.width_mm - inner,
    )

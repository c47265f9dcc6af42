"""The handrail: how many sides, how high, how far it runs, and its section."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from railsheet.checks.limit import Quantity, Situation
from railsheet.checks.measured import Measured
from railsheet.checks.return_figures import reach_mm, return_gaps
from railsheet.job.site import GRIP_KEYS, Handrail
from railsheet.layout.railing import Railing

if TYPE_CHECKING:
    from railsheet.layout.handrail_model import Handrail as OwnHandrail

_GRIP = {key: Quantity(f"grip_{key}") for key in GRIP_KEYS}


def handrail_figures(
    railing: Railing, on_stair: Situation, handrails: Sequence[OwnHandrail] = ()
) -> Iterator[Measured]:
    """Every figure of the handrail; its height where it is the guard is the guard's.

    Where the job says that no side has one there is nothing more to measure than that. Handrails
    laid out as parts of their own are measured as they are laid out, not as read.

    Args:
        handrails: those of the job; those that follow another flight are left alone.
    """
    handrail = railing.spec.site.handrail
    own = tuple(each for each in handrails if railing.spec.mark in each.spec.follows)
    sides = handrail.sides
    if sides is None and own:
        sides = min(len({each.spec.side for each in own}) + bool(on_stair.serves_as_handrail), 2)
    yield _measured(
        Quantity.HANDRAILS,
        "whole flight",
        on_stair,
        None if sides is None else float(sides),
        "how many sides have a handrail (handrail > sides)",
    )
    if own:
        from railsheet.checks.own_handrail import own_handrail_figures

        for each in own:
            yield from own_handrail_figures(each, railing.spec.mark, railing.stair, on_stair)
    if sides == 0 or (own and not on_stair.serves_as_handrail):
        return
    if on_stair.serves_as_handrail is None:
        for quantity in (
            Quantity.HANDRAIL_HEIGHT,
            *_REACH,
            Quantity.HANDRAIL_EXTENSION_TOP,
            Quantity.HANDRAIL_EXTENSION_BOTTOM,
        ):
            yield _measured(
                quantity,
                "whole flight",
                on_stair,
                None,
                "whether the top of the guard is the handrail (site > guard_is_handrail)",
            )
    elif on_stair.serves_as_handrail:
        yield from _guard_as_handrail(railing, on_stair)
    else:
        yield from _apart(railing, handrail, on_stair)
        yield _projection(handrail, on_stair)
    yield _measured(
        Quantity.HANDRAIL_CLEARANCE,
        "handrail",
        on_stair,
        handrail.clearance_mm,
        "C, the clear space beside the handrail (handrail > C)",
    )
    yield from _grip(handrail, on_stair)


_REACH = (
    Quantity.HANDRAIL_REACH_TOP,
    Quantity.HANDRAIL_REACH_BOTTOM,
    Quantity.HANDRAIL_REACH_TOP_NOSING,
    Quantity.HANDRAIL_REACH_BOTTOM_NOSING,
)


def _measured(
    quantity: Quantity, where: str, situation: Situation, figure: float | None, missing: str
) -> Measured:
    return Measured(quantity, where, situation, figure, () if figure is not None else (missing,))


def _guard_as_handrail(railing: Railing, on_stair: Situation) -> Iterator[Measured]:
    """The top rail from the lowest post's inner face to the highest one's, or to its returns."""
    stair = railing.stair
    start, stop = reach_mm(railing)
    first, last = stair.noses[0].s_mm, stair.noses[-1].s_mm
    lowest, top = stair.face_s_mm(1), stair.face_s_mm(len(stair.noses))
    for quantity, where, figure in (
        (Quantity.HANDRAIL_REACH_TOP, "past the top riser", stop - top),
        (Quantity.HANDRAIL_REACH_BOTTOM, "past the lowest riser", lowest - start),
        (Quantity.HANDRAIL_REACH_TOP_NOSING, "past the top nosing", stop - last),
        (Quantity.HANDRAIL_REACH_BOTTOM_NOSING, "past the lowest nosing", first - start),
        # The rail goes on at its rake to the post: none of it past the riser is level.
        (Quantity.HANDRAIL_EXTENSION_TOP, "level part past the top riser", 0.0),
    ):
        yield Measured(quantity, where, on_stair, figure)
    depths = max(lowest - start, 0.0) / min(stair.runs_mm)
    yield Measured(
        Quantity.HANDRAIL_EXTENSION_BOTTOM, "past the lowest riser, tread depths", on_stair, depths
    )
    yield from return_gaps(railing, on_stair)


def _projection(handrail: Handrail, on_stair: Situation) -> Measured:
    return _measured(
        Quantity.HANDRAIL_PROJECTION,
        "handrail, as read",
        on_stair,
        handrail.projection_mm,
        "P, how far it stands out into the stair (handrail > P)",
    )


def _apart(railing: Railing, handrail: Handrail, on_stair: Situation) -> Iterator[Measured]:
    """A handrail of its own, of which only what was read is known."""
    height = handrail.height_mm
    least, most = (None, None) if height is None else height
    places: tuple[tuple[str, float | None], ...] = (("handrail, as read", least),)
    if least != most:
        places = ("handrail, lowest as read", least), ("handrail, highest as read", most)
    for where, figure in places:
        yield _measured(
            Quantity.HANDRAIL_HEIGHT,
            where,
            on_stair,
            figure,
            "H, the handrail's height over the noses (handrail > H)",
        )
    top, bottom = handrail.past_top_mm, handrail.past_bottom_mm
    stair = railing.stair
    low_nosing, top_nosing = stair.nosing_mm(1), stair.nosing_mm(len(stair.noses))
    ask_top = "X_top, how far it goes past the top riser (handrail > X_top)"
    ask_bottom = "X_bottom, how far it goes past the lowest riser (handrail > X_bottom)"
    for quantity, figure, ask in (
        (Quantity.HANDRAIL_REACH_TOP, top, ask_top),
        (Quantity.HANDRAIL_REACH_BOTTOM, bottom, ask_bottom),
        # A nose stands downhill of its riser by the nosing.
        (Quantity.HANDRAIL_REACH_TOP_NOSING, None if top is None else top + top_nosing, ask_top),
        (
            Quantity.HANDRAIL_REACH_BOTTOM_NOSING,
            None if bottom is None else bottom - low_nosing,
            ask_bottom,
        ),
        (Quantity.HANDRAIL_EXTENSION_TOP, top, ask_top),
        (
            Quantity.HANDRAIL_EXTENSION_BOTTOM,
            None if bottom is None else bottom / min(railing.stair.runs_mm),
            ask_bottom,
        ),
    ):
        yield _measured(quantity, "handrail, as read", on_stair, figure, ask)


def _grip(handrail: Handrail, on_stair: Situation) -> Iterator[Measured]:
    sizes = dict(handrail.grip.sizes_mm) if handrail.grip else {}
    for key, quantity in _GRIP.items():
        yield _measured(
            quantity,
            "handrail's section",
            on_stair,
            sizes.get(key),
            f"the handrail's {key.replace('_', ' ')} (handrail > grip > {key})",
        )

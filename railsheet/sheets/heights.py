"""Heights of the top of the top rail on an elevation; those outside a limit are marked."""

from __future__ import annotations

from collections.abc import Iterable

from railsheet.figures.findings import height_key
from railsheet.layout.railing import Railing
from railsheet.sheets.pen import PLUMB, Pen
from railsheet.sheets.schedule import RunWork
from railsheet.survey.stair import Nose

# Paper mm that two plumb figures need from one to the next.
_APART_MM = 3.2
# And from the side of the post at a run's end.
_BESIDE_END_MM = 5.0


def heights_at_noses(
    pen: Pen, railing: Railing, at: str, noses: Iterable[tuple[int, Nose]]
) -> None:
    """The height of the top of the top rail over each of some noses that it passes."""
    for number, nose in noses:
        if railing.spans(nose):
            foot = (nose.s_mm, nose.z_mm)
            _rail_height(pen, railing, foot, f"{at}.nose.{number}.rail_height")


def _rail_height(
    pen: Pen, railing: Railing, foot: tuple[float, float], key: str, layer: str = "DIM"
) -> None:
    """The height of the top of the top rail, plumb over one place."""
    s = foot[0]
    head = (s, railing.line.z_at(s))
    further = _over_post_mm(pen, railing, head)
    pen.dim(foot, head, foot, PLUMB, key, outside="beyond", further_mm=further, layer=layer)


def _over_post_mm(pen: Pen, railing: Railing, head: tuple[float, float]) -> float:
    """How much further up a figure over a rail goes, paper mm, so as to clear a post's top."""
    if head[0] - railing.downhill_post.face_s_mm < pen.paper(_BESIDE_END_MM):
        return railing.kit.post.reveal_mm / pen.scale.denominator + 1
    reach = railing.kit.post.width_mm / 2 + pen.paper(_APART_MM / 2)
    for post in railing.posts[1:-1]:
        if abs(head[0] - post.centre_s_mm) < reach:
            over = max(railing.crown_z_mm(post) - head[1], 0.0)
            return over / pen.scale.denominator + 1 if over else 0.0
    return 0.0


def draw_checked_heights(pen: Pen, work: RunWork) -> None:
    """The height over each nose; heights outside a limit on the FINDING layer, flats included.

    Where two would stand on each other the one outside a limit is drawn, and of two such the
    worse one. The findings hold every one of them.
    """
    assert work.checks is not None, "only a checked run has heights to mark"
    railing, drawn = work.railing, list[float]()
    numbered = list(enumerate(work.checks.heights_outside, start=1))
    numbered.sort(key=lambda each: each[1].findings[0].margin or 0.0)
    for number, low in numbered:
        height = low.height
        if _apart(pen, height.s_mm, drawn):
            foot = (height.s_mm, height.foot_z_mm)
            _rail_height(pen, railing, foot, height_key(work.mark, number), "FINDING")
            drawn.append(height.s_mm)
    for number, nose in enumerate(railing.stair.noses, start=1):
        if railing.spans(nose) and _apart(pen, nose.s_mm, drawn):
            key = f"{work.mark}.nose.{number}.rail_height"
            _rail_height(pen, railing, (nose.s_mm, nose.z_mm), key)


def _apart(pen: Pen, s_mm: float, drawn: list[float]) -> bool:
    return all(abs(s_mm - other) > pen.paper(_APART_MM) for other in drawn)

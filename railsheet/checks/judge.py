"""A figure against a limit: one rule for which side it falls on, used by every check."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from railsheet.checks.amount import Kind


class Sense(Enum):
    """Which side of a limit is inside, and what becomes of a figure that equals it."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    LESS_THAN = "less than"
    MORE_THAN = "more than"

    @property
    def takes_equal(self) -> bool:
        """Whether a figure equal to the limit is inside."""
        return self in (Sense.AT_LEAST, Sense.AT_MOST)

    @property
    def tie_rule(self) -> str:
        """The rule for a figure equal to the limit, as a sheet prints it."""
        side = "within" if self.takes_equal else "outside"
        return f"a figure equal to the limit is {side} ({self.value})"


class Status(Enum):
    """How a figure stands to its limit."""

    WITHIN = "within"
    OUTSIDE = "outside"
    NOT_CHECKED = "not checked"


@dataclass(frozen=True)
class Judgement:
    """Where a figure falls.

    Attributes:
        status: within or outside.
        margin: how far inside the limit, in the figure's own unit; negative is outside; exactly
            zero where the figure is held to equal the limit.
    """

    status: Status
    margin: float


def judge(figure: float, limit: float, sense: Sense, kind: Kind = Kind.LENGTH) -> Judgement:
    """Judge one figure against one limit.

    A figure within ``kind.tie`` of the limit (1e-6 mm for a length) counts as equal to it. Which
    side a tie falls on follows the clause's own words. "Not less than 36 inches" and "not more
    than 7 3/4 inches" take the equal figure in. "Shall not allow passage of a sphere 4 inches in
    diameter" does not: an opening of exactly 4 in lets a 4 in sphere through, so an opening must
    be less than the sphere.

    Args:
        figure: what was measured or solved.
        limit: the limit, in the same unit.
        sense: which side is inside.
        kind: what both are amounts of; it sets the tie.

    Raises:
        ValueError: either number is not finite: nothing may be judged by accident.
    """
    if not (math.isfinite(figure) and math.isfinite(limit)):
        raise ValueError(f"cannot judge {figure} against {limit}")
    upward = sense in (Sense.AT_LEAST, Sense.MORE_THAN)
    margin = figure - limit if upward else limit - figure
    if abs(margin) <= kind.tie:
        return Judgement(Status.WITHIN if sense.takes_equal else Status.OUTSIDE, 0.0)
    return Judgement(Status.WITHIN if margin > 0.0 else Status.OUTSIDE, margin)

"""How hard a plan is sought, counted in steps: the same list gives the same plan on any machine.

A step is about a microsecond of a present-day machine, but nothing is timed: each part of the
search says what it does in things that are counted (partial loads carried, programmes solved,
layings tried), and stops where the count has come to what it may spend.
"""

from __future__ import annotations

import time

STEPS = 10_000_000
"""Steps of an effort of 1."""

# The clock is a last resort, many times what the steps should take, so that a mistake in their
# weights keeps nobody waiting for ever. A plan that it stopped is told of.
_CLOCK_S = 60.0
_CLOCK_S_PER_EFFORT = 120.0


class Effort:
    """Steps spent on a plan, against those it may cost.

    Attributes:
        limit: the steps that all of it may cost.
        done: the steps spent; a mark on the way is a value of this count.
        by_clock: whether anything was stopped by the clock instead.
    """

    def __init__(self, effort: float) -> None:
        self.limit = round(effort * STEPS)
        self.done = 0
        self.by_clock = False
        self._ends = time.monotonic() + _CLOCK_S + _CLOCK_S_PER_EFFORT * effort

    def spend(self, steps: int) -> None:
        """Count what was done."""
        self.done += steps

    def past(self, mark: int) -> bool:
        """Whether the steps up to a mark are spent, or the clock has run out."""
        if self.done >= mark:
            return True
        if self.clock_left_s() <= 0:
            self.by_clock = True
        return self.by_clock

    def clock_left_s(self) -> float:
        """What the last resort allows still; a solver that only knows the clock is given this."""
        return self._ends - time.monotonic()

"""What a stock plan says: bars, where each piece lies on them, what is left, what is proven."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from railsheet.cuts.stock_model import Attitude, Drop, Section, StockLength

# The longest drop is sought to this: a tape's division, and nobody keeps a drop for less.
DROP_STEP_MM = 1.0


@dataclass(frozen=True)
class Laid:
    """One piece on its bar. Lengths in mm from the bar's left end, angles in radians.

    Attributes:
        mark: the piece's mark.
        attitude: how it lies.
        start_mm: its left long point.
        end_mm: its right long point.
        left_rad: the lean of its left cut as it lies, positive where the top is further right.
        right_rad: the lean of its right cut as it lies.
        hole_mm: its first hole's centre from the bar's left end; None where holes do not matter.
        shares_left: whether one cut ends the piece before it and starts this one.
        bevels_rad: the blade's tilt at its left and its right cut, positive where the long point
            lies up.
    """

    mark: str
    attitude: Attitude
    start_mm: float
    end_mm: float
    left_rad: float
    right_rad: float
    hole_mm: float | None
    shares_left: bool
    bevels_rad: tuple[float, float] = (0.0, 0.0)

    @property
    def length_mm(self) -> float:
        """Overall along the bar."""
        return self.end_mm - self.start_mm


@dataclass(frozen=True)
class Leftover:
    """What remains at the right of a bar once the last cut is made. Lengths in mm.

    Attributes:
        length_mm: on its shorter side, damage at the bar's right end not counted.
        first_hole_mm: from its left end to its first hole; None if none is left on it.
        last_hole_mm: from its right end to its last hole, where the bar said.
        kept: long enough to keep; scrap otherwise.
    """

    length_mm: float
    first_hole_mm: float | None
    last_hole_mm: float | None
    kept: bool


@dataclass(frozen=True)
class Bar:
    """One bar or drop under the saw.

    Attributes:
        mark: ``B1``, ``B2`` ... through the section's plan.
        source: what it is: a length bought, or a drop on hand.
        pieces: left to right, at least one.
        leftover: what remains; its length is zero where the last cut runs off the end.
    """

    mark: str
    source: StockLength | Drop
    pieces: tuple[Laid, ...]
    leftover: Leftover

    @property
    def bought(self) -> bool:
        """Whether it is a new length rather than a drop."""
        return isinstance(self.source, StockLength)


@dataclass(frozen=True)
class Uncut:
    """A piece that the plan could not place, and why."""

    mark: str
    why: str


@dataclass(frozen=True)
class SectionPlan:
    """The plan for one profile and finish.

    Cost is money where the lengths have prices. Where they have none it is the length bought in
    mm, so a short bar is not thought as dear as a long one; with a single length on offer that
    is the number of bars.

    Attributes:
        section: the section.
        bars: every bar that is cut, with its pieces.
        uncut: pieces left over for want of bars that take them.
        priced: whether cost is money.
        cost: of the lengths bought; drops cost nothing.
        bound: no plan that cuts as many pieces can cost less than this.
        bar_cost: the cost of a bar where all on offer cost alike; None where they differ.
        longest_drop_mm: the longest kept drop off a bar that is bought; 0.0 with none.
        drop_bound_mm: no plan of this cost leaves a drop longer than this.
        settings: bar by bar, how many different stop settings its pieces take, summed.
        settings_proven: no plan of this cost and longest drop takes fewer.
        by_clock: whether the clock stopped the search, its last resort: on another machine, or
            another day, the plan may be otherwise.
    """

    section: Section
    bars: tuple[Bar, ...]
    uncut: tuple[Uncut, ...]
    priced: bool
    cost: Fraction
    bound: Fraction
    bar_cost: Fraction | None
    longest_drop_mm: float
    drop_bound_mm: float
    settings: int
    settings_proven: bool
    by_clock: bool

    @property
    def proven(self) -> bool:
        """Whether no plan that cuts as many pieces can cost less."""
        return self.cost <= self.bound

    @property
    def bars_bought(self) -> int:
        """How many new lengths are cut."""
        return sum(bar.bought for bar in self.bars)

    @property
    def length_bought_mm(self) -> float:
        """New lengths cut, end to end, in mm."""
        return sum(bar.source.length_mm for bar in self.bars if bar.bought)


@dataclass(frozen=True)
class StockPlan:
    """The whole job's plan, a section at a time, in the order of the sections."""

    sections: tuple[SectionPlan, ...]

    @property
    def proven(self) -> bool:
        """Whether every section's plan is proven least."""
        return all(plan.proven for plan in self.sections)

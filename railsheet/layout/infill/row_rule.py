"""How plumb members may be spaced between two post faces: what every rule of a row answers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from railsheet.tolerance import SAME_MM


class RowRule(Protocol):
    """Which clear distances between post faces a row can fill, and how. Lengths in mm, level."""

    @property
    def width_mm(self) -> float:
        """Of one member."""
        ...

    @property
    def spacing_mm(self) -> float:
        """Centre to centre, at the most."""
        ...

    @property
    def anywhere(self) -> bool:
        """Whether every clear distance can be filled, so that a post may stand anywhere."""
        ...

    @property
    def gap_limits_mm(self) -> tuple[float, float]:
        """The least and the greatest allowed gap at a post."""
        ...

    def spacing_at(self, clear_mm: float, count: int) -> float:
        """Centre to centre, for so many members between faces so far apart."""
        ...

    def gap_mm(self, clear_mm: float, count: int) -> float:
        """The gap at each post, both equal; negative where the members do not fit."""
        ...

    def band_mm(self, count: int) -> tuple[float, float]:
        """The clear distances that this many members fill."""
        ...

    def outside_mm(self, clear_mm: float, count: int) -> float:
        """How far the gaps lie outside the allowed range; 0 inside it."""
        ...

    def ease_mm(self, clear_mm: float, count: int) -> float:
        """How far each gap stands inside the range its count allows; negative outside it."""
        ...

    def best_count(self, clear_mm: float) -> int:
        """How many members to use."""
        ...

    def bands_within(self, low_mm: float, high_mm: float) -> tuple[tuple[int, float, float], ...]:
        """Every band that touches a stretch of clear distances: count, least and most."""
        ...


def _half_inside(band: tuple[float, float], clear_mm: float) -> float:
    return min(clear_mm - band[0], band[1] - clear_mm) / 2


@dataclass(frozen=True)
class EqualSpacing:
    """The fewest members that keep every opening, the posts' included, equal and within a limit.

    With n members of width w between faces C apart every opening is ``(C - n w) / (n + 1)``, and
    the fewest with openings of at most g is ``n = ceil((C - g) / (w + g))``: counting n members
    and n + 1 openings across the distance.

    Attributes:
        width_mm: of one member.
        greatest_mm: the greatest clear opening.
    """

    width_mm: float
    greatest_mm: float

    @property
    def spacing_mm(self) -> float:
        """Centre to centre, at the most."""
        return self.width_mm + self.greatest_mm

    @property
    def anywhere(self) -> bool:
        """Any clear distance can be divided equally."""
        return True

    @property
    def gap_limits_mm(self) -> tuple[float, float]:
        """A gap at a post is an opening like any other."""
        return 0.0, self.greatest_mm

    def gap_mm(self, clear_mm: float, count: int) -> float:
        """Every opening, the gaps at the posts among them."""
        return (clear_mm - count * self.width_mm) / (count + 1)

    def spacing_at(self, clear_mm: float, count: int) -> float:
        """Centre to centre."""
        return self.gap_mm(clear_mm, count) + self.width_mm

    def band_mm(self, count: int) -> tuple[float, float]:
        """The clear distances for which this count is the fewest."""
        most = count * self.width_mm + (count + 1) * self.greatest_mm
        if count == 1:
            return self.width_mm, most
        return most - self.width_mm - self.greatest_mm, most

    def outside_mm(self, clear_mm: float, count: int) -> float:
        """How far the openings are over the limit."""
        over = self.gap_mm(clear_mm, count) - self.greatest_mm
        return over if over > SAME_MM else 0.0

    def ease_mm(self, clear_mm: float, count: int) -> float:
        """Half of how far the clear distance lies inside the count's band."""
        return _half_inside(self.band_mm(count), clear_mm)

    def best_count(self, clear_mm: float) -> int:
        """The fewest whose openings are within the limit; at least one."""
        return max(math.ceil((clear_mm - self.greatest_mm - SAME_MM) / self.spacing_mm), 1)

    def bands_within(self, low_mm: float, high_mm: float) -> tuple[tuple[int, float, float], ...]:
        """Every band that touches a stretch of clear distances."""
        found = []
        count = 1
        while self.band_mm(count)[0] <= high_mm:
            least, most = self.band_mm(count)
            if most >= low_mm:
                found.append((count, least, most))
            count += 1
        return tuple(found)


@dataclass(frozen=True)
class WholeBay:
    """Infill that is no row: one part, or set of parts, fills any bay as long as the kit spans.

    Attributes:
        greatest_mm: the kit's greatest clear distance.
    """

    greatest_mm: float

    @property
    def width_mm(self) -> float:
        """No member stands in a row."""
        return 0.0

    @property
    def spacing_mm(self) -> float:
        """One to a bay."""
        return self.greatest_mm

    @property
    def anywhere(self) -> bool:
        """It is cut to any clear distance."""
        return True

    @property
    def gap_limits_mm(self) -> tuple[float, float]:
        """The bay itself."""
        return 0.0, self.greatest_mm

    def gap_mm(self, clear_mm: float, count: int) -> float:
        """What there is to fill."""
        return clear_mm

    def spacing_at(self, clear_mm: float, count: int) -> float:
        """One to a bay."""
        return clear_mm

    def band_mm(self, count: int) -> tuple[float, float]:
        """One fills any bay within the span; more are never wanted within it."""
        if count == 1:
            return 0.0, self.greatest_mm
        return count * self.greatest_mm, (count + 1) * self.greatest_mm

    def outside_mm(self, clear_mm: float, count: int) -> float:
        """The span is the kit's to limit, not the infill's."""
        return 0.0

    def ease_mm(self, clear_mm: float, count: int) -> float:
        """Half of how far the clear distance lies inside the span."""
        return _half_inside(self.band_mm(count), clear_mm)

    def best_count(self, clear_mm: float) -> int:
        """One."""
        return 1

    def bands_within(self, low_mm: float, high_mm: float) -> tuple[tuple[int, float, float], ...]:
        """The one band, where it touches."""
        return ((1, 0.0, self.greatest_mm),) if low_mm <= self.greatest_mm else ()

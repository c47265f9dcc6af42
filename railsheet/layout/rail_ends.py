"""One cut end of a rail, in plain values; what kind of end it is, `layout/ends` decides.

Places along a rail are its ``u``: distance along the rail, uphill positive, zero where the rail's
axis stands over s = 0. A point of the rail that stands at s on the run and ``offset`` above the
axis, square to it, has ``u = s / cos(rake) + offset * tan(rake)``. ``aside`` is how far it lies to
the left of one looking uphill.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from railsheet.job.kit_bracket import EndCut
from railsheet.layout.cope import hollow_mm

if TYPE_CHECKING:
    from railsheet.layout.compound import Lies, SawSetting

# A cope is drawn in so many chords: of a rail as wide as its post is thick, none leaves the round
# by more than a few hundredths of a millimetre.
_COPE_STEPS = 48


class End(Enum):
    """Which end of a rail. The rail rises away from the post at its downhill end."""

    DOWNHILL = "downhill"
    UPHILL = "uphill"

    @property
    def inward(self) -> int:
        """The sign of the way from the post into the bay, along s and u."""
        return 1 if self is End.DOWNHILL else -1


OnRail = tuple[float, float]
"""(u, offset) of a point on a rail's side, mm."""


@dataclass(frozen=True)
class RailEnd:
    """One cut end. Lengths in mm, along the rail (u).

    Attributes:
        face_s_mm: the post's face or the wall, on the run.
        u_axis_mm: where the rail ends on its axis.
        mouth_axis_mm: where what holds the end begins to cover it, on the rail's axis: a
            bracket's mouth, a post's face, or the cut itself.
        insertion_mm: how far the rail goes in past the mouth, measured as its kind says.
        held_by: what begins at the mouth, in a word.
        lean: how much u grows for each mm above the axis: 0 square, tan(rake) plumb.
        mouth_lean: likewise for the mouth; None where it is parallel to the cut.
        slant: how much u grows for each mm aside: 0 unless the cut is turned in plan.
        body: the outline of what covers the end, as seen from the side; empty where nothing does.
        pin: the middle of a bracket's pin, on the axis, and its radius as drawn; None without one.
        holder: the part that covers it, as the kit names it; empty where no part does.
        stays_out: whether every corner of the cut must stay clear of the post.
        cope_mm: the radius of the plumb cylinder that the end is coped to; 0 where it is cut flat.
    """

    end: End
    cut: EndCut
    face_s_mm: float
    u_axis_mm: float
    mouth_axis_mm: float
    insertion_mm: float
    held_by: str
    lean: float
    slant: float = 0.0
    mouth_lean: float | None = None
    body: tuple[OnRail, ...] = ()
    pin: tuple[float, float] | None = None
    holder: str = ""
    stays_out: bool = True
    cope_mm: float = 0.0

    @property
    def saw_rad(self) -> float:
        """The saw's setting from square, the rail on its side: a compound cut's mitre."""
        return math.atan(abs(self.lean))

    @property
    def bevel_rad(self) -> float:
        """The blade's tilt for a compound cut, the rail on its side; 0 for any other."""
        return math.asin(abs(self.slant) / math.hypot(1.0, self.lean, self.slant))

    def setting(self, lies: Lies) -> SawSetting:
        """The saw's setting with the rail laid so, its end at the right of one facing the fence."""
        from railsheet.layout.compound import Bar, rail_setting

        out = -self.end.inward
        bar = Bar((float(out), 0.0, 0.0), (0.0, 0.0, 1.0))
        return rail_setting(bar, lies, (out, -out * self.slant, -out * self.lean))

    @property
    def inward_slant(self) -> float:
        """How much the end draws in from its long side for each mm to the left going uphill."""
        return self.slant * self.end.inward

    def u_at(self, offset_mm: float, aside_mm: float = 0.0) -> float:
        """Where the rail ends, at a height above its axis and a distance aside."""
        flat = self.u_axis_mm + self.lean * offset_mm + self.slant * aside_mm
        return flat - self.end.inward * self._hollow_mm(aside_mm)

    def _hollow_mm(self, aside_mm: float) -> float:
        return hollow_mm(self.cope_mm, aside_mm, self.lean) if self.cope_mm else 0.0

    def mouth_at(self, offset_mm: float) -> float:
        """Where what holds it begins, at a height above the rail's axis."""
        lean = self.lean if self.mouth_lean is None else self.mouth_lean
        return self.mouth_axis_mm + lean * offset_mm

    def long_u_mm(self, depth_mm: float, width_mm: float) -> float:
        """Where the end's longest corner stands, for a section of this size."""
        reach = abs(self.lean) * depth_mm / 2 + abs(self.slant) * width_mm / 2
        reach += self._hollow_mm(width_mm / 2)
        return self.u_axis_mm - self.end.inward * reach

    def short_mm(self, depth_mm: float, width_mm: float) -> float:
        """How far its shortest point stands back from its longest; 0 for a square cut."""
        flat = abs(self.lean) * depth_mm + abs(self.slant) * width_mm
        return flat + self._hollow_mm(width_mm / 2)

    def edge(self, offset_mm: float, width_mm: float) -> tuple[tuple[float, float], ...]:
        """The end's edge across a rail of a width, at a height above its axis: (u, aside).

        From its right side to its left, going up; a cope's in steps no saw could follow.
        """
        steps = _COPE_STEPS if self.cope_mm else 1
        asides = [width_mm * (number / steps - 0.5) for number in range(steps + 1)]
        return tuple((self.u_at(offset_mm, aside), aside) for aside in asides)


def along(s_mm: float, offset_mm: float, rake_rad: float) -> float:
    """The u of a point of a rail, from its place on the run and its offset from the axis."""
    return s_mm / math.cos(rake_rad) + offset_mm * math.tan(rake_rad)

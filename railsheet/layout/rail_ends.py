"""Where a rail's end comes to be, from what its bracket asks for: one function for each cut.

Places along a rail are its ``u``: distance along the rail, uphill positive, zero where the rail's
axis stands over s = 0. A point of the rail that stands at s on the run and ``offset`` above the
axis, square to it, has ``u = s / cos(rake) + offset * tan(rake)``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from railsheet.job.kit_bracket import BracketKit, EndCut


class End(Enum):
    """Which end of a rail. The rail rises away from the post at its downhill end."""

    DOWNHILL = "downhill"
    UPHILL = "uphill"

    @property
    def inward(self) -> int:
        """The sign of the way from the post into the bay, along s and u."""
        return 1 if self is End.DOWNHILL else -1


@dataclass(frozen=True)
class RailEnd:
    """One cut end. Lengths in mm, along the rail (u).

    Attributes:
        bracket: what holds it, its stand-off measured along the run.
        saw_rad: the saw's setting from a square cut.
        pin_s_mm: where the bracket's pin (or a fixed bracket's back) stands along the run.
        u_axis_mm: where the rail ends on its axis.
        mouth_axis_mm: where the bracket ends on the rail's axis.
        lean: how much u grows for each mm above the axis: 0 square, tan(rake) plumb.
    """

    end: End
    cut: EndCut
    bracket: BracketKit
    saw_rad: float
    pin_s_mm: float
    u_axis_mm: float
    mouth_axis_mm: float
    lean: float

    def u_at(self, offset_mm: float) -> float:
        """Where the rail ends, at a height above its axis."""
        return self.u_axis_mm + self.lean * offset_mm

    def mouth_at(self, offset_mm: float) -> float:
        """Where the bracket ends, at a height above the rail's axis."""
        return self.mouth_axis_mm + self.lean * offset_mm


def along(s_mm: float, offset_mm: float, rake_rad: float) -> float:
    """The u of a point of a rail, from its place on the run and its offset from the axis."""
    return s_mm / math.cos(rake_rad) + offset_mm * math.tan(rake_rad)


def _square_end(bracket: BracketKit, end: End, face_s_mm: float, rake_rad: float) -> RailEnd:
    """A square cut in a pivoting bracket: the bracket turns with the rail about its pin."""
    pin_s = face_s_mm + end.inward * bracket.stand_off_mm
    pin_u = along(pin_s, 0.0, rake_rad)
    return RailEnd(
        end=end,
        cut=EndCut.SQUARE,
        bracket=bracket,
        saw_rad=0.0,
        pin_s_mm=pin_s,
        u_axis_mm=pin_u + end.inward * (bracket.reach_mm - bracket.insertion_mm),
        mouth_axis_mm=pin_u + end.inward * bracket.reach_mm,
        lean=0.0,
    )


def _plumb_end(bracket: BracketKit, end: End, face_s_mm: float, rake_rad: float) -> RailEnd:
    """A plumb cut in a fixed bracket: reach and insertion are level, and the cut stands plumb."""
    stop_s = face_s_mm + end.inward * (bracket.reach_mm - bracket.insertion_mm)
    mouth_s = face_s_mm + end.inward * bracket.reach_mm
    return RailEnd(
        end=end,
        cut=EndCut.PLUMB,
        bracket=bracket,
        saw_rad=rake_rad,
        pin_s_mm=face_s_mm,
        u_axis_mm=along(stop_s, 0.0, rake_rad),
        mouth_axis_mm=along(mouth_s, 0.0, rake_rad),
        lean=math.tan(rake_rad),
    )


_KINDS: Mapping[EndCut, Callable[[BracketKit, End, float, float], RailEnd]] = {
    EndCut.SQUARE: _square_end,
    EndCut.PLUMB: _plumb_end,
}


def rail_end(bracket: BracketKit, end: End, face_s_mm: float, rake_rad: float) -> RailEnd:
    """The end of a rail at a post face, as its bracket asks for it."""
    return _KINDS[bracket.cut](bracket, end, face_s_mm, rake_rad)

"""What a handrail's solids are raised from: where its middle bends in plan, and what joins there.

This module reads the solved handrail, and no more of it than it is set out by: its line over each
flight, where along the wall or the posts each corner and bracket stands, and which part joins or
ends it there. No height of a corner, no length, cut, turn or mark is taken.
"""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.job.kit_handrail import Finish, HandrailKit
from railsheet.layout.handrail_model import Handrail, HandrailPiece
from railsheet.layout.handrail_way import Straight, Way


@dataclass(frozen=True)
class CornerOut:
    """A corner of the rail's middle. Lengths in mm.

    Attributes:
        straight: the straight it stands on, from 0; the lower one at a turn.
        along_mm: where along it; at a turn found in plan.
        turns: whether the way turns there in plan.
        fitting_mm: the joining part's bend radius and leg; None for a mitre, and at an end.
    """

    straight: int
    along_mm: float
    turns: bool
    fitting_mm: tuple[float, float] | None


@dataclass(frozen=True)
class HandrailOut:
    """A handrail as it is set out. Lengths in mm.

    Attributes:
        way: the straights of wall or posts, and how far its middle lies off their line.
        lines: for each flight, the top of the rail in its own frame: slope, and height at nose 1.
        corners: of the way itself, from the lower end; returns left out.
        over: for each piece between two corners, the flight it goes up with; None where level.
        ends: how it is finished, the lower end first.
        brackets: straight and place along it.
        named: the number that the sheets give its first piece of the way, and its first corner.
    """

    mark: str
    kit: HandrailKit
    way: Way
    lines: dict[str, tuple[float, float]]
    corners: tuple[CornerOut, ...]
    over: tuple[str | None, ...]
    ends: tuple[Finish, Finish]
    brackets: tuple[tuple[int, float], ...]
    named: tuple[int, int]

    @property
    def straights(self) -> tuple[Straight, ...]:
        """The straights, going up."""
        return self.way.straights


def handrail_out(handrail: Handrail) -> HandrailOut:
    """What a handrail is set out by."""
    main = handrail.pieces[handrail.first_piece : handrail.last_piece + 1]
    first = main[0].start
    joints = {joint.corner: joint for joint in handrail.joints}
    corners = []
    for number in range(first, main[-1].stop + 1):
        corner, joint = handrail.corners[number], joints.get(number)
        fitting = None if joint is None else joint.fitting
        corners.append(
            CornerOut(
                corner.straight,
                corner.along_mm,
                corner.words == "turn",
                None if fitting is None else (fitting.radius_mm, fitting.leg_mm),
            )
        )
    return HandrailOut(
        mark=handrail.mark,
        kit=handrail.spec.kit,
        way=handrail.way,
        lines={mark: (line.slope, line.start_mm) for mark, line in handrail.lines},
        corners=tuple(corners),
        over=tuple(_over(handrail, piece) for piece in main),
        ends=(handrail.finish(bottom=True), handrail.finish(bottom=False)),
        brackets=tuple((b.straight, b.along_mm) for b in handrail.brackets),
        named=(handrail.first_piece + 1, first + 1),
    )


def _over(handrail: Handrail, piece: HandrailPiece) -> str | None:
    """Which flight a piece rises with: of its straight, the one nearest its middle."""
    if not piece.rake_rad:
        return None
    low, high = handrail.corners[piece.start], handrail.corners[piece.stop]
    begins = low.after_mm if high.straight != low.straight else low.along_mm
    middle = (begins + high.along_mm) / 2
    flights = handrail.way.straights[high.straight].flights
    return min(flights, key=lambda f: abs((f.nose_mm + f.top_nose_mm) / 2 - middle)).mark

"""A handrail solved: its middle in space, its joints, the pieces between them, its brackets."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from railsheet.job.fitting import Fitting
from railsheet.job.handrail import HandrailSpec
from railsheet.job.kit_handrail import Finish
from railsheet.layout.handrail_way import Way
from railsheet.layout.notice import Notice
from railsheet.layout.rail_line import RailLine

Vector = tuple[float, float, float]


@dataclass(frozen=True)
class Corner:
    """A place where the rail's middle changes its way, or ends. Lengths in mm.

    Attributes:
        at: in space: x along the first straight going up, y to the left, z up; x is 0 at nose 1 of
            the first flight, y at the line of the wall or posts, z at the first bottom surface.
        straight: the number of the straight it stands on, from 0; the lower one at a turn.
        along_mm: where it is along that straight.
        after_mm: where it is along the next straight, at a turn; else the same as ``along_mm``.
        words: what it is.
        past_wall: it lies off the way, at the end of a return.
    """

    at: Vector
    straight: int
    along_mm: float
    after_mm: float
    words: str
    past_wall: bool = False


@dataclass(frozen=True)
class Joint:
    """Two pieces meeting at a corner. Lengths in mm, angles in radians.

    Attributes:
        corner: its number, from 0 at the lower end.
        turn_rad: between the two pieces' directions.
        fitting: what joins them; None for a mitre.
        slip_rad: how far the two sections are rolled against each other in a mitre; 0 where they
            meet flush, and for a round section.
    """

    corner: int
    turn_rad: float
    fitting: Fitting | None
    slip_rad: float

    @property
    def set_back_mm(self) -> float:
        """From the corner to where each piece's middle ends."""
        return 0.0 if self.fitting is None else self.fitting.set_back_mm(self.turn_rad)

    @property
    def bend_mm(self) -> float:
        """From the corner to where the bend begins."""
        return 0.0 if self.fitting is None else self.fitting.bend_mm(self.turn_rad)

    @property
    def lean_rad(self) -> float:
        """What each piece is cut at, off square."""
        return self.turn_rad / 2 if self.fitting is None else 0.0


@dataclass(frozen=True)
class PieceEnd:
    """One end of a piece. Lengths in mm, angles in radians.

    Attributes:
        words: what it meets.
        back_mm: from the corner to where its middle is cut.
        lean_rad: its cut, off square.
        reach_mm: how far its long point stands past its middle.
        long_side: where in place the long point is: top, underside, wall side, walking side, or
            between; empty for a square cut.
        long_way: unit vector, square to the piece, to the long point.
    """

    words: str
    back_mm: float
    lean_rad: float
    reach_mm: float
    long_side: str
    long_way: Vector


@dataclass(frozen=True)
class HandrailPiece:
    """A straight piece to cut. Lengths in mm, along it.

    Attributes:
        mark: handrail and number, counted from its lower end.
        start, stop: the corners it goes between.
        way: unit vector, going up.
        lower, upper: its ends.
        roll_rad: from the lower end's long point round to the upper one's, clockwise seen from the
            lower end, -pi to pi; 0 where one of the ends is square.
        marks_mm: its brackets' middles, from the lower end's long point.
        brackets: their numbers.
    """

    mark: str
    start: int
    stop: int
    way: Vector
    corner_to_corner_mm: float
    lower: PieceEnd
    upper: PieceEnd
    roll_rad: float
    marks_mm: tuple[float, ...] = ()
    brackets: tuple[int, ...] = ()

    @property
    def middle_mm(self) -> float:
        """Along its middle, from cut to cut."""
        return self.corner_to_corner_mm - self.lower.back_mm - self.upper.back_mm

    @property
    def length_mm(self) -> float:
        """Over all, from long point to long point."""
        return self.middle_mm + self.lower.reach_mm + self.upper.reach_mm

    @property
    def square(self) -> bool:
        """Whether both ends are cut square."""
        return not (self.lower.lean_rad or self.upper.lean_rad)

    @property
    def rake_rad(self) -> float:
        """Its climb, from level."""
        return math.asin(max(-1.0, min(1.0, self.way[2])))


@dataclass(frozen=True)
class PlacedBracket:
    """A bracket in place. Lengths in mm.

    Attributes:
        number: from 1 at the lower end.
        from_end_mm: along the rail's middle, corner to corner, from its lower end.
        straight: the straight it stands on.
        along_mm: its middle along that straight.
        piece: the number of the piece it holds, from 0.
        plate_z_mm: the middle of its plate, over the first flight's bottom surface.
        surface_z_mm: the walking surface below it.
        on: the stud or post it is fixed to; empty for a wall without studs given.
    """

    number: int
    from_end_mm: float
    straight: int
    along_mm: float
    piece: int
    plate_z_mm: float
    surface_z_mm: float
    on: str

    @property
    def height_mm(self) -> float:
        """The middle of its plate over the walking surface below."""
        return self.plate_z_mm - self.surface_z_mm


@dataclass(frozen=True)
class Extension:
    """How far an end goes on past a flight. Lengths in mm, level; None where it has no such part.

    Attributes:
        level_mm: its level part past the riser, to where a return's bend begins.
        sloping_mm: its sloping part past the riser, likewise.
        reach_mm: the whole of it past the riser; below 0 where it stops short.
    """

    level_mm: float
    sloping_mm: float
    reach_mm: float


@dataclass(frozen=True)
class Handrail:
    """One handrail, solved. Lengths in mm.

    Attributes:
        lines: for each flight followed, the top of the rail in that flight's own frame.
        corners: from the lower end up; returns included.
        joints: one at each corner between two pieces.
        pieces: from the lower end up.
        first_piece, last_piece: the numbers of the first and last pieces that are no return.
        bottom, top: how far it goes past the lowest and the highest riser.
    """

    spec: HandrailSpec
    way: Way
    lines: tuple[tuple[str, RailLine], ...]
    corners: tuple[Corner, ...]
    joints: tuple[Joint, ...]
    pieces: tuple[HandrailPiece, ...]
    first_piece: int
    last_piece: int
    brackets: tuple[PlacedBracket, ...]
    bottom: Extension
    top: Extension
    notices: tuple[Notice, ...]

    @property
    def mark(self) -> str:
        """Its mark."""
        return self.spec.mark

    def line(self, flight: str) -> RailLine:
        """The top of the rail over one flight, in that flight's frame."""
        return dict(self.lines)[flight]

    @property
    def ends(self) -> tuple[Corner, Corner]:
        """The corners where the way itself begins and ends, returns left out."""
        return (
            self.corners[self.pieces[self.first_piece].start],
            self.corners[self.pieces[self.last_piece].stop],
        )

    @property
    def run_mm(self) -> float:
        """Along its middle, corner to corner, from end to end, returns left out."""
        main = self.pieces[self.first_piece : self.last_piece + 1]
        return math.fsum(piece.corner_to_corner_mm for piece in main)

    @property
    def returns(self) -> tuple[HandrailPiece, ...]:
        """The pieces that turn off the way."""
        return (*self.pieces[: self.first_piece], *self.pieces[self.last_piece + 1 :])

    @property
    def spacings_mm(self) -> tuple[float, ...]:
        """From each bracket to the next, along the rail."""
        return tuple(b.from_end_mm - a.from_end_mm for a, b in pairwise(self.brackets))

    def finish(self, *, bottom: bool) -> Finish:
        """How an end is finished."""
        return (self.spec.bottom if bottom else self.spec.top).finish

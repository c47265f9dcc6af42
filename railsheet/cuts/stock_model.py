"""What a stock plan is made from: sections, pieces, bars to buy, drops on hand, the saw."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum


class Attitude(Enum):
    """How a piece lies on the bar, against how it is drawn: downhill end left, top up.

    TURNED is end for end with the top still up (front and back faces change places); OVER is
    rolled about its length (top and bottom change places, and the faces with them); TURNED_OVER
    is both, which keeps the front face in front.
    """

    AS_DRAWN = "as drawn"
    TURNED = "turned end for end"
    OVER = "rolled over"
    TURNED_OVER = "turned end for end, top down"

    @property
    def swaps_ends(self) -> bool:
        """Whether the uphill end lies to the left."""
        return self in (Attitude.TURNED, Attitude.TURNED_OVER)

    @property
    def mirrors_angles(self) -> bool:
        """Whether the cuts lean the other way: a half turn in the piece's own plane does not."""
        return self in (Attitude.TURNED, Attitude.OVER)


AS_DRAWN_ONLY = (Attitude.AS_DRAWN,)
EITHER_END_FIRST = (Attitude.AS_DRAWN, Attitude.TURNED)
ANY_WAY = tuple(Attitude)


class StockInputError(ValueError):
    """A piece, bar or drop that no plan could use; the message names it and says why."""


@dataclass(frozen=True)
class Section:
    """One extrusion in one finish. Lengths in mm.

    Attributes:
        profile: its name.
        finish: its finish; a piece is only cut from a bar of the same profile and finish.
        depth_mm: how deep it stands across the saw's swing: a cut leaning by a is
            depth * tan(a) long on the bar.
        pitch_mm: between punched holes; None where it is not punched.
    """

    profile: str
    finish: str
    depth_mm: float
    pitch_mm: float | None = None


@dataclass(frozen=True)
class Piece:
    """One piece, or several alike, to cut. Lengths in mm, angles in radians.

    Attributes:
        mark: its mark; with a quantity over one, the copies are ``mark/1``, ``mark/2`` ...
        profile: the section's profile.
        finish: the section's finish.
        length_mm: overall along the bar, long point to long point.
        left_rad: the downhill cut's lean from square, as drawn: positive where the top of the
            cut lies further uphill than its bottom, so both plumb cuts of a rail are +rake.
        right_rad: the uphill cut's lean, same sense.
        hole_mm: from the downhill long point to the first hole's centre (a whole number of
            pitches more or less is the same); None where the holes do not matter.
        may: the attitudes in which it may be cut; the first is the one preferred.
        quantity: how many.
        bevels_rad: how far the blade is tilted for the downhill and the uphill cut, the piece on
            its side: positive where the long point lies on the face toward one as drawn.
    """

    mark: str
    profile: str
    finish: str
    length_mm: float
    left_rad: float = 0.0
    right_rad: float = 0.0
    hole_mm: float | None = None
    may: tuple[Attitude, ...] = AS_DRAWN_ONLY
    quantity: int = 1
    bevels_rad: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class StockLength:
    """A bar as it is bought. Lengths in mm.

    Attributes:
        profile: the section's profile.
        finish: the section's finish.
        length_mm: as supplied.
        price: of one bar, in the job's money; None where prices are not given.
        on_hand: how many may be used; None where more can always be bought.
        first_hole_mm: from its left end to its first hole's centre; None if not punched.
        last_hole_mm: from its right end to its last hole's centre; None where the holes run on
            to within a pitch of that end.
        damaged_left_mm: lost at the left end before any trim.
        damaged_right_mm: lost at the right end before any trim.
    """

    profile: str
    finish: str
    length_mm: float
    price: float | None = None
    on_hand: int | None = None
    first_hole_mm: float | None = None
    last_hole_mm: float | None = None
    damaged_left_mm: float = 0.0
    damaged_right_mm: float = 0.0


@dataclass(frozen=True)
class Drop:
    """A length kept from an earlier job; it costs nothing. Lengths in mm.

    Attributes:
        mark: what is written on it.
        profile: the section's profile.
        finish: the section's finish.
        length_mm: end to end, on its shorter side where an end leans.
        first_hole_mm: from its left end to its first hole's centre; None if not punched.
        last_hole_mm: from its right end to its last hole's centre; None where the holes run on
            to within a pitch of that end.
    """

    mark: str
    profile: str
    finish: str
    length_mm: float
    first_hole_mm: float | None = None
    last_hole_mm: float | None = None


@dataclass(frozen=True)
class Saw:
    """What the saw takes. Lengths in mm.

    Attributes:
        kerf_mm: the blade's width, square to the cut.
        end_trim_mm: the least taken off each end of a bar or a drop before its end is trusted.
        reusable_mm: a remainder this long or longer is kept as a drop; shorter is scrap.
    """

    kerf_mm: float
    end_trim_mm: float
    reusable_mm: float


@dataclass(frozen=True)
class CuttingList:
    """A whole job's cutting: what is wanted and what it may be cut from."""

    sections: tuple[Section, ...]
    pieces: tuple[Piece, ...]
    lengths: tuple[StockLength, ...]
    drops: tuple[Drop, ...]
    saw: Saw


def check_list(work: CuttingList) -> None:
    """Refuse figures that cannot be meant.

    Raises:
        StockInputError: naming the piece, bar or drop, and what is wrong with it.
    """
    saw = work.saw
    if min(saw.kerf_mm, saw.end_trim_mm, saw.reusable_mm) < 0:
        raise StockInputError("the saw's kerf, end trim and reusable length cannot be negative")
    sections = {(s.profile, s.finish): s for s in work.sections}
    if len(sections) != len(work.sections):
        raise StockInputError("a section is listed twice with one profile and finish")
    for section in work.sections:
        if section.depth_mm <= 0 or (section.pitch_mm is not None and section.pitch_mm <= 0):
            raise StockInputError(f"{section.profile}: depth and pitch must be over zero")
    marks: set[str] = set()
    for piece in work.pieces:
        _check_piece(piece, sections)
        if piece.mark in marks:
            raise StockInputError(f"{piece.mark}: two pieces carry this mark")
        marks.add(piece.mark)
    priced: dict[tuple[str, str], bool] = {}
    for bar in work.lengths:
        who = f"stock {bar.profile} {bar.finish} {bar.length_mm:g} mm"
        _check_bar(who, bar, sections)
        if bar.price is not None and not (math.isfinite(bar.price) and bar.price > 0):
            raise StockInputError(f"{who}: a price is over zero, or left out")
        if bar.on_hand is not None and bar.on_hand < 0:
            raise StockInputError(f"{who}: the count on hand cannot be negative")
        group = (bar.profile, bar.finish)
        if priced.setdefault(group, bar.price is not None) != (bar.price is not None):
            raise StockInputError(f"{who}: either every length of a section has a price or none")
    for drop in work.drops:
        _check_bar(f"drop {drop.mark}", drop, sections)


def _check_piece(piece: Piece, sections: dict[tuple[str, str], Section]) -> None:
    section = sections.get((piece.profile, piece.finish))
    if section is None:
        raise StockInputError(f"{piece.mark}: no section {piece.profile} in {piece.finish}")
    if not (math.isfinite(piece.length_mm) and piece.length_mm > 0):
        raise StockInputError(f"{piece.mark}: its length must be over zero")
    if piece.quantity < 1 or not piece.may or len(set(piece.may)) != len(piece.may):
        raise StockInputError(f"{piece.mark}: wants a quantity and distinct attitudes")
    if max(map(abs, (piece.left_rad, piece.right_rad, *piece.bevels_rad))) >= math.radians(80):
        raise StockInputError(f"{piece.mark}: a cut leans 80° or more from square")
    tops = section.depth_mm * (math.tan(piece.right_rad) - math.tan(piece.left_rad))
    lean = section.depth_mm * max(abs(math.tan(piece.left_rad)), abs(math.tan(piece.right_rad)))
    if piece.length_mm < max(lean, abs(tops)):
        raise StockInputError(f"{piece.mark}: its two cuts cross before they leave the section")
    if piece.hole_mm is not None and section.pitch_mm is None:
        raise StockInputError(f"{piece.mark}: has a hole to keep to, but its section has no pitch")


def _check_bar(who: str, bar: StockLength | Drop, sections: dict[tuple[str, str], Section]) -> None:
    section = sections.get((bar.profile, bar.finish))
    if section is None:
        raise StockInputError(f"{who}: no section {bar.profile} in {bar.finish}")
    if not (math.isfinite(bar.length_mm) and bar.length_mm > 0):
        raise StockInputError(f"{who}: its length must be over zero")
    if (section.pitch_mm is None) != (bar.first_hole_mm is None):
        raise StockInputError(f"{who}: a first hole goes with a punched section, and only with it")
    for hole in (bar.first_hole_mm, bar.last_hole_mm):
        if hole is not None and not 0 <= hole <= bar.length_mm:
            raise StockInputError(f"{who}: its first and last holes must lie on it")

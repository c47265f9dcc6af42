"""One section's cutting in whole numbers: exact sums, the same answer on every machine.

Lengths are whole nanometres (1e-6 mm), in which every 1/64 in is exact. Pieces and the room
between them are rounded up and bars down, so a plan that fits here fits in metal.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import numpy as np
from numpy.typing import NDArray

from railsheet.cuts.joint import can_share, room_mm, same_lean
from railsheet.cuts.stock_model import (
    Attitude,
    CuttingList,
    Drop,
    Piece,
    Saw,
    Section,
    StockLength,
)

PER_MM = 1_000_000

# Float noise in a length that was meant to be a whole nanometre, in nanometres.
_NOISE = 0.01

# Hole positions come through trigonometry; a shared cut that the holes allow must not be lost to
# its last digit. A micrometre of kerf is beyond any saw.
HOLE_SLACK = PER_MM // 1000


@dataclass(frozen=True)
class Kind:
    """Pieces that are alike under the saw.

    Attributes:
        length: overall, nanometres.
        left_rad: downhill cut's lean as drawn.
        right_rad: uphill cut's lean as drawn.
        hole: nanometres from the downhill long point to a hole, within a pitch; -1 for none.
        may: attitudes allowed.
        marks: one for each piece.
        bevels_rad: as `Piece` has them.
    """

    length: int
    left_rad: float
    right_rad: float
    hole: int
    may: tuple[Attitude, ...]
    marks: tuple[str, ...]
    bevels_rad: tuple[float, float] = (0.0, 0.0)

    @property
    def setting(self) -> tuple[int, ...]:
        """The stop and saw settings it is cut with: length, leans and bevels, to 0.01°."""
        angles = (self.left_rad, self.right_rad, *self.bevels_rad)
        return self.length, *(round(math.degrees(angle) * 100) for angle in angles)


@dataclass(frozen=True)
class Way:
    """A kind in one of its attitudes: what a bar sees. Lengths in nanometres.

    Attributes:
        bevels_rad: of the left and the right cut, positive where the long point lies up.
    """

    kind: int
    attitude: Attitude
    length: int
    left_rad: float
    right_rad: float
    hole: int
    bevels_rad: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class BarKind:
    """Bars that are alike. Lengths in nanometres from the left end.

    Attributes:
        source: what it is.
        start: the first place a long point may lie.
        stop: the last.
        end: where sound material ends.
        hole: a hole's place within the first pitch; -1 for none.
        cost: whole units of the problem's money.
        count: how many there are; None for no limit.
    """

    source: StockLength | Drop
    start: int
    stop: int
    end: int
    hole: int
    cost: int
    count: int | None


@dataclass(frozen=True)
class Problem:
    """One section's cutting.

    Attributes:
        section: the section.
        saw: the saw.
        kinds: pieces by kind, longest first.
        bars: kinds of bar.
        ways: every kind in every attitude.
        ways_of: for each kind, its ways.
        room: from way i's right long point to way j's left one, nanometres; may be negative.
        shared: whether that room is one shared cut.
        pitch: nanometres; 0 where not punched.
        money: what one unit of cost is worth.
        priced: whether cost is money rather than length bought.
        additive: whether room is one constant and no holes matter, so order is free.
    """

    section: Section
    saw: Saw
    kinds: tuple[Kind, ...]
    bars: tuple[BarKind, ...]
    ways: tuple[Way, ...]
    ways_of: tuple[tuple[int, ...], ...]
    room: tuple[tuple[int, ...], ...]
    shared: tuple[tuple[bool, ...], ...]
    pitch: int
    money: Fraction
    priced: bool
    additive: bool

    @property
    def demand(self) -> NDArray[np.int64]:
        """How many of each kind."""
        return np.array([len(kind.marks) for kind in self.kinds], dtype=np.int64)


def up(length_mm: float) -> int:
    """A length in whole nanometres, not less than it is."""
    return math.ceil(length_mm * PER_MM - _NOISE)


def down(length_mm: float) -> int:
    """A length in whole nanometres, not more than it is."""
    return math.floor(length_mm * PER_MM + _NOISE)


def nearest(length_mm: float) -> int:
    """A place in whole nanometres."""
    return round(length_mm * PER_MM)


def problem_for(work: CuttingList, section: Section) -> Problem:
    """The part of a cutting list that concerns one section."""
    group = (section.profile, section.finish)
    pitch = 0 if section.pitch_mm is None else nearest(section.pitch_mm)
    kinds = _kinds([p for p in work.pieces if (p.profile, p.finish) == group], pitch)
    lengths = [b for b in work.lengths if (b.profile, b.finish) == group and b.on_hand != 0]
    drops = [d for d in work.drops if (d.profile, d.finish) == group]
    costs, money, priced = _costs(lengths)
    bars = [
        _bar_kind(source, work.saw, pitch, cost, source.on_hand)
        for source, cost in zip(lengths, costs, strict=True)
    ]
    bars += [_bar_kind(drop, work.saw, pitch, 0, 1) for drop in drops]
    bars.sort(key=_bar_order)
    ways: list[Way] = []
    ways_of: list[tuple[int, ...]] = []
    for number, kind in enumerate(kinds):
        mine = _ways(number, kind, pitch)
        ways_of.append(tuple(range(len(ways), len(ways) + len(mine))))
        ways += mine
    shared, room = _between(ways, work.saw, section)
    free = all(kind.hole < 0 and not any(kind.bevels_rad) for kind in kinds)
    return Problem(
        section=section,
        saw=work.saw,
        kinds=tuple(kinds),
        bars=tuple(bars),
        ways=tuple(ways),
        ways_of=tuple(ways_of),
        room=room,
        shared=shared,
        pitch=pitch,
        money=money,
        priced=priced,
        additive=free and len({gap for row in room for gap in row}) <= 1,
    )


def _kinds(pieces: list[Piece], pitch: int) -> list[Kind]:
    marks: defaultdict[
        tuple[int, float, float, int, tuple[Attitude, ...], tuple[float, float]], list[str]
    ]
    marks = defaultdict(list)
    for piece in pieces:
        hole = -1
        if piece.hole_mm is not None:
            hole = nearest(piece.hole_mm) % pitch
        key = (
            up(piece.length_mm),
            round(piece.left_rad, 12),
            round(piece.right_rad, 12),
            hole,
            piece.may,
            (round(piece.bevels_rad[0], 12), round(piece.bevels_rad[1], 12)),
        )
        marks[key] += (
            [piece.mark]
            if piece.quantity == 1
            else [f"{piece.mark}/{copy}" for copy in range(1, piece.quantity + 1)]
        )
    kinds = [
        Kind(length, left, right, hole, may, tuple(sorted(names)), bevels)
        for (length, left, right, hole, may, bevels), names in marks.items()
    ]
    # Longest first, then by what tells them apart: the order of the list must change nothing.
    kinds.sort(
        key=lambda k: (
            -k.length,
            k.left_rad,
            k.right_rad,
            k.hole,
            [a.value for a in k.may],
            k.bevels_rad,
        )
    )
    return kinds


def _costs(lengths: list[StockLength]) -> tuple[list[int], Fraction, bool]:
    if not lengths:
        return [], Fraction(1), False
    priced = lengths[0].price is not None
    exact = [
        Fraction(str(bar.price)) if priced else Fraction(nearest(bar.length_mm), PER_MM)
        for bar in lengths
    ]
    bottom = math.lcm(*(cost.denominator for cost in exact))
    tops = [int(cost * bottom) for cost in exact]
    step = math.gcd(*tops)
    return [top // step for top in tops], Fraction(step, bottom), priced


def _bar_kind(
    source: StockLength | Drop, saw: Saw, pitch: int, cost: int, count: int | None
) -> BarKind:
    left = source.damaged_left_mm if isinstance(source, StockLength) else 0.0
    right = source.damaged_right_mm if isinstance(source, StockLength) else 0.0
    start = up(left + saw.end_trim_mm)
    end = down(source.length_mm - right)
    stop = down(source.length_mm - right - saw.end_trim_mm)
    hole = -1
    if source.first_hole_mm is not None:
        # Before the first hole and past the last the bar is blank for a pitch at the most, if a
        # piece's own run of holes is to be all there.
        first = nearest(source.first_hole_mm)
        start = max(start, first - pitch + 1)
        if source.last_hole_mm is not None:
            last = nearest(source.length_mm - source.last_hole_mm)
            stop = min(stop, last + pitch - 1)
        hole = first % pitch
    return BarKind(source, start, stop, end, hole, cost, count)


def _bar_order(bar: BarKind) -> tuple[bool, int, int, int, int, str]:
    mark = bar.source.mark if isinstance(bar.source, Drop) else ""
    return (bar.cost > 0, bar.stop - bar.start, bar.hole, bar.cost, bar.count or 0, mark)


def _ways(number: int, kind: Kind, pitch: int) -> list[Way]:
    ways: list[Way] = []
    seen: set[tuple[float, float, int, tuple[float, float]]] = set()
    for attitude in kind.may:
        left, right, hole = kind.left_rad, kind.right_rad, kind.hole
        bevels = kind.bevels_rad
        if attitude.swaps_ends:
            left, right = right, left
            bevels = bevels[1], bevels[0]
            hole = (kind.length - hole) % pitch if hole >= 0 else -1
        if attitude.mirrors_angles:
            # The other face lies up too, and with it the bevels' long points.
            left, right = -left, -right
            bevels = -bevels[0] + 0.0, -bevels[1] + 0.0
        look = (left + 0.0, right + 0.0, hole, bevels)
        if look not in seen:
            seen.add(look)
            ways.append(Way(number, attitude, kind.length, look[0], look[1], hole, bevels))
    return ways


def _between(
    ways: list[Way], saw: Saw, section: Section
) -> tuple[tuple[tuple[bool, ...], ...], tuple[tuple[int, ...], ...]]:
    """Whether each way may share a cut with each that follows, and the room between them."""
    long_enough = [
        can_share(way.length / PER_MM, way.left_rad, way.right_rad, section.depth_mm)
        for way in ways
    ]

    # Of a thousand pieces few cuts differ: each pair of cuts is worked out once.
    @cache
    def meeting(
        right: tuple[float, float], left: tuple[float, float], both_long: bool
    ) -> tuple[bool, int]:
        (lean, bevel), (next_lean, next_bevel) = right, left
        share = both_long and not (bevel or next_bevel) and same_lean(lean, next_lean)
        between = room_mm(
            lean,
            next_lean,
            saw.kerf_mm,
            section.depth_mm,
            shared=share,
            bevels_rad=(bevel, next_bevel),
        )
        return share, up(between)

    rows = [
        [
            meeting(
                (first.right_rad, first.bevels_rad[1]),
                (second.left_rad, second.bevels_rad[0]),
                long_enough[i] and long_enough[j],
            )
            for j, second in enumerate(ways)
        ]
        for i, first in enumerate(ways)
    ]
    return (
        tuple(tuple(share for share, _ in row) for row in rows),
        tuple(tuple(between for _, between in row) for row in rows),
    )

"""A plan as the saw meets it: cut after cut, each at its angle and its distance from the fence.

Every distance is a running one, from the bar's left end held against the fence: each is rounded
by itself when printed, and no rounding is carried from cut to cut.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.cuts.joint import kerf_along_mm, same_lean
from railsheet.cuts.stock_model import Saw
from railsheet.cuts.stock_result import Bar, Laid, Leftover, SectionPlan

# Two lengths of one stop setting.
_SAME_LENGTH_MM = 1e-3

# A cut that runs this little into the end of a bar takes off dust, or nothing.
_NO_CUT_MM = 1e-6


@dataclass(frozen=True)
class Cut:
    """One cut. Lengths in mm, angles in radians.

    Attributes:
        number: through the whole section's plan, from 1.
        ends: the mark of the piece it frees at its right end; None for a cut that only starts
            one.
        starts: the mark of the piece it starts; None for a cut that only ends one.
        at_mm: from the bar's left end to the blade's near side at the long point of the piece
            named: the one it ends, else the one it starts (then the blade's far side).
        lean_rad: from square, positive where the top of the cut is further right.
        bevel_rad: the blade's tilt, positive where the named piece's long point lies up.
        kerf_mm: what the blade takes along the bar.
        skims: whether a blade's width is not wholly in metal, an earlier cut being so near that
            the blade may wander.
        swings: whether the saw is set to another angle than for the cut before.
        mirrors: whether that is the same angle to the other side.
        check_mm: for the first cut to free a piece after the saw is set: what the piece must
            tape overall before the rest are cut; None elsewhere.
    """

    number: int
    ends: str | None
    starts: str | None
    at_mm: float
    lean_rad: float
    bevel_rad: float
    kerf_mm: float
    skims: bool
    swings: bool
    mirrors: bool
    check_mm: float | None


@dataclass(frozen=True)
class BarCuts:
    """One bar's cuts, left to right, and what is left of it."""

    bar: Bar
    cuts: tuple[Cut, ...]
    leftover: Leftover


@dataclass(frozen=True)
class SawOrder:
    """A section's bars in cutting order.

    Attributes:
        bars: bars that begin with the angle the one before ends on stand together.
        swings: how often the saw is set to another angle, the first setting counted.
        stops: how often the stop is set to another piece, the first counted.
        mirrored: pairs of marks whose pieces are one another's mirror image.
    """

    bars: tuple[BarCuts, ...]
    swings: int
    stops: int
    mirrored: tuple[tuple[str, str], ...]


def saw_order(plan: SectionPlan, saw: Saw) -> SawOrder:
    """Put a section's plan in cutting order.

    Between neighbours that share a cut there is one; elsewhere one ends the left piece and
    another starts the right one. The last cut of a bar is left out where the piece ends exactly
    at the bar's own end.
    """
    ordered = _by_angle(plan.bars)
    number, unchecked = 0, False
    set_at: tuple[float, float] | None = None
    out: list[BarCuts] = []
    swings = 0
    for bar in ordered:
        cuts: list[Cut] = []
        for ends, starts, at, angle, skims in _cuts(bar, saw, plan.section.depth_mm):
            number += 1
            bevel = _bevel(ends, starts)
            setting = angle, _tilt(ends, starts)
            swung = set_at is None or not _same_angles(set_at, setting)
            mirrors = set_at is not None and swung and _same_angles(set_at, (-angle, setting[1]))
            swings += swung
            unchecked = unchecked or swung
            check = None
            if ends is not None and unchecked:
                check, unchecked = ends.length_mm, False
            cuts.append(
                Cut(
                    number=number,
                    ends=None if ends is None else ends.mark,
                    starts=None if starts is None else starts.mark,
                    at_mm=at,
                    lean_rad=angle,
                    bevel_rad=bevel,
                    kerf_mm=kerf_along_mm(saw.kerf_mm, angle, bevel),
                    skims=skims,
                    swings=swung,
                    mirrors=mirrors,
                    check_mm=check,
                )
            )
            set_at = setting
        out.append(BarCuts(bar, tuple(cuts), bar.leftover))
    pieces = [piece for bar in ordered for piece in bar.pieces]
    stops = sum(
        before is None or not _same_setting(before, piece)
        for before, piece in zip([None, *pieces], pieces, strict=False)
    )
    return SawOrder(tuple(out), swings, stops, _mirrored(pieces))


def _bevel(ends: Laid | None, starts: Laid | None) -> float:
    if ends is not None:
        return ends.bevels_rad[1]
    return starts.bevels_rad[0] if starts is not None else 0.0


def _tilt(ends: Laid | None, starts: Laid | None) -> float:
    """The blade's tilt to the right: the same bevel up is the other way at a piece's other end."""
    bevel = _bevel(ends, starts)
    return bevel if ends is not None else -bevel


def _same_angles(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return same_lean(a[0], b[0]) and same_lean(a[1], b[1])


def _by_angle(bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
    left = list(bars)
    out: list[Bar] = []
    while left:
        at = 0
        if out:
            last = out[-1].pieces[-1]
            like = [n for n, b in enumerate(left) if _same_setting(last, b.pieces[0])]
            alike = [n for n, b in enumerate(left) if same_lean(last.right_rad, _first(b))]
            at = [*like, *alike, 0][0]
        out.append(left.pop(at))
    return tuple(out)


def _first(bar: Bar) -> float:
    return bar.pieces[0].left_rad


def _cuts(
    bar: Bar, saw: Saw, depth_mm: float
) -> list[tuple[Laid | None, Laid | None, float, float, bool]]:
    cuts: list[tuple[Laid | None, Laid | None, float, float, bool]] = []
    before: Laid | None = None
    for piece in bar.pieces:
        if before is not None and piece.shares_left:
            cuts.append((before, piece, before.end_mm, before.right_rad, False))
        else:
            skims = False
            if before is not None:
                cuts.append((before, None, before.end_mm, before.right_rad, False))
                skims = same_lean(before.right_rad, piece.left_rad) and _skims(
                    before, piece, saw, depth_mm
                )
            leans = piece.left_rad or piece.bevels_rad[0]
            if before is not None or piece.start_mm > _NO_CUT_MM or leans:
                cuts.append((None, piece, piece.start_mm, piece.left_rad, skims))
        before = piece
    if before is not None and (
        bar.source.length_mm - before.end_mm > _NO_CUT_MM
        or before.right_rad
        or before.bevels_rad[1]
    ):
        cuts.append((before, None, before.end_mm, before.right_rad, False))
    return cuts


def _skims(before: Laid, piece: Laid, saw: Saw, depth_mm: float) -> bool:
    """Whether the slice between two parallel cuts is thinner than the blade that takes it off."""
    # Places are of long points; two parallel cuts' long points lie on opposite edges.
    gap = piece.start_mm - before.end_mm + depth_mm * abs(math.tan(piece.left_rad))
    return gap < 2 * kerf_along_mm(saw.kerf_mm, piece.left_rad)


def _same_setting(a: Laid, b: Laid) -> bool:
    return (
        abs(a.length_mm - b.length_mm) <= _SAME_LENGTH_MM
        and same_lean(a.left_rad, b.left_rad)
        and same_lean(a.right_rad, b.right_rad)
        and _same_angles(a.bevels_rad, b.bevels_rad)
    )


def _mirrored(pieces: list[Laid]) -> tuple[tuple[str, str], ...]:
    """Pairs alike but for the hand, where a cut leans; each piece in one pair at the most."""
    pairs: list[tuple[str, str]] = []
    left = sorted(pieces, key=lambda piece: piece.mark)
    while left:
        piece = left.pop(0)
        left_bevel, right_bevel = piece.bevels_rad
        if same_lean(piece.left_rad, -piece.right_rad) and same_lean(left_bevel, right_bevel):
            continue
        for other in left:
            if (
                abs(piece.length_mm - other.length_mm) <= _SAME_LENGTH_MM
                and same_lean(piece.left_rad, -other.right_rad)
                and same_lean(piece.right_rad, -other.left_rad)
                and _same_angles((right_bevel, left_bevel), other.bevels_rad)
            ):
                pairs.append((piece.mark, other.mark))
                left.remove(other)
                break
    return tuple(pairs)

"""Neighbouring bars that are cut alike, told once with their count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from railsheet.cuts.saw_order import BarCuts, Cut
from railsheet.cuts.stock_model import Drop
from railsheet.cuts.stock_result import Laid


@dataclass(frozen=True)
class CutBar:
    """One bar in cutting order.

    Attributes:
        number: from 1 through the job, in the order of cutting.
        cuts: the bar, its cuts and what is left of it.
        drop: what is kept of it, named; None where nothing is.
    """

    number: int
    cuts: BarCuts
    drop: Drop | None

    @property
    def mark(self) -> str:
        """What is written on it: ``bar 3``."""
        return f"bar {self.number}"

    @property
    def pieces(self) -> tuple[Laid, ...]:
        """What is cut from it, left to right."""
        return self.cuts.bar.pieces


@dataclass(frozen=True)
class AlikeBars:
    """Bars cut one after another at the same places: the first stands for all."""

    bars: tuple[CutBar, ...]

    @property
    def first(self) -> CutBar:
        """The one that is drawn."""
        return self.bars[0]

    @property
    def numbers(self) -> str:
        """``3``, or ``3 to 6``."""
        return span([str(bar.number) for bar in self.bars])

    @property
    def words(self) -> str:
        """``bar 3``, or ``bars 3 to 6, alike``."""
        return self.first.mark if len(self.bars) == 1 else f"bars {self.numbers}, alike"

    @property
    def drops(self) -> str:
        """What is kept of them, by name: ``D1``, or ``D1 to D4``; empty where nothing is."""
        return span([bar.drop.mark for bar in self.bars if bar.drop is not None])


def span(names: Sequence[str]) -> str:
    """The first to the last of names that follow one another."""
    return " to ".join(dict.fromkeys((names[0], names[-1]))) if names else ""


def bars_words(bars: Sequence[CutBar]) -> str:
    """``bar 3``, ``bars 3 to 6``, ``bars 3 to 6, 9``."""
    runs: list[list[int]] = []
    for number in sorted(bar.number for bar in bars):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = ", ".join(span([str(number) for number in run]) for run in runs)
    return f"{'bar' if len(bars) == 1 else 'bars'} {words}"


def alike_bars(bars: Sequence[CutBar]) -> tuple[AlikeBars, ...]:
    """Put neighbours that are cut alike together."""
    groups: list[list[CutBar]] = []
    for bar in bars:
        if groups and _alike(groups[-1], bar):
            groups[-1].append(bar)
        else:
            groups.append([bar])
    return tuple(AlikeBars(tuple(group)) for group in groups)


def numbered(bars: Sequence[CutBar]) -> tuple[CutBar, ...]:
    """The same bars with their cuts counted as they are told: those of alike bars once."""
    out: list[CutBar] = []
    number = 0
    for group in alike_bars(bars):
        for bar in group.bars:
            cuts = tuple(
                replace(cut, number=number + index)
                for index, cut in enumerate(bar.cuts.cuts, start=1)
            )
            out.append(replace(bar, cuts=replace(bar.cuts, cuts=cuts)))
        number += len(group.first.cuts.cuts)
    return tuple(out)


def _alike(group: Sequence[CutBar], other: CutBar) -> bool:
    first, last = group[0], group[-1]
    return (
        other.cuts.bar.source == first.cuts.bar.source
        and other.pieces == first.pieces
        and other.cuts.leftover == first.cuts.leftover
        and _drop_follows(last.drop, other.drop)
        and len(other.cuts.cuts) == len(first.cuts.cuts)
        and all(map(_told_by, other.cuts.cuts, first.cuts.cuts))
    )


def _told_by(cut: Cut, first: Cut) -> bool:
    """Whether all there is to do at a cut is said at the first bar's.

    A saw set for the first bar may still stand so at the next; never the other way about.
    """
    return (
        replace(cut, number=0, swings=False, mirrors=False, check_mm=None)
        == replace(first, number=0, swings=False, mirrors=False, check_mm=None)
        and (not cut.swings or (first.swings and cut.mirrors == first.mirrors))
        and cut.check_mm in (None, first.check_mm)
    )


def _drop_follows(last: Drop | None, drop: Drop | None) -> bool:
    """Whether two drops' names can be told as a span."""
    if last is None or drop is None:
        return last is drop
    return _count(drop) == _count(last) + 1


def _count(drop: Drop) -> int:
    # Only drops off new bars stand in a group, and `name_remainders` counts those D1, D2 ...
    return int(drop.mark[1:])

"""From a choice of loads to bars with every piece in its place."""

from __future__ import annotations

from collections.abc import Iterator

from railsheet.cuts.laying import Layers, Laying, last_kerf
from railsheet.cuts.stock_model import StockLength
from railsheet.cuts.stock_problem import HOLE_SLACK, PER_MM, BarKind, Problem
from railsheet.cuts.stock_result import Bar, Laid, Leftover
from railsheet.cuts.whole_bars import Chosen


def lay_out(problem: Problem, layers: Layers, chosen: Chosen) -> tuple[Bar, ...]:
    """Bars in cutting order: alike loads together, and a bar that begins with the setting the
    last one ended on before others, so that stops move as little as they can in one pass.
    """
    marks = [iter(kind.marks) for kind in problem.kinds]
    drops_used: dict[int, int] = {}
    todo = [
        (column.bar, layers.laid(problem.bars[column.bar], column.load))
        for column, count in chosen.columns
        for _ in range(count)
    ]
    bars: list[Bar] = []
    last: tuple[int, ...] | None = None
    while todo:
        at = next((n for n, (_, laid) in enumerate(todo) if _setting(problem, laid, 0) == last), 0)
        number, laid = todo.pop(at)
        last = _setting(problem, laid, -1)
        drops_used[number] = drops_used.get(number, 0) + 1
        bars.append(_bar(problem, problem.bars[number], laid, marks, f"B{len(bars) + 1}"))
    return tuple(bars)


def _setting(problem: Problem, laid: Laying, at: int) -> tuple[int, ...]:
    return problem.kinds[problem.ways[laid[at][0]].kind].setting


def _bar(
    problem: Problem,
    kind: BarKind,
    laying: Laying,
    marks: list[Iterator[str]],
    mark: str,
) -> Bar:
    pieces: list[Laid] = []
    before = -1
    end = 0
    for number, start in laying:
        way = problem.ways[number]
        shares = (
            before >= 0
            and problem.shared[before][number]
            and abs(start - end - problem.room[before][number]) <= HOLE_SLACK
        )
        hole = None
        if way.hole >= 0:
            hole = (start + way.hole) / PER_MM
        end = start + way.length
        pieces.append(
            Laid(
                mark=next(marks[way.kind]),
                attitude=way.attitude,
                start_mm=start / PER_MM,
                end_mm=end / PER_MM,
                left_rad=way.left_rad,
                right_rad=way.right_rad,
                hole_mm=hole,
                shares_left=shares,
                bevels_rad=way.bevels_rad,
            )
        )
        before = number
    return Bar(mark, kind.source, tuple(pieces), _leftover(problem, kind, before, end))


def _leftover(problem: Problem, bar: BarKind, last: int, end: int) -> Leftover:
    starts = end + last_kerf(problem, last)
    length = max(0, bar.end - starts)
    source = bar.source
    damage = source.damaged_right_mm if isinstance(source, StockLength) else 0.0
    first = last_hole = None
    if bar.hole >= 0 and source.first_hole_mm is not None:
        first_on_bar = round(source.first_hole_mm * PER_MM)
        hole = max(first_on_bar, starts + (bar.hole - starts) % problem.pitch)
        final = bar.end
        if source.last_hole_mm is not None:
            final = min(final, round((source.length_mm - source.last_hole_mm) * PER_MM))
            last_hole = max(0.0, source.last_hole_mm - damage)
        if hole <= final:
            first = (hole - starts) / PER_MM
        else:
            last_hole = None
    kept = length >= problem.saw.reusable_mm * PER_MM
    return Leftover(length / PER_MM, first, last_hole, kept)

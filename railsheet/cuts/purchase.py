"""What to buy for a whole job: bars by the plan, parts with their spares and in their packs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from railsheet.cuts.job_stock import JobStock
from railsheet.cuts.stock_model import StockLength
from railsheet.cuts.take_off import TakeOffLine, with_spares


@dataclass(frozen=True)
class Purchase:
    """One line of a buying list.

    Attributes:
        group: bar, drop on hand, post, baluster, bracket, mount, screw ...
        item: the part in words.
        needed: how many the work takes.
        buy: how many to buy, spares included; 0 for what is on hand.
        length_mm: of a bar or a drop; None otherwise.
        pack: how many come in a pack; None where they are bought singly.
    """

    group: str
    item: str
    needed: int
    buy: int
    length_mm: float | None = None
    pack: int | None = None

    @property
    def packs(self) -> int | None:
        """How many packs to buy; None where they are bought singly."""
        return None if self.pack is None else -(-self.buy // self.pack)


def purchases(
    flights: Iterable[Sequence[TakeOffLine]],
    stock: JobStock,
    packs: Sequence[tuple[str, int]],
    spare_rate: float,
) -> tuple[Purchase, ...]:
    """One list for all flights: drops on hand first, then bars, then every other part.

    Args:
        flights: each flight's take-off.
        spare_rate: the share bought over the count, of parts that a take-off buys spares of:
            rounded once for the job, where each flight's take-off is rounded by itself.
        packs: pack sizes by a part's name. A part of the take-off that goes by the name, or
            begins with it before a comma, is bought in those packs, all such lines together.
    """
    lines: list[Purchase] = []
    bars: dict[tuple[str, float], int] = {}
    for section in stock.sections:
        item = f"{section.plan.section.profile}, {section.plan.section.finish}"
        for bar in section.bars:
            source = bar.cuts.bar.source
            if isinstance(source, StockLength):
                bars[item, source.length_mm] = bars.get((item, source.length_mm), 0) + 1
            else:
                named = f"{item}: drop {source.mark}"
                lines.append(Purchase("drop on hand", named, 1, 0, source.length_mm))
    lines += [Purchase("bar", item, n, n, length) for (item, length), n in sorted(bars.items())]
    sizes = dict(packs)
    counted: dict[tuple[str, str, float | None], tuple[int, int]] = {}
    for line in (line for parts in flights for line in parts):
        name = next((n for n in sizes if _goes_by(line.item, n)), line.item)
        if line.group == "rail" and line.stock_mm is None:
            name += ", no stock bar is long enough"
        key = (line.group, name, line.stock_mm)
        needed, buy = counted.get(key, (0, 0))
        counted[key] = (needed + line.count, buy + line.buy)
    lines += [
        Purchase(
            group,
            item,
            needed,
            with_spares(needed, spare_rate) if buy > needed else buy,
            length,
            sizes.get(item),
        )
        for (group, item, length), (needed, buy) in counted.items()
    ]
    return tuple(lines)


def _goes_by(item: str, name: str) -> bool:
    return item == name or item.startswith(f"{name}, ")

"""The take-off: every part of a flight counted, and what to buy."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from railsheet.cuts.pieces import Pieces, RailPiece
from railsheet.job.kit import Kit
from railsheet.job.model import Place
from railsheet.layout.infill.door import supply_of
from railsheet.layout.railing import Railing


@dataclass(frozen=True)
class TakeOffLine:
    """One kind of part.

    Attributes:
        group: post, rail, baluster, bracket, mount, screw: how the list is grouped.
        item: the part in words.
        count: how many the work takes.
        buy: how many to buy, spares included.
        stock_mm: the stock length of each, for what is bought by the bar; None otherwise.
    """

    group: str
    item: str
    count: int
    buy: int
    stock_mm: float | None = None


_NONE: Mapping[str, int] = MappingProxyType({})


def take_off(
    railing: Railing, pieces: Pieces, on_bars: Mapping[str, int] = _NONE
) -> tuple[TakeOffLine, ...]:
    """Count the parts of one flight.

    Pieces that ``on_bars`` counts by their marks are left to the job's stock plan, which buys for
    all flights together. Others are on no bar, unless they come in panels or off a coil.

    Spares, at the kit's rate, are bought of what gets lost or spoilt in the fitting: balusters
    and screws. Posts already standing are not bought.
    """
    kit = railing.kit
    posts = [piece.post for piece in pieces.posts if piece.listed]
    new_posts = sum(post.spec.place is not Place.STANDING for post in posts)
    lines = []
    if new_posts:
        lines.append(_line("post", kit.post.name, new_posts))
        lines.append(_line("post", kit.plate.fastener, new_posts * kit.plate.fasteners))
    if posts:
        lines.append(_line("post", kit.cover.cover, len(posts)))
        if not kit.top_end.runs_over:
            lines.append(_line("post", kit.cover.cap, len(posts)))
    lines += _bars(kit, [piece for piece in pieces.rails if piece.mark not in on_bars])
    for fill in pieces.fills:
        missing = fill.piece.count - on_bars.get(fill.mark, 0)
        if fill.piece.stock_mm and missing:
            name = f"{fill.piece.name}: no stock bar is long enough"
            lines.append(_line(fill.piece.group, name, missing))
    infill: Counter[tuple[str, str, bool]] = Counter()
    for bay in railing.bays:
        for part in bay.infill.parts:
            infill[(part.group, part.item, part.spared)] += part.count
    lines += [
        _line(group, item, count, kit.spare_rate if spared else 0.0)
        for (group, item, spared), count in infill.items()
    ]
    ends = Counter[tuple[str, str, bool]]()
    for face in (face for post in railing.posts for face in post.faces):
        for part in face.parts:
            ends[part.group, part.item, part.spared] += part.count
    lines += [
        _line(group, item, count, kit.spare_rate if spared else 0.0)
        for (group, item, spared), count in sorted(ends.items())
    ]
    return tuple(lines)


def _bars(kit: Kit, rails: Sequence[RailPiece]) -> list[TakeOffLine]:
    """Rails by the bar; where both come as one panel, panels, each as long as its longer need."""
    panel = supply_of(kit).panel
    if panel:
        needs: dict[int, list[float | None]] = {}
        for piece in rails:
            needs.setdefault(piece.bay, []).append(piece.on_bar.stock_mm)
        panels = Counter(
            None if None in stocks else max(s for s in stocks if s is not None)
            for stocks in needs.values()
        )
        return [TakeOffLine("panel", panel, n, n, stock) for stock, n in panels.items()]
    bars = Counter(piece.rail.kit.name for piece in rails)
    return [TakeOffLine("rail", name, n, n) for name, n in bars.items()]


def _line(
    group: str, item: str, count: int, spare_rate: float = 0.0, stock_mm: float | None = None
) -> TakeOffLine:
    return TakeOffLine(group, item, count, with_spares(count, spare_rate), stock_mm)


def with_spares(count: int, spare_rate: float) -> int:
    """How many to buy of what gets lost or spoilt in the fitting."""
    # A rate such as 0.1 is exact on paper, not in binary: 10 of them need 11, not 12.
    return math.ceil(count * (1 + Fraction(str(spare_rate))))

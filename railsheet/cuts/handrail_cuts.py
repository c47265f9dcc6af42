"""What a handrail's pieces are cut from, and every part it takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from railsheet.cuts.stock_model import Piece, Section, StockLength
from railsheet.cuts.take_off import TakeOffLine, with_spares
from railsheet.errors import BadInput
from railsheet.job.kit_handrail import Finish, HandrailKit
from railsheet.layout.handrail_model import Handrail


@dataclass(frozen=True)
class ExtraStock:
    """Pieces of one section that are cut from bars of their own, beside the rails and infill.

    Attributes:
        lengths: the bars on offer.
    """

    section: Section
    pieces: tuple[Piece, ...]
    lengths: tuple[StockLength, ...]


def handrail_stock(handrails: Iterable[Handrail]) -> tuple[ExtraStock, ...]:
    """One entry for each section that handrails are cut from.

    A piece with a mitred end is cut square to its length over all here, and mitred by its own
    sheet: a section as deep as it is wide, or one rolled between its cuts, has no one lean that
    a bar on the saw could be drawn with.

    Raises:
        BadInput: two files of parts have sections of one name that differ.
    """
    kits: dict[str, HandrailKit] = {}
    cut: dict[str, list[Piece]] = {}
    for handrail in handrails:
        kit = handrail.spec.kit
        name = kit.section.name
        one = kits.setdefault(name, kit)
        if (one.section, one.finish) != (kit.section, kit.finish):
            raise BadInput(
                kit.file, "section > name", name, "two sections of one name: give one its own"
            )
        cut.setdefault(name, []).extend(
            Piece(piece.mark, name, kit.finish, piece.length_mm) for piece in handrail.pieces
        )
    return tuple(
        ExtraStock(
            Section(name, kit.finish, kit.section.depth_mm),
            tuple(cut[name]),
            tuple(
                StockLength(name, kit.finish, offer.length_mm, offer.price)
                for offer in kit.section.stock
            ),
        )
        for name, kit in kits.items()
    )


def handrail_take_off(handrail: Handrail, spare_rate: float) -> tuple[TakeOffLine, ...]:
    """Every part of one handrail; its bars are in the job's stock plan.

    Args:
        spare_rate: the share of screws bought over the count.
    """
    spec, kit = handrail.spec, handrail.spec.kit
    fittings: Counter[str] = Counter(
        joint.fitting.name for joint in handrail.joints if joint.fitting is not None
    )
    ends: Counter[str] = Counter()
    screws: Counter[str] = Counter()
    for finish in (spec.bottom.finish, spec.top.finish):
        part = kit.end(finish)
        ends[part.name] += 1
        if part.screws:
            screws[f"{part.screw}, {part.name} to {_holds(finish)}"] += part.screws
    count = len(handrail.brackets)
    for screw in kit.bracket.screws:
        screws[f"{screw.name}, {screw.joins}"] += screw.count * count
    return (
        *_lines("fitting", fittings),
        *_lines("end", ends),
        *_lines("bracket", Counter({kit.bracket.name: count})),
        *_lines("screw", screws, spare_rate),
    )


def _holds(finish: Finish) -> str:
    return "newel" if finish is Finish.NEWEL else finish.value


def _lines(group: str, counted: Counter[str], spare_rate: float = 0.0) -> Iterable[TakeOffLine]:
    for item, count in sorted(counted.items()):
        if count:
            yield TakeOffLine(group, item, count, with_spares(count, spare_rate))


def all_packs(
    packs: Sequence[tuple[str, int]], handrails: Iterable[Handrail]
) -> tuple[tuple[str, int], ...]:
    """The kit's pack sizes with those of the handrails' parts; the kit's own word goes first."""
    known = dict(packs)
    for handrail in handrails:
        for name, size in handrail.spec.kit.packs:
            known.setdefault(name, size)
    return tuple(known.items())

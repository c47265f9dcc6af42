"""What a kit says of buying: the bars on offer, with or without prices, and pack sizes."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.job.source import Table

_LEAST_MM, _MOST_MM = 500.0, 13000.0
_MOST_PRICE = 1e6
_MOST_IN_A_PACK = 100_000


@dataclass(frozen=True)
class StockOffer:
    """A bar as it can be bought.

    Attributes:
        length_mm: as supplied.
        price: of one bar, in whatever money the kit is priced in; None where it is not.
    """

    length_mm: float
    price: float | None = None


def read_stock(table: Table) -> tuple[StockOffer, ...]:
    """A rail's bars on offer, shortest first: each a length, or a table of length and price.

    Raises:
        BadInput: an entry that is neither, a length twice, or prices for some lengths only.
    """
    offers: list[StockOffer] = []
    for entry in table.lengths_or_tables("stock", "stock length", _LEAST_MM, _MOST_MM):
        if isinstance(entry, Table):
            price = entry.number("price", 0.01, _MOST_PRICE, "the price of one bar")
            offers.append(StockOffer(entry.length("length", _LEAST_MM, _MOST_MM), price))
            entry.done()
        else:
            offers.append(StockOffer(entry))
    offers.sort(key=lambda offer: offer.length_mm)
    if len({offer.length_mm for offer in offers}) != len(offers):
        raise table.bad("stock", "one length is listed twice")
    if len({offer.price is None for offer in offers}) > 1:
        raise table.bad("stock", "either every length has a price or none")
    return tuple(offers)


def read_packs(table: Table) -> tuple[tuple[str, int], ...]:
    """How many of a part come in a pack, by the part's name."""
    packs = tuple((name, table.count(name, 1, _MOST_IN_A_PACK)) for name in table.written)
    table.done()
    return packs

"""How far each nose stands out over the riser's face below it: read once, or nose by nose."""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import fmean

from railsheet.job.source import Table
from railsheet.units.length import MM_PER_INCH

_NOSING_MM = (0.0, 3 * MM_PER_INCH)


@dataclass(frozen=True)
class Nosings:
    """The nosing at every nose of a flight.

    Attributes:
        each_mm: nose 1 to nose n, the last the deck's edge; at a nose where it was not read, the
            mean of those read.
        unread: the noses at which it was not read.
        once: whether it was read once, and taken for every nose.
    """

    each_mm: tuple[float, ...]
    unread: tuple[int, ...] = ()
    once: bool = False

    @property
    def read_mm(self) -> tuple[float, ...]:
        """Those that were read, first to last."""
        return tuple(self.each_mm[number - 1] for number in self.noses_read)

    @property
    def noses_read(self) -> tuple[int, ...]:
        """The noses at which it was read; the first alone where it was read once."""
        if self.once:
            return (1,)
        numbers = range(1, len(self.each_mm) + 1)
        return tuple(number for number in numbers if number not in self.unread)

    def reading(self, nose: int, mm: float) -> Nosings:
        """The nosings with that at one nose read otherwise, and what follows from it."""
        if self.once:
            return read_once(mm, len(self.each_mm))
        each = [*self.each_mm[: nose - 1], mm, *self.each_mm[nose:]]
        if nose not in self.unread:
            mean = fmean(each[number - 1] for number in self.noses_read)
            for number in self.unread:
                each[number - 1] = mean
        return replace(self, each_mm=tuple(each))


def read_once(mm: float, noses: int) -> Nosings:
    """One reading for every nose."""
    return Nosings((mm,) * noses, once=True)


def read_nosings(table: Table, noses: int) -> Nosings:
    """The key ``N``: one length for all noses, or a list with one for each.

    Args:
        table: the flight's ``readings``.
        noses: how many noses the flight has, the deck's edge included.

    Raises:
        BadInput: it is missing, out of range, not one a nose, or all but one left blank.
    """
    if not table.is_list("N"):
        return read_once(table.length("N", *_NOSING_MM), noses)
    values = table.lengths_or_blanks("N", "nosing", *_NOSING_MM)
    if len(values) != noses:
        raise table.bad(
            "N",
            f'one length for all noses, or one for each of {noses}; "" where none was taken',
            f"{len(values)}",
        )
    read = [value for value in values if value is not None]
    if len(read) < 2:
        raise table.bad(
            "N",
            'at least two that were read; one that is taken for every nose is written N = "1"',
            f"{len(read)} read",
        )
    mean = fmean(read)
    return Nosings(
        tuple(mean if value is None else value for value in values),
        tuple(number for number, value in enumerate(values, start=1) if value is None),
    )

"""What fills one bay, in the plain values that every other room draws, counts and measures from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

Corner = tuple[float, float]
"""(s, z) in the run frame, mm."""


@dataclass(frozen=True)
class Member:
    """One part of the infill as seen from the walking side.

    Attributes:
        number: counted from the downhill post, or from the bottom rail up.
        outline: its corners in place, as far as it is seen between rails and posts.
        body: its corners in place with all that the rails hold of it.
        thick_mm: its size across the guard.
    """

    number: int
    outline: tuple[Corner, ...]
    body: tuple[Corner, ...]
    thick_mm: float


@dataclass(frozen=True)
class Row:
    """Plumb members in a row between two posts. Lengths in mm, level.

    Attributes:
        centres_mm: s of each member's middle, from the downhill post.
        width_mm: of one.
        spacing_mm: centre to centre.
        gap_mm: the clear gap at each post, equal at both ends.
        bands: the clear distances that work, near this one: members, least, most.
    """

    centres_mm: tuple[float, ...]
    width_mm: float
    spacing_mm: float
    gap_mm: float
    bands: tuple[tuple[int, float, float], ...]

    @property
    def opening_mm(self) -> float:
        """Clear between two neighbours."""
        return self.spacing_mm - self.width_mm


@dataclass(frozen=True)
class InfillPiece:
    """Pieces of the infill to cut, all alike. Lengths in mm.

    Attributes:
        suffix: the letters of its mark.
        name: the piece in words.
        count: how many.
        length_mm: over all, long point to long point.
        edge_mm: along one edge, from cut to cut.
        saw_rad: both ends' setting from square; the two cuts are parallel.
        stock_mm: the lengths it can be cut from, shortest first.
        how: what else the saw must know, in words.
    """

    suffix: str
    name: str
    count: int
    length_mm: float
    edge_mm: float
    saw_rad: float
    stock_mm: tuple[float, ...]
    how: str


@dataclass(frozen=True)
class Part:
    """A part of the infill to buy.

    Attributes:
        group: how the take-off groups it.
        item: the part in words.
        count: how many the bay takes.
        spared: whether the kit's spare rate is bought on top.
        stock_mm: the length it is bought in; None where it is bought by the piece.
    """

    group: str
    item: str
    count: int
    spared: bool = False
    stock_mm: float | None = None


class FactUnit(Enum):
    """What a fact's value is: mm, radians, or a plain number."""

    LENGTH = "length"
    ANGLE = "angle"
    COUNT = "count"


@dataclass(frozen=True)
class Fact:
    """A figure of the infill worth printing by itself.

    Attributes:
        name: the end of its key in the book of figures.
        words: what stands before it in print.
        shown: whether the elevation prints it among the figures to set out by.
        at_most: whether it is a limit not to be passed, and so is rounded down.
    """

    name: str
    words: str
    value: float
    unit: FactUnit = FactUnit.LENGTH
    shown: bool = True
    at_most: bool = False


@dataclass(frozen=True)
class Template:
    """A flat part's outline, in place: a parallelogram with two plumb edges.

    Attributes:
        suffix: the letters of its mark.
        name: the part in words.
        outline: lower downhill corner, lower uphill, upper uphill, upper downhill.
    """

    suffix: str
    name: str
    outline: tuple[Corner, Corner, Corner, Corner]


@dataclass(frozen=True)
class Infill:
    """What fills one bay.

    Attributes:
        word: the kind, as a kit names it.
        noun: one of what fills it, in words.
        count: how many of them.
        members: every part in place, for drawing and for measuring the openings between them.
        row: where the members stand in a row of plumb parts; None for other kinds.
        pieces: what must be cut.
        parts: what must be bought, beyond rails, posts and brackets.
        facts: figures worth printing.
        templates: outlines to cut a flat part by.
    """

    word: str
    noun: str
    count: int
    members: tuple[Member, ...]
    row: Row | None
    pieces: tuple[InfillPiece, ...]
    parts: tuple[Part, ...]
    facts: tuple[Fact, ...]
    templates: tuple[Template, ...] = ()


# What one cut of a saw turns to dust, where the kit's stock is counted out in whole pieces.
# common practice, no source
KERF_MM = 3.2


def bars_for(count: int, length_mm: float, stock_mm: Sequence[float]) -> tuple[int, float] | None:
    """How many bars of one stock length hold so many equal pieces, and which length wastes least.

    Args:
        count: pieces.
        length_mm: of one, over all.
        stock_mm: the lengths on offer.

    Returns:
        Bars and their length; None where no stock is long enough.
    """
    offers = []
    for stock in stock_mm:
        each = int((stock + KERF_MM + 1e-6) // (length_mm + KERF_MM))
        if each:
            bars = -(-count // each)
            offers.append((bars * stock, bars, stock))
    if not offers:
        return None
    _, bars, stock = min(offers)
    return bars, stock

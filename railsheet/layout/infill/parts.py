"""What fills one bay, in the plain values that every other room draws, counts and measures from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

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
        aside_mm: its middle from the rails' middle, to the left of one looking uphill.
    """

    number: int
    outline: tuple[Corner, ...]
    body: tuple[Corner, ...]
    thick_mm: float
    aside_mm: float = 0.0

    @property
    def area_mm2(self) -> float:
        """Of its body's face, by the shoelace formula."""
        turned = zip(self.body, (*self.body[1:], self.body[0]), strict=True)
        return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in turned)) / 2


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
        group: baluster, fillet, cable: how lists group it.
        name: the piece in words, which names what it is cut from.
        count: how many.
        length_mm: over all, long point to long point.
        edge_mm: along one edge, from cut to cut.
        saw_rad: both ends' setting from square; the two cuts are parallel.
        depth_mm: of its section, across the saw's swing.
        stock_mm: the lengths it can be cut from, shortest first; none where it is off a coil.
        spared: whether bars are bought over the count, at the kit's spare rate.
        how: what else the saw must know, in words.
    """

    suffix: str
    group: str
    name: str
    count: int
    length_mm: float
    edge_mm: float
    saw_rad: float
    depth_mm: float
    stock_mm: tuple[float, ...]
    spared: bool
    how: str


@dataclass(frozen=True)
class Part:
    """A part of the infill to buy by the piece; what is cut from bars the stock plan buys.

    Attributes:
        group: how the take-off groups it.
        item: the part in words.
        count: how many the bay takes.
        spared: whether the kit's spare rate is bought on top.
    """

    group: str
    item: str
    count: int
    spared: bool = False


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
class WeighedBars:
    """Alike pieces of one section as they are weighed.

    Attributes:
        part: what a kit's masses have them by.
        name: the end of their key.
        letters: of their mark.
        about: what they are, in words.
        section_mm2: of one.
        long_mm: along its middle.
        count: how many.
    """

    part: str
    name: str
    letters: str
    about: str
    section_mm2: float
    long_mm: float
    count: int


@dataclass(frozen=True)
class WeighedSheet:
    """A flat part as it is weighed.

    Attributes:
        part, name, letters, about: as of `WeighedBars`.
        thick_mm: its thickness.
        area_mm2: of its face.
    """

    part: str
    name: str
    letters: str
    about: str
    thick_mm: float
    area_mm2: float


Weighed: TypeAlias = tuple[WeighedBars | WeighedSheet, ...]
"""All that fills a bay, as it is weighed."""


@dataclass(frozen=True)
class Bore:
    """A hole through both posts of a bay, along the rails. Lengths in mm.

    Attributes:
        number: of the member that it takes.
        noun: that member in a word.
        over_underside_mm: plumb, its axis over the underside of the bottom rail, at any place.
        diameter_mm: square to its axis.
    """

    number: int
    noun: str
    over_underside_mm: float
    diameter_mm: float


@dataclass(frozen=True)
class Infill:
    """What fills one bay.

    Attributes:
        word: the kind, as a kit names it.
        noun: one of what fills it, in words.
        count: how many of them.
        members: every part in place, for drawing and for measuring the openings between them; of
            a kind that `solids` does not know, the solids are raised from their bodies.
        row: where the members stand in a row of plumb parts; None for other kinds.
        pieces: what must be cut.
        parts: what must be bought by the piece, beyond rails, posts and brackets.
        facts: figures worth printing.
        templates: outlines to cut a flat part by.
        bores: holes that it asks for in the posts.
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
    bores: tuple[Bore, ...] = ()

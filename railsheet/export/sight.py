"""What model space shows, taken apart once however many views look at it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ezdxf.document import Drawing
from ezdxf.entities.viewport import Viewport
from ezdxf.math import Vec2

from railsheet.export.pens import Pens
from railsheet.export.pieces import Piece, Pieces, Words
from railsheet.sheets.faces import face


class Box(NamedTuple):
    """An upright rectangle, in drawing units."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def middle(self) -> Box:
        """The middle, as a box of no size."""
        x, y = (self.left + self.right) / 2.0, (self.bottom + self.top) / 2.0
        return Box(x, y, x, y)

    def holds(self, other: Box) -> bool:
        """Whether the other lies within, edge on edge included."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.bottom <= other.bottom
            and other.top <= self.top
        )

    def meets(self, other: Box) -> bool:
        """Whether the two have a point in common."""
        return (
            self.left <= other.right
            and other.left <= self.right
            and self.bottom <= other.top
            and other.bottom <= self.top
        )


class Boxed(NamedTuple):
    """What an entity of model space shows.

    Attributes:
        box: holds all of it.
        pieces: in the order of drawing.
    """

    box: Box
    pieces: Sequence[Piece]


class Sight:
    """The parts of documents' model spaces, each worked out when it is first looked at.

    A document must not be changed between two looks at it.
    """

    def __init__(self) -> None:
        self._taken: dict[Drawing, Pieces] = {}
        self._model: dict[Drawing, list[Boxed]] = {}

    def pieces(self, doc: Drawing) -> Pieces:
        """What takes a document's entities apart."""
        if doc not in self._taken:
            self._taken[doc] = Pieces(Pens(doc))
        return self._taken[doc]

    def model(self, doc: Drawing) -> Sequence[Boxed]:
        """Every entity of a document's model space that shows anything, in their order.

        Raises:
            UnknownEntityError: one cannot be drawn on paper.
        """
        if doc not in self._model:
            take = self.pieces(doc).of
            taken = (list(take(entity)) for entity in doc.modelspace())
            self._model[doc] = [Boxed(_round(pieces), pieces) for pieces in taken if pieces]
        return self._model[doc]

    def within(self, view: Viewport) -> Iterator[Boxed]:
        """What may show in a view.

        Raises:
            UnknownEntityError: something in model space cannot be drawn on paper.
        """
        assert view.doc is not None
        window = Box(*view.get_modelspace_limits())
        for shown in self.model(view.doc):
            if window.meets(shown.box):
                yield shown


def box_round(points: Iterable[Vec2]) -> Box:
    """The least box that holds one point or more."""
    across, up = zip(*((point.x, point.y) for point in points), strict=True)
    return Box(min(across), min(up), max(across), max(up))


def _round(pieces: Sequence[Piece]) -> Box:
    return box_round(point for piece in pieces for point in _reach(piece))


def _reach(piece: Piece) -> Iterable[Vec2]:
    """Points whose box holds a piece; of a curve's, some may lie a little off it."""
    if isinstance(piece, Words):
        return piece.line.corners(0.0, face(piece.bold).descent_per_cap * piece.line.cap_height)
    return [point for outline in piece.outlines for point in outline.points]

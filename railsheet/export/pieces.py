"""What each entity of a drawing shows: strokes, areas and lines of text, each with its pen.

Blocks and dimensions are taken apart where they stand, without a copy of what is in them. An
entity that this file does not know is an error: nothing is left out in silence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from ezdxf.entities.attrib import Attrib
from ezdxf.entities.dimension import Dimension
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.hatch import Hatch
from ezdxf.entities.insert import Insert
from ezdxf.entities.leader import Leader
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.mtext import MText
from ezdxf.entities.point import Point
from ezdxf.entities.solid import Solid
from ezdxf.entities.text import Text
from ezdxf.math import Matrix44, Vec2
from ezdxf.path import Path, make_path
from ezdxf.protocols import virtual_entities

from railsheet.export.lines_of_text import Affine, TextLine, Unplaced, line_of, lines_of
from railsheet.export.pens import Pen, Pens

KNOWN = frozenset(
    {"LINE", "LWPOLYLINE", "POLYLINE", "CIRCLE", "ARC", "ELLIPSE", "SPLINE", "TEXT", "MTEXT"}
    | {"INSERT", "ATTRIB", "DIMENSION", "LEADER", "HATCH", "SOLID", "TRACE"}
    | {"POINT", "VIEWPORT"}
)

_WHITE = "#ffffff"


class UnknownEntityError(Exception):
    """The drawing holds something the paper renderer cannot show; it says what and where."""


class Outline(NamedTuple):
    """A line through points, straight or curved.

    Attributes:
        points: where it begins, then the points of each part.
        parts: how many points each part takes: 1 straight, 2 and 3 a quadratic and a cubic Bezier
            curve; none where all are straight.
        closed: whether it ends where it begins.
    """

    points: Sequence[Vec2]
    parts: tuple[int, ...] = ()
    closed: bool = False


class Stroke(NamedTuple):
    """Outlines drawn with one pen.

    Attributes:
        pen: the pen.
        outlines: in drawing units.
        under: the keys of the layers that hide it where a view hides one of them.
    """

    pen: Pen
    outlines: Sequence[Outline]
    under: tuple[str, ...]


class Fill(NamedTuple):
    """An area; where its outlines overlap, holes by the even-odd rule.

    Attributes:
        pen: whose colour fills it.
        outlines: in drawing units.
        under: as of a stroke.
        mask: whether it is no more than the white ground of a text.
    """

    pen: Pen
    outlines: Sequence[Outline]
    under: tuple[str, ...]
    mask: bool = False


class Words(NamedTuple):
    """One line of text.

    Attributes:
        pen: whose colour letters it.
        line: the text and where it stands, in drawing units.
        bold: whether the bold face is meant.
        under: as of a stroke.
    """

    pen: Pen
    line: TextLine
    bold: bool
    under: tuple[str, ...]


Piece = Stroke | Fill | Words


def drawn_block(dimension: Dimension) -> Iterable[DXFGraphic] | None:
    """What was drawn of a dimension, as it stands in its block.

    None where it does not stand there as it shows: turned out of the plane, or set elsewhere.
    ezdxf copies each part before it looks at it; of a sheet's dimensions none needs it.
    """
    if dimension.virtual_block_content or dimension.ocs().transform or dimension.dxf.get("insert"):
        return None
    return dimension.get_geometry_block()


class _Place(NamedTuple):
    """Where the parts of a composite entity stand.

    Attributes:
        turn: from the part's own axes to the drawing's; None where they are the same.
        within: the pen of the block's insertion that they are drawn in.
        under: the keys of layers that hide all of them.
        shown: whether the whole is shown.
    """

    turn: Matrix44 | None = None
    within: Pen | None = None
    under: tuple[str, ...] = ()
    shown: bool = True


_ITSELF = _Place()


class Pieces:
    """Takes entities of one document apart."""

    def __init__(self, pens: Pens) -> None:
        self._pens = pens
        self._takers: dict[str, Callable[[Any, Pen, _Place], Iterable[Piece]]] = {
            "LINE": self._line,
            "MTEXT": self._mtext,
            "ATTRIB": self._text,
            "TEXT": self._text,
            "LWPOLYLINE": self._lwpolyline,
            "INSERT": self._insert,
            "DIMENSION": self._dimension,
            "POINT": self._point,
            "SOLID": self._solid,
            "TRACE": self._solid,
            "HATCH": self._hatch,
            "LEADER": self._leader,
            **dict.fromkeys(("POLYLINE", "CIRCLE", "ARC", "ELLIPSE", "SPLINE"), self._path),
        }

    def of(self, entity: DXFEntity, place: _Place = _ITSELF) -> Iterator[Piece]:
        """All that an entity shows, and what of it is hidden, in the order of drawing.

        Raises:
            UnknownEntityError: it is not hidden, and cannot be drawn on paper.
        """
        kind = entity.dxftype()
        if not isinstance(entity, DXFGraphic):
            raise UnknownEntityError(f"{entity}: {kind} cannot be drawn on paper")
        pen = self._pens.of(entity, place.within)
        if not place.shown:
            pen = pen.hidden
        taker = self._takers.get(kind)
        if taker is not None:
            yield from taker(entity, pen, place)
        elif pen.shown:
            raise UnknownEntityError(f"{entity}: {kind} cannot be drawn on paper")

    def _line(self, line: Line, pen: Pen, place: _Place) -> Iterable[Piece]:
        ends = _placed([Vec2(line.dxf.start), Vec2(line.dxf.end)], place)
        return (_stroke(pen, [Outline(ends)], place),)

    def _point(self, point: Point, pen: Pen, place: _Place) -> Iterable[Piece]:
        """A dot one pen wide."""
        at = Vec2(point.dxf.location)
        return (_stroke(pen.whole, [Outline(_placed([at, at], place))], place),)

    def _lwpolyline(self, line: LWPolyline, pen: Pen, place: _Place) -> Iterable[Piece]:
        corners = line.get_points("xyseb")
        if line.has_width:
            raise UnknownEntityError(f"{line}: a banded line cannot be drawn on paper")
        if line.dxf.hasattr("extrusion") or any(corner[4] for corner in corners):
            return self._path(line, pen, place)
        points = [Vec2(corner[0], corner[1]) for corner in corners]
        if len(points) < 2:
            return ()
        if line.closed and points[0] != points[-1]:
            points.append(points[0])
        closed = points[0].isclose(points[-1])
        return (_stroke(pen, [Outline(_placed(points, place), (), closed)], place),)

    def _path(self, entity: DXFGraphic, pen: Pen, place: _Place) -> Iterable[Piece]:
        outlines = _outlines([make_path(entity)], place)
        return [_stroke(pen, [outline], place) for outline in outlines]

    def _solid(self, solid: Solid, pen: Pen, place: _Place) -> Iterable[Piece]:
        corners = Vec2.list(solid.wcs_vertices())
        if len(corners) < 3:
            return ()
        return (_fill(pen, [Outline(_placed(corners, place), (), True)], place),)

    def _hatch(self, hatch: Hatch, pen: Pen, place: _Place) -> Iterable[Piece]:
        if hatch.gradient is not None or hatch.ocs().transform:
            raise UnknownEntityError(f"{hatch}: an area so filled cannot be drawn on paper")
        # Loaded only for a drawing that has areas.
        from ezdxf.render.hatching import hatch_boundary_paths, hatch_paths, pattern_baselines

        loops = hatch_boundary_paths(hatch)
        if hatch.dxf.solid_fill:
            areas = _outlines(loops, place)
            return (_fill(pen, areas, place),) if areas else ()
        # ezdxf's own way moves a pattern by a little chance, and gives up by the clock: either
        # would make another page of the same drawing.
        lines = [
            Outline(_placed([Vec2(start), Vec2(end)], place))
            for baseline in pattern_baselines(hatch)
            for line in hatch_paths(baseline, loops)
            for start, end in baseline.pattern_renderer(line.distance).render(line.start, line.end)
        ]
        # Of a pattern wider than its area no line may fall within it.
        return (_stroke(pen.whole, lines, place),) if lines else ()

    def _text(self, text: Text, pen: Pen, place: _Place) -> Iterable[Piece]:
        if isinstance(text, Attrib):
            if text.has_embedded_mtext_entity:
                raise UnknownEntityError(f"{text}: lines of text in one attribute")
            if text.is_invisible:
                pen = pen.hidden
        bold = self._pens.bold(text.dxf.style)
        try:
            line = line_of(text, bold)
        except Unplaced as unplaced:
            raise UnknownEntityError(f"{text}: {unplaced}") from None
        return (_words(pen, line, bold, place),)

    def _mtext(self, text: MText, pen: Pen, place: _Place) -> Iterable[Piece]:
        bold = self._pens.bold(text.dxf.style)
        try:
            words = [_words(pen, line, bold, place) for line in lines_of(text, bold)]
        except Unplaced as unplaced:
            raise UnknownEntityError(f"{text}: {unplaced}") from None
        if not text.dxf.get("bg_fill", 0):
            return words
        # The margin follows the DXF reference's fill box scale: 1.5 leaves half a text height.
        margin = (text.dxf.get("box_fill_scale", 1.5) - 1.0) * text.dxf.char_height
        ground = pen._replace(color=_WHITE)
        masks = [
            Fill(ground, [Outline(each.line.corners(margin), (), True)], each.under, mask=True)
            for each in words
            if each.line.text.strip()
        ]
        return [*masks, *words]

    def _leader(self, leader: Leader, pen: Pen, place: _Place) -> Iterable[Piece]:
        inside = _within(place, pen)
        for part in virtual_entities(leader):
            yield from self.of(part, inside)

    def _dimension(self, dimension: Dimension, pen: Pen, place: _Place) -> Iterable[Piece]:
        if not (dimension.virtual_block_content or dimension.get_geometry_block()):
            raise UnknownEntityError(f"{dimension}: the dimension was never rendered")
        block = drawn_block(dimension)
        inside = _within(place, pen)
        for part in virtual_entities(dimension) if block is None else block:
            yield from self.of(part, inside)

    def _insert(self, insert: Insert, pen: Pen, place: _Place) -> Iterable[Piece]:
        if insert.has_extension_dict:
            from ezdxf.xclip import XClip

            if XClip(insert).has_clipping_path:
                raise UnknownEntityError(f"{insert}: a clipped block cannot be drawn on paper")
        # A layer hides what stands on it, not what a block on it holds.
        shown = place.shown and not insert.dxf.invisible
        block = insert.block()
        if block is None:
            raise UnknownEntityError(f"{insert}: there is no such block")
        for single in insert.multi_insert() if insert.mcount > 1 else (insert,):
            turn = single.matrix44()
            if place.turn is not None:
                turn *= place.turn
            inside = _Place(turn, pen, place.under, shown)
            for part in block:
                if part.dxftype() != "ATTDEF":
                    yield from self.of(part, inside)
        outside = place._replace(within=pen, shown=shown)
        for attribute in insert.attribs:
            yield from self.of(attribute, outside)


def _within(place: _Place, pen: Pen) -> _Place:
    """Where the parts of an entity stand whose own layer hides them all."""
    return place._replace(under=(*place.under, pen.layer), shown=pen.shown)


def _placed(points: Sequence[Vec2], place: _Place) -> Sequence[Vec2]:
    return points if place.turn is None else list(place.turn.fast_2d_transform(points))


def _stroke(pen: Pen, outlines: Sequence[Outline], place: _Place) -> Stroke:
    return Stroke(pen, outlines, (*place.under, pen.layer))


def _fill(pen: Pen, outlines: Sequence[Outline], place: _Place) -> Fill:
    return Fill(pen, outlines, (*place.under, pen.layer))


def _words(pen: Pen, line: TextLine, bold: bool, place: _Place) -> Words:
    if place.turn is not None:
        line = line._replace(matrix=_then(line.matrix, place.turn))
    return Words(pen, line, bold, (*place.under, pen.layer))


def _then(first: Affine, turn: Matrix44) -> Affine:
    """One change of axes after another."""
    a, b, c, d, e, f = first
    m, n, _, _, o, p, *_ = turn
    x, y, _ = turn.transform((e, f, 0.0))
    return (a * m + b * o, a * n + b * p, c * m + d * o, c * n + d * p, x, y)


def _outlines(paths: Iterable[Path], place: _Place) -> list[Outline]:
    """Each unbroken line of the paths."""
    found = []
    for path in paths:
        for part in path.sub_paths():
            points = Vec2.list(part.control_vertices())
            if not points:
                continue
            # ezdxf's codes of lines and curves are how many points each takes.
            parts = tuple(part.command_codes()) if part.has_curves else ()
            found.append(Outline(_placed(points, place), parts, part.is_closed))
    return found

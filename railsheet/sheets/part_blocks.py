"""Repeated parts as blocks: one drawing of a shape, inserted wherever the part stands.

Each insertion carries three attributes, not shown, that a fabricator's program can list: the
part's mark, its profile and its length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ezdxf.entities.circle import Circle
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.layouts.blocklayout import BlockLayout

from railsheet.layout.infill.parts import Corner
from railsheet.sheets.drawing import FIGURE_MM, REGULAR, one_line, per_paper_mm, tag
from railsheet.sheets.pen import Pen, Point

MARK, PROFILE, LENGTH = "MARK", "PROFILE", "LENGTH"
_PROMPTS = {
    MARK: "Mark on sheets and lists",
    PROFILE: "What it is made of",
    LENGTH: "Length over all",
}
# Shapes that differ by less are one block: a hundredth of what a test of a solid may show.
_SAME = 1e-7


@dataclass(frozen=True)
class PartTag:
    """What an inserted part says of itself.

    Attributes:
        mark: as on the sheets.
        profile: what it is made of, as the kit names it.
        length: over all, as it is printed.
        key: the key of the figure of its length; None where the book has none of its own.
    """

    mark: str
    profile: str
    length: str
    key: str | None = None


@dataclass(frozen=True)
class Shape:
    """A part's outlines, mm.

    Attributes:
        outlines: closed ones of three corners or more, and lines of two ends.
        circles: middles and radii.
        bulges: by outline, each corner's bulge to the next, as a DXF polyline holds arcs; none
            where every outline is of straight lines.
    """

    outlines: tuple[tuple[Point, ...], ...]
    circles: tuple[tuple[Point, float], ...] = ()
    bulges: tuple[tuple[float, ...], ...] = ()

    @property
    def bent(self) -> tuple[tuple[float, ...], ...]:
        """By outline, each corner's bulge."""
        return self.bulges or tuple((0.0,) * len(outline) for outline in self.outlines)

    def from_first_corner(self, pen: Pen) -> Shape:
        """The same in drawing units, the first outline's first corner at zero."""
        foot = pen.at(self.outlines[0][0])

        def moved(point: Point) -> Point:
            x, y = pen.at(point)
            return x - foot[0], y - foot[1]

        per = pen.at((1.0, 0.0))[0] - pen.at((0.0, 0.0))[0]
        return Shape(
            tuple(tuple(moved(point) for point in outline) for outline in self.outlines),
            tuple((moved(centre), radius * per) for centre, radius in self.circles),
            self.bulges,
        )

    def same_as(self, other: Shape) -> bool:
        """Whether it is the same shape in the same place."""
        mine, theirs = self._points(), other._points()
        return (
            [len(outline) for outline in self.outlines]
            == [len(outline) for outline in other.outlines]
            and len(mine) == len(theirs)
            and all(math.dist(p, q) < _SAME for p, q in zip(mine, theirs, strict=True))
        )

    def _points(self) -> list[tuple[float, ...]]:
        return [
            *(point for outline in self.outlines for point in outline),
            *((*centre, radius) for centre, radius in self.circles),
            *self.bent,
        ]


def insert_part(pen: Pen, kind: str, shape: Shape, layer: str, part: PartTag) -> None:
    """Draw a part as an insertion of its block.

    Args:
        pen: where it is drawn.
        kind: what the block's name begins with: BALUSTER, POST, BRACKET.
        shape: the part in place; the first corner is where the block stands.
        layer: of the outlines and of the insertion.
        part: its attributes.
    """
    foot = pen.at(shape.outlines[0][0])
    local = shape.from_first_corner(pen)
    block = _find(pen, kind, local) or _define(pen, kind, local, layer)
    insert = pen.msp.add_blockref(block.name, foot, dxfattribs={"layer": layer})
    for row, (name, text) in enumerate(
        ((MARK, part.mark), (PROFILE, part.profile), (LENGTH, part.length))
    ):
        attribute = insert.add_attrib(
            name,
            one_line(text),
            (foot[0], foot[1] - row * _pitch(pen)),
            dxfattribs=_lettering(pen, layer),
        )
        attribute.is_invisible = True
    tag(insert, part.key)


def over_all_mm(body: Sequence[Corner]) -> float:
    """The length of a bar of the infill, long point to long point: upright, or along its slope."""
    sides = [
        (end[0] - start[0], end[1] - start[1])
        for start, end in zip(body, [*body[1:], body[0]], strict=True)
    ]
    across, up = max(sides, key=lambda side: math.hypot(*side))
    if abs(across) < _SAME * abs(up):
        heights = [z for _, z in body]
        return max(heights) - min(heights)
    return math.hypot(across, up)


def _pitch(pen: Pen) -> float:
    return FIGURE_MM * 1.6 * per_paper_mm(pen.msp, pen.scale)


def _lettering(pen: Pen, layer: str) -> dict[str, object]:
    height = FIGURE_MM * per_paper_mm(pen.msp, pen.scale)
    return {"layer": layer, "style": REGULAR, "height": height}


def _define(pen: Pen, kind: str, local: Shape, layer: str) -> BlockLayout:
    doc = pen.msp.doc
    assert doc is not None
    number = sum(block.name.startswith(f"{kind}-") for block in doc.blocks) + 1
    block = doc.blocks.new(f"{kind}-{number}")
    for points, bulges in zip(local.outlines, local.bent, strict=True):
        corners = [(x, y, bulge) for (x, y), bulge in zip(points, bulges, strict=True)]
        attributes = {"layer": layer}
        block.add_lwpolyline(corners, "xyb", close=len(points) > 2, dxfattribs=attributes)
    for centre, radius in local.circles:
        block.add_circle(centre, radius, dxfattribs={"layer": layer})
    for row, (name, prompt) in enumerate(_PROMPTS.items()):
        definition = block.add_attdef(
            name, (0.0, -row * _pitch(pen)), dxfattribs=_lettering(pen, layer)
        )
        definition.dxf.prompt = prompt
        definition.is_invisible = True
    return block


def _find(pen: Pen, kind: str, local: Shape) -> BlockLayout | None:
    """The block of that kind with just this shape, if the document has it."""
    assert pen.msp.doc is not None
    for block in pen.msp.doc.blocks:
        if not block.name.startswith(f"{kind}-"):
            continue
        lines = [line for line in block if isinstance(line, LWPolyline)]
        drawn = Shape(
            tuple(tuple((x, y) for x, y in line.get_points("xy")) for line in lines),
            tuple(
                ((circle.dxf.center.x, circle.dxf.center.y), circle.dxf.radius)
                for circle in block
                if isinstance(circle, Circle)
            ),
            tuple(tuple(bulge for (bulge,) in line.get_points("b")) for line in lines),
        )
        if drawn.same_as(local):
            return block
    return None

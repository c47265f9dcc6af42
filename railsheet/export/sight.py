"""Which entities of model space a view can show, so that a view need not draw them all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ezdxf.entities.dimension import Dimension
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.entities.viewport import Viewport
from ezdxf.math import BoundingBox2d, Vec2

from railsheet.export.drawn_parts import drawn_block, reach

# No letter of the sheets' faces is as wide as this many of its capitals, nor a line as deep.
_LETTER_CAPS, _LINE_CAPS = 1.6, 2.5


class Sight:
    """Bounds of entities, each worked out once however many views look at it.

    An entity must not be moved between two looks at it.
    """

    def __init__(self) -> None:
        self._bounds: dict[DXFEntity, BoundingBox2d | None] = {}

    def entities(self, view: Viewport) -> Iterator[DXFGraphic]:
        """The entities of model space that may show in a view, in their order."""
        assert view.doc is not None
        left, bottom, right, top = view.get_modelspace_limits()
        window = BoundingBox2d(Vec2.list(((left, bottom), (right, top))))
        for entity in view.doc.modelspace():
            if entity not in self._bounds:
                self._bounds[entity] = _bounds(entity)
            bounds = self._bounds[entity]
            if bounds is None or window.has_overlap(bounds):
                yield entity


def _bounds(entity: DXFEntity) -> BoundingBox2d | None:
    """A rectangle that holds the entity with room to spare; None where that is not known."""
    if isinstance(entity, (Dimension, Insert)):
        box = BoundingBox2d()
        for part in _parts(entity):
            inner = _bounds(part)
            if inner is None:
                return None
            box.extend(inner)
        return box if box.has_data else None
    if isinstance(entity, MText):
        lines = entity.text.split("\\P")
        return _lettering(Vec2(entity.dxf.insert), entity.dxf.char_height, lines)
    if isinstance(entity, Text):
        return _lettering(Vec2(entity.dxf.insert), entity.dxf.height, [entity.dxf.text])
    if entity.dxftype() in ("LINE", "LWPOLYLINE", "CIRCLE", "ARC", "SOLID", "POINT", "HATCH"):
        found = reach(entity)
        return found if found.has_data else None
    return None


def _parts(entity: Dimension | Insert) -> Iterable[DXFEntity]:
    if isinstance(entity, Insert):
        return (*entity.virtual_entities(), *entity.attribs)
    block = drawn_block(entity)
    return entity.virtual_entities() if block is None else block


def _lettering(at: Vec2, cap: float, lines: list[str]) -> BoundingBox2d:
    """All that lettering can reach, however it is turned or set about its point."""
    reach = cap * (_LETTER_CAPS * max(map(len, lines)) + _LINE_CAPS * (len(lines) + 1))
    return BoundingBox2d((at - Vec2(reach, reach), at + Vec2(reach, reach)))

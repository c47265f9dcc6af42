"""What a composite entity shows, and how far a simple one reaches, without copies of either."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ezdxf.disassemble import make_primitive, recursive_decompose
from ezdxf.entities.dimension import Dimension
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.line import Line
from ezdxf.entities.point import Point
from ezdxf.math import BoundingBox2d, Vec3


def drawn_block(dimension: Dimension) -> Iterable[DXFGraphic] | None:
    """What was drawn of a dimension, as it stands in its block.

    None where it does not stand there as it shows: turned out of the plane, or set elsewhere.
    ezdxf copies each part before it looks at it; of a sheet's dimensions none needs it.
    """
    if dimension.virtual_block_content or dimension.ocs().transform or dimension.dxf.get("insert"):
        return None
    return dimension.get_geometry_block()


def decomposed(entities: Iterable[DXFEntity]) -> Iterator[DXFEntity]:
    """Every simple entity that the given ones show, those within blocks included."""
    for entity in entities:
        block = drawn_block(entity) if isinstance(entity, Dimension) else None
        yield from recursive_decompose((entity,) if block is None else block)


def reach(entity: DXFEntity) -> BoundingBox2d:
    """The box round a simple entity; a curve's may be a little larger than the curve."""
    if isinstance(entity, Line):
        return BoundingBox2d((entity.dxf.start, entity.dxf.end))
    if isinstance(entity, Point):
        return BoundingBox2d((entity.dxf.location,))
    primitive = make_primitive(entity)
    if primitive.is_empty:
        return BoundingBox2d()
    found = primitive.bbox(fast=True)
    return (
        BoundingBox2d((Vec3(found.extmin), Vec3(found.extmax)))
        if found.has_data
        else BoundingBox2d()
    )

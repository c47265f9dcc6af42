"""ezdxf's writing of attributes, without asking after those that an entity does not have.

Every entity has some twenty that it may have, and a handful that it has; ezdxf looks each one up in
four calls, which is half of what writing a file takes. The tags that come out are the same: a test
holds the files to what ezdxf writes by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from ezdxf.entities.dxfns import DXFNamespace
from ezdxf.lldxf.attributes import XType
from ezdxf.lldxf.tagwriter import AbstractTagWriter
from ezdxf.lldxf.types import BINARY_DATA, POINT_CODES, cast_tag_value

_one_by_one = DXFNamespace.export_dxf_attribs


def _those_it_has(
    namespace: DXFNamespace, tagwriter: AbstractTagWriter, attribs: str | Iterable[str]
) -> None:
    has: dict[str, Any] = namespace.__dict__
    for name in (attribs,) if isinstance(attribs, str) else attribs:
        attribute = namespace.dxfattribs.get(name)
        value = has.get(name)
        if attribute is None or attribute.xtype is XType.callback or attribute.code in BINARY_DATA:
            _one_by_one(namespace, tagwriter, name)
            continue
        if value is None:
            if attribute.optional or attribute.default is None:
                continue
            value = attribute.default
        elif (
            attribute.optional
            and attribute.default is not None
            and attribute.default == value
            and not tagwriter.force_optional
        ):
            continue
        if tagwriter.dxfversion < attribute.dxfversion:
            continue
        code = attribute.code
        if code in POINT_CODES:
            axes = tuple(value)[:2] if attribute.xtype is XType.point2d else tuple(value)
            for number, axis in enumerate(axes):
                tagwriter.write_tag2(code + 10 * number, float(axis))
        else:
            if isinstance(value, str) and ("\n" in value or "\r" in value):
                raise ValueError(f"a line break in {name}: {value!r}")
            tagwriter.write_tag2(code, cast_tag_value(code, value))


@contextmanager
def quick_tags() -> Iterator[None]:
    """While the block lasts, ezdxf writes attributes so."""
    DXFNamespace.export_dxf_attribs = _those_it_has  # type: ignore[assignment, method-assign]
    try:
        yield
    finally:
        DXFNamespace.export_dxf_attribs = _one_by_one  # type: ignore[method-assign]

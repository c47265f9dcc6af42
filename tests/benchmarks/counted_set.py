"""What a drawn set holds, counted from its files: the work a bare program is given to do again."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.layouts.base import BaseLayout
from pypdf import PdfReader
from pypdf.generic import ContentStream


def counted(folder: Path) -> dict[str, Any]:
    """Every DXF's and PDF's contents, as JSON values."""
    return {
        "dxf": [_drawing(path) for path in sorted(folder.glob("*.dxf"))],
        "pdf": [_pages(path) for path in sorted(folder.glob("*.pdf"))],
    }


def _drawing(path: Path) -> dict[str, Any]:
    doc = ezdxf.readfile(path)
    # What is drawn of a dimension (blocks *D) follows from rendering it, and is not counted twice.
    blocks = [
        _space(block)
        for block in doc.blocks
        if not block.is_any_layout and not block.name.startswith("*D")
    ]
    return {
        "version": doc.dxfversion,
        "layers": len(doc.layers),
        "model": _space(doc.modelspace()),
        "sheets": [_space(layout) for layout in doc.layouts if layout.name != "Model"],
        "blocks": blocks,
    }


def _space(space: BaseLayout) -> dict[str, Any]:
    kinds: dict[str, int] = {}
    texts, outlines, attributes = [], [], []
    for entity in space:
        kind = entity.dxftype()
        match kind:
            case "TEXT":
                texts.append([kind, entity.dxf.text])
            case "MTEXT":
                texts.append([kind, entity.text])
            case "LWPOLYLINE":
                outlines.append(len(entity))
            case "INSERT":
                attributes.append(len(entity.attribs))
            case _:
                kinds[kind] = kinds.get(kind, 0) + 1
    return {"kinds": kinds, "texts": texts, "outlines": outlines, "attributes": attributes}


def _pages(path: Path) -> list[dict[str, Any]]:
    reader = PdfReader(path)
    pages = []
    for page in reader.pages:
        ops: dict[str, int] = {}
        texts = []
        for operands, name in ContentStream(page.get_contents(), reader).operations:
            op = name.decode()
            ops[op] = ops.get(op, 0) + 1
            if op == "Tj":
                texts.append(len(operands[0].original_bytes))
        pages.append(
            {
                "size": [float(page.mediabox.width), float(page.mediabox.height)],
                "strokes": ops.get("S", 0),
                "fills": ops.get("f*", 0) + ops.get("f", 0),
                "segments": ops.get("l", 0) + ops.get("c", 0),
                "texts": texts,
            }
        )
    return pages

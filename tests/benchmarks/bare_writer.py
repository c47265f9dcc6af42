"""The bare cost: a plain program that writes as much as a set holds, and solves nothing.

Run as ``python bare_writer.py COUNTS.json FOLDER``: for each DXF that was counted it adds as many
entities of each kind to a new document and saves it, each dimension rendered; for each PDF it
draws as many strokes, areas and lines of text to a page in the same embedded faces. Nothing of
railsheet is imported.
"""

from __future__ import annotations

import importlib.util
import json
import sys
from itertools import cycle, islice
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.layouts.base import BaseLayout
from reportlab.lib.colors import HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

# Letters in the mixture of a sheet, so that about as many glyphs are embedded.
LETTERS = (
    "0123456789 /\"'.,:;()-+=%°×ABCDEFGHIJKLMNOPRSTUW abcdefghijklmnopqrstuvwxyz — the rail's cut "
)


def main(counts: Path, folder: Path) -> None:
    """Write the counted set's like into a folder."""
    work = json.loads(counts.read_text(encoding="utf-8"))
    for number, drawing in enumerate(work["dxf"]):
        write_drawing(drawing, folder / f"{number}.dxf")
    regular, bold = register()
    for number, pages in enumerate(work["pdf"]):
        write_pages(pages, folder / f"{number}.pdf", regular, bold)


def write_drawing(drawing: dict[str, Any], path: Path) -> None:
    """One DXF of as many entities."""
    doc = ezdxf.new(drawing["version"])
    for number in range(drawing["layers"] - len(doc.layers)):
        doc.layers.add(f"L{number}")
    for number, space in enumerate(drawing["blocks"]):
        fill(doc.blocks.new(f"B{number}"), space)
    doc.blocks.new("PART").add_line((0, 0), (1, 1))
    fill(doc.modelspace(), drawing["model"])
    for number, space in enumerate(drawing["sheets"]):
        name = f"Sheet {number}"
        layout = doc.paperspace() if number == 0 else doc.new_layout(name)
        fill(layout, space)
    doc.saveas(path)


def fill(space: BaseLayout, counts: dict[str, Any]) -> None:
    """Add as many entities of each kind."""
    put = {"layer": "L0"}
    for number, (kind, text) in enumerate(counts["texts"]):
        if kind == "TEXT":
            space.add_text(text, height=2.5, dxfattribs=put).set_placement((number, number))
        else:
            space.add_mtext(text, dxfattribs={**put, "insert": (number, number)})
    for size in counts["outlines"]:
        space.add_lwpolyline([(n, n % 2) for n in range(size)], dxfattribs=put)
    for size in counts["attributes"]:
        insert = space.add_blockref("PART", (size, size), dxfattribs=put)
        for number in range(size):
            insert.add_attrib(f"TAG{number}", "36 1/8", (number, number))
    for kind, count in counts["kinds"].items():
        for number in range(count):
            add(space, kind, float(number), put)


def add(space: BaseLayout, kind: str, at: float, put: dict[str, str]) -> None:
    """Add one entity that has no size of its own to follow."""
    match kind:
        case "LINE":
            space.add_line((at, 0), (at, 1), dxfattribs=put)
        case "CIRCLE":
            space.add_circle((at, 0), 1, dxfattribs=put)
        case "ARC":
            space.add_arc((at, 0), 1, 0, 90, dxfattribs=put)
        case "POINT":
            space.add_point((at, 0), dxfattribs=put)
        case "SOLID":
            space.add_solid([(at, 0), (at, 1), (at + 1, 0)], dxfattribs=put)
        case "ATTDEF":
            space.add_attdef(f"TAG{at:.0f}", (at, 0), "", dxfattribs=put)
        case "VIEWPORT":
            space.add_viewport((at, 0), (1, 1), (0, 0), 1, dxfattribs=put)
        case "HATCH":
            hatch = space.add_hatch(dxfattribs=put)
            hatch.set_pattern_fill("ANSI31")
            hatch.paths.add_polyline_path([(at, 0), (at + 1, 0), (at + 1, 1)], is_closed=True)
        case "DIMENSION":
            space.add_linear_dim((0, 5), (0, 0), (at + 1, 0), dxfattribs=put).render()
        case _:
            raise ValueError(f"the bare program has no {kind}: the set has something new")


def register() -> tuple[str, str]:
    """The faces of the sheets, found as the sheets find them: DejaVu Sans of matplotlib."""
    found = importlib.util.find_spec("matplotlib")
    assert found is not None
    assert found.origin is not None
    faces = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"
    for name in ("DejaVuSans", "DejaVuSans-Bold"):
        pdfmetrics.registerFont(TTFont(name, str(faces / f"{name}.ttf")))
    return "DejaVuSans", "DejaVuSans-Bold"


def write_pages(pages: list[dict[str, Any]], path: Path, regular: str, bold: str) -> None:
    """One PDF of as many pages, strokes, areas and lines of text."""
    canvas = Canvas(str(path), pageCompression=1, invariant=1, initialFontName=regular)
    letters = cycle(LETTERS)
    ink = HexColor("#303030")
    for page in pages:
        canvas.setPageSize(page["size"])
        shapes = page["strokes"] + page["fills"]
        for number in range(shapes):
            done = page["segments"] * number // shapes
            segments = page["segments"] * (number + 1) // shapes - done
            outline = canvas.beginPath()
            outline.moveTo(number, 0)
            for step in range(segments):
                outline.lineTo(number + step, step % 2)
            if number < page["strokes"]:
                canvas.setStrokeColor(ink)
                canvas.setLineWidth(0.5)
                canvas.drawPath(outline)
            else:
                canvas.setFillColor(ink)
                canvas.drawPath(outline, stroke=0, fill=1)
        for number, length in enumerate(page["texts"]):
            canvas.setFont(bold if number % 8 == 0 else regular, 9)
            canvas.drawString(number % 500, number % 700, "".join(islice(letters, length)))
        canvas.showPage()
    canvas.save()


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))

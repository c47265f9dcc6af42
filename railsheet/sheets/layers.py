"""The layers of every drawing: one a kind, each with its colour on a screen, its ink and its pen.

On a screen, kinds are told apart by colour. On paper they are told apart by pen and line type, in
black, so that a copy of a copy still reads; what must catch the eye has an ink of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ezdxf.document import Drawing

LineType = Literal["CONTINUOUS", "RS-HIDDEN", "RS-CENTRE", "RS-DASHED"]
Ink = tuple[int, int, int]

BLACK: Ink = (0, 0, 0)


@dataclass(frozen=True)
class LayerSpec:
    """A named layer.

    Attributes:
        name: the layer's name in the DXF file.
        about: what stands on it, in words; the layer's description in the file.
        aci: colour index on a screen (AutoCAD Color Index, DXF reference, group 62).
        weight: pen width, hundredths of a millimetre (a DXF standard weight).
        linetype: line type name.
        plot: whether it is printed.
        ink: red, green, blue on paper.
    """

    name: str
    about: str
    aci: int
    weight: int
    linetype: LineType = "CONTINUOUS"
    plot: bool = True
    ink: Ink = BLACK


LAYERS = (
    LayerSpec("STAIR", "stair and decks as built", 8, 35, ink=(90, 90, 90)),
    LayerSpec("SECTION", "hatching of what is cut through", 9, 13, ink=(90, 90, 90)),
    LayerSpec("POST", "posts and base plates", 5, 50),
    LayerSpec("RAIL", "rails, panes and panels", 4, 50),
    LayerSpec("BALUSTER", "what fills a bay", 3, 25),
    LayerSpec("BRACKET", "brackets and their mounts", 30, 25),
    LayerSpec("HOLE", "holes and slots", 6, 18),
    LayerSpec("DIM", "dimensions", 2, 13),
    LayerSpec("TEXT", "lettering", 7, 18),
    LayerSpec("CENTRE", "centre lines, bracket ends", 1, 13, "RS-CENTRE"),
    LayerSpec("HIDDEN", "hidden edges, levels", 9, 18, "RS-HIDDEN"),
    LayerSpec("WINDOW", "where a post may stand", 150, 25, ink=(20, 80, 160)),
    LayerSpec("BORDER", "frame of a sheet", 7, 50),
    LayerSpec("TITLE", "title block", 7, 25),
    LayerSpec("FINDING", "what must be settled", 1, 35, ink=(190, 20, 20)),
    LayerSpec("REVISION", "clouds round what changed", 210, 35, ink=(150, 20, 130)),
    LayerSpec("DETAIL", "what only a larger view shows", 7, 13),
    LayerSpec("VIEW", "edges of views, not printed", 9, 13, plot=False),
)

INKS = {spec.name: spec.ink for spec in LAYERS}


def add_layers(doc: Drawing) -> None:
    """Enter every layer in a document's table."""
    for spec in LAYERS:
        layer = doc.layers.add(
            spec.name, color=spec.aci, lineweight=spec.weight, linetype=spec.linetype
        )
        layer.dxf.plot = int(spec.plot)
        layer.description = spec.about

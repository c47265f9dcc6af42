"""The kit form's sheet of what parts weigh."""

from __future__ import annotations

from railsheet.job.kit_mass import materials
from railsheet.sheets.drawing import SMALL_MM
from railsheet.sheets.form_paper import Box, FormPage, KeyTable

_SECTION = "by its length"
_PARTS = (
    Box("post", f"without its plate, {_SECTION}"),
    Box("plate", "what it is made of, or by its area"),
    Box("top_rail", _SECTION),
    Box("bottom_rail", _SECTION),
)
_ROW = (Box("baluster", _SECTION),)
_FILLS = {
    "cut": (*_ROW, Box("fillet", f"{_SECTION}; none: leave it out")),
    "cable": (Box("cable", _SECTION), Box("brace", _SECTION)),
    "solid": (Box("pane", "what it is made of, or by its area"),),
}


def mass_table(fills: str) -> KeyTable:
    """``[mass]``, for what fills a kit's bays."""
    return KeyTable("[mass]", (*_PARTS, *_FILLS.get(fills, _ROW)))


def draw_mass_page(page: FormPage, fills: str) -> None:
    """Its table, and how a mass is written."""
    left, right, wide = page.columns()
    top = page.room.top - 8.0
    page.tables([mass_table(fills)], left, top, wide)
    page.paragraph(
        "Weigh a sample of each part, or take its maker's figure, and divide by its length: in "
        'kg/m or lb/ft, as "1.42 kg/m"; a flat part by its area, in kg/m2 or lb/ft2. Of a part '
        "that is solid through, write its material, or a density in kg/m3 or lb/ft3. Materials "
        f"known: {', '.join(sorted(materials()))}. A hollow part has its figure, not its material. "
        "What is left out is not weighed, and no bay that it stands in.",
        right,
        top,
        wide,
        SMALL_MM,
    )

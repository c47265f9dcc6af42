"""One part at full size in a drawing of its own, for a machine to read.

What is cut stands alone on its layer as one closed outline; holes are circles on theirs; what is
only scribed, and the words, are kept off both.
"""

from __future__ import annotations

from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.filemanagement import new

from railsheet.cuts.flat_parts import FlatPart, Outline, Point
from railsheet.sheets.drawing import APPID, FIGURE_MM, REGULAR, mtext_escape
from railsheet.sheets.scales import MM_PER_UNIT, Unit

CUT, HOLE, SCRIBE, WORDS = "CUT", "HOLE", "SCRIBE", "WORDS"
# Layer: colour index on a screen, pen in hundredths of a millimetre, what stands on it.
PART_LAYERS = {
    CUT: (7, 25, "outline to cut, closed"),
    HOLE: (1, 25, "round holes to make"),
    SCRIBE: (5, 13, "marked only, never cut"),
    WORDS: (8, 13, "words, for the reader"),
}


def part_document(part: FlatPart, unit: Unit) -> Drawing:
    """The part's drawing, one unit of it one unit of the real thing, its corner at zero."""
    # The oldest version that also says whose it is: what the most machines read.
    doc = new("R2004", setup=False)
    doc.units = units.IN if unit == "in" else units.MM
    doc.header["$MEASUREMENT"] = 0 if unit == "in" else 1
    doc.appids.add(APPID)
    doc.styles.add(REGULAR, font="arial.ttf")
    for name, (colour, weight, _) in PART_LAYERS.items():
        doc.layers.add(name, color=colour, lineweight=weight)
    per = MM_PER_UNIT[unit]
    msp = doc.modelspace()

    def scaled(outline: Outline) -> list[Point]:
        return [(x / per, y / per) for x, y in outline]

    msp.add_lwpolyline(scaled(part.outline), close=True, dxfattribs={"layer": CUT})
    for hole in part.holes:
        (centre,) = scaled((hole.centre,))
        msp.add_circle(centre, hole.diameter_mm / 2 / per, dxfattribs={"layer": HOLE})
    for outline in part.scribed:
        msp.add_lwpolyline(scaled(outline), close=True, dxfattribs={"layer": SCRIBE})
    words = msp.add_mtext(
        mtext_escape("\n".join(part_words(part, unit))),
        dxfattribs={
            "layer": WORDS,
            "style": REGULAR,
            "char_height": FIGURE_MM / per,
            "attachment_point": int(MTextEntityAlignment.TOP_LEFT),
            # Clear below the part, whose least y is zero.
            "insert": (0.0, -2.0 * FIGURE_MM / per),
        },
    )
    words.dxf.width = 0.0
    return doc


def part_words(part: FlatPart, unit: Unit) -> tuple[str, ...]:
    """What stands under a part: its marks, how many to make, what to know."""
    named = "inches" if unit == "in" else "millimetres"
    return (
        f"{', '.join(part.marks)}: {part.title}",
        f"Make {part.count}. Full size, {named}.",
        *(f"{remark[0].upper()}{remark[1:]}." for remark in part.remarks),
    )

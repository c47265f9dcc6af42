"""A rail's end cut askew or coped, unfolded at full size: paper to wrap round the bar."""

from __future__ import annotations

from collections.abc import Iterator

from ezdxf.enums import MTextEntityAlignment

from railsheet.cuts.pieces import RailPiece
from railsheet.figures.flight import rail_key
from railsheet.job.model import Side
from railsheet.layout.development import Face, Strip, edge_mm, unfolded
from railsheet.layout.rail_ends import End
from railsheet.sheets.drawing import SMALL_MM
from railsheet.sheets.paper import Rect
from railsheet.sheets.pen import LEVEL, PLUMB, Pen
from railsheet.sheets.rail_end_template import EndTemplate
from railsheet.sheets.schedule import RunWork
from railsheet.units.length import MM_PER_INCH

# Room beside the paper for its dimensions, mm.
_BESIDE, _BELOW, _OVER, _PAST = 18.0, 10.0, 11.0, 4.0
_SAME_DIGITS = 6


def wrap_templates(work: RunWork) -> Iterator[EndTemplate]:
    """One for each distinct end that no template lying on one side could show."""
    seen: set[tuple[object, ...]] = set()
    for piece in work.pieces.rails:
        rail = piece.rail
        for end in (End.UPHILL, End.DOWNHILL):
            cut = rail.end(end)
            if not (cut.slant or cut.cope_mm):
                continue
            sizes = cut.lean, cut.slant, cut.cope_mm, rail.kit.depth_mm, rail.kit.width_mm
            faces = _faces(piece, end, work.railing.spec.side)
            shape = (end, *faces.values(), *(round(size, _SAME_DIGITS) for size in sizes))
            if shape not in seen:
                seen.add(shape)
                yield _wrap(work, piece, end)


def _faces(piece: RailPiece, end: End, side: Side) -> dict[Face, str]:
    """What each face is called, looking out of an end."""
    left = piece.left_face(side)
    other = {
        "outer face": "walking-side face",
        "walking-side face": "outer face",
        "face toward the run": "face away from the run",
        "face away from the run": "face toward the run",
    }[left]
    # Looking out of a downhill end, the left face going up lies to the right.
    first, second = (left, other) if end is End.UPHILL else (other, left)
    return {Face.TOP: "top", Face.RIGHT: second, Face.UNDERSIDE: "underside", Face.LEFT: first}


def _wrap(work: RunWork, piece: RailPiece, end: End) -> EndTemplate:
    rail, key = piece.rail, f"{rail_key(work.mark, piece)}.{end.value}"
    strips = unfolded(rail, end)
    faces = _faces(piece, end, work.railing.spec.side)

    def draw(pen: Pen) -> None:
        edge = pen.book.value(f"{key}.template.edge")
        around = strips[-1].stop_mm
        line = [point for strip in strips for point in strip.cut]
        pen.outline([(0.0, 0.0), *((p, edge - back) for p, back in line), (around, 0.0)], "RAIL")
        for strip in strips:
            if strip.start_mm:
                pen.line((strip.start_mm, 0.0), (strip.start_mm, edge - strip.cut[0][1]), "HIDDEN")
            _name(pen, strip, faces[strip.face])
        pen.dim(
            (0.0, 0.0),
            (around, 0.0),
            (0.0, -5.0),
            LEVEL,
            f"{key}.template.around",
            note="once round",
            outside="end",
        )
        longest = min(line, key=lambda point: point[1])
        shortest = max(line, key=lambda point: point[1])
        pen.dim(
            (around, 0.0),
            (longest[0], edge),
            (around + 12.0, 0.0),
            PLUMB,
            f"{key}.template.edge",
            outside="none",
        )
        pen.dim(
            (shortest[0], edge - shortest[1]),
            (longest[0], edge),
            (around + 5.0, 0.0),
            PLUMB,
            f"{key}.short_point",
            outside="end",
        )

    high = edge_mm(rail, end, MM_PER_INCH)
    word = piece.end_word(end)
    return EndTemplate(
        f"{piece.mark}: {word} end, to wrap round the bar",
        f"{rail.kit.name}. Words outward, end of the bar up, lower edge squared round it.",
        Rect(-_PAST, -_BELOW, strips[-1].stop_mm + _BESIDE, high + _OVER),
        draw,
    )


def _name(pen: Pen, strip: Strip, words: str) -> None:
    """A face's name along it, by the lower edge."""
    pen.note(
        words,
        ((strip.start_mm + strip.stop_mm) / 2, 4.0),
        align=MTextEntityAlignment.MIDDLE_CENTER,
        height_mm=SMALL_MM,
    )

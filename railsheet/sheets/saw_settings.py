"""Saw settings as a rail sheet draws them: each as seen from above the table, not to scale."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from ezdxf.enums import MTextEntityAlignment

from railsheet.cuts.pieces import RailPiece
from railsheet.figures.flight import rail_key
from railsheet.job.kit_bracket import EndCut
from railsheet.job.model import Side
from railsheet.layout.compound import Lies
from railsheet.layout.rail_ends import End, RailEnd
from railsheet.sheets.pen import Pen
from railsheet.sheets.schedule import RunWork

_SAW_HIGH_MM = 31.0
_SAW_WIDE_MM = 80.0
# A compound cut's words take two lines more.
_COMPOUND_MM = 8.0
_SAME_DIGITS = 9


@dataclass(frozen=True)
class _Setting:
    """One setting of the saw, and the ends it makes.

    Attributes:
        rail_end: one of them.
        key: where its angles stand in the book.
        made: every end so cut, in words.
    """

    rail_end: RailEnd
    key: str
    made: tuple[str, ...]


def settings(work: RunWork, pieces: Sequence[RailPiece]) -> tuple[_Setting, ...]:
    """The saw settings these rails need, square cuts together."""
    found: dict[Hashable, list[tuple[str, str, RailEnd]]] = {}
    for piece in pieces:
        for end in (End.UPHILL, End.DOWNHILL):
            cut = piece.rail.end(end)
            key = f"{rail_key(work.mark, piece)}.{end.value}"
            angles = round(cut.lean, _SAME_DIGITS), round(cut.slant, _SAME_DIGITS)
            alike = cut.cut, None if cut.cut is EndCut.SQUARE else end, angles
            found.setdefault(alike, []).append((f"{piece.mark} {end.value}", key, cut))
    return tuple(
        _Setting(ends[0][2], ends[0][1], tuple(name for name, *_ in ends))
        for ends in found.values()
    )


def settings_high_mm(work: RunWork, pieces: Sequence[RailPiece], wide_mm: float) -> float:
    """What the settings of these rails take of a sheet's height, on paper."""
    return sum(_row_high_mm(row) for row in _rows(work, pieces, wide_mm))


def _rows(work: RunWork, pieces: Sequence[RailPiece], wide_mm: float) -> list[tuple[_Setting, ...]]:
    every = settings(work, pieces)
    abreast = max(int(wide_mm // _SAW_WIDE_MM), 1)
    return [every[at : at + abreast] for at in range(0, len(every), abreast)]


def _row_high_mm(row: Sequence[_Setting]) -> float:
    compound = any(setting.rail_end.slant for setting in row)
    return _SAW_HIGH_MM + (_COMPOUND_MM if compound else 0.0)


def draw_settings(
    pen: Pen, work: RunWork, pieces: Sequence[RailPiece], wide_mm: float, side: Side
) -> None:
    """Each saw setting as seen from above the table, not to scale."""
    top = 0.0
    for row in _rows(work, pieces, wide_mm):
        for number, setting in enumerate(row):
            _draw_saw(pen, setting, number * pen.paper(_SAW_WIDE_MM), top, side)
        top -= pen.paper(_row_high_mm(row))


def face_toward_reader(side: Side) -> str:
    """Which face of a rail is seen with its uphill end at the left: the left one going up.

    Standing on the steps and facing a rail on the left going up, uphill is to the right: with
    uphill at the left one looks at its outer face.
    """
    return "outer face" if side is Side.LEFT else "walking-side face"


def _draw_saw(pen: Pen, setting: _Setting, left: float, top: float, side: Side) -> None:
    mm, cut = pen.paper, setting.rail_end
    fence, depth = top - mm(13.0), mm(7.0)
    blade = left + mm(24.0)
    # Uphill at the left: where the top leans uphill it lies further left, at the fence.
    shift = depth * cut.lean
    keeps_right = cut.end is End.UPHILL
    head = (blade - shift / 2, fence)
    foot = (blade + shift / 2, fence - depth)
    far = left + (mm(44.0) if keeps_right else mm(4.0))
    pen.line((left + mm(2), fence + mm(0.8)), (left + mm(46), fence + mm(0.8)), "STAIR")
    pen.note("fence", (left + mm(46.5), fence), height_mm=2.0)
    pen.outline([head, (far, fence), (far, fence - depth), foot], "RAIL")
    waste = left + (mm(6.0) if keeps_right else mm(42.0))
    pen.outline([head, (waste, fence), (waste, fence - depth), foot], "HIDDEN", close=False)
    slope = (foot[0] - head[0]) / depth
    low = (foot[0] + slope * mm(3.5), foot[1] - mm(3.5))
    high = (head[0] - slope * mm(4), head[1] + mm(4))
    pen.line(high, low, "CENTRE")
    key = setting.key
    title = f"{_title(cut)}: saw at {pen.book.text(f'{key}.saw')}"
    if cut.slant:
        # The arris on the table, seen through the bar.
        under = cut.slant * depth
        pen.line((head[0] + under, head[1]), (foot[0] + under, foot[1]), "HIDDEN")
    pen.note(title, (left, top - mm(3.4)), bold=True)
    pen.note(", ".join(setting.made), (left, top - mm(7.4)), height_mm=2.0)
    for word, edge in (("keep", far), ("off", waste)):
        pen.note(
            word,
            ((blade + edge) / 2, fence - depth / 2),
            align=MTextEntityAlignment.MIDDLE_CENTER,
            height_mm=2.0,
        )
    beside = [f"{face_toward_reader(side)} up,", "top to the fence", *_tilt_words(pen, setting)]
    for row, words in enumerate(beside):
        pen.note(words, (left + mm(46.5), fence - mm(4.0 + 3.4 * row)), height_mm=2.0)
    for row, words in enumerate(_flat_words(pen, setting)):
        pen.note(words, (left, top - mm(34.0 + 3.4 * row)), height_mm=2.0)
    if cut.lean:
        square = (foot[0], foot[1] - mm(6.5))
        down = (foot[0] + slope * mm(6.5), foot[1] - mm(6.5))
        pen.line(foot, square, "HIDDEN")
        first, second = (square, down) if slope > 0 else (down, square)
        pen.angle(foot, first, second, mm(5), f"{key}.saw")


def _title(cut: RailEnd) -> str:
    word = cut.cut.value.capitalize()
    return f"{word} cut" if cut.cut is EndCut.SQUARE else f"{word} cut, {cut.end.value} ends"


def _tilt_words(pen: Pen, setting: _Setting) -> tuple[str, ...]:
    """A compound cut's bevel, and which way: the left face going up lies uppermost here."""
    cut = setting.rail_end
    if not cut.slant:
        return ()
    bevel = f"bevel {pen.book.text(f'{setting.key}.bevel')}: blade's top"
    if cut.inward_slant < 0:
        return bevel, "to the off side, long point up"
    return bevel, "to the kept side, long point", "on the table"


def _flat_words(pen: Pen, setting: _Setting) -> tuple[str, ...]:
    """A compound cut with the rail lying flat, for who would rather cut it so."""
    cut, key = setting.rail_end, f"{setting.key}.flat"
    if not cut.slant:
        return ()
    point = cut.setting(Lies.ON_UNDERSIDE).long_point
    return (
        "Or flat, underside on the table, this end at the right:",
        f"mitre {pen.book.text(f'{key}.mitre')}, bevel {pen.book.text(f'{key}.bevel')}, long "
        f"point {point}",
    )

"""Saw settings as a rail sheet draws them: each as seen from above the table, not to scale."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import partial

from ezdxf.enums import MTextEntityAlignment

from railsheet.cuts.pieces import RailPiece
from railsheet.figures.book import FigureBook
from railsheet.figures.flight import rail_key
from railsheet.job.kit_bracket import EndCut
from railsheet.layout.rail_ends import End, RailEnd
from railsheet.sheets.drawing import SMALL_MM, document_unit
from railsheet.sheets.lettering import wrap
from railsheet.sheets.packing import Hook, Picture
from railsheet.sheets.paper import add_view
from railsheet.sheets.pen import Pen
from railsheet.sheets.scales import standard_scales
from railsheet.sheets.schedule import RunWork

_SAW_HIGH_MM, _SAW_WIDE_MM = 27.0, 80.0
_SAW_NAME_MM = 3.4
_APART_MM = 30.0
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
        face: the rails' face that lies up.
    """

    rail_end: RailEnd
    key: str
    made: tuple[str, ...]
    face: str

    @property
    def end_word(self) -> str:
        """Its ends in a word."""
        return self.made[0].rsplit(" ", 1)[1]


def settings(work: RunWork, pieces: Sequence[RailPiece]) -> tuple[_Setting, ...]:
    """The saw settings these rails need, square cuts together."""
    found: dict[Hashable, list[tuple[str, str, RailEnd, str]]] = {}
    for piece in pieces:
        for end in (End.UPHILL, End.DOWNHILL):
            cut = piece.rail.end(end)
            key = f"{rail_key(work.mark, piece)}.{end.value}"
            angles = tuple(round(t, _SAME_DIGITS) for t in (cut.lean, cut.slant, cut.cope_mm))
            alike = cut.cut, None if cut.cut is EndCut.SQUARE else end, angles
            face = piece.left_face(work.railing.spec.side)
            name = f"{piece.mark} {piece.end_word(end)}"
            found.setdefault((*alike, face), []).append((name, key, cut, face))
    return tuple(
        _Setting(ends[0][2], ends[0][1], tuple(name for name, *_ in ends), ends[0][3])
        for ends in found.values()
    )


def saw_pictures(
    work: RunWork, pieces: Sequence[RailPiece], book: FigureBook
) -> tuple[Picture, ...]:
    """A picture of each saw setting that these rails need."""
    return tuple(
        Picture(
            work.mark,
            (_SAW_WIDE_MM, _saw_high_mm(setting)),
            None,
            partial(_hang_saw, work, setting, book),
        )
        for setting in settings(work, pieces)
    )


def _hang_saw(work: RunWork, setting: _Setting, book: FigureBook, hook: Hook) -> float:
    """A saw setting as seen from above the table, not to scale."""
    wide, high = hook.place.size
    scale = standard_scales(document_unit(hook.doc))[0]
    pen = Pen(hook.doc.modelspace(), scale, book, (0.0, hook.below_mm))
    _draw_saw(pen, setting)
    add_view(hook.layout, hook.place, pen.at((pen.paper(wide / 2), -pen.paper(high / 2))), scale)
    return hook.below_mm - pen.paper(high + _APART_MM)


def _saw_names(setting: _Setting) -> tuple[str, ...]:
    """The ends that a setting makes, in lines; a piece with both ends is named once."""
    ends: dict[str, list[str]] = {}
    for name in setting.made:
        mark, end = name.rsplit(" ", 1)
        ends.setdefault(mark, []).append(end)
    words = [f"{mark} {'both ends' if len(e) > 1 else e[0]}" for mark, e in ends.items()]
    if all(len(e) > 1 for e in ends.values()):
        words = [f"{', '.join(ends)}: both ends"]
    return wrap(", ".join(words), SMALL_MM, _SAW_WIDE_MM - 4.0)


def _saw_high_mm(setting: _Setting) -> float:
    """A setting's picture, lower where it has no angle to show."""
    cut = setting.rail_end
    low = 0.0 if cut.lean or cut.slant else 4.0
    compound = _COMPOUND_MM if cut.slant or cut.cope_mm else 0.0
    return _SAW_HIGH_MM - low + compound + len(_saw_names(setting)) * _SAW_NAME_MM


def _draw_saw(pen: Pen, setting: _Setting) -> None:
    mm, cut, key = pen.paper, setting.rail_end, setting.key
    names = _saw_names(setting)
    fence, depth = -mm(9.4 + len(names) * _SAW_NAME_MM), mm(7.0)
    blade = mm(24.0)
    # Uphill at the left: where the top leans uphill it lies further left, at the fence.
    shift = depth * cut.lean
    keeps_right = cut.end is End.UPHILL
    head = (blade - shift / 2, fence)
    foot = (blade + shift / 2, fence - depth)
    far = mm(44.0) if keeps_right else mm(4.0)
    pen.line((mm(2), fence + mm(0.8)), (mm(46), fence + mm(0.8)), "STAIR")
    pen.note("fence", (mm(46.5), fence), height_mm=SMALL_MM)
    pen.outline([head, (far, fence), (far, fence - depth), foot], "RAIL")
    waste = mm(6.0) if keeps_right else mm(42.0)
    pen.outline([head, (waste, fence), (waste, fence - depth), foot], "HIDDEN", close=False)
    slope = (foot[0] - head[0]) / depth
    low = (foot[0] + slope * mm(3.5), foot[1] - mm(3.5))
    high = (head[0] - slope * mm(4), head[1] + mm(4))
    pen.line(high, low, "CENTRE")
    under = cut.slant * depth
    if cut.slant:
        # The arris on the table, seen through the bar.
        pen.line((head[0] + under, head[1]), (foot[0] + under, foot[1]), "HIDDEN")
    pen.note(f"{_title(setting)}: saw at {pen.book.text(f'{key}.saw')}", (0.0, -mm(3.4)), bold=True)
    for row, words in enumerate(names, start=1):
        pen.note(words, (0.0, -mm(3.6 + row * _SAW_NAME_MM)), height_mm=SMALL_MM)
    # Of a wide bevel that arris would run through the word: the word goes past it.
    past = under if abs(under) > mm(6.0) else 0.0
    for word, edge in (("keep", far), ("off", waste)):
        near = blade + (past if past * (edge - blade) > 0 else 0.0)
        pen.note(
            word,
            ((near + edge) / 2, fence - depth / 2),
            align=MTextEntityAlignment.MIDDLE_CENTER,
            height_mm=SMALL_MM,
        )
    beside = [f"{setting.face} up,", "top to the fence", *_tilt_words(pen, setting)]
    for row, words in enumerate(beside):
        pen.note(words, (mm(46.5), fence - mm(4.0 + 3.4 * row)), height_mm=SMALL_MM)
    for row, words in enumerate(_flat_words(pen, setting)):
        pen.note(words, (0.0, fence - mm(21.0 + 3.4 * row)), height_mm=SMALL_MM)
    if cut.lean:
        square = (foot[0], foot[1] - mm(6.5))
        down = (foot[0] + slope * mm(6.5), foot[1] - mm(6.5))
        pen.line(foot, square, "HIDDEN")
        first, second = (square, down) if slope > 0 else (down, square)
        pen.angle(foot, first, second, mm(5), f"{key}.saw")


def _title(setting: _Setting) -> str:
    cut = setting.rail_end
    word = cut.cut.value.capitalize()
    return f"{word} cut" if cut.cut is EndCut.SQUARE else f"{word} cut, {setting.end_word} ends"


def _tilt_words(pen: Pen, setting: _Setting) -> tuple[str, ...]:
    """A compound cut's bevel, and which way: the left face going up lies uppermost here.

    A coped end is cut to its long points first, then hollowed.
    """
    cut = setting.rail_end
    if cut.cope_mm:
        return (f"then coped {pen.book.text(f'{setting.key}.cope')} deep", "to its template")
    if not cut.slant:
        return ()
    bevel = f"bevel {pen.book.text(f'{setting.key}.bevel')}: blade's top"
    if cut.inward_slant < 0:
        return bevel, "to the off side, long point", "up"
    return bevel, "to the kept side, long point", "on the table"


def _flat_words(pen: Pen, setting: _Setting) -> tuple[str, ...]:
    """A compound cut with the rail lying flat, for who would rather cut it so."""
    cut, key = setting.rail_end, f"{setting.key}.flat"
    if not cut.slant:
        return ()
    from railsheet.layout.compound import Lies

    point = cut.setting(Lies.ON_UNDERSIDE).long_point
    return (
        "Or flat, underside on the table, this end at the right:",
        f"mitre {pen.book.text(f'{key}.mitre')}, bevel {pen.book.text(f'{key}.bevel')}, long "
        f"point {point}",
    )

"""A handrail's brackets: where they may stand, where they do, and what cannot be kept."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace

from railsheet.job.handrail import Holds
from railsheet.layout.bracket_choice import Choice, Stretch, choose_brackets
from railsheet.layout.handrail_model import Handrail, HandrailPiece, PlacedBracket
from railsheet.layout.handrail_way import Support
from railsheet.layout.notice import Notice, look, stop
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class Placing:
    """Brackets placed, with the pieces that carry their marks.

    Attributes:
        choice: what could be kept; None where there is nowhere to put one.
        left_out: supports beside the rail that do not reach up to a bracket's plate, or lie at a
            joint.
    """

    brackets: tuple[PlacedBracket, ...]
    pieces: tuple[HandrailPiece, ...]
    choice: Choice | None
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class _Span:
    """One piece of the way as brackets see it. Lengths in mm.

    Attributes:
        number: the piece's number, from 0.
        from_mm: its lower corner, along the whole rail.
        low_mm, high_mm: where along the whole rail a bracket's middle may stand.
        straight, along_mm: the straight, and the lower corner's place along it.
        run: level length over length.
    """

    number: int
    from_mm: float
    low_mm: float
    high_mm: float
    straight: int
    along_mm: float
    run: float

    def along_at(self, from_end_mm: float) -> float:
        """A place along the straight, from one along the rail."""
        return self.along_mm + (from_end_mm - self.from_mm) * self.run


Held = frozenset[tuple[int, str]]


def supports_used(handrail: Handrail) -> Held | None:
    """The studs or posts that its brackets are on, each with its straight; None where on none."""
    used = {(bracket.straight, bracket.on) for bracket in handrail.brackets if bracket.on}
    return frozenset(used) or None


def place_brackets(handrail: Handrail, held: Held | None = None) -> Placing:
    """Choose where the brackets go.

    Args:
        held: the only studs or posts to choose among; None for all.
    """
    spans = tuple(_spans(handrail))
    stretches: list[tuple[Stretch, str]] = []
    left_out: list[str] = []
    for span in spans:
        supports = handrail.way.straights[span.straight].supports
        if supports is None:
            if span.high_mm >= span.low_mm:
                stretches.append(((span.low_mm, span.high_mm), ""))
            continue
        for support in supports:
            if held is not None and (span.straight, support.name) not in held:
                continue
            at = span.from_mm + (support.along_mm - span.along_mm) / span.run
            stop_mm = handrail.pieces[span.number].corner_to_corner_mm
            if not span.from_mm <= at <= span.from_mm + stop_mm:
                continue
            if span.low_mm <= at <= span.high_mm and _reaches(handrail, span, support, at):
                stretches.append(((at, at), support.name))
            else:
                left_out.append(support.name)
    names = dict(stretches)
    spec = handrail.spec
    choice = choose_brackets(
        [stretch for stretch, _ in stretches], handrail.run_mm, spec.spacing_mm, spec.first_mm
    )
    places = choice.places_mm if choice else ()
    brackets = tuple(
        _bracket(handrail, number, at, spans, names.get((at, at), ""))
        for number, at in enumerate(places, start=1)
    )
    pieces = tuple(_marked(handrail, n, piece, brackets) for n, piece in enumerate(handrail.pieces))
    return Placing(brackets, pieces, choice, tuple(left_out))


def _spans(handrail: Handrail) -> Iterator[_Span]:
    bracket = handrail.spec.kit.bracket
    clear = bracket.saddle_mm / 2 + bracket.from_joint_mm
    at = 0.0
    for number in range(handrail.first_piece, handrail.last_piece + 1):
        piece = handrail.pieces[number]
        low = handrail.corners[piece.start]
        on = handrail.corners[piece.stop].straight
        yield _Span(
            number=number,
            from_mm=at,
            low_mm=at + piece.lower.back_mm + piece.lower.reach_mm + clear,
            high_mm=at
            + piece.corner_to_corner_mm
            - piece.upper.back_mm
            - piece.upper.reach_mm
            - clear,
            straight=on,
            along_mm=low.after_mm if on > low.straight else low.along_mm,
            run=math.hypot(piece.way[0], piece.way[1]),
        )
        at += piece.corner_to_corner_mm


def _plate_z(handrail: Handrail, span: _Span, from_end_mm: float) -> float:
    """The middle of a bracket's plate, under the rail's underside plumb."""
    piece = handrail.pieces[span.number]
    middle = handrail.corners[piece.start].at[2] + (from_end_mm - span.from_mm) * piece.way[2]
    half = handrail.spec.kit.section.depth_mm / 2 / span.run
    return middle - half - handrail.spec.kit.bracket.drop_mm


def _reaches(handrail: Handrail, span: _Span, support: Support, from_end_mm: float) -> bool:
    plate = handrail.spec.kit.bracket.plate_height_mm
    return _plate_z(handrail, span, from_end_mm) + plate / 2 <= support.top_mm + SAME_MM


def _bracket(
    handrail: Handrail, number: int, at: float, spans: tuple[_Span, ...], on: str
) -> PlacedBracket:
    index = bisect_right([span.from_mm for span in spans], at) - 1
    span = spans[index]
    along = span.along_at(at)
    return PlacedBracket(
        number=number,
        from_end_mm=at,
        straight=span.straight,
        along_mm=along,
        piece=span.number,
        plate_z_mm=_plate_z(handrail, span, at),
        surface_z_mm=handrail.way.straights[span.straight].surface_mm(along),
        on=on,
    )


def _marked(
    handrail: Handrail, number: int, piece: HandrailPiece, brackets: tuple[PlacedBracket, ...]
) -> HandrailPiece:
    """A piece with its brackets' marks, from its lower end's long point."""
    before = handrail.pieces[handrail.first_piece : number]
    start = math.fsum(each.corner_to_corner_mm for each in before)
    mine = [bracket for bracket in brackets if bracket.piece == number]
    return replace(
        piece,
        brackets=tuple(bracket.number for bracket in mine),
        marks_mm=tuple(
            bracket.from_end_mm - start - piece.lower.back_mm + piece.lower.reach_mm
            for bracket in mine
        ),
    )


def bracket_notices(handrail: Handrail, placing: Placing) -> list[Notice]:
    """What the brackets call attention to."""
    spec, choice = handrail.spec, placing.choice
    posts = spec.holds is Holds.POSTS
    holds, add = ("posts", "a post") if posts else ("studs", "a block")
    if choice is None:
        return [stop("handrail brackets", f"none of the {holds} can take a bracket")]
    found = []
    wide = 2 * (handrail.way.offset_mm - handrail.way.face_mm)
    if posts and spec.kit.bracket.plate_width_mm > wide + SAME_MM:
        found.append(
            stop(
                "handrail brackets",
                "the bracket's plate is {plate} wide, the post only {post}: choose another bracket",
                plate=spec.kit.bracket.plate_width_mm,
                post=wide,
            )
        )
    if choice.spacing_mm > spec.spacing_mm + SAME_MM:
        found.append(
            stop(
                "handrail brackets",
                f"no choice of {holds} keeps brackets within {{asked}} of one another: two are "
                f"{{spacing}} apart. Put {add} between them",
                asked=spec.spacing_mm,
                spacing=choice.spacing_mm,
            )
        )
    for name, first in zip(("lower", "upper"), choice.first_mm, strict=True):
        if first > spec.first_mm + SAME_MM:
            found.append(
                stop(
                    "handrail brackets",
                    f"no bracket can stand within {{asked}} of the {name} end: the nearest is "
                    f"{{first}} from it. Put {add} there",
                    asked=spec.first_mm,
                    first=first,
                )
            )
    if len(placing.brackets) < 2:
        found.append(stop("handrail brackets", "one bracket alone does not keep it from turning"))
    if placing.left_out:
        found.append(
            look(
                "handrail brackets",
                f"left out, at a joint or too low for a bracket: "
                f"{', '.join(dict.fromkeys(placing.left_out))}",
            )
        )
    return found

"""Where a piece of handrail longer than its bar is spliced: beside a bracket, as few as will do."""

from __future__ import annotations

import math
from collections.abc import Sequence

from railsheet.job.kit_handrail import Splice
from railsheet.layout.handrail_model import Corner, Handrail, HandrailPiece, Vector
from railsheet.layout.notice import Notice, stop
from railsheet.tolerance import SAME_MM

SPLICE = "splice"
# What a saw trims off a bar's two ends, at the most. common practice, no source
_TRIMS_MM = 12.0


def longest_mm(handrail: Handrail) -> float:
    """The longest piece that the longest bar gives."""
    return handrail.spec.kit.section.stock[-1].length_mm


def with_splices(handrail: Handrail) -> tuple[Corner, ...] | None:
    """The handrail's corners with those of its splices between them; None where it needs none.

    A splice stands just past a bracket: clear of its saddle by what the bracket asks, and so as
    near to it as it can. Going up, each piece is as long as the bars and the brackets let it be,
    which takes the fewest splices. Where no bracket lets a piece be short enough, that piece stays
    as it is.
    """
    splice = handrail.spec.kit.splice
    if splice is None:
        return None
    found: list[Corner] = []
    for number, corner in enumerate(handrail.corners):
        found.append(corner)
        if number < len(handrail.pieces):
            piece = handrail.pieces[number]
            found += [_corner(handrail, piece, at) for at in _places(handrail, piece, splice)]
    return tuple(found) if len(found) > len(handrail.corners) else None


def _places(handrail: Handrail, piece: HandrailPiece, splice: Splice) -> list[float]:
    """From a piece's lower corner, along its middle, to each of its splices."""
    bracket = handrail.spec.kit.bracket
    most = longest_mm(handrail) - _TRIMS_MM
    start, stop_mm = piece.lower.back_mm, piece.corner_to_corner_mm - piece.upper.back_mm
    beside = bracket.saddle_mm / 2 + bracket.from_joint_mm + splice.gap_mm / 2 + SAME_MM
    marks = [mark + start - piece.lower.reach_mm for mark in piece.marks_mm]
    candidates = sorted(mark + way * beside for mark in marks for way in (-1.0, 1.0))
    places: list[float] = []
    begun, reach = start, piece.lower.reach_mm
    if piece.length_mm <= longest_mm(handrail) + SAME_MM:
        return []
    while stop_mm + piece.upper.reach_mm - begun + reach > most:
        within = [
            place
            for place in candidates
            if place - splice.gap_mm / 2 - begun + reach <= most
            and place - splice.gap_mm / 2 - begun >= handrail.spec.kit.least_piece_mm
            and stop_mm - place >= handrail.spec.kit.least_piece_mm + splice.gap_mm / 2
        ]
        if not within:
            return []
        places.append(within[-1])
        begun, reach = within[-1] + splice.gap_mm / 2, 0.0
    return places


def _corner(handrail: Handrail, piece: HandrailPiece, at_mm: float) -> Corner:
    low, high = handrail.corners[piece.start], handrail.corners[piece.stop]
    x, y, z = low.at
    way = piece.way
    place: Vector = (x + at_mm * way[0], y + at_mm * way[1], z + at_mm * way[2])
    begins = low.after_mm if high.straight > low.straight else low.along_mm
    along = begins + at_mm * math.hypot(way[0], way[1])
    return Corner(place, high.straight, along, along, SPLICE)


def splice_notices(handrail: Handrail) -> list[Notice]:
    """Pieces still longer than their bar, and splices too far from any bracket."""
    kit = handrail.spec.kit
    found = []
    for piece in handrail.pieces:
        if piece.length_mm <= longest_mm(handrail) + SAME_MM:
            continue
        why = (
            "it needs a joint that these parts have none for"
            if kit.splice is None
            else "no bracket stands where a splice would make it short enough"
        )
        found.append(
            stop(
                "handrail stock",
                f"{piece.mark} is {{length}} long; the longest {kit.section.name} is {{longest}}: "
                f"{why}",
                length=piece.length_mm,
                longest=longest_mm(handrail),
            )
        )
    if kit.splice is None:
        return found
    for number, at in _splices(handrail):
        nearest = min(
            (abs(bracket.from_end_mm - at) for bracket in handrail.brackets), default=math.inf
        )
        if nearest > kit.splice.near_mm + SAME_MM and math.isfinite(nearest):
            found.append(
                stop(
                    "handrail splice",
                    f"the splice at corner {number + 1} stands {{from}} from the nearest bracket; "
                    "the parts ask for one within {near}",
                    **{"from": nearest, "near": kit.splice.near_mm},
                )
            )
    return found


def _splices(handrail: Handrail) -> Sequence[tuple[int, float]]:
    """Each splice's corner, and its place along the rail from its lower end."""
    found, at = [], 0.0
    for piece in handrail.pieces[handrail.first_piece : handrail.last_piece + 1]:
        at += piece.corner_to_corner_mm
        if handrail.corners[piece.stop].words == SPLICE:
            found.append((piece.stop, at))
    return found

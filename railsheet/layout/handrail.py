"""Solve one handrail: its way, corners, joints, pieces and brackets."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from railsheet.errors import BadInput
from railsheet.job.handrail import HandrailSpec
from railsheet.job.kit_handrail import Finish
from railsheet.layout.handrail_brackets import (
    Held,
    Placing,
    bracket_notices,
    place_brackets,
    supports_used,
)
from railsheet.layout.handrail_model import (
    Corner,
    Extension,
    Handrail,
    HandrailPiece,
    Joint,
    Vector,
)
from railsheet.layout.handrail_path import in_space, line_over, points_of
from railsheet.layout.handrail_pieces import joints_of, pieces_of
from railsheet.layout.handrail_splice import splice_notices, with_splices
from railsheet.layout.handrail_way import Way, way_of
from railsheet.layout.notice import Notice, Weight, look, stop
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Site
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_MM

# A mitre whose two sections are rolled less than this meets flush under sandpaper. common
# practice, no source
_FLUSH_RAD = math.radians(0.5)


def solve_handrail(
    spec: HandrailSpec,
    stairs: Mapping[str, Stair],
    railings: Mapping[str, Railing],
    site: Site | None,
    file: str,
    say: Callable[[float], str],
    held: Held | None = None,
) -> Handrail:
    """Solve one handrail.

    Args:
        stairs: each flight's stair as adjusted, by mark.
        railings: each run's railing, by mark; only those on posts are looked at.
        site: the runs in plan; None where the job lays none out.
        file: the job's file, for messages.
        say: a length in words, for messages.
        held: the only studs or posts that brackets may go on; None for all.

    Raises:
        BadInput: it cannot be laid out at all: a wished length is missing, runs share no post, or
            two turns leave no room for a piece between them.
    """
    way = way_of(spec, stairs, railings, site, file)
    lines = {mark: line_over(stairs[mark], spec) for mark in spec.follows if mark in stairs}
    main = in_space(points_of(spec, way, lines, file), way)
    _in_order(spec, main, file, say)
    corners = _with_returns(spec, way, main)
    whole, placed = _joined(spec, way, lines, main, corners, held)
    _room(spec, corners, whole.pieces, file, say)
    spliced = with_splices(whole)
    if spliced is not None:
        # The brackets that the splices stand beside are kept.
        whole, placed = _joined(spec, way, lines, main, spliced, held or supports_used(whole))
    notices = (*bracket_notices(whole, placed), *_notices(whole))
    ordered = sorted(notices, key=lambda notice: notice.weight is Weight.LOOK)
    return replace(whole, notices=tuple(ordered))


def _joined(
    spec: HandrailSpec,
    way: Way,
    lines: Mapping[str, RailLine],
    main: Sequence[Corner],
    corners: tuple[Corner, ...],
    held: Held | None,
) -> tuple[Handrail, Placing]:
    """The handrail between its corners, its brackets placed.

    Args:
        main: the corners of the way itself, without returns and splices.
    """
    joints = joints_of(spec, corners)
    pieces = pieces_of(spec, corners, joints, way.side)
    first = 1 if spec.bottom.finish.turns else 0
    last = len(pieces) - (2 if spec.top.finish.turns else 1)
    handrail = Handrail(
        spec=spec,
        way=way,
        lines=tuple(lines.items()),
        corners=corners,
        joints=joints,
        pieces=pieces,
        first_piece=first,
        last_piece=last,
        brackets=(),
        bottom=_past(spec, way, main, joints, corners, bottom=True),
        top=_past(spec, way, main, joints, corners, bottom=False),
        notices=(),
    )
    placed = place_brackets(handrail, held)
    return replace(handrail, brackets=placed.brackets, pieces=placed.pieces), placed


def _in_order(
    spec: HandrailSpec, corners: Sequence[Corner], file: str, say: Callable[[float], str]
) -> None:
    """Refuse corners that come in the wrong order: a landing shorter than the rail needs."""
    for before, after in itertools.pairwise(corners):
        start = before.after_mm if after.straight > before.straight else before.along_mm
        if after.along_mm - start > SAME_MM:
            continue
        back = start - after.along_mm
        raise BadInput(
            file,
            f"handrail {spec.mark} > {_between(spec)}",
            f"{after.words} comes {say(back)} before {before.words}",
            "no room for the rail to go level between them: a longer landing, or two handrails, "
            "each with ends of its own",
        )


def _between(spec: HandrailSpec) -> str:
    return "landing" if len(spec.follows) > 1 else "top"


def _room(
    spec: HandrailSpec,
    corners: Sequence[Corner],
    pieces: Sequence[HandrailPiece],
    file: str,
    say: Callable[[float], str],
) -> None:
    """Refuse a piece that its two ends leave nothing of."""
    for piece in pieces:
        if piece.middle_mm > SAME_MM:
            continue
        low, high = corners[piece.start], corners[piece.stop]
        raise BadInput(
            file,
            f"handrail {spec.mark}",
            f"piece {piece.mark}, {low.words} to {high.words}, {say(piece.corner_to_corner_mm)} "
            "from corner to corner",
            f"the {piece.lower.words} and the {piece.upper.words} take "
            f"{say(piece.lower.back_mm + piece.upper.back_mm)} of it: change C, X or the parts",
        )


def _with_returns(spec: HandrailSpec, way: Way, main: Sequence[Corner]) -> tuple[Corner, ...]:
    first, last = main[0], main[-1]
    before = [_return(spec.bottom.finish, way, main, first)] if spec.bottom.finish.turns else []
    after = [_return(spec.top.finish, way, main, last)] if spec.top.finish.turns else []
    return (*before, *main, *after)


def _return(finish: Finish, way: Way, main: Sequence[Corner], end: Corner) -> Corner:
    """Where a return meets the wall, the post or the floor."""
    x, y, z = end.at
    if finish is Finish.FLOOR:
        floor = way.straights[end.straight].surface_mm(end.along_mm)
        return Corner((x, y, floor), end.straight, end.along_mm, end.along_mm, "floor", True)
    bearing = sum(straight.turn_rad for straight in way.straights[: end.straight])
    # From the rail toward the wall: to the right where the walk is to the left going up.
    ux, uy = way.side * math.sin(bearing), -way.side * math.cos(bearing)
    at: Vector = (x + way.face_mm * ux, y + way.face_mm * uy, z)
    words = "post" if finish is Finish.POST else "wall"
    return Corner(at, end.straight, end.along_mm, end.along_mm, words, True)


def _past(
    spec: HandrailSpec,
    way: Way,
    main: Sequence[Corner],
    joints: Sequence[Joint],
    corners: Sequence[Corner],
    *,
    bottom: bool,
) -> Extension:
    """How far an end goes past its riser, up to where a return's bend begins."""
    bends = {corners[joint.corner]: joint.bend_mm for joint in joints}
    end = main[0] if bottom else main[-1]
    inner = main[1] if bottom else main[-2]
    straight = way.straights[0 if bottom else -1]
    flight = straight.flights[0 if bottom else -1]
    riser = flight.first_riser_mm if bottom else flight.top_riser_mm
    out = -1.0 if bottom else 1.0

    def past(along_mm: float) -> float:
        return out * (along_mm - riser)

    level = abs(end.at[2] - inner.at[2]) <= SAME_MM
    slope = math.hypot(end.along_mm - inner.along_mm, end.at[2] - inner.at[2])
    share = abs(end.along_mm - inner.along_mm) / slope
    reach = past(end.along_mm) - bends.get(end, 0.0) * share
    if not level:
        return Extension(0.0, max(reach, 0.0), reach)
    lying = bends.get(inner, 0.0)
    rest = main[2] if bottom else main[-3]
    rise, run = abs(rest.at[2] - inner.at[2]), abs(rest.along_mm - inner.along_mm)
    sloping = past(inner.along_mm) - lying * run / math.hypot(run, rise)
    begins = max(past(inner.along_mm) + lying, 0.0)
    return Extension(max(reach - begins, 0.0), max(sloping, 0.0), reach)


def _notices(handrail: Handrail) -> list[Notice]:
    spec, kit = handrail.spec, handrail.spec.kit
    found = splice_notices(handrail)
    for piece in handrail.pieces:
        if piece.middle_mm < kit.least_piece_mm - SAME_MM:
            found.append(
                stop(
                    "handrail piece",
                    f"{piece.mark} is {{length}} long, shorter than the {{least}} that the parts "
                    "allow: change C, X or the joints",
                    length=piece.middle_mm,
                    least=kit.least_piece_mm,
                )
            )
    for joint in handrail.joints:
        if joint.slip_rad > _FLUSH_RAD:
            words = (
                f"at corner {joint.corner + 1} the two {kit.section.name} are rolled {{slip}} "
                "against each other: a mitre there does not meet flush; use a fitting or an easing"
            )
            notice = stop("handrail mitre", words)
            found.append(replace(notice, angles_rad=(("slip", joint.slip_rad),)))
    mitred = sum(joint.fitting is None for joint in handrail.joints)
    if mitred and kit.fittings and spec.joints.value == "fittings":
        found.append(
            look(
                "handrail mitre",
                f"no fitting of {kit.name} makes {mitred} of its turns: drawn as mitres, which "
                "need a joint of their own",
            )
        )
    for name, end in (("lower", spec.bottom), ("upper", spec.top)):
        if end.finish is Finish.CAP:
            found.append(
                look(
                    "handrail end",
                    f"its {name} end is not returned: codes commonly ask for a return to a wall, "
                    "a guard or the floor",
                )
            )
    return found

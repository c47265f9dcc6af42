"""Handrails measured on their solids: pieces, cuts, marks, heights, extensions, clearances."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import cadquery as cq

from railsheet.proof.derived import Derived, angle
from railsheet.proof.measure import angle_rad, end_side
from railsheet.solids.handrail_raised import (
    RaisedHandrail,
    RaisedPiece,
    line_over,
    long_bar,
    straight_planes,
)
from railsheet.solids.space import UP, Flat

_FAR_MM = 3.0e4


def handrail_figures(rail: RaisedHandrail) -> Iterator[Derived]:
    """Every figure of a handrail that its solids hold."""
    at, out = rail.out.mark, rail.out
    for piece in rail.pieces:
        yield from _piece(f"{at}.piece.{piece.number}", rail, piece)
    for number, (one, other) in enumerate(pairwise(rail.pieces), start=2):
        turn = float(one.way.getAngle(other.way))
        yield angle(f"{at}.corner.{number}.turn", turn, out.kit.section.depth_mm)
        cut = end_side(one.solid, one.way).flat.met_by(one.start, one.way)
        yield Derived(f"{at}.corner.{number}.set_back", (one.stop - cut).Length)
    ends = [rail.pieces[0].start, *(piece.stop for piece in rail.pieces)]
    for number, corner in enumerate(ends, start=1):
        yield Derived(f"{at}.corner.{number}.z", corner.z)
    main = rail.pieces[rail.main[0] - 1 : rail.main[1]]
    yield Derived(f"{at}.run", sum((piece.stop - piece.start).Length for piece in main))
    yield from _clear(rail)
    yield from _heights(rail)
    yield from _extensions(rail)
    yield from _brackets(rail)


def _piece(key: str, rail: RaisedHandrail, piece: RaisedPiece) -> Iterator[Derived]:
    way, depth = piece.way, rail.out.kit.section.depth_mm
    whole = (piece.stop - piece.start).Length
    yield Derived(f"{key}.corner_to_corner", whole)
    plan = piece.stop - piece.start
    yield Derived(f"{key}.level", math.hypot(plan.x, plan.y))
    level = cq.Vector(way.x, way.y, 0)
    rake = angle_rad(way, level) if level.Length > 1e-9 else math.pi / 2
    yield angle(f"{key}.rake", rake, whole)
    reach = {"lower": _reach(piece, -1.0), "upper": _reach(piece, 1.0)}
    yield Derived(f"{key}.length", reach["upper"] + reach["lower"])
    middles = {}
    for name, sign, corner in (("lower", -1.0, piece.start), ("upper", 1.0, piece.stop)):
        cut = end_side(piece.solid, way * sign).flat
        middle = cut.met_by(piece.start, way)
        middles[name] = middle
        yield angle(f"{key}.{name}.saw", angle_rad(cut.normal, way), depth)
        yield Derived(f"{key}.{name}.back", (corner - middle).Length)
        past = reach[name] - sign * float((middle - piece.start).dot(way))
        yield Derived(f"{key}.{name}.reach", past)
    yield Derived(f"{key}.middle", (middles["upper"] - middles["lower"]).Length)
    leans = [_long_side(piece, sign) for sign in (-1.0, 1.0)]
    if min(lean.Length for lean in leans) > 1e-9:
        yield angle(f"{key}.roll", float(leans[0].getAngle(leans[1])), depth)


def _long_side(piece: RaisedPiece, sign: float) -> cq.Vector:
    """Square to a piece, toward the long point of one of its cuts; nothing of a square one."""
    normal = end_side(piece.solid, piece.way * sign).flat.normal
    return piece.way * normal.dot(piece.way) - normal


def _reach(piece: RaisedPiece, sign: float) -> float:
    """How far a piece reaches from its lower corner, along its way; curved cuts and all."""
    way = piece.way * sign
    sheet = cq.Face.makePlane(1000, 1000, piece.start + way * _FAR_MM, way)
    return _FAR_MM - float(piece.solid.distance(sheet))


def _clear(rail: RaisedHandrail) -> Iterator[Derived]:
    """Between every piece of the way and the wall or the posts' faces beside it."""
    at = rail.out.mark
    main = rail.pieces[rail.main[0] - 1 : rail.main[1]]
    for piece, corner in zip(main, rail.out.corners[1:], strict=True):
        wall = rail.walls[corner.straight]
        sheet = cq.Face.makePlane(1e5, 1e5, wall.at, wall.normal)
        yield Derived(f"{at}.clear", piece.solid.distance(sheet))
        yield Derived(f"{at}.face", abs(float((piece.start - wall.at).dot(wall.normal))))


def _heights(rail: RaisedHandrail) -> Iterator[Derived]:
    """The top over each nose: a plumb line through the bar, run on past its ends."""
    out, frames = rail.out, straight_planes(rail.out)
    for straight in out.straights:
        for flight in straight.flights:
            slope = out.lines[flight.mark][0]
            frame, middle = line_over(out, frames, flight.mark)
            across = float(out.way.side) * out.way.offset_mm
            at = frame.toWorldCoords((flight.nose_mm, across, middle(flight.nose_mm)))
            way = (frame.xDir + UP * slope).normalized()
            bar = long_bar(out.kit.section, at, way)
            key = f"{out.mark}.over.{flight.mark}"
            yield angle(f"{key}.rake", angle_rad(way, frame.xDir), 1000.0)
            for number, nose in enumerate(flight.stair.noses, start=1):
                foot = frame.toWorldCoords((flight.nose_mm + nose.s_mm, across, 0))
                top = _plumb(bar, foot)[1] - flight.floor_mm - nose.z_mm
                yield Derived(f"{key}.nose.{number}.height", top)


def _plumb(solid: cq.Shape, foot: cq.Vector) -> tuple[float, float]:
    """Where a plumb line goes into a solid and out of it, upward."""
    line = cq.Edge.makeLine(foot - UP * _FAR_MM, foot + UP * _FAR_MM)
    met = [vertex.Z for vertex in solid.intersect(line).Vertices()]
    return min(met), max(met)


def _extensions(rail: RaisedHandrail) -> Iterator[Derived]:
    """How far either end goes past its riser, to where a return's bend begins."""
    out, frames = rail.out, straight_planes(rail.out)
    main = rail.pieces[rail.main[0] - 1 : rail.main[1]]
    for name, way, end, inner, number in (
        ("bottom", -1.0, main[0], main[min(1, len(main) - 1)], 0),
        ("top", 1.0, main[-1], main[max(len(main) - 2, 0)], len(out.straights) - 1),
    ):
        flights = out.straights[number].flights
        riser = flights[0].first_riser_mm if way < 0 else flights[-1].top_riser_mm
        frame = frames[number]
        plumb = Flat(frame.toWorldCoords((riser, 0, 0)), frame.xDir * way)
        tip = end.start if way < 0 else end.stop
        back = tip + end.way * (-way * _bend(rail, end, way))
        reach = float((back - plumb.at).dot(plumb.normal))
        yield Derived(f"{out.mark}.{name}.reach", reach)
        if end.over is not None:
            yield Derived(f"{out.mark}.{name}.level", 0.0)
            yield Derived(f"{out.mark}.{name}.sloping", max(reach, 0.0))
            continue
        meet = end.stop if way < 0 else end.start
        lying = _bend(rail, end, -way)
        rest = meet + inner.way * (-way * lying)
        sloping = float((rest - plumb.at).dot(plumb.normal))
        begins = float((meet + end.way * (way * lying) - plumb.at).dot(plumb.normal))
        yield Derived(f"{out.mark}.{name}.level", max(reach - max(begins, 0.0), 0.0))
        yield Derived(f"{out.mark}.{name}.sloping", max(sloping, 0.0))


def _bend(rail: RaisedHandrail, piece: RaisedPiece, way: float) -> float:
    """How far from a piece's upper (1) or lower (-1) corner a bend begins; 0 at an end."""
    index = piece.number - 1 if way > 0 else piece.number - 2
    return rail.bends[index] if 0 <= index < len(rail.bends) else 0.0


def _brackets(rail: RaisedHandrail) -> Iterator[Derived]:
    """Where brackets hold each piece, and how high their plates stand."""
    out, frames = rail.out, straight_planes(rail.out)
    main = rail.pieces[rail.main[0] - 1 : rail.main[1]]
    placed: list[float] = []
    for number, (straight, along) in enumerate(out.brackets, start=1):
        frame = frames[straight]
        plumb = Flat(frame.toWorldCoords((along, 0, 0)), frame.xDir)
        done = 0.0
        for piece in main:
            long = (piece.stop - piece.start).Length
            if abs(piece.way.dot(frame.xDir)) > 1e-9:
                middle = plumb.met_by(piece.start, piece.way)
                share = float((middle - piece.start).dot(piece.way))
                if abs(middle.y - piece.start.y) < _FAR_MM and -1e-6 <= share <= long + 1e-6:
                    break
            done += long
        else:
            continue
        mark = share + _reach(piece, -1.0)
        yield Derived(f"{out.mark}.piece.{piece.number}.mark.{number}", mark)
        placed.append(done + share)
        key = f"{out.mark}.bracket.{number}"
        yield Derived(f"{key}.from_end", placed[-1])
        under = _plumb(piece.solid, cq.Vector(middle.x, middle.y, 0))[0]
        plate = under - out.kit.bracket.drop_mm
        yield Derived(f"{key}.z", plate)
        surface = out.straights[straight].surface_mm(along)
        yield Derived(f"{key}.height", plate - surface)
    for number, (one, other) in enumerate(pairwise(placed), start=1):
        yield Derived(f"{out.mark}.spacing.{number}", other - one)

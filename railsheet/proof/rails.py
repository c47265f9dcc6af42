"""Rails measured on their solids: length, cuts, holes, and where their brackets end."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import cadquery as cq

from railsheet.job.kit_infill import DrilledKit, PanelKit, PunchedKit
from railsheet.proof.copes import cope_figures, cope_of, on_side
from railsheet.proof.derived import Derived, angle
from railsheet.proof.measure import (
    Side,
    angle_rad,
    cut_side,
    end_side,
    long_way,
    outermost,
    reach_mm,
    spread_mm,
)
from railsheet.solids.end import MouthOn
from railsheet.solids.fill import BayPlace
from railsheet.solids.part import Part
from railsheet.solids.run import bracket_mark
from railsheet.solids.space import Flat, plumb_flat

_ENDS = (("downhill", -1.0), ("uphill", 1.0))
_ASIDE = cq.Vector(0, 1, 0)
_QUARTER = math.pi / 2


@dataclass(frozen=True)
class Mouth:
    """Where a rail's end begins to be covered.

    Attributes:
        seen_on: on which solid it shows.
        face_mm: its post's face.
        easing: the mark of the easing over that post, if there is one.
    """

    seen_on: MouthOn
    face_mm: float
    easing: str


@dataclass(frozen=True)
class RailTaken:
    """A rail as measured. Lengths in mm.

    Attributes:
        along: its own way, uphill.
        datum_mm: its uphill long point, along that way.
        length_mm: long point to long point.
        face: toward the infill.
        back: the face away from it.
        marks_mm: from the uphill long point to each hole, or mark, from the uphill end.
        filled: which of them a member stands in.
    """

    solid: cq.Shape
    along: cq.Vector
    datum_mm: float
    length_mm: float
    face: Side
    back: Side
    marks_mm: tuple[float, ...]
    filled: tuple[bool, ...]

    def from_uphill_mm(self, point: cq.Vector) -> float:
        """How far a point lies from the uphill long point, along the rail."""
        return self.datum_mm - float(point.dot(self.along))

    def on_face(self, s_mm: float) -> cq.Vector:
        """Where a plumb line in the rails' middle meets the face toward the infill."""
        return self.face.flat.plumb_at(s_mm)


def take_rail(rail: Part, top: bool, members_s_mm: tuple[float, ...], hole_mm: float) -> RailTaken:
    """Measure a rail.

    Args:
        rail: the solid.
        top: whether it is the top one.
        members_s_mm: where the members' middles were found.
        hole_mm: a hole's size along the rail; 0 where the rail is only marked.
    """
    solid = rail.solid
    along = long_way(solid)
    square = cq.Vector(0, 1, 0).cross(along) * -1.0
    up = square if square.z > 0 else square * -1.0
    inner = up * (-1.0 if top else 1.0)
    face, back = outermost(solid, inner), outermost(solid, inner * -1.0)
    low, high = reach_mm(solid, along)
    members = [high - float(face.flat.plumb_at(s).dot(along)) for s in members_s_mm]
    if hole_mm:
        marks = sorted(high - place for place in _holes(face, along, hole_mm))
        filled = tuple(any(abs(mark - m) < hole_mm / 2 for m in members) for mark in marks)
    else:
        marks = sorted(members)
        filled = (True,) * len(marks)
    return RailTaken(solid, along, high, high - low, face, back, tuple(marks), filled)


def _holes(face: Side, along: cq.Vector, hole_mm: float) -> Iterator[float]:
    """The middles of the holes in a face, along the rail.

    A whole hole is a wire within the face. One that the cut has opened is a notch in its rim: of
    it one plumb side is left, and the kit's hole size gives its middle.
    """
    for wire in face.face.innerWires():
        low, high = reach_mm(wire, along)
        yield (low + high) / 2
    rim = face.face.outerWire()
    low, high = reach_mm(rim, along)
    wide = spread_mm(rim, cq.Vector(0, 1, 0))
    across = [
        edge
        for edge in rim.Edges()
        if edge.geomType() == "LINE"
        and abs(edge.tangentAt(0.5).dot(along)) < 1e-7
        and edge.Length() < wide - 1e-6
    ]
    for edge in across:
        at = float(edge.Center().dot(along))
        if at - low > 1e-6 and high - at > 1e-6:
            yield at - hole_mm / 2 if at - low < high - at else at + hole_mm / 2


def hole_size_mm(bay: BayPlace) -> float:
    """How long the holes are that a bay's rails are bored with; 0 where they are only marked."""
    infill = bay.kit.infill
    if isinstance(infill, PunchedKit | PanelKit):
        return infill.holes.size_mm
    return infill.hole_mm if isinstance(infill, DrilledKit) else 0.0


def rail_figures(
    key: str,
    parts: Mapping[str, Part],
    mark: str,
    taken: RailTaken,
    mouths: tuple[Mouth, Mouth],
) -> Iterator[Derived]:
    """Every figure of one rail.

    Args:
        key: where its figures stand in the book.
        parts: the run's.
        mark: the rail's.
        taken: as it was measured.
        mouths: where its downhill and its uphill end begin to be covered.
    """
    depth = abs((taken.face.flat.at - taken.back.flat.at).dot(taken.face.flat.normal))
    yield Derived(f"{key}.length", taken.length_mm)
    wide = spread_mm(taken.solid, _ASIDE)
    edges = []
    for number, place in enumerate(taken.marks_mm, start=1):
        yield Derived(f"{key}.hole.{number}", place)
    for (name, way), mouth in zip(_ENDS, mouths, strict=True):
        cope = cope_of(taken.solid, taken.along * way)
        end_mark = _end_mark(taken, way)
        if cope is not None:
            yield from cope_figures(f"{key}.{name}", cope, taken.along, depth)
            place = taken.from_uphill_mm(on_side(cope, taken.face))
            edges.append(place)
            yield Derived(f"{key}.{name}.mouth", place)
            if end_mark is not None:
                yield Derived(f"{key}.{name}.hole_to_cut", abs(place - end_mark))
                yield Derived(f"{key}.{name}.hole_to_mouth", abs(place - end_mark))
            continue
        cut = cut_side(taken.solid, taken.along * way)
        yield from cut_angles(f"{key}.{name}", taken.along, _ASIDE, cut, (depth, wide))
        yield Derived(f"{key}.{name}.short_point", spread_mm(cut.face, taken.along))
        on_face = cut.flat.met_by(_middle(taken.face), taken.along)
        place = taken.from_uphill_mm(on_face)
        edges.append(place)
        if end_mark is not None:
            yield Derived(f"{key}.{name}.hole_to_cut", abs(place - end_mark))
        if mouth.seen_on is not MouthOn.NOTHING:
            flat = _mouth_flat(parts, mark, taken, way, cut, mouth)
            yield from _mouth(f"{key}.{name}", taken, way, cut, flat)
    yield Derived(f"{key}.edge_length", edges[0] - edges[1])


def cut_angles(
    key: str, along: cq.Vector, aside: cq.Vector, cut: Side, arms_mm: tuple[float, float]
) -> Iterator[Derived]:
    """A cut's angles: the rail on its side, and where it is compound also lying flat.

    Args:
        along, aside: the rail's own way, and level across it.
        arms_mm: its depth and its width.
    """
    normal, (depth, wide) = cut.flat.normal, arms_mm
    up = along.cross(aside)
    in_side = normal - aside * normal.dot(aside)
    yield angle(f"{key}.saw", angle_rad(in_side, along), depth)
    in_top = normal - up * normal.dot(up)
    yield angle(f"{key}.bevel", _QUARTER - angle_rad(normal, aside), wide)
    yield angle(f"{key}.flat.mitre", angle_rad(in_top, along), wide)
    yield angle(f"{key}.flat.bevel", _QUARTER - angle_rad(normal, up), depth)


def _mouth_flat(
    parts: Mapping[str, Part],
    mark: str,
    taken: RailTaken,
    way: float,
    cut: Side,
    mouth: Mouth,
) -> Flat:
    """Where what covers an end begins: read off what it is seen on."""
    if mouth.seen_on is MouthOn.HOLDER:
        bracket = parts[bracket_mark(mark, uphill=way > 0)]
        return end_side(bracket.solid, taken.along * -way).flat
    if mouth.seen_on is MouthOn.EASING:
        return end_side(parts[mouth.easing].solid, taken.along * -way).flat
    return plumb_flat(mouth.face_mm) if mouth.seen_on is MouthOn.POST else cut.flat


def _mouth(key: str, taken: RailTaken, way: float, cut: Side, mouth: Flat) -> Iterator[Derived]:
    """Where what covers an end begins, and how far the rail goes in past it."""
    met = taken.from_uphill_mm(mouth.met_by(_middle(taken.face), taken.along))
    yield Derived(f"{key}.mouth", met)
    end_mark = _end_mark(taken, way)
    if end_mark is not None:
        yield Derived(f"{key}.hole_to_mouth", abs(met - end_mark))
    axis = (_middle(taken.face) + _middle(taken.back)) * 0.5
    inside = mouth.met_by(axis, taken.along) - cut.flat.met_by(axis, taken.along)
    yield Derived(f"{key}.insertion", abs(float(inside.dot(mouth.normal))))


def _middle(side: Side) -> cq.Vector:
    at = side.flat.at
    return cq.Vector(at.x, 0, at.z)


def _end_mark(taken: RailTaken, way: float) -> float | None:
    filled = [m for m, stands in zip(taken.marks_mm, taken.filled, strict=True) if stands]
    if not filled:
        return None
    return filled[0] if way > 0 else filled[-1]

"""Cables or rods from post to post along the rails: the fewest that keep a pressed sphere out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_infill import CableKit
from railsheet.layout.infill.frame import BayFrame
from railsheet.layout.infill.kind import Filled, Kind
from railsheet.layout.infill.parts import (
    Bore,
    Fact,
    FactUnit,
    Infill,
    InfillPiece,
    Member,
    Part,
    Weighed,
    WeighedBars,
)
from railsheet.layout.infill.row_rule import WholeBay
from railsheet.layout.infill.seating import depths_mm
from railsheet.layout.infill.spread import CablePair
from railsheet.layout.notice import Notice, look, stop
from railsheet.layout.section import Section, section_from_over_all
from railsheet.tolerance import SAME_MM


def _kit(kit: Kit) -> CableKit:
    assert isinstance(kit.infill, CableKit)
    return kit.infill


def _section(kit: Kit, rake_rad: float) -> Section:
    return section_from_over_all(rake_rad, _kit(kit).over_all_mm, depths_mm(kit))


def _rule(kit: Kit, _: float) -> WholeBay:
    return WholeBay(kit.greatest_span_mm)


@dataclass(frozen=True)
class _Set:
    """The cables of one bay. Lengths in mm.

    Attributes:
        count: how many.
        gap_mm: clear from rail to cable and from cable to cable, square to the rails.
        braces: plumb braces that divide the bay.
        pair: two neighbours; where there is but one cable, as if a second stood a gap away.
    """

    count: int
    gap_mm: float
    braces: int
    pair: CablePair


def _cables(frame: BayFrame, least: int) -> _Set:
    """The fewest cables, but so many at least, that hold the push off, equally spaced."""
    infill = _kit(frame.kit)
    long = frame.clear_mm / math.cos(frame.rake_rad)
    braces = max(math.ceil((long - SAME_MM) / infill.greatest_free_mm) - 1, 0)
    most = int(frame.section.clear_square_mm // infill.diameter_mm) - 1
    for count in range(least, max(most, least) + 1):
        gap = (frame.section.clear_square_mm - count * infill.diameter_mm) / (count + 1)
        pair = CablePair(
            apart_mm=gap + infill.diameter_mm,
            diameter_mm=infill.diameter_mm,
            free_mm=long / (braces + 1),
            tension_n=infill.tension_n,
            sphere_mm=infill.sphere_mm,
        )
        if pair.pass_force_n > infill.push_n:
            break
    return _Set(count, gap, braces, pair)


def _fill(frame: BayFrame, least: int) -> Filled:
    infill = _kit(frame.kit)
    cables = _cables(frame, least)
    ups = [
        cables.gap_mm * number + infill.diameter_mm * (number - 0.5)
        for number in range(1, cables.count + 1)
    ]
    long = frame.clear_mm / math.cos(frame.rake_rad)
    piece = InfillPiece(
        suffix="CB",
        group="cable",
        name=infill.name,
        count=cables.count,
        length_mm=long,
        edge_mm=long,
        saw_rad=0.0,
        depth_mm=infill.diameter_mm,
        stock_mm=(),
        spared=False,
        how="post face to post face; add what the end fittings' maker asks for",
    )
    parts = [Part("cable", infill.fitting, 2 * cables.count)]
    if cables.braces:
        parts.append(Part("cable", infill.brace, cables.braces))
    return Filled(
        Infill(
            word=infill.word,
            noun="cable",
            count=cables.count,
            members=(*_strips(frame, ups), *_braces(frame, cables)),
            row=None,
            pieces=(piece,),
            parts=tuple(parts),
            facts=_facts(frame, cables, ups),
            bores=_bores(frame, ups),
        ),
        top=frame.top,
        bottom=frame.bottom,
    )


def _facts(frame: BayFrame, cables: _Set, ups: list[float]) -> tuple[Fact, ...]:
    infill = _kit(frame.kit)
    facts = [
        Fact("opening", "Clear between cables, square to them:", cables.gap_mm),
        Fact("spacing", "Cables, square to them, centre to centre:", cables.pair.apart_mm),
        Fact("free", "Free length along a cable:", cables.pair.free_mm),
        Fact("sphere", "Sphere pressed between two cables:", infill.sphere_mm, shown=False),
        Fact("tension", "Each kept at, newtons:", infill.tension_n, FactUnit.COUNT),
        Fact("push", "Sphere pressed by, newtons:", infill.push_n, FactUnit.COUNT),
        # Whole newtons, downward: what it takes is never told as more than it is.
        Fact(
            "pass_force",
            "It passes at, newtons:",
            math.floor(cables.pair.pass_force_n),
            FactUnit.COUNT,
        ),
    ]
    spread = cables.pair.spread_mm(infill.push_n)
    if spread is not None:
        facts.append(Fact("spread", "Clear between cables under it:", spread - infill.diameter_mm))
    facts += [
        Fact(
            f"cable.{bore.number}",
            f"cable {bore.number} on a post's face, plumb over the underside of the bottom rail",
            bore.over_underside_mm,
            shown=False,
        )
        for bore in _bores(frame, ups)
    ]
    return tuple(facts)


def _bores(frame: BayFrame, ups: list[float]) -> tuple[Bore, ...]:
    """Each cable's hole in the posts: cables lie along the rails, so it rises with the rake."""
    depth, cos = frame.bottom.kit.depth_mm, math.cos(frame.rake_rad)
    return tuple(
        Bore(number, "cable", (depth + up) / cos, _kit(frame.kit).bore_mm)
        for number, up in enumerate(ups, start=1)
    )


def _strips(frame: BayFrame, ups: list[float]) -> tuple[Member, ...]:
    half = _kit(frame.kit).diameter_mm / 2
    start, stop_ = frame.faces_mm

    def z(s: float, up: float) -> float:
        return frame.face_z(RailPlace.BOTTOM, s, -up)

    found = []
    for number, up in enumerate(ups, start=1):
        strip = (
            (start, z(start, up - half)),
            (stop_, z(stop_, up - half)),
            (stop_, z(stop_, up + half)),
            (start, z(start, up + half)),
        )
        found.append(Member(number, strip, strip, 2 * half))
    return tuple(found)


def _braces(frame: BayFrame, cables: _Set) -> tuple[Member, ...]:
    half = _kit(frame.kit).brace_width_mm / 2
    each = frame.clear_mm / (cables.braces + 1)
    middles = [frame.faces_mm[0] + each * number for number in range(1, cables.braces + 1)]
    strips = [frame.plumb_strip(s - half, s + half) for s in middles]
    return tuple(
        Member(cables.count + number, strip, strip, 2 * half)
        for number, strip in enumerate(strips, start=1)
    )


def _notices(kit: Kit, _: float, infill: Infill) -> list[Notice]:
    facts = {fact.name: fact.value for fact in infill.facts}
    found = [
        look(
            "cable tension",
            f"the cables' spacing holds only while each is kept at {_kit(kit).tension_n} N or "
            "more: their pull on the posts is for an engineer, and the tension is to be seen to "
            "after a season",
        )
    ]
    if "spread" not in facts:
        found.append(
            stop(
                "cables",
                "no number of these cables keeps the pressed sphere out: shorten their free length "
                "or raise the kit's tension",
            )
        )
    return found


def _weighed(kit: Kit, infill: Infill) -> Weighed:
    told, wide = _kit(kit), _kit(kit).brace_width_mm
    section, long = math.pi / 4 * told.diameter_mm**2, infill.pieces[0].length_mm
    cables = WeighedBars("cable", "cable", "C", told.name, section, long, infill.count)
    braces = infill.members[infill.count :]
    if not braces:
        return (cables,)
    long = braces[0].area_mm2 / wide
    return cables, WeighedBars("brace", "brace", "K", told.brace, wide * wide, long, len(braces))


CABLE = Kind(_section, _rule, _fill, _notices, weighed=_weighed, in_line=True)

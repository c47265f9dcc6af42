"""What a code's loads ask of a rail, a post and a baluster: demand only, never strength.

Rails are taken as simple spans between posts, posts as cantilevers from their base, balusters as
simple spans between rails. No part of a load at one post is given to its neighbours. The beam
formulas are the textbook ones of the AISC Steel Construction Manual, table 3-23 (simple beam,
uniform load; simple beam, load at centre; simple beam, uniform load over part of the span;
cantilever, load at free end); the titles of those cases are from memory, and the tests derive
each formula again by integration.
"""

from __future__ import annotations

import math

from railsheet.checks.amount import Kind
from railsheet.checks.demand import Demand, Loads, Stiffness, Term, load_size
from railsheet.checks.limit import Limit

DEMAND_ONLY = (
    "Demand only: what the loads ask of each part. Whether the parts, their fasteners and what "
    "they stand on can carry it is for the maker's tested figures, the local code, the authority "
    "having jurisdiction and a licensed engineer."
)

_HANDBOOK = "beam table, AISC Steel Construction Manual table 3-23"
_SIMPLE_CENTRE = f"{_HANDBOOK}: simple beam, concentrated load at centre"
_SIMPLE_UNIFORM = f"{_HANDBOOK}: simple beam, uniformly distributed load"
_SIMPLE_PART = f"{_HANDBOOK}: simple beam, uniform load over part of the span, at its middle"
_CANTILEVER = f"{_HANDBOOK}: cantilever, concentrated load at free end"
_EQUILIBRIUM = "equilibrium of the part"


def _positive(**lengths: float) -> None:
    for name, value in lengths.items():
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} is {value}: more than nothing is wanted")


def rail_demands(
    span_mm: float, loads: Loads, stiffness: Stiffness | None = None
) -> tuple[Demand, ...]:
    """What the loads along the top ask of a rail between two posts.

    Args:
        span_mm: clear length along the rail between its supports. On a rake it is the sloped
            length: a load square to the rail's plane bends the whole of it.
        loads: the code's loads.
        stiffness: the rail's, for deflections; left out, no deflection is given.

    Raises:
        ValueError: the span or a stiffness is not more than nothing.
    """
    _positive(span_mm=span_mm)
    span = Term("L", "span along the rail", span_mm, Kind.LENGTH)
    demands: list[Demand] = []
    if load := loads.concentrated:
        p = load_size(load)
        terms = (Term("P", "concentrated load", p, Kind.FORCE), span)
        demands += [
            _moment(
                "rail bending, load at mid-span",
                p * span_mm / 4,
                "M = P·L / 4",
                terms,
                load,
                _SIMPLE_CENTRE,
            ),
            _force(
                "rail end reaction, load beside a post", p, "V = P", terms[:1], load, _EQUILIBRIUM
            ),
        ]
        if stiffness:
            ei = _ei(stiffness)
            demands.append(
                _sag(
                    "rail deflection, load at mid-span",
                    p * span_mm**3 / (48 * ei),
                    "d = P·L³ / (48·E·I)",
                    (*terms, *_ei_terms(stiffness)),
                    load,
                    _SIMPLE_CENTRE,
                )
            )
    if load := loads.uniform:
        w = load_size(load)
        terms = (Term("w", "uniform load", w, Kind.LINE_LOAD), span)
        demands += [
            _moment(
                "rail bending, load all along",
                w * span_mm**2 / 8,
                "M = w·L² / 8",
                terms,
                load,
                _SIMPLE_UNIFORM,
            ),
            _force(
                "rail end reaction, load all along",
                w * span_mm / 2,
                "V = w·L / 2",
                terms,
                load,
                _SIMPLE_UNIFORM,
            ),
        ]
        if stiffness:
            ei = _ei(stiffness)
            demands.append(
                _sag(
                    "rail deflection, load all along",
                    5 * w * span_mm**4 / (384 * ei),
                    "d = 5·w·L⁴ / (384·E·I)",
                    (*terms, *_ei_terms(stiffness)),
                    load,
                    _SIMPLE_UNIFORM,
                )
            )
    return tuple(demands)


def post_demands(
    height_mm: float, tributary_mm: float, loads: Loads, stiffness: Stiffness | None = None
) -> tuple[Demand, ...]:
    """What the loads along the top ask of a post at its base.

    Args:
        height_mm: from the post's base to the line of the load, the top of the rail.
        tributary_mm: length of rail that leans on the post: half of each span beside it, along
            the rail.
        loads: the code's loads.
        stiffness: the post's, for the deflection of its top; left out, none is given.

    Raises:
        ValueError: a length or a stiffness is not more than nothing.
    """
    _positive(height_mm=height_mm, tributary_mm=tributary_mm)
    height = Term("h", "base to the line of the load", height_mm, Kind.LENGTH)
    demands: list[Demand] = []
    if load := loads.concentrated:
        p = load_size(load)
        force = (Term("P", "concentrated load", p, Kind.FORCE),)
        demands += _at_post("one load at the post", p, "P", force, height, load, stiffness)
    if load := loads.uniform:
        w = load_size(load)
        leaning = (
            Term("w", "uniform load", w, Kind.LINE_LOAD),
            Term("t", "length of rail that leans on the post", tributary_mm, Kind.LENGTH),
        )
        demands += _at_post(
            "load all along", w * tributary_mm, "w·t", leaning, height, load, stiffness
        )
    return tuple(demands)


def _at_post(
    case: str,
    force_n: float,
    force: str,
    terms: tuple[Term, ...],
    height: Term,
    load: Limit,
    stiffness: Stiffness | None,
) -> list[Demand]:
    demands = [
        _moment(
            f"post base moment, {case}",
            force_n * height.value,
            f"M = {force}·h",
            (*terms, height),
            load,
            _CANTILEVER,
        ),
        _force(f"post base shear, {case}", force_n, f"V = {force}", terms, load, _EQUILIBRIUM),
    ]
    if stiffness:
        demands.append(
            _sag(
                f"post top deflection, {case}",
                force_n * height.value**3 / (3 * _ei(stiffness)),
                f"d = {force}·h³ / (3·E·I)",
                (*terms, height, *_ei_terms(stiffness)),
                load,
                _CANTILEVER,
            )
        )
    return demands


def baluster_demands(length_mm: float, spacing_mm: float, loads: Loads) -> tuple[Demand, ...]:
    """What the infill loads ask of one baluster, a simple span between the rails.

    A load spread over an area is taken as a square patch at mid-length; the baluster carries the
    strip of it that is as wide as the spacing, or the whole patch where the spacing is wider.

    Args:
        length_mm: between the rails that hold it, along the baluster.
        spacing_mm: centre to centre, square to the balusters.
        loads: the code's loads.

    Raises:
        ValueError: a length is not more than nothing.
    """
    _positive(length_mm=length_mm, spacing_mm=spacing_mm)
    span = Term("L", "baluster between the rails", length_mm, Kind.LENGTH)
    demands: list[Demand] = []
    if load := loads.infill:
        f = load_size(load)
        whole = Term("F", "infill load", f, Kind.FORCE)
        if load.over_mm2 is None:
            demands += _point_on_baluster(whole, span, load)
        else:
            demands += _patch_on_baluster(whole, load.over_mm2, span, spacing_mm, load)
    if load := loads.pressure:
        p = load_size(load)
        spacing = Term("q", "spacing", spacing_mm, Kind.LENGTH)
        terms = (Term("p", "pressure on the infill", p, Kind.PRESSURE), spacing, span)
        demands += [
            _moment(
                "baluster bending, pressure all over",
                p * spacing_mm * length_mm**2 / 8,
                "M = p·q·L² / 8",
                terms,
                load,
                _SIMPLE_UNIFORM,
            ),
            _force(
                "baluster end reaction, pressure all over",
                p * spacing_mm * length_mm / 2,
                "V = p·q·L / 2",
                terms,
                load,
                _SIMPLE_UNIFORM,
            ),
        ]
    return tuple(demands)


def _point_on_baluster(force: Term, span: Term, load: Limit) -> list[Demand]:
    terms = (force, span)
    return [
        _moment(
            "baluster bending, infill load at mid-length",
            force.value * span.value / 4,
            "M = F·L / 4",
            terms,
            load,
            _SIMPLE_CENTRE,
        ),
        _force(
            "baluster end reaction, infill load beside a rail",
            force.value,
            "V = F",
            terms[:1],
            load,
            _EQUILIBRIUM,
        ),
    ]


def _patch_on_baluster(
    force: Term, area_mm2: float, span: Term, spacing_mm: float, load: Limit
) -> list[Demand]:
    side = math.sqrt(area_mm2)
    width, length = min(spacing_mm, side), min(side, span.value)
    area = Term("A", "area it is spread over", area_mm2, Kind.AREA)
    strip = Term("b", "width of it on one baluster", width, Kind.LENGTH)
    patch = Term("c", "length of it along the baluster", length, Kind.LENGTH)
    pressure = force.value / area_mm2
    carried = pressure * width * length
    terms = (force, area, strip, patch, span)
    return [
        Demand(
            "pressure under the infill load",
            pressure,
            Kind.PRESSURE,
            "p = F / A",
            (force, area),
            load,
            _EQUILIBRIUM,
        ),
        _moment(
            "baluster bending, infill load at mid-length",
            carried * (2 * span.value - length) / 8,
            "M = (F/A)·b·c·(2·L - c) / 8",
            terms,
            load,
            _SIMPLE_PART,
        ),
        _force(
            "baluster end reaction, infill load beside a rail",
            carried * (span.value - length / 2) / span.value,
            "V = (F/A)·b·c·(L - c/2) / L",
            terms,
            load,
            _EQUILIBRIUM,
        ),
    ]


def _moment(
    what: str, value: float, formula: str, terms: tuple[Term, ...], load: Limit, source: str
) -> Demand:
    return Demand(what, value, Kind.MOMENT, formula, terms, load, source)


def _force(
    what: str, value: float, formula: str, terms: tuple[Term, ...], load: Limit, source: str
) -> Demand:
    return Demand(what, value, Kind.FORCE, formula, terms, load, source)


def _sag(
    what: str, value: float, formula: str, terms: tuple[Term, ...], load: Limit, source: str
) -> Demand:
    return Demand(what, value, Kind.LENGTH, formula, terms, load, source)


def _ei(stiffness: Stiffness) -> float:
    _positive(modulus=stiffness.modulus_n_mm2, inertia=stiffness.inertia_mm4)
    return stiffness.modulus_n_mm2 * stiffness.inertia_mm4


def _ei_terms(stiffness: Stiffness) -> tuple[Term, Term]:
    return (
        Term(
            "E",
            f"modulus of elasticity, N/mm^2 ({stiffness.source})",
            stiffness.modulus_n_mm2,
            None,
        ),
        Term("I", f"second moment of area, mm^4 ({stiffness.source})", stiffness.inertia_mm4, None),
    )

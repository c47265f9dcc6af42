"""A demand: a number that a code's load asks of a part, with all that went into it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from railsheet.checks.amount import Kind, say_metric, say_us
from railsheet.checks.limit import Limit, Quantity


@dataclass(frozen=True)
class Term:
    """One number that went into a demand.

    Attributes:
        symbol: as the formula has it.
        meaning: in words.
        value: in the unit ``kind`` has inside; as it is where ``kind`` is None.
        kind: what it is an amount of; None for E and I, whose unit stands in ``meaning``.
    """

    symbol: str
    meaning: str
    value: float
    kind: Kind | None

    @property
    def text(self) -> str:
        """The term for print, in both systems of units."""
        if self.kind is None:
            return f"{self.symbol} = {self.value:g}, {self.meaning}"
        metric, us = say_metric(self.value, self.kind), say_us(self.value, self.kind)
        return f"{self.symbol} = {metric} ({us}), {self.meaning}"


@dataclass(frozen=True)
class Demand:
    """One thing that a load asks of a part.

    Attributes:
        what: in words.
        value: in the unit ``kind`` has inside: N·mm, N, mm, N/mm^2.
        kind: MOMENT, FORCE, LENGTH (a deflection) or PRESSURE.
        formula: as worked.
        terms: every number in the formula.
        load: the limit that gives the load, with its clause.
        source: where the formula is from.
    """

    what: str
    value: float
    kind: Kind
    formula: str
    terms: tuple[Term, ...]
    load: Limit
    source: str

    @property
    def text(self) -> str:
        """The value for print, in both systems of units."""
        return f"{say_metric(self.value, self.kind)} ({say_us(self.value, self.kind)})"


@dataclass(frozen=True)
class Stiffness:
    """What a deflection needs to know of a section.

    Attributes:
        modulus_n_mm2: modulus of elasticity, N/mm^2.
        inertia_mm4: second moment of area about the axis bent on, mm^4.
        source: where both were read.
    """

    modulus_n_mm2: float
    inertia_mm4: float
    source: str


@dataclass(frozen=True)
class Loads:
    """The loads of one code in one situation; None where the code asks for none.

    Each demand is worked for one load alone. The infill load "need not be assumed to act
    concurrently with any other live load" (IRC 2021 table R301.5 footnote f, read in Washington
    Administrative Code 51-51-0301); that the concentrated and the uniform load are likewise
    separate cases is IBC 2021 1607.9.1 and ASCE 7-16 4.5.1 (from memory).

    Attributes:
        concentrated: one load, anywhere along the top, in any direction.
        uniform: along the top.
        infill: on a part of the infill, square to it.
        pressure: all over the infill, square to it.
    """

    concentrated: Limit | None
    uniform: Limit | None
    infill: Limit | None
    pressure: Limit | None


def loads_among(limits: Iterable[Limit]) -> Loads:
    """Pick the loads out of the limits that apply; the greatest where there are several."""
    limits = tuple(limits)
    return Loads(
        concentrated=_greatest(limits, Quantity.CONCENTRATED_LOAD),
        uniform=_greatest(limits, Quantity.UNIFORM_LOAD),
        infill=_greatest(limits, Quantity.INFILL_LOAD),
        pressure=_greatest(limits, Quantity.INFILL_PRESSURE),
    )


def _greatest(limits: tuple[Limit, ...], quantity: Quantity) -> Limit | None:
    found = [limit for limit in limits if limit.quantity is quantity]
    return max(found, key=load_size, default=None)


def load_size(load: Limit) -> float:
    """A load's size, in the unit its kind has inside."""
    return load.bounds[0].value

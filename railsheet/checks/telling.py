"""A finding's figures as a person reads them: rounded, but never onto another verdict.

A figure is rounded to the tape like any other. Where the rounded figure would fall on the other
side of its limit, it is rounded to the finest division a tape has (a 64th of an inch, a tenth of
a millimetre), and where even that would, to the next such division on its own side of the limit.
A margin that would round to nothing and is not nothing is printed the same way, away from nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from railsheet.checks.amount import Kind
from railsheet.checks.finding import Finding
from railsheet.checks.judge import judge
from railsheet.units.display import Tape
from railsheet.units.length import Unit

_FINEST = {Unit.INCH: Fraction(1, 64), Unit.MM: Fraction(1, 10)}
_ANGLE_RAD = math.radians(0.1)
_PART = 0.01


def figure_text(finding: Finding, tape: Tape) -> str:
    """The figure, as its verdict needs it; empty where not checked."""
    if finding.figure is None:
        return ""
    bound, kind = finding.bound, finding.kind
    for text, printed in _prints(finding.figure, kind, tape):
        if judge(printed, bound.value, bound.sense, kind).status is finding.status:
            return text
    raise ValueError(f"no print of {finding.figure} tells how it stands to {finding.limit_text}")


def margin_text(finding: Finding, tape: Tape) -> str:
    """The margin, as finely as it takes not to be nothing; empty where not checked."""
    if finding.margin is None:
        return ""
    for text, printed in _prints(finding.margin, finding.kind, tape):
        if finding.margin == 0.0 or printed * finding.margin > 0.0:
            return text
    raise ValueError(f"no print of the margin {finding.margin}")


def _prints(value: float, kind: Kind, tape: Tape) -> Iterator[tuple[str, float]]:
    """Ways to print a value, the coarsest first, each with the number that is printed."""
    if kind is Kind.LENGTH:
        yield tape.text(value), tape.rounded_mm(value)
        fine = Tape(tape.unit, min(tape.step, _FINEST[tape.unit]))
        for size in (value, *_either_side(value, fine.step_mm)):
            yield fine.text(size), fine.rounded_mm(size)
        return
    if kind is Kind.COUNT and value == round(value):
        yield f"{value:.0f}", value
        return
    step = _ANGLE_RAD if kind is Kind.ANGLE else _PART
    for size in (value, *_either_side(value, step)):
        whole = round(size / step)
        yield (f"{whole / 10:.1f}°" if kind is Kind.ANGLE else f"{whole / 100:.2f}"), whole * step


def _either_side(value: float, step: float) -> tuple[float, float]:
    return math.floor(value / step) * step, math.ceil(value / step) * step

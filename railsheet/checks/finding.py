"""What a check found: a figure, the clause it stands against, and by how much."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from railsheet.checks.amount import MM_PER_FOOT, Kind
from railsheet.checks.judge import Status, judge
from railsheet.checks.limit import Bound, Limit


@dataclass(frozen=True)
class Finding:
    """One figure against one bound of one limit.

    Attributes:
        what: what was measured, in words.
        where: the place, as marked on the drawing.
        limit: the limit it stands against.
        bound: which bound of that limit.
        figure: in the unit ``limit.kind`` has inside (mm, rad, N...); None where not checked.
        sigma: the figure's standard deviation, same unit; None where it has none.
        status: within, outside, or not checked.
        margin: how far inside, same unit; negative is outside; None where not checked.
        missing: what has to be read before it can be checked; empty where it was.
    """

    what: str
    where: str
    limit: Limit
    bound: Bound
    figure: float | None
    sigma: float | None
    status: Status
    margin: float | None
    missing: tuple[str, ...]

    @property
    def kind(self) -> Kind:
        """What the figure is an amount of."""
        return self.limit.kind

    @property
    def clause(self) -> str:
        """The clause, with its edition."""
        return f"{self.limit.edition} {self.limit.clause}"

    @property
    def limit_text(self) -> str:
        """The bound as the code writes it: ``less than 4 in``; all bounds where not checked."""
        if self.figure is None:
            return self.limit.text
        return f"{self.bound.sense.value} {self.bound.written}"

    @property
    def from_memory(self) -> bool:
        """The limit was not read in its source; a sheet has to say so."""
        return not self.limit.read

    @property
    def tie_rule(self) -> str:
        """What becomes of a figure that equals the limit."""
        return self.bound.sense.tie_rule

    @property
    def share(self) -> float | None:
        """The margin as a share of the limit, which lengths, angles and loads have in common.

        Where the limit is nothing ("at least over the riser") the margin is taken as a share of
        a foot, about what most lengths here are limited to.
        """
        if self.margin is None:
            return None
        return self.margin / (self.bound.value or MM_PER_FOOT)

    @property
    def unsure(self) -> bool:
        """The margin is smaller than two standard deviations of the figure."""
        if self.margin is None or self.sigma is None:
            return False
        return abs(self.margin) < 2.0 * self.sigma


def findings_for(
    limit: Limit, figure: float, where: str, sigma: float | None = None
) -> tuple[Finding, ...]:
    """Hold one figure against a limit: one finding for each of its bounds.

    Args:
        limit: the limit.
        figure: in the unit the limit's kind has inside.
        where: the place, as marked on the drawing.
        sigma: the figure's standard deviation, if it has one.
    """
    return tuple(_against(limit, bound, figure, where, sigma) for bound in limit.bounds)


def _against(limit: Limit, bound: Bound, figure: float, where: str, sigma: float | None) -> Finding:
    judged = judge(figure, bound.value, bound.sense, limit.kind)
    return Finding(
        what=limit.measures,
        where=where,
        limit=limit,
        bound=bound,
        figure=figure,
        sigma=sigma,
        status=judged.status,
        margin=judged.margin,
        missing=(),
    )


def not_checked(limit: Limit, where: str, missing: Iterable[str]) -> tuple[Finding, ...]:
    """A limit that could not be checked, and what has to be read first.

    Raises:
        ValueError: nothing is named as missing: then it could have been checked.
    """
    lacking = tuple(missing)
    if not lacking:
        raise ValueError(f"{limit.key} at {where}: nothing is missing")
    return tuple(
        Finding(
            what=limit.measures,
            where=where,
            limit=limit,
            bound=bound,
            figure=None,
            sigma=None,
            status=Status.NOT_CHECKED,
            margin=None,
            missing=lacking,
        )
        for bound in limit.bounds
    )


def any_outside(findings: Iterable[Finding]) -> bool:
    """Whether any of them stands outside its limit."""
    return any(finding.status is Status.OUTSIDE for finding in findings)


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order an inspector should meet them.

    Outside first, then not checked, then within; among each the least margin first, taken as a
    share of its limit so that lengths, angles and loads can stand in one list. Equal ones keep
    the order they came in.
    """
    return tuple(sorted(findings, key=_rank))


_ORDER = {Status.OUTSIDE: 0, Status.NOT_CHECKED: 1, Status.WITHIN: 2}


def _rank(finding: Finding) -> tuple[int, float]:
    share = finding.share
    return _ORDER[finding.status], 0.0 if share is None else share

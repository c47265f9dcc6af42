"""A handrail with all that follows from it: what its sheets draw from."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.cuts.job_stock import JobStock
from railsheet.cuts.take_off import TakeOffLine
from railsheet.layout.handrail_model import Handrail
from railsheet.layout.notice import Notice


@dataclass(frozen=True)
class HandrailWork:
    """One handrail.

    Attributes:
        parts: its take-off.
        notices: what it calls attention to.
        stock: the whole job's stock plan.
    """

    handrail: Handrail
    parts: tuple[TakeOffLine, ...]
    notices: tuple[Notice, ...]
    stock: JobStock

    @property
    def mark(self) -> str:
        """Its mark."""
        return self.handrail.mark

    @property
    def title(self) -> str:
        """What it is called on sheets."""
        return f"Handrail {self.mark}"

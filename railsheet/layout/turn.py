"""The gap where a rail ends: what it lies between, how wide it is, and what it is taken for."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from railsheet.layout.plan import Point


class TurnKind(Enum):
    """What the gap at a rail's end is.

    OPENING: two things with an opening between. STEPS: the far edge of a flight's steps, and what
    stands beyond it. WAY: the way onto a flight. UNCLOSED: a gap that people could walk through,
    and nothing in the job says what closes it.
    """

    OPENING = "opening"
    STEPS = "opening beside the steps"
    WAY = "way"
    UNCLOSED = "unclosed"


@dataclass(frozen=True)
class Turn:
    """The gap between a rail's end post and what stands beside it. Lengths in mm, in plan.

    Attributes:
        post: the end post's mark.
        beside: what stands beside it, in words.
        beside_post: that post's mark; empty where it is no post at a run's end.
        runs: the end post's run, and that of what stands beside.
        clear_mm: the least distance, and the greatest sphere that passes.
        start, end: where the two come nearest.
        flight: the flight whose way it is, or whose steps' edge; empty for other kinds.
        parts_mm: how near rails or base plates come there, where that is nearer; else None.
    """

    kind: TurnKind
    post: str
    beside: str
    beside_post: str
    runs: tuple[str, str]
    clear_mm: float
    start: Point
    end: Point
    flight: str = ""
    parts_mm: float | None = None

    @property
    def owner(self) -> str:
        """The run that tells it: the one whose rail ends."""
        return self.runs[0]

    @property
    def between(self) -> str:
        """The two things in words."""
        if self.kind is TurnKind.STEPS:
            return f"between the far edge of flight {self.flight}'s steps and {self.beside}"
        return f"between post {self.post} and {self.beside}"

    @property
    def middle(self) -> Point:
        """Where the greatest sphere is drawn."""
        return (self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2

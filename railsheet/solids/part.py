"""One part in space: what it is called, what it is, and what must carry it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import cadquery as cq


class PartKind(Enum):
    """What a part is."""

    POST = "post"
    RAIL = "rail"
    BRACKET = "bracket"
    BALUSTER = "baluster"
    FILLET = "fillet"
    CABLE = "cable"
    FITTING = "fitting"
    BRACE = "brace"
    PANE = "pane"
    MEMBER = "member"
    GROUND = "ground"


# Red, green, blue and opacity, 0 to 1: our own, dark for what is fast and light for what fills.
COLOURS: dict[PartKind, tuple[float, float, float, float]] = {
    PartKind.POST: (0.20, 0.25, 0.30, 1.0),
    PartKind.RAIL: (0.16, 0.42, 0.45, 1.0),
    PartKind.BRACKET: (0.78, 0.49, 0.17, 1.0),
    PartKind.BALUSTER: (0.45, 0.52, 0.56, 1.0),
    PartKind.FILLET: (0.71, 0.60, 0.42, 1.0),
    PartKind.CABLE: (0.60, 0.62, 0.65, 1.0),
    PartKind.FITTING: (0.78, 0.49, 0.17, 1.0),
    PartKind.BRACE: (0.36, 0.40, 0.48, 1.0),
    PartKind.PANE: (0.62, 0.80, 0.84, 0.45),
    PartKind.MEMBER: (0.45, 0.52, 0.56, 1.0),
    PartKind.GROUND: (0.80, 0.78, 0.72, 1.0),
}


@dataclass(frozen=True)
class Part:
    """One part.

    Attributes:
        mark: its piece mark, unique in the job.
        kind: what it is.
        solid: in place, run frame, mm.
        carried_by: marks of the parts that must carry it: it touches each of them.
        stands_off: marks of parts that it stands off, and by how much at the nearest, in mm.
        drawn_to_fit: whether its own shape is no dimension of the kit's, so that it is drawn cut
            to what it meets.
        plane: x along it and y up, of a rail that does not lie along its run; else None.
    """

    mark: str
    kind: PartKind
    solid: cq.Shape
    carried_by: tuple[str, ...]
    stands_off: tuple[tuple[str, float], ...] = ()
    drawn_to_fit: bool = False
    plane: cq.Plane | None = None

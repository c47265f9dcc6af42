"""How a kit's top rail turns back to a wall past its last post, as the kit's file gives it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railsheet.errors import BadInput
from railsheet.job.fitting import Fitting, read_fitting
from railsheet.job.kit_bracket import Screw, read_screws
from railsheet.job.kit_ends import EndKit, OverKit
from railsheet.job.source import Table

# A return leaves the rail square, on any rake: it is level, and square to the run.
RETURN_TURN_RAD = math.pi / 2

_MITRE, _ELBOW = "mitre", "elbow"


@dataclass(frozen=True)
class ReturnKit:
    """How a top rail that runs over its posts is turned back to a wall. Lengths in mm.

    Attributes:
        elbow: what joins the return to the rail; None where the two are mitred.
        fixing: what holds a mitre together, in words; empty beside an elbow.
        past_mm: level, from the last post's outer face to the return's middle.
        gap_mm: between the return's cut end and the wall: what the plate there takes.
        plate: what holds it to the wall, in words.
        screws: kinds and counts for one return.
        over: how the rail runs over its posts.
    """

    name: str
    elbow: Fitting | None
    fixing: str
    past_mm: float
    gap_mm: float
    plate: str
    screws: tuple[Screw, ...]
    over: OverKit

    @property
    def set_back_mm(self) -> float:
        """From where the middles of rail and return cross to where either is cut."""
        return 0.0 if self.elbow is None else self.elbow.set_back_mm(RETURN_TURN_RAD)

    @property
    def bend_mm(self) -> float:
        """From there to where the bend begins; 0 in a mitre."""
        return 0.0 if self.elbow is None else self.elbow.bend_mm(RETURN_TURN_RAD)


def read_return(root: Table, end: EndKit) -> ReturnKit:
    """The table ``[top_return]``.

    Args:
        end: how the top rail ends.

    Raises:
        BadInput: a key is missing, misspelt or out of range; or the top rail does not run over
            its posts, and so has no free end past the last.
    """
    table = root.table("top_return")
    if not isinstance(end, OverKit):
        words = 'only for top_end > kind "over post": no other top rail goes past its last post'
        raise BadInput(root.file, "top_return", "", words)
    mitred = table.choice("join", [_MITRE, _ELBOW]) == _MITRE
    for key, other in (("elbow", _ELBOW), ("fixing", _MITRE)):
        if table.has(key) and mitred != (other == _MITRE):
            raise table.bad(key, f'only beside join = "{other}"', "")
    elbow = None if mitred else read_fitting(table.table("elbow"))
    if elbow is not None and not elbow.makes(RETURN_TURN_RAD):
        raise table.bad("elbow > turn", "must make 90 degrees: a return is square to its rail", "")
    returned = ReturnKit(
        name=table.text("name", "the return in words"),
        elbow=elbow,
        fixing=table.text("fixing", "what holds the mitre together, in words") if mitred else "",
        past_mm=table.length("past", 0, 600),
        gap_mm=table.length("gap", 0, 50),
        plate=table.text("plate", "what holds the return to the wall, in words"),
        screws=read_screws(table),
        over=end,
    )
    table.done()
    return returned

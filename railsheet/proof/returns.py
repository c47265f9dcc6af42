"""A top rail's return to a wall measured on its solid, and the wall from the rail and the post."""

from __future__ import annotations

from collections.abc import Iterator

import cadquery as cq

from railsheet.job.kit_return import ReturnKit
from railsheet.proof.bays import BayTaken
from railsheet.proof.derived import Derived
from railsheet.proof.measure import across_mm, end_side, outermost, reach_mm, spread_mm
from railsheet.proof.rails import cut_angles
from railsheet.solids.fill import BayPlace
from railsheet.solids.run import RaisedRun, return_mark
from railsheet.solids.space import RUN, UP

_ASIDE = cq.Vector(0, 1, 0)


def return_figures(key: str, run: RaisedRun, bay: BayPlace, taken: BayTaken) -> Iterator[Derived]:
    """Every figure of the returns past one bay's ends.

    The top rail's middle lies on y = 0, and its post's sides stand where they are found.
    """
    for at, post in zip(bay.at[0], bay.posts, strict=True):
        if not isinstance(at.holds, ReturnKit):
            continue
        uphill = at.inward < 0
        mark = return_mark(bay.mark, uphill=uphill)
        where = f"{key}.rail.top.return.{'uphill' if uphill else 'downhill'}"
        solid, wall = run.parts[mark].solid, run.parts[f"{mark} wall"].solid
        # From the rail to the wall: the wall lies wholly on one side of the run.
        to = _ASIDE if wall.Center().y > 0 else _ASIDE * -1.0
        face = outermost(wall, to * -1.0).flat.at
        yield Derived(f"{where}.to_wall", abs(float(face.y)))
        stands = run.parts[post].solid
        # Just under the post's top, where no plate is.
        top = min(reach_mm(end_side(stands, UP).face, UP)) - 0.5
        side = across_mm(stands, cq.Vector(at.station.middle_mm, 0, top), to)
        yield Derived(f"{where}.clear", abs(float(face.y)) - side)
        yield Derived(f"{where}.gap", solid.distance(wall))
        length = spread_mm(solid, to)
        yield Derived(f"{where}.length", length)
        bevels = taken.top.along.cross(_ASIDE)
        depth, wide = spread_mm(solid, bevels), spread_mm(solid, taken.top.along)
        at_rail, at_wall = end_side(solid, to * -1.0), end_side(solid, to)
        # Going up the run the wall comes last past an uphill end, and first before a downhill one.
        ends = (("downhill", at_rail), ("uphill", at_wall))
        for name, cut in ends if uphill else (("downhill", at_wall), ("uphill", at_rail)):
            yield from cut_angles(f"{where}.{name}", to, taken.top.along, cut, (depth, wide))
            yield Derived(f"{where}.{name}.short_point", spread_mm(cut.face, to))
        outer = at.outer_mm
        middle = reach_mm(solid, RUN)
        yield Derived(f"{where}.past", abs(sum(middle) / 2 - outer))

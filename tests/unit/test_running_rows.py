"""Running dimensions of two datums in one row leave room for each other."""

from __future__ import annotations

import itertools

from railsheet.sheets.dimensions import Mark
from railsheet.sheets.drawing import new_document
from railsheet.sheets.running import RUNNING_PITCH_MM, running_dims
from railsheet.sheets.scales import standard_scales


def heights(dimensions) -> list[float]:
    return [
        label.dxf.insert.y for d in dimensions for label in d.get_geometry_block().query("MTEXT")
    ]


def test_two_rows_are_spread_as_one() -> None:
    scale = standard_scales("mm")[3]
    posts = [Mark((0.0, y), "1", f"p{y}") for y in (101.0, 300.0)]
    noses = [Mark((5.0, y), "2", f"n{y}") for y in (0.0, 100.0, 300.0)]
    msp = new_document("mm", 1.0).modelspace()

    def row(datum, marks, among):
        points = [mark.point for mark in among]
        return running_dims(msp, datum, marks, 50.0, scale, axis="y", among=points)

    placed = [*row((0.0, 90.0), posts, noses), *row((0.0, 0.0), noses, posts)]
    apart = [b - a for a, b in itertools.pairwise(sorted(heights(placed)))]
    pitch = RUNNING_PITCH_MM * scale.denominator
    assert len(apart) == 4
    assert min(apart) >= pitch - 1e-6

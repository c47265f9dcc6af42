"""Parts as flat outlines, against what each is made from: counts, holes, marks and cuts.

Where a hole or a mark lies is measured from the part's own edge, by plain sums and a tangent.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from railsheet.cuts.flat_parts import FlatPart, fill_part, post_parts, rail_parts
from railsheet.cuts.pieces import Pieces, cut_pieces
from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.layout.railing import Railing, Working
from railsheet.survey.flight import survey_flight

SAMPLES = Path(__file__).parents[2] / "samples"
KINDS = ["porch-flight", "drilled-rail", "cut-to-fit"]


@cache
def cut(name: str) -> tuple[Railing, Pieces]:
    job = load_job(SAMPLES / f"{name}.toml")
    spec = job.flights[0]
    railing = solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)
    return railing, cut_pieces(railing)


def middle(outline) -> tuple[float, float]:
    return (
        sum(x for x, _ in outline) / len(outline),
        sum(y for _, y in outline) / len(outline),
    )


def faces(name: str) -> list[tuple[Railing, object, FlatPart]]:
    railing, pieces = cut(name)
    return [
        (piece.rail, part)
        for piece in pieces.rails
        for part in rail_parts(piece, railing.spec.side)
        if part.name.endswith("-face")
    ]


@pytest.mark.parametrize("name", KINDS)
def test_a_rails_side_is_as_long_and_leans_as_its_cuts(name: str) -> None:
    railing, pieces = cut(name)
    for piece in pieces.rails:
        side = next(iter(rail_parts(piece, railing.spec.side)))
        assert side.count == 1
        assert side.marks == (piece.mark,)
        xs, depth = [x for x, _ in side.outline], piece.rail.kit.depth_mm
        assert max(xs) - min(xs) == pytest.approx(piece.rail.length_mm)
        assert {y for _, y in side.outline} == {0.0, depth}
        # Each cut crosses the depth by its own tangent.
        (low_up, _), (low_down, _), (high_down, _), (high_up, _) = side.outline
        for low, high, end in (
            (low_up, high_up, piece.rail.uphill),
            (low_down, high_down, piece.rail.downhill),
        ):
            assert abs(high - low) == pytest.approx(abs(end.lean) * depth)


@pytest.mark.parametrize("name", KINDS)
def test_every_hole_lies_where_the_rail_has_it(name: str) -> None:
    found = faces(name)
    assert found
    for rail, part in found:
        assert part.count == 1
        drilled = rail.working is Working.DRILLED
        places = (
            [hole.centre for hole in part.holes] if drilled else list(map(middle, part.scribed))
        )
        assert len(places) == len(rail.holes)
        # On a square-ended face the edge is the uphill cut; its middle line holds the holes.
        first = rail.holes[0].from_uphill_mm - places[0][0]
        for (x, y), hole in zip(places, rail.holes, strict=True):
            assert y == pytest.approx(rail.kit.width_mm / 2)
            assert x + first == pytest.approx(hole.from_uphill_mm)
        edge = rail.from_uphill_mm(rail.uphill.u_at(rail.punched_offset_mm, 0.0))
        assert first == pytest.approx(edge)
        if drilled:
            assert {hole.diameter_mm for hole in part.holes} == {rail.hole_mm}


@pytest.mark.parametrize("name", KINDS)
def test_a_posts_marks_stand_over_its_plates_top(name: str) -> None:
    railing, pieces = cut(name)
    checked = 0
    for piece in pieces.posts:
        over = piece.post.surface_z_mm + railing.kit.plate.thickness_mm
        for face, part in zip(piece.post.faces, post_parts(railing, piece), strict=False):
            assert len(part.scribed) == len(face.mounts)
            for mark, mount in zip(part.scribed, face.mounts, strict=True):
                assert middle(mark)[1] == pytest.approx(mount.centre_z_mm - over)
                assert max(x for x, _ in mark) - min(x for x, _ in mark) == pytest.approx(
                    mount.width_mm
                )
                checked += 1
    assert checked


def test_a_cut_balusters_ends_are_parallel_and_lean_by_its_saw_setting() -> None:
    _, pieces = cut("cut-to-fit")
    parts = [(fill.piece, part) for fill in pieces.fills if (part := fill_part(fill)) is not None]
    assert parts
    for piece, part in parts:
        a, b, c, d = part.outline
        assert math.dist(a, b) == pytest.approx(piece.edge_mm)
        assert (c[0] - d[0], c[1] - d[1]) == pytest.approx((b[0] - a[0], b[1] - a[1]))
        assert d[1] == pytest.approx(piece.depth_mm)
        assert math.atan2(d[0], d[1]) == pytest.approx(piece.saw_rad)
        assert part.count == piece.count

"""Rails coped to round posts, and cuts unfolded for paper: published figures, vectors, solids.

Sources, each named at its check: "Pipe Saddle Cut Calculator", machinecalcs.com (its method notes
and worked examples), and "Pipe Saddle Coping", calcady.com (its table of cut depths), both read
2026-11-25; OCCT through cadquery, a general-purpose solid modelling library.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.kit_bracket import EndCut
from railsheet.job.load import load_job
from railsheet.layout.cope import hollow_mm
from railsheet.layout.development import Face, around_mm, unfolded
from railsheet.layout.rail_ends import End, RailEnd
from railsheet.layout.railing import Rail
from railsheet.solids.bar import Bar

SAMPLES = Path(__file__).parents[2] / "samples"
INCH = 25.4


@pytest.mark.parametrize(
    ("branch", "header", "aside", "depth"),
    [
        # machinecalcs.com, worked example: 2 in outside on 6 in, square; at the 1/8 and 1/4 marks,
        # printed as "about 0.085" and "about 0.172".
        (2.0, 6.0, math.sin(math.radians(45)), 0.0852),
        (2.0, 6.0, 1.0, 0.1716),
        # machinecalcs.com, default result: 2.375 in outside on 6.625 in.
        (2.375, 6.625, math.sin(math.radians(45)), 0.10819),
        (2.375, 6.625, 1.0, 0.22017),
        # calcady.com, common saddle cut depths, 90 degrees.
        (2.375, 4.5, 1.0, 0.339),
        (2.375, 6.625, 1.0, 0.220),
        (4.5, 6.625, 1.0, 0.882),
        (4.5, 8.625, 1.0, 0.633),
        (6.625, 8.625, 1.0, 1.551),
    ],
)
def test_a_square_copes_depth_is_the_published_one(branch, header, aside, depth) -> None:
    """Of calcady's table the third row and its worked depth are its own formula's.

    Its first, fourth and fifth rows (0.367, 0.626 and 1.576 in) are not: R - sqrt(R^2 - r^2) of
    the diameters printed beside them gives 0.339, 0.633 and 1.551. The formula is what is held to.
    """
    found = hollow_mm(header / 2 * INCH, aside * branch / 2 * INCH, 0.0) / INCH
    assert found == pytest.approx(depth, abs=1e-3)


def coped_end(rake: float, radius: float) -> RailEnd:
    """An uphill end coped to a round about s = 0, where the axes cross at u = 0."""
    u = -radius / math.cos(rake)
    lean = math.tan(rake)
    return RailEnd(End.UPHILL, EndCut.COPED, -radius, u, u, 0.0, "cut", lean=lean, cope_mm=radius)


@given(
    rake=st.floats(0.0, 0.9),
    around=st.floats(0.0, math.tau),
    share=st.floats(0.05, 0.99),
    radius=st.floats(15.0, 60.0),
)
def test_a_raked_cope_follows_the_published_development(rake, around, share, radius) -> None:
    """machinecalcs.com, method notes, for a round branch of radius r on a header of radius R:

    w(t) = (-r cos t cos b + sqrt(R^2 - r^2 sin^2 t)) / sin b, from where the axes cross. The
    header is the post, plumb; b is what the rail makes with it, 90 degrees less its rake.
    """
    r, b = share * radius, math.pi / 2 - rake
    w = (
        -r * math.cos(around) * math.cos(b) + math.sqrt(radius**2 - (r * math.sin(around)) ** 2)
    ) / math.sin(b)
    end = coped_end(rake, radius)
    # Seen from the post the rail falls away from its uphill end: its underside is nearer.
    u = end.u_at(r * math.cos(around), r * math.sin(around))
    assert -u == pytest.approx(w, abs=1e-9)


@given(
    rake=st.floats(0.0, 0.9),
    offset=st.floats(-30.0, 30.0),
    share=st.floats(-1.0, 1.0),
    radius=st.floats(15.0, 60.0),
)
def test_every_point_of_a_cope_lies_on_the_posts_round(rake, offset, share, radius) -> None:
    """By vectors: the point put in place, and its distance from the post's axis, level."""
    aside = share * radius
    end = coped_end(rake, radius)
    along = np.array([math.cos(rake), 0.0, math.sin(rake)])
    up = np.array([-math.sin(rake), 0.0, math.cos(rake)])
    point = end.u_at(offset, aside) * along + offset * up + aside * np.array([0.0, 1.0, 0.0])
    assert math.hypot(point[0], point[1]) == pytest.approx(radius, abs=1e-9)


@cache
def solved(name: str) -> SolvedJob:
    return solve_job(load_job(SAMPLES / f"{name}.toml"))


@cache
def raised(name: str):
    return raised_job(solved(name), "test")


def rails_of(name: str):
    """Each rail with its solid, its posts' solids, and its line in space."""
    for run in raised(name).runs.values():
        railing = next(w.railing for w in solved(name).runs if w.mark == run.out.mark)
        for bay, place in zip(railing.bays, run.bays, strict=True):
            posts = [run.parts[mark].solid for mark in place.posts]
            for rail, mark, bar in zip(bay.rails, place.rails, place.bars, strict=True):
                yield rail, run.parts[mark].solid, posts, bar


def test_a_coped_rail_lies_against_its_posts_over_its_whole_cut() -> None:
    """No overlap and no gap but the clearance: the cope's own face, sampled, against the post.

    The face's area is the strip of cylinder that the rail covers: 2 R asin(w / 2R) round it, and
    the rail's depth over the rake's cosine, plumb.
    """
    looked = 0
    for rail, solid, posts, bar in rails_of("coped-rails"):
        rake = math.atan2(bar.along.z, bar.along.x)
        copes = [face for face in solid.Faces() if face.geomType() == "CYLINDER"]
        copes = [face for face in copes if face.Area() > 1000]
        assert len(copes) == 2
        for face, post in zip(sorted(copes, key=lambda f: f.Center().x), posts, strict=True):
            radius, half = rail.downhill.cope_mm, rail.kit.width_mm / 2
            clear = radius - 2.375 / 2 * INCH
            area = 2 * radius * math.asin(half / radius) * rail.kit.depth_mm / math.cos(rake)
            assert face.Area() == pytest.approx(area, rel=1e-6)
            assert solid.intersect(post).Volume() == pytest.approx(0.0, abs=1e-3)
            for edge in face.Edges():
                for share in (0.0, 0.25, 0.5, 0.75, 1.0):
                    point = cq.Vertex.makeVertex(*edge.positionAt(share).toTuple())
                    assert point.distance(post) == pytest.approx(clear, abs=1e-5)
            looked += 1
    assert looked == 8


def folded(rail: Rail, end: End, bar: Bar) -> list[cq.Vector]:
    """The unfolded cut put back round the bar in space: from the paper's places alone.

    From the top left arris looking out of the end: over the top to the right, down, back
    underneath, up.
    """
    out = -end.inward
    deep, wide = rail.kit.depth_mm, rail.kit.width_mm
    up, way = bar.plane.yDir, bar.along * float(out)
    right = way.cross(up)
    longest = rail.end(end).long_u_mm(deep, wide)
    # A rail's u is zero on its axis over s = 0.
    start = _over_zero(bar)
    points = []
    for strip in unfolded(rail, end):
        for place, back in strip.cut:
            if strip.face is Face.TOP:
                across, high = place - wide / 2, deep / 2
            elif strip.face is Face.RIGHT:
                across, high = wide / 2, deep / 2 - (place - wide)
            elif strip.face is Face.UNDERSIDE:
                across, high = wide / 2 - (place - wide - deep), -deep / 2
            else:
                across, high = -wide / 2, (place - 2 * wide - deep) - deep / 2
            points.append(start + bar.along * longest - way * back + right * across + up * high)
    return points


def _over_zero(bar: Bar) -> cq.Vector:
    """The point of a bar's axis over s = 0."""
    at = bar.point(0.0, bar.middle_mm)
    return at - bar.along * (at.x / bar.along.x)


@pytest.mark.parametrize("name", ["coped-rails", "butted-rails", "returned-rail"])
def test_paper_folded_round_the_bar_lies_on_the_solids_cut(name: str) -> None:
    """Every point of the printed line, put back in space, is on the edge of the solid's end."""
    looked = 0
    for rail, solid, _, bar in rails_of(name):
        for end in End:
            cut = rail.end(end)
            if not (cut.slant or cut.cope_mm):
                continue
            strips = unfolded(rail, end)
            assert strips[-1].stop_mm == pytest.approx(around_mm(rail))
            edges = cq.Compound.makeCompound(solid.Edges())
            # A plough is open in the underside's edge: there the paper has nothing to lie on.
            points = folded(rail, end, bar)
            assert points[0].sub(points[-1]).Length < 1e-6, "the line closes round the bar"
            for point in points:
                vertex = cq.Vertex.makeVertex(*point.toTuple())
                over = rail.groove_mm / 2 + 1e-6
                if rail.groove_mm and abs(point.y) < over:
                    continue
                assert vertex.distance(edges) < 1e-4, (name, rail.place, end)
                looked += 1
    assert looked >= 16

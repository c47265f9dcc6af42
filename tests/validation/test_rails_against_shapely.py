"""Rails, holes and posts of the sample flights against plane geometry done by shapely.

Source: shapely 2 (GEOS), a general-purpose reference library. Nothing here uses the project's own
formulas for places along a rail: rails are drawn as polygons, turned and cut, and then measured.
"""

from __future__ import annotations

import itertools
import math

import pytest
from shapely import LineString, Point, affinity, box

from railsheet.job.kit import RailPlace
from railsheet.job.kit_bracket import EndCut
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail, Railing


def placed_rail(railing: Railing, rail: Rail) -> tuple:
    """The rail's outline and its punched face as they lie in place, from the kit alone."""
    kit, rake = railing.kit, railing.line.rake_rad
    depth = rail.kit.depth_mm
    top = rail.place is RailPlace.TOP
    top_of_rail = LineString([(s, railing.line.z_at(s)) for s in (-5000, 9000)])
    rails_over_all = (
        kit.top_rail.depth_mm + railing.section.clear_square_mm + kit.bottom_rail.depth_mm
    )
    # Offsetting to the right of an uphill line goes down, square to it.
    down = depth / 2 if top else rails_over_all - depth / 2
    axis = top_of_rail.offset_curve(-down)
    face = top_of_rail.offset_curve(-(depth if top else rails_over_all - depth))
    bracket = kit.end(rail.place)
    faces = railing.downhill_post.face_s_mm, railing.uphill_post.face_s_mm
    setback = bracket.reach_mm - bracket.insertion_mm
    bar = axis.buffer(depth / 2, cap_style="flat")
    if bracket.cut is EndCut.PLUMB:
        outline = bar.intersection(box(faces[0] + setback, -9000, faces[1] - setback, 9000))
        return outline, face
    ends = []
    for face_s, inward in zip(faces, (1, -1), strict=True):
        plumb = LineString([(face_s + inward * bracket.stand_off_mm, z) for z in (-9000, 9000)])
        pin = axis.intersection(plumb)
        ends.append(
            affinity.translate(
                pin, inward * setback * math.cos(rake), inward * setback * math.sin(rake)
            )
        )
    return LineString(ends).buffer(depth / 2, cap_style="flat"), face


@pytest.mark.parametrize("kit", ["dunlin", "whimbrel"])
def test_lengths_and_holes_measured_on_the_drawn_rail(solve, kit: str) -> None:
    railing = solve(('kit = "dunlin"', f'kit = "{kit}"'))
    rake = railing.line.rake_rad
    for rail in railing.bays[0].rails:
        outline, face = placed_rail(railing, rail)
        level = affinity.rotate(outline, -rake, origin=(0, 0), use_radians=True)
        left, _, right, _ = level.bounds
        assert right - left == pytest.approx(rail.length_mm, abs=1e-6)
        holes = {h.baluster: h.from_uphill_mm for h in rail.holes if h.baluster}
        for number, s in enumerate(railing.bays[0].baluster_s_mm, start=1):
            centre = LineString([(s, -9000), (s, 9000)]).intersection(face)
            turned = affinity.rotate(centre, -rake, origin=(0, 0), use_radians=True)
            assert right - turned.x == pytest.approx(holes[number], abs=1e-6)
        pitches = [holes[n] - holes[n + 1] for n in range(1, len(holes))]
        pitch = railing.kit.infill.holes.pitch_mm
        assert pitches == pytest.approx([pitch] * len(pitches), abs=1e-9)


@pytest.mark.parametrize("kit", ["dunlin", "whimbrel"])
def test_a_baluster_bears_on_both_stops_and_no_more(solve, kit: str) -> None:
    railing = solve(('kit = "dunlin"', f'kit = "{kit}"'))
    top, bottom = railing.bays[0].rails
    _, top_face = placed_rail(railing, top)
    _, bottom_face = placed_rail(railing, bottom)
    rise = railing.line.rake_rad
    s, width = railing.bays[0].baluster_s_mm[0], railing.kit.baluster.width_mm

    def stop(face: LineString, seat: float, way: int) -> LineString:
        # The stop lies within the rail, square to its punched face.
        return affinity.translate(face, -way * seat * math.sin(rise), way * seat * math.cos(rise))

    upper = stop(top_face, top.kit.seat_mm, 1)
    lower = stop(bottom_face, bottom.kit.seat_mm, -1)
    # The tallest upright rectangle of the baluster's width between two raked lines.
    left, right = s - width / 2, s + width / 2

    def at(line: LineString, where: float) -> float:
        return line.intersection(LineString([(where, -9000), (where, 9000)])).y

    ceiling = min(at(upper, left), at(upper, right))
    floor = max(at(lower, left), at(lower, right))
    assert ceiling - floor == pytest.approx(railing.kit.baluster.length_mm, abs=1e-6)


@pytest.mark.parametrize("kit", ["dunlin", "whimbrel"])
def test_gaps_openings_and_diagonals_measured(solve, kit: str) -> None:
    railing = solve(('kit = "dunlin"', f'kit = "{kit}"'))
    width = railing.kit.baluster.width_mm
    low, high = railing.posts
    side = railing.kit.post.width_mm
    shapes = [box(low.face_s_mm - side, 0, low.face_s_mm, 1)]
    shapes += [box(s - width / 2, 0, s + width / 2, 1) for s in railing.bays[0].baluster_s_mm]
    shapes += [box(high.face_s_mm, 0, high.face_s_mm + side, 1)]
    clear = [a.distance(b) for a, b in itertools.pairwise(shapes)]
    assert clear[0] == pytest.approx(railing.bays[0].gap_mm)
    assert clear[-1] == pytest.approx(railing.bays[0].gap_mm)
    openings = clear[1:-1]
    assert openings == pytest.approx([railing.bays[0].row.opening_mm] * len(openings))
    rising = Point(low.face_s_mm, low.underside_z_mm).distance(
        Point(high.face_s_mm, high.rail_top_z_mm)
    )
    falling = Point(low.face_s_mm, low.rail_top_z_mm).distance(
        Point(high.face_s_mm, high.underside_z_mm)
    )
    assert railing.bays[0].diagonals_mm == pytest.approx((rising, falling))


@pytest.mark.parametrize("kit", ["dunlin", "whimbrel"])
def test_mounts_stand_on_the_rails_axes(solve, kit: str) -> None:
    railing = solve(('kit = "dunlin"', f'kit = "{kit}"'))
    for rail in railing.bays[0].rails:
        outline, _ = placed_rail(railing, rail)
        corners = outline.minimum_rotated_rectangle if rail.short_mm(End.UPHILL) == 0 else outline
        middle = corners.centroid
        for post in railing.posts:
            bracket = railing.kit.end(rail.place)
            pin_s = post.face_s_mm + post.end.inward * bracket.stand_off_mm
            expected = middle.y + (pin_s - middle.x) * railing.line.slope
            mount = next(m for m in post.mounts if m.place is rail.place)
            assert mount.centre_z_mm == pytest.approx(expected, abs=1e-6)
    assert set(End) == {p.end for p in railing.posts}

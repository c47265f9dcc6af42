"""Every kind of infill measured on what is drawn: openings, marks, templates, cables.

Sources: shapely 2 (GEOS) for the plane geometry; cadquery (Open CASCADE) for the baluster in the
solid; for cables the table published at eastcoastcablesolutions.com/data-on-cable-flex.html.
"""

from __future__ import annotations

import itertools
import math

import pytest
from shapely import LineString, Polygon, unary_union

from railsheet.checks.opening import greatest_circle
from railsheet.job.kit import RailPlace
from railsheet.job.kit_infill import BalusterEnd, CutKit
from railsheet.layout.infill.spread import CablePair
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay, Railing
from railsheet.sheets.profile import rail_outline

IN = 25.4
LBF = 4.4482216152605  # exact by definition (NIST SP 811, app. B)
ROWS = ["dunlin", "whimbrel", "siskin", "ouzel", "pipit"]


@pytest.fixture
def bay(solve):
    def solved(kit: str) -> tuple[Railing, Bay]:
        railing = solve(('kit = "dunlin"', f'kit = "{kit}"'))
        return railing, railing.bays[0]

    return solved


def between_the_rails(bay: Bay) -> Polygon:
    """What the drawing leaves between the two rails, post face to post face."""
    top, bottom = (rail_outline(bay, rail) for rail in bay.rails)

    def on(start, end, s: float) -> tuple[float, float]:
        share = (s - start[0]) / (end[0] - start[0])
        return s, start[1] + share * (end[1] - start[1])

    left, right = bay.downhill_face_mm, bay.uphill_face_mm
    # A rail's outline: lower edge uphill, then the upper edge back down.
    return Polygon(
        [
            on(bottom[3], bottom[2], left),
            on(bottom[3], bottom[2], right),
            on(top[0], top[1], right),
            on(top[0], top[1], left),
        ]
    )


def openings(bay: Bay) -> list[Polygon]:
    members = unary_union([Polygon(member.outline) for member in bay.infill.members])
    left = between_the_rails(bay).difference(members.buffer(1e-9))
    parts = [part for part in getattr(left, "geoms", [left]) if part.area > 1.0]
    return sorted(parts, key=lambda part: (part.centroid.x, part.centroid.y))


@pytest.mark.parametrize("kit", ROWS)
def test_openings_of_rows(bay, kit: str) -> None:
    railing, solved = bay(kit)
    found = openings(solved)
    assert len(found) == len(solved.baluster_s_mm) + 1
    widths = [part.bounds[2] - part.bounds[0] for part in found]
    row = solved.row
    assert widths[0] == pytest.approx(row.gap_mm, abs=1e-6)
    assert widths[-1] == pytest.approx(row.gap_mm, abs=1e-6)
    assert widths[1:-1] == pytest.approx([row.opening_mm] * (len(widths) - 2), abs=1e-6)
    limit = getattr(railing.kit.infill, "greatest_opening_mm", None)
    if limit is None:
        return
    # Drilled and cut to fit: every opening equal, within the limit, and one fewer would not be.
    assert max(widths) - min(widths) < 1e-6
    assert max(widths) <= limit
    assert max(greatest_circle(part).diameter_mm for part in found) <= limit
    fewer = len(solved.baluster_s_mm) - 1
    assert (solved.clear_mm - fewer * row.width_mm) / (fewer + 1) > limit


@pytest.mark.parametrize("kit", ["siskin", "ouzel", "pipit"])
def test_marks_on_both_rails_stand_plumb_over_each_other(bay, kit: str) -> None:
    _, solved = bay(kit)
    rake = solved.line.rake_rad
    for rail in solved.rails:
        outline = rail_outline(solved, rail)
        top = rail.place is RailPlace.TOP
        face = LineString(outline[:2] if top else outline[2:])
        # The uphill end's long point, measured along the rail.
        along = [s * math.cos(rake) + z * math.sin(rake) for s, z in outline]
        for hole in rail.holes:
            if hole.baluster is None:
                continue
            s = solved.baluster_s_mm[hole.baluster - 1]
            point = face.intersection(LineString([(s, -9999), (s, 9999)]))
            place = point.x * math.cos(rake) + point.y * math.sin(rake)
            assert max(along) - place == pytest.approx(hole.from_uphill_mm, abs=1e-6)


@pytest.mark.parametrize("ends", list(BalusterEnd))
@pytest.mark.parametrize("seat", [0.0, 9.0])
def test_a_baluster_cut_to_fit_measured_in_the_solid(
    tmp_path, solve, ends: BalusterEnd, seat: float
) -> None:
    cq = pytest.importorskip("cadquery")
    from pathlib import Path

    from railsheet.job.kit import find_kit

    text = find_kit("ouzel", Path(), "", "").read_text(encoding="utf-8")
    text = text.replace('ends = "raked"', f'ends = "{ends.value}"').replace(
        "seat = 0\nstock", f"seat = {seat}\nstock"
    )
    path = tmp_path / "cut.toml"
    path.write_text(text, encoding="utf-8")
    railing = solve(('kit = "dunlin"', f'kit = "{path}"'))
    solved = railing.bays[0]
    assert isinstance(railing.kit.infill, CutKit)
    width = railing.kit.baluster.width_mm
    s = solved.baluster_s_mm[2]
    bar = cq.Workplane().box(width, width, 4000).translate((s, 0, solved.line.z_at(s) - 450))
    for rail in solved.rails:
        # What a baluster may enter of each rail is cut away with the seat; the rest stops it.
        top = rail.place is RailPlace.TOP
        way = 1 if top else -1
        outline = rail_outline(solved, rail)
        face = outline[:2] if top else [outline[3], outline[2]]
        rake = solved.line.rake_rad
        shift = (-way * seat * math.sin(rake), way * seat * math.cos(rake))
        # Far past the rail's own ends, so that the space beyond covers the whole bar.
        far = (4000 * math.cos(rake), 4000 * math.sin(rake))
        a = (face[0][0] + shift[0] - far[0], face[0][1] + shift[1] - far[1])
        b = (face[1][0] + shift[0] + far[0], face[1][1] + shift[1] + far[1])
        deep = (-way * 3000 * math.sin(rake), way * 3000 * math.cos(rake))
        corners = [a, b, (b[0] + deep[0], b[1] + deep[1]), (a[0] + deep[0], a[1] + deep[1])]
        beyond = cq.Workplane("XZ").polyline(corners).close().extrude(100, both=True)
        bar = bar.cut(beyond)
    solid = bar.val()
    piece = solved.infill.pieces[0]
    if ends is BalusterEnd.RAKED:
        assert solid.BoundingBox().zlen == pytest.approx(piece.length_mm, abs=1e-6)
        assert solid.Volume() == pytest.approx(width * width * piece.edge_mm, rel=1e-9)
        assert piece.saw_rad == pytest.approx(solved.line.rake_rad)
    else:
        # A square-ended one is the longest upright box that the cut space holds.
        tall = cq.Workplane().box(width, width, piece.length_mm)
        lows = [v.Z for v in solid.Vertices()]
        middle = (min(lows) + max(lows)) / 2
        placed = tall.translate((s, 0, middle)).val()
        assert placed.cut(solid).Volume() == pytest.approx(0.0, abs=1e-6)
        taller = cq.Workplane().box(width, width, piece.length_mm + 0.02)
        assert taller.translate((s, 0, middle)).val().cut(solid).Volume() > 1e-4


def test_fillets_and_openings_fill_a_plough(tmp_path, solve) -> None:
    railing = solve(('kit = "dunlin"', 'kit = "linnet"'))
    solved = railing.bays[0]
    fillets = [p for p in solved.infill.pieces if p.suffix.startswith("F")]
    cos = math.cos(solved.line.rake_rad)
    edges = sum(p.count * p.edge_mm for p in fillets)
    feet = 2 * len(solved.baluster_s_mm) * solved.row.width_mm / cos
    mouths = sum(
        rail.mouth_from_uphill_mm(End.DOWNHILL) - rail.mouth_from_uphill_mm(End.UPHILL)
        for rail in solved.rails
    )
    assert edges + feet == pytest.approx(mouths, abs=1e-6)


def test_a_racked_panel_is_the_flat_panel_turned(bay) -> None:
    railing, solved = bay("pipit")
    infill, rake = railing.kit.infill, solved.line.rake_rad
    # Flat, pickets pinned at both axes stand a pitch apart. Racked, each axis turns by the rake
    # about its first pin and the pickets stay plumb: both axes' pins keep their pitch.
    along, up = math.cos(rake), math.sin(rake)
    pitch, apart = infill.holes.pitch_mm, infill.axes_apart_mm
    low0, high0, low1, high1 = (
        (n * pitch * along, n * pitch * up + h) for n in range(2) for h in (0.0, apart)
    )
    assert math.dist(low0, high0) == pytest.approx(math.dist(low1, high1))
    assert low1[0] - low0[0] == pytest.approx(solved.row.spacing_mm)
    square = abs((high0[1] - low0[1]) * math.cos(rake))
    depths = railing.kit.top_rail.depth_mm + railing.kit.bottom_rail.depth_mm
    assert solved.section.clear_square_mm == pytest.approx(square - depths / 2)


def test_a_pane_lies_in_its_grooves_clear_of_the_posts(bay) -> None:
    railing, solved = bay("fulmar")
    kit, rake = railing.kit, solved.line.rake_rad
    pane = Polygon(solved.infill.templates[0].outline)
    assert pane.bounds[0] - solved.downhill_face_mm == pytest.approx(kit.infill.side_clearance_mm)
    assert solved.uphill_face_mm - pane.bounds[2] == pytest.approx(kit.infill.side_clearance_mm)
    seen = pane.intersection(between_the_rails(solved))
    edge = math.dist(*solved.infill.templates[0].outline[:2])
    bitten = (pane.area - seen.area) / edge
    assert bitten == pytest.approx(kit.infill.bite_top_mm + kit.infill.bite_bottom_mm, rel=1e-9)
    facts = {fact.name: fact.value for fact in solved.infill.facts}
    # Parallelogram law: the diagonals' squares make twice the sides' squares.
    assert facts["pane.rising"] ** 2 + facts["pane.falling"] ** 2 == pytest.approx(
        2 * (facts["pane.plumb"] ** 2 + facts["pane.raked"] ** 2)
    )
    assert facts["pane.corner"] == pytest.approx(math.pi / 2 - rake)


def test_cables_stand_evenly_between_the_rails(bay) -> None:
    railing, solved = bay("wheatear")
    infill, rake = railing.kit.infill, solved.line.rake_rad
    cables = [Polygon(m.outline) for m in solved.infill.members[: solved.infill.count]]
    edges = [LineString(rail_outline(solved, rail)) for rail in solved.rails]
    lines = [edges[1], *cables, edges[0]]
    gaps = [lower.distance(upper) for lower, upper in itertools.pairwise(lines)]
    facts = {fact.name: fact.value for fact in solved.infill.facts}
    assert gaps[1:-1] == pytest.approx([facts["opening"]] * (len(gaps) - 2), abs=1e-6)
    assert gaps[0] == pytest.approx(facts["opening"], abs=1e-6)
    assert gaps[-1] == pytest.approx(facts["opening"], abs=1e-6)
    circle = max(greatest_circle(part).diameter_mm for part in openings(solved))
    assert circle <= facts["opening"] + 1e-6
    assert circle < infill.sphere_mm
    assert facts["spread"] < infill.sphere_mm
    # One fewer lets the sphere through.
    fewer = solved.infill.count - 1
    gap = (solved.section.clear_square_mm - fewer * infill.diameter_mm) / (fewer + 1)
    pair = CablePair(
        gap + infill.diameter_mm,
        infill.diameter_mm,
        facts["free"],
        infill.tension_n,
        infill.sphere_mm,
    )
    assert pair.pass_force_n <= infill.push_n
    # Heights on a post's face, measured plumb on the drawing.
    plumb = LineString([(solved.downhill_face_mm, -9999), (solved.downhill_face_mm, 9999)])
    underside = solved.line.z_at(solved.downhill_face_mm) - solved.section.height_plumb_mm
    for number, cable in enumerate(cables, start=1):
        _, low, _, high = plumb.intersection(cable).bounds
        assert (low + high) / 2 - underside == pytest.approx(facts[f"cable.{number}"], abs=1e-6)
    assert rake > 0


# Diameter, spacing and the published spread under a 4 in sphere, in: 400 lbf in each cable, held
# every 42 in, the sphere pressed by 8.7 lbf (the force: document 806698872, section B). The
# published model also counts how tension rises along 50 ft of cable, so the two differ a little.
CABLES = [
    (0.125, 3.1, 3.474),
    (0.1875, 3.1, 3.439),
    (0.1875, 3.25, 3.699),
    (0.25, 3.1, 3.405),
    (0.25, 3.36, 3.88),
    (0.3125, 3.1, 3.368),
    (0.3125, 3.25, 3.567),
    (0.3125, 3.36, 3.735),
    (0.375, 3.1, 3.328),
    (0.375, 3.25, 3.513),
    (0.375, 3.36, 3.659),
]


@pytest.mark.parametrize(("diameter", "spacing", "published"), CABLES)
def test_cable_spread_against_the_published_table(
    diameter: float, spacing: float, published: float
) -> None:
    pair = CablePair(spacing * IN, diameter * IN, 42 * IN, 400 * LBF, 4 * IN)
    spread = pair.spread_mm(8.7 * LBF)
    assert spread is not None
    assert spread / IN == pytest.approx(published, abs=0.08)


def test_the_pass_force_is_the_greatest_the_cables_can_balance() -> None:
    pair = CablePair(3.1 * IN, 0.1875 * IN, 900, 1000, 4 * IN)
    start = pair.apart_mm / 2
    steps = [start + (pair.reach_mm - start) * n / 20000 for n in range(20001)]
    assert pair.pass_force_n == pytest.approx(max(pair.force_n(y) for y in steps), rel=1e-6)
    assert pair.spread_mm(pair.pass_force_n * 1.001) is None
    pressed = pair.spread_mm(pair.pass_force_n / 2)
    assert pressed is not None
    assert pair.force_n(pressed / 2) == pytest.approx(pair.pass_force_n / 2)
    assert CablePair(4.2 * IN, 0.1875 * IN, 900, 1000, 4 * IN).pass_force_n == 0

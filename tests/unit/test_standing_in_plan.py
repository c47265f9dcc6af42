"""What of a run stands in plan: posts, infill, rails and plates, where its own line puts them.

Each outline is measured along and across the leg by its own direction cosines, not by the room's.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable
from pathlib import Path

import pytest

from railsheet.job.load import load_job
from railsheet.job.model import PostKind
from railsheet.layout.flight import solve_flight
from railsheet.layout.plan import Leg, Point
from railsheet.layout.site_model import Site
from railsheet.layout.solid_plan import PlanSolid, post_outline, reaching_in, standing_in
from railsheet.survey.flight import survey_flight

SAMPLES = Path(__file__).parents[2] / "samples"
BASE = 250.0
Extent = tuple[float, float, float, float]


def extent(site: Site, run: str, solid: PlanSolid, start: Point) -> Extent:
    """Least and greatest along the run's own s, then across it."""
    leg = site.legs[run]
    ux, uy = math.cos(leg.bearing_rad), math.sin(leg.bearing_rad)
    along = [(x - start[0]) * ux + (y - start[1]) * uy for x, y in solid.outline]
    across = [(y - start[1]) * ux - (x - start[0]) * uy for x, y in solid.outline]
    return (*(leg.start_s_mm + s for s in (min(along), max(along))), min(across), max(across))


def named(solids: Iterable[PlanSolid], words: str) -> list[PlanSolid]:
    return [solid for solid in solids if words in solid.name]


@pytest.mark.parametrize("run", ["A", "M"])
def test_line_posts_stand_as_wide_as_they_are(station, run: str) -> None:
    site = station()
    railing, start = site.railings[run], (100.0, -40.0)
    found = named(standing_in(railing, site.legs[run], start, BASE), "post")
    inner = railing.posts[1:-1]
    assert inner
    assert len(found) == len(inner)
    half = railing.kit.post.width_mm / 2
    for solid, post in zip(found, inner, strict=True):
        wide = (post.centre_s_mm - half, post.centre_s_mm + half, -half, half)
        assert extent(site, run, solid, start) == pytest.approx(wide)
        assert solid.low_mm == pytest.approx(BASE + post.surface_z_mm)
        assert solid.high_mm == pytest.approx(BASE + post.top_z_mm)


@pytest.mark.parametrize("run", ["A", "M"])
def test_a_row_stands_member_by_member_under_its_rail(station, run: str) -> None:
    site = station()
    railing, start = site.railings[run], (0.0, 0.0)
    found = named(standing_in(railing, site.legs[run], start, BASE), "infill")
    members = [(bay, member) for bay in railing.bays for member in bay.infill.members]
    assert len(found) == len(members)
    for solid, (bay, member) in zip(found, members, strict=True):
        places = [s for s, _ in member.outline]
        half = member.thick_mm / 2
        assert extent(site, run, solid, start) == pytest.approx(
            (min(places), max(places), -half, half)
        )
        top = BASE + bay.line.z_at((min(places) + max(places)) / 2)
        assert solid.high_mm == pytest.approx(top)
        assert solid.low_mm == pytest.approx(top - bay.section.height_plumb_mm)


@pytest.mark.parametrize("run", ["A", "M"])
def test_rails_and_plates_reach_as_far_as_they_do(station, run: str) -> None:
    site = station()
    railing, start = site.railings[run], (0.0, 0.0)
    solids = list(reaching_in(railing, site.legs[run], start, BASE))
    rails, plates = named(solids, "rail of"), named(solids, "plate of")
    assert len(rails) == len(railing.bays)
    for solid, bay in zip(rails, railing.bays, strict=True):
        half = max(rail.kit.width_mm for rail in bay.rails) / 2
        faces = (bay.downhill_face_mm, bay.uphill_face_mm)
        assert extent(site, run, solid, start) == pytest.approx((*faces, -half, half))
        tops = [bay.line.z_at(s) for s in faces]
        assert solid.high_mm == pytest.approx(BASE + max(tops))
        assert solid.low_mm == pytest.approx(BASE + min(tops) - bay.section.height_plumb_mm)
    made = [post for post in railing.posts if post.made]
    plate = railing.kit.plate
    for solid, post in zip(plates, made, strict=True):
        along, across = plate.along_mm / 2, plate.across_mm / 2
        s = post.centre_s_mm
        assert extent(site, run, solid, start) == pytest.approx(
            (s - along, s + along, -across, across)
        )
        assert solid.low_mm == pytest.approx(BASE + post.surface_z_mm)
        assert solid.high_mm == pytest.approx(solid.low_mm + plate.thickness_mm)


def test_a_pane_shuts_its_bay_from_post_to_post() -> None:
    job = load_job(SAMPLES / "solid-pane.toml")
    spec = job.flights[0]
    railing = solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)
    leg = Leg("A", "P1", "P2", 2000.0, 0.0)
    panes = named(standing_in(railing, leg, (0.0, 0.0), BASE), "infill")
    assert len(panes) == len(railing.bays)
    for solid, bay in zip(panes, railing.bays, strict=True):
        half = railing.kit.infill.thickness_mm / 2
        xs, ys = zip(*solid.outline, strict=True)
        assert (min(xs), max(xs)) == pytest.approx((bay.downhill_face_mm, bay.uphill_face_mm))
        assert (min(ys), max(ys)) == pytest.approx((-half, half))


def test_a_post_stands_turned_as_it_is(station) -> None:
    site = station()
    turned = [post for post in site.posts.values() if post.kind is not PostKind.WALL]
    assert any(math.degrees(post.turned_rad) % 90 not in (0.0, 45.0) for post in turned)
    kit = site.railings["A"].kit.post
    width = kit.width_mm
    for post in turned:
        outline = post_outline(post, kit, 0.0)
        x, y = post.middle_mm
        # Complex numbers as plan points: a square about the middle, turned.
        corners = [
            complex(x, y) + width / 2 * (1 + 1j) * 1j**k * cmath.exp(1j * post.turned_rad)
            for k in range(4)
        ]
        for corner in corners:
            assert min(abs(corner - complex(*at)) for at in outline) == pytest.approx(0, abs=1e-6)

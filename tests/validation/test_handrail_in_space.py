"""A handrail's middle and pieces by second routes.

Sources: the solid modelling kernel OCCT through cadquery; shapely; vector geometry worked here from
the readings alone.
"""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
import shapely

from railsheet.cli.solve import solve_job
from railsheet.job.handrail import Joints
from railsheet.job.kit_handrail import find_handrail_kit, load_handrail_kit
from railsheet.job.load import load_job
from railsheet.layout.handrail import solve_handrail
from railsheet.layout.handrail_model import Handrail
from railsheet.layout.notice import Weight
from railsheet.solids.handrail import fitting_solid, fitting_wire, handrail_solids, piece_solid
from railsheet.survey.stair import stair_from_readings

SAMPLES = Path(__file__).parents[2] / "samples"
MERLIN = load_handrail_kit(find_handrail_kit("merlin", Path(), "", ""))


def handrail(name: str, **changes: object) -> Handrail:
    job = load_job(SAMPLES / f"{name}.toml")
    stairs = {flight.mark: stair_from_readings(flight.readings) for flight in job.flights}
    spec = dataclasses.replace(job.handrails[0], **changes)
    return solve_handrail(spec, stairs, {}, None, job.file, job.tape.say)


@pytest.fixture(
    scope="module",
    params=[("wall-handrail", "fittings"), ("landing-handrail", "fittings"),
            ("wall-handrail", "mitred"), ("landing-handrail", "mitred")],
    ids=lambda each: "-".join(each),
)  # fmt: skip
def solved(request) -> Handrail:
    name, joints = request.param
    return handrail(name, joints=Joints(joints))


def test_each_piece_measured_in_the_solid(solved: Handrail) -> None:
    half = solved.spec.kit.section.depth_mm / 2
    for piece in solved.pieces:
        solid = piece_solid(solved, piece).val()
        way = cq.Vector(*piece.way)
        # Along its own axis a piece reaches from long point to long point.
        turned = cq.Plane(origin=(0, 0, 0), normal=way)
        box = solid.moved(cq.Location(turned).inverse).BoundingBox(1e-6)
        assert box.zmax - box.zmin == pytest.approx(piece.length_mm, abs=2e-3), piece.mark
        # A round bar cut through its middle is as big as if cut square there, at any lean.
        assert solid.Volume() == pytest.approx(math.pi * half**2 * piece.middle_mm, rel=1e-6)


def test_mitred_pieces_meet_face_to_face_and_share_nothing() -> None:
    solved = handrail("landing-handrail", joints=Joints.MITRED)
    assert all(joint.fitting is None for joint in solved.joints)
    solids = [piece_solid(solved, piece) for piece in solved.pieces]
    half = solved.spec.kit.section.depth_mm / 2
    for joint in solved.joints:
        before, after = solids[joint.corner - 1], solids[joint.corner]
        shared = before.intersect(after)
        assert (shared.val().Volume() if shared.vals() else 0.0) == pytest.approx(0.0, abs=1e-3)
        # Joined, the two have no cut face left open: each lost its elliptical face, by hand
        # pi a b with a = half / cos(turn / 2), b = half.
        face = math.pi * half**2 / math.cos(joint.turn_rad / 2)
        areas = before.val().Area() + after.val().Area() - before.union(after).val().Area()
        assert areas == pytest.approx(2 * face, rel=1e-4)


def test_the_middle_is_as_long_as_pieces_and_fittings_read_from_wires() -> None:
    solved = handrail("landing-handrail")
    wires = sum(fitting_wire(solved, joint).Length() for joint in solved.joints)
    pieces = sum(piece.middle_mm for piece in solved.pieces)
    # By hand: legs and a quarter (or less) of a circle at each fitting.
    by_hand = sum(
        2 * joint.fitting.leg_mm + joint.fitting.radius_mm * joint.turn_rad
        for joint in solved.joints
    )
    assert wires == pytest.approx(by_hand, abs=1e-6)
    gaps = sum(solved.spec.kit.end(solved.finish(bottom=b)).gap_mm for b in (True, False))
    corners = sum(piece.corner_to_corner_mm for piece in solved.pieces)
    backs = sum(2 * joint.set_back_mm for joint in solved.joints)
    assert pieces == pytest.approx(corners - backs - gaps, abs=1e-9)


def test_fittings_swept_touch_their_pieces_and_overlap_none() -> None:
    solved = handrail("wall-handrail")
    area = math.pi * (solved.spec.kit.section.depth_mm / 2) ** 2
    for joint in solved.joints:
        solid = fitting_solid(solved, joint)
        length = 2 * joint.fitting.leg_mm + joint.fitting.radius_mm * joint.turn_rad
        # Pappus: a section swept along its own middle.
        assert solid.val().Volume() == pytest.approx(area * length, rel=2e-3)
        for piece in (solved.pieces[joint.corner - 1], solved.pieces[joint.corner]):
            shared = solid.intersect(piece_solid(solved, piece))
            volume = shared.val().Volume() if shared.vals() else 0.0
            assert volume == pytest.approx(0.0, abs=1e-2)
            assert solid.val().distance(piece_solid(solved, piece).val()) == pytest.approx(
                0.0, abs=1e-5
            )


def test_the_landings_corner_by_shapely() -> None:
    """The rail's line in plan is the wall's, set off to the walking side."""
    for side_turn in (1.0, -1.0):
        base = handrail("landing-handrail")
        landing = dataclasses.replace(
            base.spec.landings[0], turn_rad=side_turn * base.spec.landings[0].turn_rad
        )
        solved = handrail("landing-handrail", landings=(landing,))
        straight = solved.way.straights[0].length_mm
        turn = landing.turn_rad
        wall = shapely.LineString(
            [
                (-2000.0, 0.0),
                (straight, 0.0),
                (straight + 5000 * math.cos(turn), 5000 * math.sin(turn)),
            ]
        )
        rail = wall.offset_curve(solved.way.offset_mm * solved.way.side, join_style="mitre")
        for corner in solved.corners:
            if not corner.past_wall:
                point = shapely.Point(corner.at[:2])
                assert rail.distance(point) == pytest.approx(0.0, abs=1e-6), corner.words
        returned = [c for c in solved.corners if c.past_wall and c.words == "wall"]
        assert returned
        for corner in returned:
            assert wall.distance(shapely.Point(corner.at[:2])) == pytest.approx(0.0, abs=1e-6)


ON_POSTS = """
[[handrail]]
mark = "K"
follows = ["A", "L", "B"]
side = "right"
on = "posts"
parts = "merlin"
H = "900"
C = "45"
spacing = "1900"
first = "600"
bottom = { end = "cap", X = "300" }
top = { end = "cap", X = "300" }
"""


def test_posts_of_three_runs_and_a_turn_by_shapely(tmp_path) -> None:
    """The rail's line is that of the site's posts, as its traverse has them, set off."""
    text = (SAMPLES / "station-steps.toml").read_text(encoding="utf-8")
    at = text.index('mark = "B"')
    assert 'E = "160"' in text[at:]
    # Room for the rail to go level round the corner post before the upper flight begins.
    text = text[:at] + text[at:].replace('E = "160"', 'E = "700"', 1) + ON_POSTS
    # A post between runs is turned for the bearings as stated; without a check reading the plan's
    # are the same.
    head, rest = text.split("[[diagonal]]")
    text = head + rest[rest.index("\n\n") :]
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    whole = solve_job(load_job(path))
    assert whole.site is not None
    rail = whole.handrails[0].handrail
    posts = [np.array(whole.site.posts[mark].at_mm) for mark in ("A-bottom", "P1", "P2", "P3")]
    way = shapely.LineString([posts[0] + 2 * (posts[0] - posts[1]), *posts[1:3],
                              posts[2] + 2 * (posts[3] - posts[2])])  # fmt: skip
    line = way.offset_curve(rail.way.offset_mm, join_style="mitre")
    # The handrail's own x runs up the first flight from its nose 1, the site's y.
    first = whole.works[0].railing.downhill_post.centre_s_mm
    for corner in rail.corners:
        x, y, _ = corner.at
        site = (posts[0][0] - y, posts[0][1] + x - first)
        assert line.distance(shapely.Point(site)) == pytest.approx(0.0, abs=1e-6), corner.words
    turn = next(joint for joint in rail.joints if rail.corners[joint.corner].words == "turn")
    assert math.degrees(turn.turn_rad) == pytest.approx(30.0)
    feet = {mark: post.foot_mm for mark, post in whole.site.posts.items()}
    assert rail.way.straights[1].floor_mm == pytest.approx(feet["P2"] - feet["A-bottom"])
    names = [[support.name for support in straight.supports] for straight in rail.way.straights]
    assert names == [
        ["A's bottom post", "A's line post 1", "post P1", "post P2"],
        ["post P2", "B's line post 1", "post P3"],
    ]
    # Each where its post's middle stands, on the site, along the line it is on.
    turned = math.pi / 2 - math.radians(30)
    ahead = np.array([math.cos(turned), math.sin(turned)])
    for mark, number in (("P2", 0), ("P3", -1)):
        middle = np.array(whole.site.posts[mark].middle_mm)
        along = float((middle - posts[2]) @ ahead)
        support = rail.way.straights[1].supports[number]
        assert abs(support.along_mm - along) < 1e-6, (mark, support.along_mm, along)
    told = [notice.words for notice in rail.notices if notice.weight is Weight.STOP]
    assert told
    assert "post between" in told[0]


def test_tops_over_noses_and_brackets_from_the_middle_alone(solved: Handrail) -> None:
    """Heights measured on the middle in space, half a depth square to it below the top."""
    half = solved.spec.kit.section.depth_mm / 2
    ways = []
    for piece in solved.pieces[solved.first_piece : solved.last_piece + 1]:
        ways.append((np.array(solved.corners[piece.start].at), np.array(piece.way), piece))
    checked = 0
    for straight_number, straight in enumerate(solved.way.straights):
        for flight in straight.flights:
            for nose in flight.stair.noses[1:-1]:
                along = flight.nose_mm + nose.s_mm
                piece = next(
                    p
                    for _, _, p in ways
                    if p.rake_rad > 0.1
                    and solved.corners[p.stop].straight == straight_number
                    and solved.corners[p.start].along_mm < along
                )
                start = solved.corners[piece.start]
                begin = start.after_mm if start.straight < straight_number else start.along_mm
                run = math.hypot(piece.way[0], piece.way[1])
                middle = start.at[2] + (along - begin) / run * piece.way[2]
                top = middle + half / math.cos(piece.rake_rad)
                height = top - flight.floor_mm - nose.z_mm
                assert height == pytest.approx(solved.line(flight.mark).height_over(nose), abs=1e-6)
                checked += 1
    assert checked > 3
    for bracket in solved.brackets:
        piece = solved.pieces[bracket.piece]
        mark = piece.marks_mm[piece.brackets.index(bracket.number)]
        begin = np.array(solved.corners[piece.start].at)
        at = begin + np.array(piece.way) * (piece.lower.back_mm - piece.lower.reach_mm + mark)
        underside = at[2] - half / math.hypot(piece.way[0], piece.way[1])
        plate = underside - solved.spec.kit.bracket.drop_mm
        assert plate == pytest.approx(bracket.plate_z_mm, abs=1e-6)


def test_the_step_file_holds_every_piece(tmp_path) -> None:
    solved = handrail("wall-handrail")
    path = tmp_path / "H.step"
    handrail_solids(solved).export(str(path), exportType="STEP")
    read = cq.importers.importStep(str(path))
    assert len(read.solids().vals()) >= len(solved.pieces) + len(solved.joints)
    names = path.read_text(encoding="utf-8")
    assert all(f"'{piece.mark}'" in names for piece in solved.pieces)

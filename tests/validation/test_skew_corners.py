"""Skew corners against plane geometry done another way: shapely, and points turned by complex i."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from railsheet.cuts.pieces import cut_pieces
from railsheet.cuts.take_off import take_off
from railsheet.errors import BadInput
from railsheet.job.kit import Kit, RailPlace, find_kit, load_kit
from railsheet.job.load import load_job
from railsheet.job.model import PostKind
from railsheet.layout.bay import past_face_mm
from railsheet.layout.corner import leave_post
from railsheet.layout.flight import solve_flight
from railsheet.layout.footprint import footprint
from railsheet.layout.post_place import plate_bounds
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Rail
from railsheet.layout.site_model import Site
from railsheet.layout.turned_post import end_bracket, nearest_skew, skew_pair
from railsheet.survey.flight import survey_flight

SAMPLES = Path(__file__).parent.parent.parent / "samples"
DUNLIN = load_kit(find_kit("dunlin", Path(), "", ""))
SISKIN = load_kit(find_kit("siskin", Path(), "", ""))
PIN = DUNLIN.top_end.skew[0].stand_off_mm
HALF = DUNLIN.post.width_mm / 2


@pytest.fixture
def solve(station: Callable[..., Site]) -> Callable[..., Site]:
    """The station's site without its check, which would turn the runs by the readings' scatter."""
    check = '[[diagonal]]\nfrom = "P3"\nto = "P5"\nD = "5372"\n'
    return lambda *changes: station((check, ""), *changes)


def square_with_pins(turned: float) -> tuple[Polygon, list[complex]]:
    """A post about the origin, and the pins off its four faces; complex numbers as plan points."""
    face = cmath.exp(1j * turned)
    corners = [HALF * (1 + 1j) * 1j**k * face for k in range(4)]
    pins = [(HALF + PIN) * 1j**k * face for k in range(4)]
    return Polygon([(c.real, c.imag) for c in corners]), pins


@given(st.floats(0, math.tau), st.floats(math.radians(70), math.radians(290)))
def test_each_rails_line_runs_through_a_pin_and_meets_the_face_where_it_should(
    way: float, turn: float
) -> None:
    # Source: the lines laid by shapely through the pins of a turned square.
    ways = (way, way + turn)
    for leaving in leave_post(DUNLIN, ways):
        if not leaving.skew.angle_rad:
            assert leaving.point_mm == (0.0, 0.0)
            continue
        if not leaving.skew.held:
            # Nearer square than the swivel's own least turn.
            assert abs(leaving.skew.angle_rad) < DUNLIN.top_end.skew[0].turns_rad[0]
            continue
        post, pins = square_with_pins(leaving.turned_rad)
        start = complex(*leaving.point_mm)
        u = cmath.exp(1j * leaving.way_rad)
        # Of the four pins the one the line runs through, ahead of the post's middle.
        off = [abs(((pin - start) * u.conjugate()).imag) for pin in pins]
        pin = pins[off.index(min(off))]
        assert min(off) < 1e-6
        assert abs(cmath.phase(u / pin)) <= math.pi / 4 + 1e-9
        reach = ((pin - start) * u.conjugate()).real
        bracket = end_bracket(DUNLIN, RailPlace.TOP, leaving.skew)
        face = leaving.face_mm(DUNLIN, PostKind.POST)
        assert face + bracket.stand_off_mm == pytest.approx(reach, abs=1e-6)
        # Where the line leaves the post's outline, walking out.
        far = start + (reach + 1.0) * u
        back = pin - 4 * HALF * u
        cut = LineString([(back.real, back.imag), (far.real, far.imag)]).intersection(post)
        leaves = max(((complex(*c) - start) * u.conjugate()).real for c in cut.coords)
        assert face == pytest.approx(leaves, abs=1e-6)


def test_the_rails_at_a_skew_corner_end_as_the_bracket_asks(solve) -> None:
    site = solve()
    post = site.posts["P4"]
    assert [abs(m.skew.angle_rad) for m in post.meetings] == pytest.approx([math.pi / 8] * 2)
    swivel = DUNLIN.top_end.skew[0]
    _, pins = square_with_pins(post.turned_rad)
    for meeting in post.meetings:
        railing, leg = site.railings[meeting.run], site.legs[meeting.run]
        bay = railing.bays[-1] if leg.end == "P4" else railing.bays[0]
        cut = bay.top_rail.end(meeting.face.end)
        # The rail's end in plan by way of its run: from the plan point along its bearing.
        start = complex(*site.posts[leg.start].at_mm)
        u = cmath.exp(1j * leg.bearing_rad)
        end = start + (cut.u_axis_mm - leg.start_s_mm) * u
        middle = complex(*post.middle_mm)
        # And by way of the post: the pin, then out along the rail to the bracket's stop.
        ways = [p + (swivel.reach_mm - swivel.insertion_mm) * cmath.exp(1j * meeting.way_rad)
                for p in pins]  # fmt: skip
        assert min(abs(middle + way - end) for way in ways) < 1e-6


def test_brackets_of_a_skew_corner_are_on_the_list_and_no_stop_is_left(solve) -> None:
    site = solve()
    told = [notice for found in site.notices.values() for notice in found]
    assert not [n for n in told if n.topic == "skew"]
    turned = [dict(n.lengths_mm)["set_off"] for n in told if n.topic == "turned post"]
    # Source: by hand. From opposite faces two lines meet the pin's reach times tan(skew) off the
    # post's middle; from neighbouring ones, opening outward, on the diagonal between them.
    reach, eighth = HALF + PIN, math.radians(15)
    neighbours = math.sqrt(2) * reach * math.sin(eighth) / (math.cos(eighth) + math.sin(eighth))
    asked = [reach * math.tan(eighth), neighbours, reach * math.tan(math.radians(22.5))]
    assert sorted(turned) == pytest.approx(asked)
    for mark, askew in (("M", 2), ("N", 1)):
        railing = site.railings[mark]
        parts = take_off(railing, cut_pieces(railing), {})
        listed = {part.item: part.count for part in parts}
        assert listed["top swivel bracket"] == listed["bottom swivel bracket"] == askew
        assert listed["top swivel mount"] == askew


def test_a_kit_without_brackets_for_it_is_stopped_with_the_nearest_it_has(solve) -> None:
    bare = solve(('kit = "dunlin"', 'kit = "siskin"'))
    words = [n.words for found in bare.notices.values() for n in found if n.topic == "skew"]
    assert len(words) == 6, "two runs at each of P2, P3 and P4"
    assert all("names no bracket" in text for text in words)
    reach = replace(DUNLIN.top_end.skew[0], turns_rad=(0.1, 0.2))
    short = replace(
        DUNLIN,
        top_end=replace(DUNLIN.top_end, skew=(reach,)),
    )
    assert skew_pair(short, math.pi / 8) is None
    assert nearest_skew(short, math.pi / 8) == pytest.approx(0.2)
    assert nearest_skew(SISKIN, math.pi / 8) is None
    unlike = replace(reach, turns_rad=(0.1, 0.5), stand_off_mm=PIN + 1)
    other: Kit = replace(short, top_end=replace(DUNLIN.top_end, skew=(unlike,)))
    assert skew_pair(other, math.pi / 8) is None, "top and bottom turn about one pin line"


def test_a_bracket_made_for_one_angle_goes_before_a_swivel() -> None:
    fixed = replace(DUNLIN.top_end.skew[0], name="fixed", turns_rad=(math.pi / 8,) * 2,
                    handed=True)  # fmt: skip
    lower = replace(DUNLIN.bottom_end.skew[0], name="fixed", turns_rad=(math.pi / 8,) * 2)
    kit = replace(
        DUNLIN,
        top_end=replace(DUNLIN.top_end, skew=(*DUNLIN.top_end.skew, fixed)),
        bottom_end=replace(DUNLIN.bottom_end, skew=(*DUNLIN.bottom_end.skew, lower)),
    )
    pair = skew_pair(kit, -math.pi / 8)
    assert pair is not None
    assert pair[0].name == "fixed"
    one, other = leave_post(kit, (math.pi, math.pi / 4))
    hands = {end_bracket(kit, RailPlace.TOP, leaving.skew).rising for leaving in (one, other)}
    assert hands == {"top swivel bracket, turning left", "top swivel bracket, turning right"}


def test_the_turned_plate_counts(solve) -> None:
    # Source: the plate as a shapely polygon, turned and moved in plan.
    from shapely import affinity
    from shapely.geometry import box

    site = solve()
    railing, leg = site.railings["M"], site.legs["M"]
    post, at = railing.uphill_post, site.posts["P4"]
    plate = DUNLIN.plate
    square = box(-plate.along_mm / 2, -plate.across_mm / 2, plate.along_mm / 2, plate.across_mm / 2)
    turned = affinity.rotate(square, at.turned_rad, origin=(0, 0), use_radians=True)
    placed = affinity.translate(turned, *at.middle_mm)
    x0, y0 = site.posts[leg.start].at_mm
    # Run M goes along x with its rail on the right: the step's edge is half a plate and I below.
    edge = y0 - plate.across_mm / 2 - post.in_from_side_mm
    stands = footprint(railing, post)
    assert stands.from_side_mm == pytest.approx(placed.bounds[1] - edge, abs=1e-6)
    assert stands.low_s_mm - leg.start_s_mm == pytest.approx(placed.bounds[0] - x0, abs=1e-6)
    assert stands.high_s_mm - leg.start_s_mm == pytest.approx(placed.bounds[2] - x0, abs=1e-6)


def test_a_flight_that_leaves_its_post_askew(solve) -> None:
    # The upper flight turns by 30 degrees at the landing's post.
    site = solve()
    skews = [abs(m.skew.angle_rad) for m in site.posts["P2"].meetings]
    assert skews == pytest.approx([math.radians(15)] * 2)
    railing = site.railings["B"]
    cut, post = railing.bays[0].top_rail.downhill, railing.downhill_post
    pin_s = cut.pin[0] * math.cos(railing.line.rake_rad)
    assert pin_s == pytest.approx(post.face_s_mm + PIN / math.cos(math.radians(15)))
    # A turned plate takes more of its landing.
    stands = footprint(railing, post)
    half = (stands.high_s_mm - stands.low_s_mm) / 2
    side = DUNLIN.plate.along_mm
    assert half == pytest.approx(side / 2 * (math.cos(math.pi / 12) + math.sin(math.pi / 12)))
    squared = solve(("bearing = 60", "bearing = 90")).railings["B"]
    assert half > side / 2
    least = plate_bounds(railing.stair, post.spec, DUNLIN, post.end).high_mm
    square = squared.downhill_post
    most = plate_bounds(squared.stair, square.spec, DUNLIN, square.end).high_mm
    assert least is not None
    assert most is not None
    assert least != most, "where the plate may stand follows its turned corners"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("turns_from = 1\n", "turns_from = 46\n", "turns_from"),
        ("turns_from = 1\nturns_to = 45", "turns_from = 30\nturns_to = 20", "no more than"),
        ("turns_to = 45\n", "turn_to = 45\n", "turns_to"),
        ('stand_off = "3/4"', 'stand_off = "0"', "a pin clear of the post"),
        ('cut = "square"\nstand_off = "3/4"', 'cut = "plumb"\nstand_off = "0"', "square-cut"),
        ('handed = false\n', 'handed = false\nhanded_too = true\n', "no such key"),
    ],
)  # fmt: skip
def test_a_skew_bracket_that_cannot_be_is_one_message(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    text = Path(DUNLIN.file).read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "kit.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadInput, match=says):
        load_kit(path)


@given(
    st.floats(25.0, 90.0),
    st.floats(20.0, 90.0),
    st.floats(math.radians(-60), math.radians(60)),
)
def test_how_far_a_cut_reaches_past_its_face_by_shapely(
    post_mm: float, rail_mm: float, skew: float
) -> None:
    # The rail as a strip through the post's middle, cut along the line of the post's face.
    rail = plain_rail()
    kit = replace(rail.kit, width_mm=rail_mm)
    cut = replace(rail, kit=kit, uphill=replace(rail.uphill, slant=math.tan(skew), held_by="cut"))
    ahead = 1000.0 * cmath.exp(1j * skew)
    strip = LineString([(0.0, 0.0), (ahead.real, ahead.imag)]).buffer(rail_mm / 2, cap_style="flat")
    face = LineString([(post_mm / 2, -900.0), (post_mm / 2, 900.0)]).intersection(strip)
    past = max(abs(y) for y in (face.bounds[1], face.bounds[3])) - post_mm / 2
    expected = max(past, 0.0) if skew else 0.0
    assume(rail_mm / 2 * abs(math.sin(skew)) < post_mm / 2)
    assert past_face_mm(cut, End.UPHILL, post_mm, skew) == pytest.approx(expected, abs=1e-6)
    held = replace(cut, uphill=replace(cut.uphill, held_by="post"))
    assert past_face_mm(held, End.UPHILL, post_mm, skew) == 0.0


@cache
def plain_rail() -> Rail:
    job = load_job(SAMPLES / "porch-flight.toml")
    spec = job.flights[0]
    stair = survey_flight(spec.readings).stair
    return solve_flight(stair, spec, job.kit, job.file).bays[0].rails[0]

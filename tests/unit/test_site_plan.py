"""The traverse, corners and joined runs of a site."""

from __future__ import annotations

import itertools
import math
import random
from pathlib import Path

import pytest
from deck_job import BARE_DECK
from hypothesis import given
from hypothesis import strategies as st

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.errors import BadInput
from railsheet.job.kit import find_kit, load_kit
from railsheet.job.load import load_job
from railsheet.layout.corner import room_short_mm, turn_post
from railsheet.layout.plan import Leg, traverse

IN = 25.4
DUNLIN = load_kit(find_kit("dunlin", Path(), "", ""))


@pytest.fixture
def site_job(tmp_path: Path):
    """Write the deck sample with some of its text replaced, each once."""

    def write(*changes: tuple[str, str]) -> Path:
        text = BARE_DECK
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new, 1)
        path = tmp_path / "site.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture
def solved(site_job):
    def solve(*changes: tuple[str, str]) -> SolvedJob:
        return solve_job(load_job(site_job(*changes)))

    return solve


def rectangle(wide: float, deep: float) -> list[Leg]:
    return [
        Leg("A", "P1", "P2", wide, 0.0),
        Leg("B", "P2", "P3", deep, math.pi / 2),
        Leg("C", "P3", "P4", wide, math.pi),
        Leg("D", "P4", "P1", deep, 3 * math.pi / 2),
    ]


@given(st.floats(300, 30000), st.floats(300, 30000))
def test_a_rectangular_deck_closes(wide: float, deep: float) -> None:
    # Source: the latitudes and departures of a closed traverse sum to nothing (elementary
    # surveying); the diagonal is Pythagoras'.
    laid = traverse(rectangle(wide, deep), {})
    (closure,) = laid.misclosures
    assert closure.by_mm < 1e-9
    assert math.dist(laid.places_mm["P1"], laid.places_mm["P3"]) == pytest.approx(
        math.hypot(wide, deep), rel=1e-12
    )


def test_a_loop_says_by_how_much_it_fails_and_where_to_look() -> None:
    legs = rectangle(3000.0, 2000.0)
    legs[1] = Leg("B", "P2", "P3", 2100.0, math.pi / 2)
    (closure,) = traverse(legs, {}).misclosures
    assert closure.by_mm == pytest.approx(100.0)
    assert closure.runs == ("A", "B", "C", "D")
    assert closure.look_at in ("B", "D")


def test_the_order_of_runs_changes_no_place() -> None:
    legs = rectangle(3000.0, 2000.0)
    first = traverse(legs, {})
    for order in itertools.permutations(legs):
        assert traverse(order, {}).places_mm == first.places_mm


def test_runs_apart_are_named() -> None:
    legs = [Leg("A", "P1", "P2", 10.0, 0.0), Leg("B", "P3", "P4", 10.0, 0.0)]
    assert traverse(legs, {}).apart == ("B",)
    assert traverse(legs, {"P1": (0.0, 0.0), "P3": (5.0, 5.0)}).apart == ()


@given(st.lists(st.floats(0, math.tau), min_size=1, max_size=4))
def test_no_way_of_turning_a_post_is_squarer(ways: list[float]) -> None:
    corner = turn_post(ways)
    worst = max(abs(skew) for skew in corner.skew_rad)
    assert worst <= math.pi / 4 + 1e-9
    for step in range(360):
        turned = step * math.pi / 2 / 360
        offs = [abs((way - turned + math.pi / 4) % (math.pi / 2) - math.pi / 4) for way in ways]
        assert worst <= max(offs) + 1e-6


def test_square_and_straight_posts_have_no_skew_and_an_oblique_one_half_of_it() -> None:
    assert turn_post([0.0, math.pi]).skew_rad == (0.0, 0.0)
    assert turn_post([0.3, 0.3 + math.pi / 2]).skew_rad == (0.0, 0.0)
    oblique = turn_post([0.0, math.radians(135)])
    assert [abs(skew) for skew in oblique.skew_rad] == pytest.approx([math.radians(22.5)] * 2)


def test_room_at_a_corner_against_the_strips_themselves() -> None:
    # Source: shapely, the two strips as polygons starting half a post out.
    from shapely import affinity
    from shapely.geometry import box

    half = DUNLIN.post.width_mm / 2
    strip = box(half, -half, 2000.0, half)  # the top rail is as wide as the post
    for degrees in (20, 45, 60, 80, 89, 91, 100, 135, 180):
        other = affinity.rotate(strip, degrees, origin=(0, 0))
        meets = strip.intersection(other).area > 1e-3
        assert bool(room_short_mm(DUNLIN, 0.0, math.radians(degrees), half)) == meets, degrees


def test_run_lengths_agree_with_plan_places(solved) -> None:
    site = solved().site
    for leg in site.legs.values():
        start, end = site.posts[leg.start].at_mm, site.posts[leg.end].at_mm
        assert math.dist(start, end) == pytest.approx(leg.length_mm, abs=1e-9)
        railing = site.railings[leg.run]
        parts = sum(bay.clear_mm for bay in railing.bays)
        parts += (len(railing.posts) - 2) * railing.kit.post.width_mm
        faces = railing.uphill_post.face_s_mm - railing.downhill_post.face_s_mm
        assert parts == pytest.approx(faces, abs=1e-6)


def test_the_take_off_is_the_sum_of_what_is_drawn(solved) -> None:
    job = solved()
    distinct = {
        post.spec.mark or f"{run.mark}-{post.name}"
        for run in job.runs
        for post in run.railing.posts
        if post.made
    }
    counted: dict[str, int] = {}
    for run in job.runs:
        for part in run.parts:
            counted[part.group] = counted.get(part.group, 0) + part.count
            if part.item == DUNLIN.post.name:
                counted["posts"] = counted.get("posts", 0) + part.count
    assert counted["posts"] == len(distinct)
    assert counted["baluster"] == sum(
        len(bay.baluster_s_mm) for run in job.runs for bay in run.railing.bays
    )
    bays = sum(len(run.railing.bays) for run in job.runs)
    assert counted["bracket"] == counted["mount"] == 4 * bays
    assert len(job.stock.placed) == sum(len(run.pieces.rails) for run in job.runs) == 2 * bays


def test_a_shared_post_has_one_height_and_it_suits_its_higher_run(solved) -> None:
    site = solved().site
    for post in site.posts.values():
        heights = {
            round(p.height_mm, 9)
            for railing in site.railings.values()
            for p in (railing.downhill_post, railing.uphill_post)
            if p.spec.mark == post.mark
        }
        assert len(heights) <= 1
        for meeting in post.meetings:
            assert post.height_mm >= meeting.rail_top_mm + DUNLIN.post.reveal_mm - 1e-9
    steps = [n for n in site.notices[site.posts["P5"].owner] if n.topic == "step"]
    assert steps


def test_raising_the_lower_run_as_offered_does_away_with_the_step(solved) -> None:
    site = solved().site
    (step,) = [n for n in site.notices["A"] if n.topic == "step" and "post P5" in n.words]
    raised = dict(step.lengths_mm)["raised"]
    end = "bearing = 0\n\n[flight.readings]"
    other = solved((f'rail_height = "36 1/4"\n{end}', f'rail_height = "{raised} mm"\n{end}')).site
    assert not [n for n in other.notices["A"] if n.topic == "step" and "post P5" in n.words]


def figures(job: SolvedJob) -> dict[str, float]:
    return {figure.key: figure.value for figure in job.book}


def test_the_order_of_runs_in_the_file_changes_nothing(solved, tmp_path: Path) -> None:
    head, *tables = BARE_DECK.split("\n[[")
    random.Random(5).shuffle(tables)
    path = tmp_path / "shuffled.toml"
    path.write_text("\n[[".join([head, *tables]), encoding="utf-8")
    assert figures(solve_job(load_job(path))) == figures(solved())


def test_moving_one_reading_changes_only_what_depends_on_it(solved) -> None:
    before = figures(solved())
    after = figures(solved(('L = "46"', 'L = "46 1/8"')))
    # Which bar a piece lies on is a choice for the whole job, and may fall otherwise.
    changed = {
        key.split(".")[0]
        for key in before
        if before[key] != after.get(key) and ".bar." not in key and not key.startswith("stock.")
    }
    # Run F, and the plan: P3 moves, for P4 is held by W2's place.
    assert changed <= {"F", "site"}
    assert "F" in changed
    moved = {key for key in before if before[key] != after[key] and key.startswith("site.post")}
    assert moved == {"site.post.P3.x"}


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ([('mark = "W2"\nkind = "half post"\nat = ["220 1/2", "0"]', 'mark = "W2"')], "not meet"),
        ([('[[level]]', '[[post]]\nmark = "W1"\nat = ["5", "5"]\n\n[[level]]')], "two places"),
        ([('[[level]]', '[[post]]\nmark = "P9"\n\n[[level]]')], "no run comes to this post"),
        ([('bearing = 90\nL = "146"', 'bearing = 90\nL = "146"\n')], ""),
        ([('to = "P4"\nbearing = 0', 'to = "P4"\nbearing = 100')],
         r"leave it \d\d degrees apart.*no room for the rails' ends of both"),
        (
            [('[[level]]', '[[post]]\nmark = "P2"\nat = ["133 1/2", "146"]\n\n[[level]]')],
            'miss closing by 1"',
        ),
        ([('from = "P3"', 'from = "P2"'), ('L = "46"', 'L = "87"')], "miss closing by 1"),
        ([('L = "46"\nF = "63 1/2"', 'L = "88"\nF = "60"'), ('from = "P3"', 'from = "P2"')],
         "must agree within"),
        ([('L = "46"\n', "")], "level F > L"),
        ([('bearing = 270\n\n[flight.readings]', '\n[flight.readings]')], "flight A > bearing"),
    ],
)  # fmt: skip
def test_bad_sites_are_one_message(solved, changes, says: str) -> None:
    if not says:
        solved(*changes)
        return
    with pytest.raises(BadInput, match=says):
        solved(*changes)


def test_both_hands_come_from_one_set_of_readings(job_file) -> None:
    job = load_job(job_file(('side = "left"', 'side = "both"')))
    left, right = solve_job(job).works
    assert (left.mark, right.mark) == ("AL", "AR")
    assert left.railing.bays == right.railing.bays
    assert left.railing.spec.side is not right.railing.spec.side
    own = 'side = "both"\n'
    path = job_file(
        ('side = "left"', own),
        ('V = "44"', 'V = "44"\n\n[flight.right.top_post]\nstands_on = "deck"\nplace = "set"\n'
                     'E = "6"\nI = "1"'),
    )  # fmt: skip
    left, right = solve_job(load_job(path)).works
    assert right.railing.uphill_post.face_s_mm - left.railing.uphill_post.face_s_mm == (
        pytest.approx(2 * IN)
    )

"""One handrail laid out: what must not change, what must add up, and what is refused."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.errors import BadInput
from railsheet.job.handrail import HandrailEnd, HandrailSpec, Holds, Joints, Landing
from railsheet.job.kit_handrail import Finish, find_handrail_kit, load_handrail_kit
from railsheet.job.load import load_job
from railsheet.job.model import Side
from railsheet.job.nosings import Nosings, read_once
from railsheet.job.rail_rule import Rule
from railsheet.layout.handrail import solve_handrail
from railsheet.layout.handrail_model import Handrail
from railsheet.survey.stair import Nose, Stair

SAMPLES = Path(__file__).parents[2] / "samples"
KITS = {
    name: load_handrail_kit(find_handrail_kit(name, Path(), "", ""))
    for name in ("merlin", "whinchat")
}
calm = settings(max_examples=50, deadline=None)


@st.composite
def stairs(draw: st.DrawFn) -> Stair:
    count = draw(st.integers(3, 7))
    risers = draw(st.lists(st.floats(160, 190), min_size=count, max_size=count))
    runs = draw(st.lists(st.floats(255, 300), min_size=count - 1, max_size=count - 1))
    noses, s, z = [], 0.0, 0.0
    for number, riser in enumerate(risers):
        s += runs[number - 1] if number else 0.0
        z += riser
        noses.append(Nose(s, z))
    nosings = Nosings(tuple(draw(st.lists(st.floats(0, 35), min_size=count, max_size=count))))
    return Stair(tuple(noses), nosings, 40.0, 1000.0, False)


@st.composite
def specs(draw: st.DrawFn) -> HandrailSpec:
    ends = st.sampled_from([Finish.WALL, Finish.FLOOR, Finish.CAP, Finish.NEWEL])
    turn = draw(st.sampled_from([0.0, math.pi / 2, -math.pi / 2]))
    return HandrailSpec(
        mark="H",
        follows=("A", "B"),
        side=draw(st.sampled_from(Side)),
        holds=Holds.WALL,
        height_mm=draw(st.floats(880, 960)),
        rule=draw(st.sampled_from(Rule)),
        clear_mm=draw(st.floats(40, 65)),
        spacing_mm=draw(st.floats(700, 1300)),
        first_mm=draw(st.floats(250, 400)),
        studs_mm=(),
        bottom=HandrailEnd(draw(ends), draw(st.floats(150, 400))),
        top=HandrailEnd(draw(ends), draw(st.floats(150, 400))),
        landings=(Landing(draw(st.floats(1200, 1600)), turn, draw(st.floats(1200, 1600)), ()),),
        joints=draw(st.sampled_from(Joints)),
        kit=KITS["merlin"],
    )


def solved(spec: HandrailSpec, lower: Stair, upper: Stair) -> Handrail:
    try:
        return solve_handrail(spec, {"A": lower, "B": upper}, {}, None, "a test", str)
    except BadInput:
        assume(False)
        raise


def cut(handrail: Handrail) -> list[float]:
    """What is cut and set out, without the place of the origin or the hand."""
    values = [handrail.run_mm, *handrail.spacings_mm]
    for piece in handrail.pieces:
        values += [piece.length_mm, piece.lower.lean_rad, piece.upper.lean_rad, *piece.marks_mm]
        values.append(abs(piece.roll_rad))
    values += [bracket.height_mm for bracket in handrail.brackets]
    return values


@calm
@given(specs(), stairs(), stairs())
def test_mirroring_hand_and_turn_changes_nothing_that_is_cut(
    spec: HandrailSpec, lower: Stair, upper: Stair
) -> None:
    other = Side.RIGHT if spec.side is Side.LEFT else Side.LEFT
    landing = dataclasses.replace(spec.landings[0], turn_rad=-spec.landings[0].turn_rad)
    mirrored = dataclasses.replace(spec, side=other, landings=(landing,))
    one, two = solved(spec, lower, upper), solved(mirrored, lower, upper)
    assert cut(one) == pytest.approx(cut(two), abs=1e-7)
    sides = [(p.lower.long_side, p.upper.long_side) for p in one.pieces]
    assert sides == [(p.lower.long_side, p.upper.long_side) for p in two.pieces]


@calm
@given(specs(), stairs(), stairs(), st.floats(0.5, 2.0))
def test_scaling_everything_scales_every_length(
    spec: HandrailSpec, lower: Stair, upper: Stair, by: float
) -> None:
    kit = spec.kit
    section = dataclasses.replace(
        kit.section, depth_mm=kit.section.depth_mm * by, width_mm=kit.section.width_mm * by
    )
    bracket = dataclasses.replace(
        kit.bracket,
        **{
            field.name: getattr(kit.bracket, field.name) * by
            for field in dataclasses.fields(kit.bracket)
            if field.name.endswith("_mm")
        },
    )
    bigger = dataclasses.replace(
        kit,
        section=section,
        bracket=bracket,
        fittings=tuple(
            dataclasses.replace(f, radius_mm=f.radius_mm * by, leg_mm=f.leg_mm * by)
            for f in kit.fittings
        ),
        ends=tuple((f, dataclasses.replace(p, gap_mm=p.gap_mm * by)) for f, p in kit.ends),
        least_piece_mm=kit.least_piece_mm * by,
    )
    landing = spec.landings[0]
    scaled = dataclasses.replace(
        spec,
        height_mm=spec.height_mm * by,
        clear_mm=spec.clear_mm * by,
        spacing_mm=spec.spacing_mm * by,
        first_mm=spec.first_mm * by,
        bottom=HandrailEnd(spec.bottom.finish, spec.bottom.past_mm * by),
        top=HandrailEnd(spec.top.finish, spec.top.past_mm * by),
        landings=(
            dataclasses.replace(
                landing, lower_mm=landing.lower_mm * by, upper_mm=landing.upper_mm * by
            ),
        ),
        kit=bigger,
    )
    one, two = solved(spec, lower, upper), solved(scaled, grown(lower, by), grown(upper, by))
    lengths = [piece.length_mm * by for piece in one.pieces]
    assert [piece.length_mm for piece in two.pieces] == pytest.approx(lengths, rel=1e-9)
    places = [bracket.from_end_mm * by for bracket in one.brackets]
    assert [b.from_end_mm for b in two.brackets] == pytest.approx(places, rel=1e-6)


def grown(stair: Stair, by: float) -> Stair:
    noses = tuple(Nose(nose.s_mm * by, nose.z_mm * by) for nose in stair.noses)
    return dataclasses.replace(
        stair, noses=noses, nosings=Nosings(tuple(mm * by for mm in stair.nosings.each_mm))
    )


@calm
@given(specs(), stairs(), stairs())
def test_what_was_asked_for_is_what_is_laid_out(
    spec: HandrailSpec, lower: Stair, upper: Stair
) -> None:
    rail = solved(spec, lower, upper)
    # Past the risers, to where a return's bend begins.
    assert rail.top.level_mm == pytest.approx(spec.top.past_mm, abs=1e-6) or (
        spec.top.finish is Finish.NEWEL
    )
    if spec.bottom.finish is not Finish.NEWEL:
        assert rail.bottom.sloping_mm == pytest.approx(spec.bottom.past_mm, abs=1e-6)
    # Corner after corner, the pieces lead from end to end.
    for piece in rail.pieces:
        start, stop = rail.corners[piece.start].at, rail.corners[piece.stop].at
        assert piece.corner_to_corner_mm == pytest.approx(math.dist(start, stop), abs=1e-9)
    # Level on the landing.
    levels = [c for c in rail.corners if c.words in ("turn", "rake to level", "level to rake")]
    for corner in levels[1:-1]:
        assert corner.at[2] == pytest.approx(levels[0].at[2], abs=1e-6)
    # Brackets within their limits, clear of the joints, and none told of where none is over.
    spacings = rail.spacings_mm
    told = [n for n in rail.notices if n.topic == "handrail brackets"]
    if not told:
        assert all(s <= spec.spacing_mm + 1e-5 for s in spacings)
        assert rail.brackets[0].from_end_mm <= spec.first_mm + 1e-5
        assert rail.run_mm - rail.brackets[-1].from_end_mm <= spec.first_mm + 1e-5
    saddle = spec.kit.bracket.saddle_mm / 2 + spec.kit.bracket.from_joint_mm
    for piece in rail.pieces:
        for mark in piece.marks_mm:
            low = 2 * piece.lower.reach_mm + saddle
            high = piece.length_mm - 2 * piece.upper.reach_mm - saddle
            assert low - 1e-5 <= mark <= high + 1e-5


def test_a_rail_over_one_even_flight_by_hand() -> None:
    """3-4-5: risers of 150 and runs of 200, a rail of 40 with its top at 900."""
    stair = Stair(
        tuple(Nose(200.0 * n, 150.0 * (n + 1)) for n in range(4)),
        read_once(0.0, 4),
        40.0,
        1000.0,
        False,
    )
    kit = KITS["merlin"]
    section = dataclasses.replace(kit.section, depth_mm=40.0, width_mm=40.0)
    spec = HandrailSpec(
        mark="H", follows=("A",), side=Side.RIGHT, holds=Holds.WALL, height_mm=900.0,
        rule=Rule.LEAST_SQUARES, clear_mm=50.0, spacing_mm=1000.0, first_mm=200.0, studs_mm=(),
        bottom=HandrailEnd(Finish.CAP, 200.0), top=HandrailEnd(Finish.WALL, 300.0), landings=(),
        joints=Joints.MITRED, kit=dataclasses.replace(kit, section=section),
    )  # fmt: skip
    rail = solve_handrail(spec, {"A": stair}, {}, None, "a test", str)
    # Middle 25 plumb below the top on the rake (20 / cos = 25), 20 on the level: they cross 5
    # higher on the rake, 5 / 0.75 = 6.667 past the top nose at 600.
    low, bend, high, wall = rail.corners
    assert bend.along_mm == pytest.approx(600 + 20 / 3)
    assert bend.at[2] == pytest.approx(600 + 900 - 20)
    assert low.along_mm == pytest.approx(-200)
    assert low.at[2] == pytest.approx(150 + 900 - 150 - 25)
    assert high.along_mm == pytest.approx(600 + 20 / 3 + 300)
    assert wall.at == pytest.approx((high.along_mm, 0.0, 1480.0))
    rake, level, back = rail.pieces
    # 806.667 level at 3-4-5 is 1008.333 along; mitre half of 36.87°, 20 tan = 6.667 further.
    assert rake.middle_mm == pytest.approx(806.6666667 * 1.25)
    assert rake.upper.reach_mm == pytest.approx(20 * math.tan(math.atan(0.75) / 2))
    assert rake.upper.long_side == "top"
    assert level.lower.long_side == "top"
    assert level.upper.long_side == "walking side"
    # From the lower long point, on top, a quarter turn to the walking side: to the left going up
    # is counter-clockwise seen from the lower end.
    assert level.roll_rad == pytest.approx(-math.pi / 2)
    assert back.length_mm == pytest.approx(70 - kit.end(Finish.WALL).gap_mm + 20)


def test_an_oblong_rail_tells_of_mitres_that_are_not_flush() -> None:
    job = load_job(SAMPLES / "wall-handrail.toml")
    from railsheet.survey.stair import stair_from_readings

    stairs = {f.mark: stair_from_readings(f.readings) for f in job.flights}
    spec = dataclasses.replace(job.handrails[0], kit=KITS["whinchat"], clear_mm=50.0)
    rail = solve_handrail(spec, stairs, {}, None, job.file, job.tape.say)
    slipped = {j.corner: j.slip_rad for j in rail.joints}
    # Rake onto level meets flush; a raked rail turned level into the wall is rolled by the rake.
    assert slipped[2] == pytest.approx(0.0, abs=1e-9)
    assert slipped[1] == pytest.approx(rail.line("A").rake_rad, abs=1e-9)
    assert slipped[3] == pytest.approx(0.0, abs=1e-9)
    assert [n.topic for n in rail.notices].count("handrail mitre") == 1


POSTS = """
[[handrail]]
mark = "K"
follows = ["A"]
side = "left"
on = "posts"
parts = "merlin"
H = "34 1/2"
C = "1 5/8"
spacing = "80"
first = "30"
bottom = { end = "post" }
top = { end = "post" }
"""


@pytest.fixture(scope="module")
def on_posts(tmp_path_factory) -> SolvedJob:
    text = (SAMPLES / "porch-flight.toml").read_text(encoding="utf-8")
    start = text.index("[flight.handrail]")
    text = text[:start] + text[text.index("[flight.readings]") :]
    path = tmp_path_factory.mktemp("posts") / "job.toml"
    path.write_text(text + POSTS, encoding="utf-8")
    return solve_job(load_job(path))


def test_on_posts_it_is_held_to_how_far_it_stands_out(on_posts: SolvedJob) -> None:
    """IRC 2024 R320.3: 4 1/2 in. From the posts' faces 1 5/8 clear and a rail of 1 1/2: 3 1/8."""
    checks = on_posts.works[0].checks
    assert checks is not None
    (found,) = [f for f in checks.findings if f.limit.quantity.value == "handrail_projection"]
    assert "posts' faces" in found.where
    assert found.figure == pytest.approx(3.125 * 25.4)
    assert found.margin == pytest.approx(1.375 * 25.4)


def test_on_posts_it_is_returned_to_the_end_posts(on_posts: SolvedJob) -> None:
    rail = on_posts.handrails[0].handrail
    railing = on_posts.works[0].railing
    low, high = rail.ends
    assert low.along_mm == pytest.approx(railing.downhill_post.centre_s_mm)
    assert high.along_mm == pytest.approx(railing.uphill_post.centre_s_mm)
    half = railing.kit.post.width_mm / 2
    for corner in rail.corners:
        if corner.past_wall:
            # On the posts' face toward the walk, which is to the right of a rail on the left.
            assert corner.at[1] == pytest.approx(-half)
    # The two posts stand at its ends, where its elbows are: nothing is left for a bracket.
    assert any("can take a bracket" in n.words for n in rail.notices)


CHANGES = [
    ('follows = ["A"]', 'follows = ["B"]', "follows"),
    ('on = "wall"', 'on = "posts"', "studs"),
    ('C = "1 5/8"', 'C = "6"', "C"),
    ('C = "1 5/8"', "", "C"),
    ('parts = "merlin"', 'parts = "dunlin"', "parts"),
    ('mark = "H"', 'mark = "A"', "mark"),
    ('end = "wall"\nX = "11"', 'end = "post"', "end"),
    ('end = "wall"\nX = "11"', 'end = "hook"', "end"),
    ('X = "12" ', 'X = "1/16"', "H-3"),
    ('spacing = "48"', 'spacing = "48"\nbrackets = 4', "brackets"),
    ("[handrail.top]", "[[handrail.landing]]\nL = \"40\"\n\n[handrail.top]", "landing"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "named"), CHANGES)
def test_what_cannot_be_used_is_named(tmp_path: Path, old: str, new: str, named: str) -> None:
    text = (SAMPLES / "wall-handrail.toml").read_text(encoding="utf-8")
    assert old in text
    # The flight comes first in the file and has keys of the same names.
    at = text.index("[[handrail]]")
    path = tmp_path / "job.toml"
    path.write_text(text[:at] + text[at:].replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadInput) as told:
        solve_job(load_job(path))
    assert named in str(told.value)
    assert "handrail" in str(told.value)


def test_a_landing_too_short_is_refused_with_by_how_much(tmp_path: Path) -> None:
    text = (SAMPLES / "landing-handrail.toml").read_text(encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(text.replace('M = "1230"', 'M = "300"'), encoding="utf-8")
    with pytest.raises(BadInput, match=r"level to rake comes .* mm before turn"):
        solve_job(load_job(path))


def test_a_handrail_is_read_or_laid_out_not_both(tmp_path: Path) -> None:
    text = (SAMPLES / "wall-handrail.toml").read_text(encoding="utf-8")
    text = text.replace("[flight.readings]", '[flight.handrail]\nC = "2"\n\n[flight.readings]', 1)
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match="laid out there"):
        load_job(path)


def test_a_return_to_the_floor_comes_straight_down_off_the_way() -> None:
    noses = tuple(Nose(280.0 * n, 170.0 * (n + 1)) for n in range(4))
    stair = Stair(noses, Nosings((25.0,) * 4), 40.0, 1000.0, False)
    end = HandrailEnd(Finish.FLOOR, 300.0)
    spec = HandrailSpec(
        mark="H", follows=("A",), side=Side.RIGHT, holds=Holds.WALL, height_mm=900.0,
        rule=Rule.LEAST_SQUARES, clear_mm=50.0, spacing_mm=1000.0, first_mm=300.0, studs_mm=(),
        bottom=end, top=HandrailEnd(Finish.CAP, 300.0), landings=(), joints=Joints.MITRED,
        kit=KITS["merlin"],
    )  # fmt: skip
    rail = solve_handrail(spec, {"A": stair}, {}, None, "a test", str)
    foot, above = rail.corners[0], rail.corners[1]
    assert foot.words == "floor"
    assert foot.past_wall
    assert not above.past_wall
    assert foot.at == pytest.approx((above.at[0], above.at[1], 0.0))


def test_an_end_that_is_not_returned_is_told_and_no_other() -> None:
    noses = tuple(Nose(280.0 * n, 170.0 * (n + 1)) for n in range(4))
    stair = Stair(noses, Nosings((25.0,) * 4), 40.0, 1000.0, False)
    spec = HandrailSpec(
        mark="H", follows=("A",), side=Side.RIGHT, holds=Holds.WALL, height_mm=900.0,
        rule=Rule.LEAST_SQUARES, clear_mm=50.0, spacing_mm=1000.0, first_mm=300.0, studs_mm=(),
        bottom=HandrailEnd(Finish.WALL, 300.0), top=HandrailEnd(Finish.CAP, 300.0), landings=(),
        joints=Joints.MITRED, kit=KITS["merlin"],
    )  # fmt: skip
    rail = solve_handrail(spec, {"A": stair}, {}, None, "a test", str)
    told = [notice.words for notice in rail.notices if notice.topic == "handrail end"]
    assert len(told) == 1
    assert told[0].startswith("its upper end is not returned")

"""Where a kit's easing carries a top rail over a post, and where it is refused and why."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.errors import BadInput
from railsheet.job.kit import find_kit, load_kit
from railsheet.job.kit_bracket import EndCut
from railsheet.job.load import load_job
from railsheet.layout.notice import Weight

SAMPLES = Path(__file__).parents[2] / "samples"
JOB = (SAMPLES / "eased-rails.toml").read_text(encoding="utf-8")
KIT_PATH = find_kit("redstart", Path(), "", "")
KIT = KIT_PATH.read_text(encoding="utf-8")


@cache
def sample() -> SolvedJob:
    return solve_job(load_job(SAMPLES / "eased-rails.toml"))


def solved(folder: Path, job: tuple[str, str] = ("", ""), kit: tuple[str, str] = ("", "")):
    """The sample with one passage of the job, and one of the kit, put otherwise."""
    assert job[0] in JOB
    assert kit[0] in KIT
    (folder / "own.toml").write_text(KIT.replace(*kit) if kit[0] else KIT, encoding="utf-8")
    text = JOB.replace(*job, 1) if job[0] else JOB
    path = folder / "job.toml"
    path.write_text(text.replace('kit = "redstart"', 'kit = "own.toml"'), encoding="utf-8")
    return solve_job(load_job(path))


def stops(job: SolvedJob) -> list[str]:
    found = [n for n in job.notices if n.weight is Weight.STOP and n.topic == "easing"]
    return [notice.text(job.job.tape) for notice in found]


def test_both_rails_are_set_back_from_where_their_axes_meet() -> None:
    """The two lines crossed by hand, the curve's tangent added, the insertion taken off."""
    site = sample().site
    assert site is not None
    for mark, low, high in (("P1", "A", "B"), ("P2", "B", "C")):
        one, other = site.railings[low], site.railings[high]
        shift = other.downhill_post.centre_s_mm - one.uphill_post.centre_s_mm
        lift = other.downhill_post.surface_z_mm - one.uphill_post.surface_z_mm
        # The upper sides of both rails in the lower run's frame; the axes half a depth under them.
        half = one.kit.top_rail.depth_mm / 2
        m1, m2 = one.line.slope, other.line.slope
        b1 = one.line.start_mm - half * math.hypot(1, m1)
        b2 = other.line.start_mm - half * math.hypot(1, m2) - lift - m2 * -shift
        s = (b2 - b1) / (m1 - m2)
        turn = abs(math.atan(m1) - math.atan(m2))
        kit = site.posts[mark].easing.kit
        assert kit is not None
        back = kit.radius_mm * math.tan(turn / 2) + kit.leg_mm - kit.insertion_mm
        cut = one.bays[-1].top_rail.uphill
        assert cut.u_axis_mm == pytest.approx(s / math.cos(math.atan(m1)) - back, abs=1e-6)
        begin = other.bays[0].top_rail.downhill
        own = (s + shift) / math.cos(math.atan(m2)) + back
        assert begin.u_axis_mm == pytest.approx(own, abs=1e-6)
        for end in (cut, begin):
            assert end.cut is EndCut.SQUARE
            assert end.insertion_mm == kit.insertion_mm


def test_one_post_one_height_one_fitting() -> None:
    """Both runs draw the same easing, cut the post alike, and one of them buys it."""
    job = sample()
    site = job.site
    assert site is not None
    for mark, low, high in (("P1", "A", "B"), ("P2", "B", "C")):
        ends = site.railings[low].uphill_post, site.railings[high].downhill_post
        one, other = (post.easing for post in ends)
        assert one is not None
        assert other is not None
        assert one.turn_rad == pytest.approx(other.turn_rad)
        assert ends[0].height_mm == pytest.approx(ends[1].height_mm)
        for post, easing in zip(ends, (one, other), strict=True):
            foot, top = post.surface_z_mm, post.centre_s_mm
            assert easing.top_z(top) - foot == pytest.approx(
                one.top_z(ends[0].centre_s_mm) - ends[0].surface_z_mm
            )
            half = site.railings[low].kit.post.width_mm / 2
            lowest = min(
                easing.z_at(top - half + 2 * half * i / 500, -easing.half_mm) for i in range(501)
            )
            assert post.top_z_mm < lowest
        names = [part.item for post in ends for face in post.faces for part in face.parts]
        assert sum("easing, bent" in name for name in names) == 1, mark
        assert sum("pin set, rail to easing" in name for name in names) == 2, mark
    counts = {part.item: part.count for work in job.runs for part in work.parts}
    assert counts["over easing, bent to its turn"] == counts["up easing, bent to its turn"] == 1
    assert not stops(job)


def test_figures_at_the_face_are_the_easings_own() -> None:
    site = sample().site
    assert site is not None
    for run in site.railings.values():
        for post in (run.downhill_post, run.uphill_post):
            face = post.faces[0]
            if post.easing is None:
                assert face.rail_top_z_mm == pytest.approx(run.line.z_at(face.s_mm))
                continue
            assert face.rail_top_z_mm == pytest.approx(post.easing.top_z(face.s_mm))
            assert face.rail_top_z_mm != pytest.approx(run.line.z_at(face.s_mm), abs=0.5)


@pytest.mark.parametrize(
    ("job", "kit", "words"),
    [
        (("", ""), ("turns_to = 45", "turns_to = 30"), "turn by 10.0° to 30.0°"),
        (("", ""), ('bends = "up"', 'bends = "over"'), "has no easing that bends up"),
        (('rail_height = "39 1/2"', 'rail_height = "42"'), ("", ""), "of the post's top bare"),
        (("", ""), ('leg = "1 1/4"', 'leg = "4"'), "over the end baluster's hole"),
        (("", ""), ('radius = "8"', 'radius = "24"'), "would"),
        (("bearing = 0\nL =", "bearing = 5\nL ="), ("", ""), "turn 5.0° in plan"),
    ],
)  # fmt: skip
def test_an_easing_that_cannot_be_is_refused_and_said(tmp_path, job, kit, words) -> None:
    made = solved(tmp_path, job, kit)
    told = stops(made)
    assert any(words in text for text in told), told
    assert all("cut against each other instead" in text for text in told)
    # Both runs agree: neither is eased where the other is not.
    site = made.site
    assert site is not None
    for mark, low, high in (("P1", "A", "B"), ("P2", "B", "C")):
        ends = site.railings[low].uphill_post, site.railings[high].downhill_post
        eased = {post.easing is not None for post in ends}
        assert eased == {site.posts[mark].easing.kit is not None}


def test_a_nose_under_the_arc_is_refused(tmp_path) -> None:
    """The printed height over that nose would not be the line's."""
    path = tmp_path / "own.toml"
    text = KIT.replace('radius = "6"', 'radius = "24"').replace("greatest_opening", "#")
    text = text.replace('hole = "15/16"', 'hole = "15/16"\ngreatest_opening = "11"')
    path.write_text(text, encoding="utf-8")
    job = JOB.replace('kit = "redstart"', 'kit = "own.toml"')
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    told = stops(solve_job(load_job(tmp_path / "job.toml")))
    assert any("bend over nose 5" in text for text in told), told


@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ('matches = "plain top rail"', 'matches = "x"', "easing 1 > matches", "own name"),
        ('radius = "6"', 'radius = "1"', "easing 1 > radius", "fold"),
        ('insertion = "3/4"', 'insertion = "1 1/2"', "insertion", "straight leg"),
        ('wall = "1/8"', 'wall = "0"', "wall", "needs a wall"),
        ("turns_to = 45", "turns_to = 5", "turns_to", "no less"),
        ('bends = "over"', 'bends = "down"', "bends", "up, over"),
        ('leg = "1 1/4"', 'legs = "1 1/4"', "leg", ""),
    ],
)  # fmt: skip
def test_a_kit_whose_easing_contradicts_it_is_refused(tmp_path, old, new, place, words) -> None:
    assert old in KIT
    path = tmp_path / "kit.toml"
    path.write_text(KIT.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load_kit(path)
    assert place in str(caught.value)
    assert words in str(caught.value)


def test_an_easing_needs_a_rail_over_its_posts_and_balusters(tmp_path) -> None:
    easing = KIT[KIT.index("[[easing]]") : KIT.index("[wall_plate]")]
    for name, rail, words in (
        ("dipper", "plain top rail", "over post"),
        ("brambling", "top rail, ploughed below", "fillets"),
    ):
        text = find_kit(name, Path(), "", "").read_text(encoding="utf-8")
        path = tmp_path / f"{name}.toml"
        path.write_text(text + "\n" + easing.replace("plain top rail", rail), encoding="utf-8")
        with pytest.raises(BadInput) as caught:
            load_kit(path)
        assert words in str(caught.value)


def test_a_kit_without_easings_mitres_its_rails(tmp_path) -> None:
    easings = KIT[KIT.index("[[easing]]") : KIT.index("[wall_plate]")]
    made = solved(tmp_path, kit=(easings, ""))
    site = made.site
    assert site is not None
    assert site.railings["B"].bays[-1].top_rail.uphill.cut is EndCut.MITRE
    assert not any(part.group == "easing" for work in made.runs for part in work.parts)
    assert not stops(made)

"""Top rails that meet over a post: whether they step there, by how much, and the cure."""

from __future__ import annotations

from pathlib import Path

import pytest

from railsheet.layout.notice import Notice, Weight

IN = 25.4
SAMPLE = Path(__file__).parents[2] / "samples" / "rail-over-posts.toml"
HEIGHT = 'mark = "C"\nside = "right"\nrail_height = "39 1/4"'


def told(lay_out, tmp_path: Path, height: str) -> list[Notice]:
    """What is told of the joint over P2, where runs B and C meet level."""
    text = SAMPLE.read_text(encoding="utf-8")
    assert HEIGHT in text
    path = tmp_path / "job.toml"
    path.write_text(text.replace(HEIGHT, HEIGHT.replace("39 1/4", height), 1), encoding="utf-8")
    notices = [notice for some in lay_out(path).notices.values() for notice in some]
    return [n for n in notices if n.topic == "joint" and "post P2" in n.words]


def test_rails_of_one_height_meet_and_nothing_is_told(lay_out, tmp_path: Path) -> None:
    assert told(lay_out, tmp_path, "39 1/4") == []


@pytest.mark.parametrize(
    ("height", "step", "way"), [("39 3/4", 1 / 2, "lower"), ("39", 1 / 4, "higher")]
)
def test_a_step_is_told_with_the_height_that_would_meet(
    lay_out, tmp_path: Path, height: str, step: float, way: str
) -> None:
    (notice,) = told(lay_out, tmp_path, height)
    assert notice.weight is Weight.STOP
    assert dict(notice.lengths_mm) == pytest.approx({"step": step * IN, "met": 39.25 * IN})
    assert f"run B's top rail stands {{step}} {way} than run C's" in notice.words


def test_a_step_within_the_kits_fit_is_only_to_be_looked_at(lay_out, tmp_path: Path) -> None:
    (notice,) = told(lay_out, tmp_path, "39 17/64")
    assert notice.weight is Weight.LOOK
    assert dict(notice.lengths_mm)["step"] == pytest.approx(IN / 64)


def test_over_a_half_post_the_rail_ends_on_the_wall_behind_it(lay_out, tmp_path: Path) -> None:
    text = SAMPLE.read_text(encoding="utf-8").replace('kind = "wall plate"', 'kind = "half post"')
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    site = lay_out(path)
    # Run C is 70 in long in plan, to the wall; the half post stands half its width before that.
    top, bottom = site.railings["C"].bays[-1].rails
    half = site.railings["C"].kit.post.width_mm / 2
    assert top.uphill.u_axis_mm == pytest.approx(70 * IN)
    assert bottom.uphill.u_axis_mm == pytest.approx(70 * IN - half)

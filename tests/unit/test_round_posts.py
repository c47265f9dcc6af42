"""Round posts and rails coped to them: what a kit and a job may ask, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from railsheet.cli.solve import solve_job
from railsheet.errors import BadInput
from railsheet.job.kit import load_kit
from railsheet.job.load import load_job

ROOT = Path(__file__).parents[2]
KIT = (ROOT / "railsheet" / "data" / "kits" / "dunnock.toml").read_text()
JOB = (ROOT / "samples" / "coped-rails.toml").read_text()


def changed(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ((('section = "round"', 'section = "oval"'),), "post > section"),
        ((('section = "round"\n', ""),), "top_end > kind"),
        ((('width = "1 3/4"', 'width = "2 3/8"'),), "top_rail > width"),
        ((('clearance = "0"', 'clearance = "1"'),), "top_end > clearance"),
        (
            (
                (
                    'kind = "coped"\nname = "bottom rail coped to the post"',
                    'kind = "butt"\nname = "bottom rail"',
                ),
                (
                    'fixing = "weld, as the engineer sets out"\n\n# What',
                    'fixing = "clip"\nscrew = [{ name = "s", count = 1, joins = "j" }]\n\n# What',
                ),
            ),
            "bottom_end > kind",
        ),
    ],
)
def test_a_kit_that_cannot_be_is_refused(changes, place, tmp_path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(changed(KIT, *changes))
    with pytest.raises(BadInput) as refused:
        load_kit(path)
    assert refused.value.place == place


def test_rails_too_near_each_other_at_a_round_post_are_refused(tmp_path) -> None:
    """At 95 degrees apart the sides of rails 1 3/4 in wide meet within the round; at 90 they clash.

    From the middle they meet 0.802 in out and 0.875 in out; the round has them 0.803 in from it.
    """
    path = tmp_path / "job.toml"
    for bearing, fits in ((85, True), (90, False)):
        path.write_text(changed(JOB, ("bearing = 30", f"bearing = {bearing}")))
        if fits:
            assert solve_job(load_job(path)).site is not None
            continue
        with pytest.raises(BadInput) as refused:
            solve_job(load_job(path))
        assert refused.value.place == "post P1"


def test_a_coped_rail_comes_to_a_wall_only_in_a_plate(tmp_path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB + '\n[[post]]\nmark = "P2"\nkind = "wall plate"\n')
    with pytest.raises(BadInput) as refused:
        solve_job(load_job(path))
    assert refused.value.place == "wall_plate"


def test_a_round_post_turns_no_rail_askew() -> None:
    solved = solve_job(load_job(ROOT / "samples" / "coped-rails.toml"))
    assert solved.site is not None
    for meeting in solved.site.posts["P1"].meetings:
        assert meeting.skew.angle_rad == 0.0
    for work in solved.runs:
        for bay in work.railing.bays:
            for rail in bay.rails:
                assert (rail.uphill.slant, rail.downhill.slant) == (0.0, 0.0)

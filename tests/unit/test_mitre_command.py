"""Compound saw settings on the command line."""

from __future__ import annotations

from click.testing import CliRunner

from railsheet.cli.main import cli


def said(*words: str) -> list[str]:
    done = CliRunner().invoke(cli, ["mitre", *words])
    assert done.exit_code == 0, done.output
    return done.output.splitlines()


def test_against_a_face_on_its_side_rake_and_plan_are_the_settings() -> None:
    _, under, side = said("--rake", "35.5", "--plan", "30")
    # tan m = tan 30 / cos 35.5, sin b = cos 30 sin 35.5: plane geometry, worked by hand.
    assert "underside on the table: mitre 35.3°, bevel 30.2°; long point off the fence, up" in under
    assert "mitre 35.5°, bevel 30.0°; long point off the fence, on the table" in side


def test_a_level_square_corner_is_cut_at_forty_five() -> None:
    lines = said("--rake", "0", "--turn", "90")
    assert "mitre 45.0°, bevel 0.0°" in lines[1]
    assert "mitre 0.0°, bevel 45.0°" in lines[2]
    assert not any("STOP" in line for line in lines)


def test_rails_that_climb_round_a_corner_are_stopped() -> None:
    lines = said("--rake", "35", "--turn", "90", "--onto", "35")
    assert lines[-1].startswith("  STOP")
    assert len(said("--rake", "35", "--onto", "-35", "--turn", "90")) == 5


def test_an_angle_past_its_range_is_refused() -> None:
    done = CliRunner().invoke(cli, ["mitre", "--rake", "75"])
    assert done.exit_code == 2

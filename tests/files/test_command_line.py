"""The command line as a person meets it: what it prints, its exit codes, what it leaves alone."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from railsheet.cli.main import cli

SAMPLES = Path(__file__).parent.parent.parent / "samples"
FREE = 'place = "free"'


def run(*arguments: object, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """The real program in its own process."""
    return subprocess.run(
        [sys.executable, "-m", "railsheet", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        cwd=cwd,
    )


def test_draw_says_what_it_drew_and_what_needs_attention(tmp_path: Path) -> None:
    done = run("draw", SAMPLES / "porch-flight.toml", "--out", tmp_path / "out")
    assert done.returncode == 0
    assert "sheets.pdf" in done.stdout
    assert "A.dxf" in done.stdout
    assert "rake 35.5°" in done.stdout
    assert "12 balusters" in done.stdout
    assert "cut it off at" in done.stdout


def test_a_finding_that_stops_the_cutting_still_draws(job_file, tmp_path: Path) -> None:
    job = job_file((FREE, 'place = "standing"\nE = "7"\nI = "7/8"'))
    done = run("draw", job, "--out", tmp_path / "out")
    assert done.returncode == 0
    assert "STOP: " in done.stdout
    assert "Settle every STOP before cutting" in done.stdout
    assert (tmp_path / "out" / "sheets.pdf").exists()


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"7 1/2", "7 7/16"', '"7 9/8", "7 7/16"', "R riser 2: '7 9/8'"),
        ('"7 1/2", "7 7/16"', '-7.5, "7 7/16"', "R riser 2: '-7.5'"),
        ('"7 1/2", "7 7/16"', '"7.5 m", "7 7/16"', "R riser 2: '7.5 m'"),
        ('kit = "dunlin"', 'kit = "gannet"', "job > kit: 'gannet'"),
        ('"10 1/2", "10 3/8", "10 5/8"', '"8", "7", "7 1/2"', "at most 40.00°"),
        ('N = "1"\n', "", "readings > N"),
        ("[job]", "[job", "not a whole TOML file"),
    ],
)
def test_bad_input_is_one_line_and_touches_nothing(
    job_file, tmp_path: Path, old: str, new: str, says: str
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    kept = out / "sheets.pdf"
    kept.write_bytes(b"an earlier set")
    done = run("draw", job_file((old, new)), "--out", out)
    assert done.returncode == 2
    assert done.stdout == ""
    assert says in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr
    assert kept.read_bytes() == b"an earlier set"
    assert [path.name for path in out.iterdir()] == ["sheets.pdf"]


def test_a_kit_with_no_hole_pitch(job_file, tmp_path: Path) -> None:
    from railsheet.job.kit import find_kit

    kit = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(kit.replace('pitch = "4 1/2"', "pitch = 0"), encoding="utf-8")
    done = run("draw", job_file(('kit = "dunlin"', 'kit = "mine.toml"')), "--out", tmp_path / "o")
    assert done.returncode == 2
    assert re.search(r"mine\.toml:\d+: holes > pitch: '0'", done.stderr)
    assert not (tmp_path / "o").exists()


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    in_the_way = tmp_path / "taken"
    in_the_way.write_text("a file", encoding="utf-8")
    for out in (in_the_way, in_the_way / "below"):
        done = run("draw", SAMPLES / "porch-flight.toml", "--out", out)
        assert done.returncode == 2
        assert str(in_the_way) in done.stderr
        assert "Traceback" not in done.stderr
    assert in_the_way.read_text(encoding="utf-8") == "a file"


def test_new_starts_a_job_that_only_lacks_its_readings(tmp_path: Path) -> None:
    job = tmp_path / "stair.toml"
    done = CliRunner().invoke(cli, ["new", str(job), "--risers", "4"])
    assert done.exit_code == 0, done.output
    text = job.read_text(encoding="utf-8")
    data = tomllib.loads(text)
    assert len(data["flight"][0]["readings"]["R"]) == 4
    assert len(data["flight"][0]["readings"]["T"]) == 3
    assert max(len(line) for line in text.splitlines()) <= 110
    unfilled = run("draw", job, "--out", tmp_path / "out")
    assert unfilled.returncode == 2
    assert "missing" in unfilled.stderr or "empty" in unfilled.stderr


def test_a_new_job_filled_in_draws(tmp_path: Path) -> None:
    job = tmp_path / "stair.toml"
    assert run("new", job, "--risers", "4", "--units", "mm").returncode == 0
    text = job.read_text(encoding="utf-8")
    for number in range(1, 5):
        text = text.replace(f'"",  # riser {number}', f'"{180 + number}",  # riser {number}')
        text = text.replace(f'"",  # run {number}', f'"{270 + number}",  # run {number}')
    for key, value in (("name", "x"), ("place", "y"), ("measured_by", "z")):
        text = text.replace(f'{key} = ""', f'{key} = "{value}"')
    for key, value in (("N", "25"), ("K", "40"), ("W", "1000"), ("E", "110"), ("I", "25")):
        text = text.replace(f'\n{key} = ""', f'\n{key} = "{value}"')
    job.write_text(text, encoding="utf-8")
    done = run("draw", job, "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr


def test_new_never_overwrites(tmp_path: Path) -> None:
    job = tmp_path / "stair.toml"
    job.write_text("mine", encoding="utf-8")
    done = run("new", job)
    assert done.returncode == 2
    assert "is there already" in done.stderr
    assert job.read_text(encoding="utf-8") == "mine"


def test_help_teaches(tmp_path: Path) -> None:
    for arguments in (["--help"], ["draw", "--help"], ["new", "--help"], []):
        done = run(*arguments)
        assert "Usage" in done.stdout + done.stderr
        assert "Traceback" not in done.stderr
    assert "STOP" in run("draw", "--help").stdout


def test_unknown_options_and_missing_arguments_are_told_plainly() -> None:
    for arguments in (["draw"], ["draw", "x.toml"], ["drow"], ["draw", "x", "--out", "y", "--z"]):
        done = run(*arguments)
        assert done.returncode == 2
        assert "Error" in done.stderr
        assert "Traceback" not in done.stderr


def test_start_up_leaves_the_heavy_libraries_alone() -> None:
    code = (
        "import sys, railsheet.cli.main as m; m.cli(['--help'], standalone_mode=False);"
        "bad=[n for n in ('cadquery','matplotlib','ezdxf','numpy','scipy','reportlab','shapely')"
        " if n in sys.modules]; print('HEAVY', bad)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "HEAVY []" in done.stdout


def test_a_job_read_from_another_folder_finds_its_own_kit(job_file, tmp_path: Path) -> None:
    from railsheet.job.kit import find_kit

    kit = find_kit("dunlin", Path(), "", "")
    (tmp_path / "mine.toml").write_text(kit.read_text(encoding="utf-8"), encoding="utf-8")
    job = job_file(('kit = "dunlin"', 'kit = "mine.toml"'))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    done = run("draw", os.path.relpath(job, elsewhere), "--out", "o", cwd=elsewhere)
    assert done.returncode == 0, done.stderr
    assert (elsewhere / "o" / "sheets.pdf").exists()

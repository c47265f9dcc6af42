"""The same job gives the same bytes: alone or among several, whatever the seed and the clock."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from railsheet.cli.main import cli
from railsheet.errors import BadInput
from railsheet.export.dxf import save_dxf
from railsheet.sheets.drawing import new_document

SAMPLES = Path(__file__).parent.parent.parent / "samples"


def draw(seed: int, *arguments: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "railsheet", "draw", *map(str, arguments), "--solids"],
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
        env={**os.environ, "PYTHONHASHSEED": str(seed)},
    )


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_several_jobs_at_once_one_of_them_bad(tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("[job]\n", encoding="utf-8")
    jobs = [tmp_path / "first.toml", tmp_path / "second.toml"]
    for job in jobs:
        shutil.copy(SAMPLES / "porch-flight.toml", job)
    many, alone = tmp_path / "many", tmp_path / "alone"
    done = draw(1, jobs[0], bad, jobs[1], "--out", many)
    assert done.returncode == 2, done.stderr
    assert f"{bad}:1: job > units: missing" in done.stderr
    assert "Traceback" not in done.stderr
    closing = done.stdout.strip().splitlines()[-4:]
    assert closing == [
        f"{jobs[0]}: drawn in {many / 'first'}",
        f"{bad}: not drawn",
        f"{jobs[1]}: drawn in {many / 'second'}",
        "2 of 3 jobs drawn.",
    ]
    assert sorted(path.name for path in many.iterdir()) == ["first", "second"]
    assert draw(2, jobs[0], "--out", alone).returncode == 0
    first = contents(alone)
    assert {"sheets.pdf", "A.dxf", "A.step", "figures.json", "set.sha256"} <= set(first)
    assert contents(many / "first") == first
    assert contents(many / "second") == first
    # The job's date, not the clock's.
    assert b"'2026-11-20T00:00:00'" in first["A.step"]


@pytest.mark.parametrize(
    ("jobs", "options", "says"),
    [
        (("a/x.toml", "b/X.toml"), (), "drawn into the same folder"),
        (("a/x.toml", "b/y.toml"), ("--drops", "rack.toml"), "one job at a time"),
        (("a/x.toml", "b/...toml"), (), "no name for a folder"),
    ],
)
def test_jobs_that_cannot_be_drawn_together(jobs, options, says: str, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = CliRunner().invoke(cli, ["draw", *jobs, "--out", str(out), *options])
    assert isinstance(done.exception, BadInput)
    assert says in str(done.exception)
    assert not out.exists()


def test_the_classes_of_a_drawing_stand_in_order_whatever_the_seed(tmp_path: Path) -> None:
    path = tmp_path / "small.dxf"
    save_dxf(new_document("mm", 1.0), path)
    section = path.read_text(encoding="utf-8").partition("CLASSES\n")[2].partition("ENDSEC")[0]
    names = re.findall(r"\n  0\nCLASS\n  1\n(.*)\n", "\n" + section)
    assert len(names) > 3
    assert names == sorted(names)

"""A program killed at any moment leaves one complete set: the old one or the new.

``RAILSHEET_KILLS=200 pytest -n 0 tests/files/test_killed_writing.py`` kills that often, and kills
the whole program as well.
"""

from __future__ import annotations

import hashlib
import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from set_writer import FILES, writers

from railsheet.errors import BadInput
from railsheet.export import folder as folder_module
from railsheet.export import whole
from railsheet.export.whole import LISTING, recover, write_whole

KILLS = int(os.environ.get("RAILSHEET_KILLS", "0"))
WRITER = Path(__file__).parent / "set_writer.py"
MINE = "my notes.txt"


def whole_set(folder: Path) -> set[str]:
    """The names in the folder's listing, each file held against its checksum."""
    names = set()
    for line in (folder / LISTING).read_text(encoding="utf-8").splitlines():
        checksum, name = line.split("  ", 1)
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == checksum, name
        names.add(name)
    return names


def one_generation(folder: Path) -> int:
    names = whole_set(folder)
    there = {path.name for path in folder.iterdir() if path.is_file()}
    assert there == {*names, LISTING, MINE}
    assert len(names) == FILES + 1
    first = {(folder / name).read_text(encoding="utf-8").split("\n", 1)[0] for name in names}
    assert len(first) == 1
    assert (folder / MINE).read_text(encoding="utf-8") == "mine"
    return int(first.pop().removeprefix("generation "))


def kill_while_writing(folder: Path, first: int, rng: random.Random) -> None:
    with subprocess.Popen(
        [sys.executable, str(WRITER), str(folder), str(first)], stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "begun\n"
        time.sleep(rng.uniform(0.0, 0.06))
        child.kill()


@pytest.mark.parametrize("inside", [False, True], ids=["exchanged", "one by one"])
def test_killed_at_random_moments(tmp_path: Path, inside: bool) -> None:
    out = tmp_path / "out"
    write_whole(out, writers(0), listed=True)
    (out / MINE).write_text("mine", encoding="utf-8")
    if inside:
        # Folders within a folder are not moved about: files take their places one by one.
        (out / "photos").mkdir()
    rng = random.Random(9)
    seen = set()
    for number in range(1, (KILLS or 10) + 1):
        kill_while_writing(out, number * 1000, rng)
        if inside:
            recover(out)
        seen.add(one_generation(out))
    assert len(seen) == (KILLS or 10)
    recover(out)
    left = sorted(path.name for path in (*tmp_path.iterdir(), *out.iterdir()))
    assert not [name for name in left if name.startswith(".")]
    assert (out / "photos").is_dir() == inside


@pytest.mark.skipif(not KILLS, reason="a longer run: RAILSHEET_KILLS=200")
def test_the_whole_program_killed_while_it_redraws(job_file, tmp_path: Path) -> None:
    jobs = [
        job_file(('rail_height = "36"', f'rail_height = "{high}"'), name=f"{high}.toml")
        for high in (36, 37)
    ]
    out = tmp_path / "out"
    command = [
        sys.executable,
        "-m",
        "railsheet",
        "draw",
        "--stock-effort",
        "0.01",
        "--out",
        str(out),
    ]
    sets = []
    start = time.monotonic()
    for job in jobs:
        subprocess.run([*command, str(job)], check=True, capture_output=True)
        whole_set(out)
        sets.append((out / LISTING).read_bytes())
    takes = (time.monotonic() - start) / 2
    assert sets[0] != sets[1]
    rng = random.Random(9)
    for number in range(KILLS):
        child = subprocess.Popen(
            [*command, str(jobs[number % 2])], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        time.sleep(rng.uniform(0.0, takes * 1.1))
        child.kill()
        child.wait()
        names = whole_set(out)
        assert {path.name for path in out.iterdir()} == {*names, LISTING}
        assert (out / LISTING).read_bytes() in sets


def test_an_earlier_set_leaves_with_its_files(tmp_path: Path) -> None:
    for inside in (False, True):
        out = tmp_path / f"out-{inside}"
        write_whole(out, {n: lambda p: p.write_text("1") for n in ("a", "b", "c")}, listed=True)
        (out / "b").write_text("changed by hand")
        if inside:
            (out / "folder").mkdir()
        write_whole(out, {"a": lambda p: p.write_text("2")}, listed=True)
        assert whole_set(out) == {"a"}
        assert (out / "b").read_text() == "changed by hand"
        assert not (out / "c").exists()


def test_two_runs_into_one_folder(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_whole(out, writers(1), listed=True)
    before = (out / LISTING).read_bytes()

    def meanwhile(path: Path) -> None:
        with pytest.raises(BadInput, match="another run is writing into it"):
            write_whole(out, writers(2), listed=True)
        path.write_text("x")

    write_whole(out, {"a.txt": meanwhile}, listed=True)
    assert (out / LISTING).read_bytes() != before
    write_whole(out, writers(3), listed=True)
    assert len(whole_set(out)) == FILES + 1


def test_a_file_saved_anew_while_the_set_is_written(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_whole(out, {"a.txt": lambda p: p.write_text("1")}, listed=True)
    (out / MINE).write_text("old")

    def late(path: Path) -> None:
        path.write_text("2")
        # As editors save: a new file takes the old one's name.
        (out / "draft").write_text("newer")
        (out / "draft").replace(out / MINE)
        (out / "another").write_text("came later")

    write_whole(out, {"a.txt": late}, listed=True)
    assert (out / MINE).read_text() == "newer"
    assert (out / "another").read_text() == "came later"


def test_through_a_link(tmp_path: Path) -> None:
    real = tmp_path / "real"
    real.mkdir(mode=0o750)
    (tmp_path / "link").symlink_to(real)
    written = write_whole(tmp_path / "link", {"a.txt": lambda p: p.write_text("1")}, listed=True)
    assert written[0] == tmp_path / "link" / "a.txt"
    assert (tmp_path / "link").is_symlink()
    assert (real / "a.txt").read_text() == "1"
    assert real.stat().st_mode & 0o777 == 0o750


@pytest.mark.parametrize("at", [1, 3, 6, 9])
def test_a_disk_that_fills_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    out = tmp_path / "out"
    write_whole(out, writers(1), listed=True)
    (out / MINE).write_text("mine", encoding="utf-8")
    real, calls = os.fsync, iter(range(100))

    def full(handle: int) -> None:
        if next(calls) == at:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(whole.os, "fsync", full)
    with pytest.raises(BadInput, match="No space left on device"):
        write_whole(out, writers(2), listed=True)
    assert one_generation(out) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_file_held_open_by_a_program_that_locks_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As a system does that lets no open file be replaced; nor has it an exchange.
    monkeypatch.setattr(whole, "exchange", lambda first, second: False)
    out = tmp_path / "out"
    write_whole(out, writers(1), listed=True)
    (out / MINE).write_text("mine", encoding="utf-8")
    real = Path.replace

    def held(self: Path, target: Path) -> Path:
        if target == out / "5.txt" and self.parent.name == "new":
            raise PermissionError(13, "The file is in use by another program", str(target))
        return real(self, target)

    monkeypatch.setattr(Path, "replace", held)
    with pytest.raises(BadInput, match=r"in use by another program.*5\.txt"):
        write_whole(out, writers(2), listed=True)
    assert one_generation(out) == 1


def test_a_disk_that_cannot_exchange_writes_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(whole, "exchange", lambda first, second: False)
    out = tmp_path / "out"
    for generation in (1, 2):
        write_whole(out, writers(generation), listed=True)
        (out / MINE).write_text("mine", encoding="utf-8")
    assert one_generation(out) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_exchange_is_one_step_on_this_machine(tmp_path: Path) -> None:
    for name in "ab":
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    assert folder_module.exchange(tmp_path / "a", tmp_path / "b")
    assert (tmp_path / "a" / "b").is_file()
    with pytest.raises(OSError, match="No such file"):
        folder_module.exchange(tmp_path / "a", tmp_path / "none")

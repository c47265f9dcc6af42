"""Disk full, folder not to be written, file open elsewhere, two runs at once: nothing is lost."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from pathlib import Path

import pytest
from set_writer import FILES, content, writers

from railsheet.export.folder import Folder
from railsheet.export.whole import write_whole

WRITER = Path(__file__).parent / "failing_disk.py"
ALONE = ("unshare", "--map-root-user", "--mount")


def may_mount() -> bool:
    """Whether this machine lets its user mount a disk of their own."""
    try:
        command = [*ALONE, "mount", "-t", "tmpfs", "none", "/mnt"]
        return subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def outcomes(*command: str) -> list[dict[str, object]]:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def one_or_the_other(outcome: dict[str, object]) -> bool:
    """Either it says that it could not and the old set stands whole, or the new one does."""
    could = "No space left on device" not in str(outcome["said"])
    return outcome["after"] == outcome["wrote" if could else "before"] and could == (
        outcome["said"] == ""
    )


@pytest.mark.skipif(not may_mount(), reason="no disk of one's own can be mounted here")
def test_a_real_disk_too_small_by_more_and_less(tmp_path: Path) -> None:
    tried = outcomes(*ALONE, sys.executable, str(WRITER), "small", str(tmp_path))
    for outcome in tried:
        assert one_or_the_other(outcome), outcome
        assert outcome["left"] == [], outcome
    said = [outcome["said"] != "" for outcome in tried]
    assert said == sorted(said, reverse=True), "where there is room for it, it is written"
    assert True in said
    assert False in said


@pytest.mark.parametrize("inside", [(), ("inside",)], ids=["exchanged", "one by one"])
def test_whichever_call_on_the_disk_fails(tmp_path: Path, inside: tuple[str, ...]) -> None:
    tried = outcomes(sys.executable, str(WRITER), "every", str(tmp_path / "out"), *inside)
    assert len(tried) > 2 * FILES
    assert sum(outcome["said"] != "" for outcome in tried) > 2 * FILES
    for outcome in tried:
        assert one_or_the_other(outcome), outcome
        # The next run starts clean.
        assert (outcome["again"], outcome["then"], outcome["left"]) == ("", 1, []), outcome


def railsheet(*arguments: str, most_bytes: int | None = None) -> subprocess.CompletedProcess[str]:
    def limit() -> None:
        if most_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))

    command = [sys.executable, "-m", "railsheet", *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=False, preexec_fn=limit)


def everything(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_the_whole_program_where_a_file_may_not_grow(job_file, tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_whole(out, {"sheets.pdf": lambda path: path.write_text("old")}, listed=True)
    before = everything(out)
    # A limit on the size of a file, as a quota is: the first drawing no longer fits.
    done = railsheet("draw", str(job_file()), "--out", str(out), most_bytes=20_000)
    assert done.returncode == 2
    assert "output folder: a folder that can be written to (File too large" in done.stderr
    assert "Traceback" not in done.stderr
    assert everything(out) == before
    assert {path.name for path in tmp_path.iterdir()} == {"job.toml", "out"}


def test_the_whole_program_where_another_is_writing(job_file, tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_whole(out, {"sheets.pdf": lambda path: path.write_text("old")}, listed=True)
    before = everything(out)
    with Folder(out):
        done = railsheet("draw", str(job_file()), "--out", str(out))
    assert done.returncode == 2
    assert "another run is writing into it: let that one finish" in done.stderr
    assert everything(out) == before


@pytest.mark.skipif(not may_mount(), reason="no disk of one's own can be mounted here")
def test_the_whole_program_on_a_disk_that_is_read_only(job_file, tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    script = (
        f"mount -t tmpfs none {disk} && echo mine > {disk}/mine.txt && mount -o remount,ro {disk}"
        f"; {sys.executable} -m railsheet draw {job_file()} --out {disk}; echo $?; ls -A {disk}"
    )
    done = subprocess.run([*ALONE, "sh", "-c", script], capture_output=True, text=True, check=False)
    assert done.stdout.split() == ["2", "mine.txt"], done.stderr
    assert "a folder that can be written to (Read-only file system" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("inside", [False, True], ids=["exchanged", "one by one"])
def test_who_has_a_sheet_open_reads_it_to_its_end(tmp_path: Path, inside: bool) -> None:
    out = tmp_path / "out"
    write_whole(out, writers(1), listed=True)
    if inside:
        (out / "photos").mkdir()
    with (out / "3.txt").open(encoding="utf-8") as old:
        begun = old.read(100)
        write_whole(out, writers(2), listed=True)
        assert begun + old.read() == content(1, 3)
    assert (out / "3.txt").read_text(encoding="utf-8") == content(2, 3)


def test_two_programs_at_once_leave_one_whole_set(job_file, tmp_path: Path) -> None:
    out = tmp_path / "out"
    jobs = [
        job_file(('rail_height = "36"', f'rail_height = "{high}"'), name=f"{high}.toml")
        for high in (36, 37)
    ]
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
    both = [
        subprocess.Popen([*command, str(job)], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for job in jobs
    ]
    said = [run.communicate()[1].decode() for run in both]
    codes = [run.returncode for run in both]
    # One after the other, or one finds the folder held: never a mixture.
    assert 0 in codes
    for code, words in zip(codes, said, strict=True):
        assert code == 0 or (code == 2 and "another run is writing into it" in words), words
    checked = subprocess.run(
        ["sha256sum", "--check", "--quiet", "set.sha256"], cwd=out, capture_output=True, check=False
    )
    assert checked.returncode == 0, checked.stderr
    listed = (out / "set.sha256").read_text(encoding="utf-8").splitlines()
    assert {path.name for path in out.iterdir()} == {
        "set.sha256", *(line.split("  ", 1)[1] for line in listed)
    }  # fmt: skip
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]

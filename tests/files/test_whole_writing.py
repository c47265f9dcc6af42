"""Files written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from railsheet.errors import BadInput
from railsheet.export.whole import write_whole


def writes(text: str):
    return lambda path: path.write_text(text)


def contents(folder: Path) -> dict[str, str]:
    return {p.name: p.read_text() for p in folder.iterdir()}


def test_writes_all_and_leaves_nothing_else(tmp_path):
    out = tmp_path / "new" / "deep"
    paths = write_whole(out, {"a.txt": writes("A"), "b.txt": writes("B")})
    assert paths == (out / "a.txt", out / "b.txt")
    assert contents(out) == {"a.txt": "A", "b.txt": "B"}


def test_replaces_old_files_and_keeps_strangers(tmp_path):
    (tmp_path / "a.txt").write_text("old")
    (tmp_path / "mine.txt").write_text("mine")
    write_whole(tmp_path, {"a.txt": writes("A")})
    assert contents(tmp_path) == {"a.txt": "A", "mine.txt": "mine"}


@pytest.mark.parametrize("existing", [False, True])
def test_a_writer_that_fails_changes_nothing(tmp_path, existing):
    out = tmp_path / "out"
    if existing:
        out.mkdir()
        (out / "a.txt").write_text("old")

    def fails(path: Path) -> None:
        path.write_text("half")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_whole(out, {"a.txt": writes("A"), "b.txt": fails})
    assert contents(out) == {"a.txt": "old"} if existing else not out.exists()


def test_a_full_disk_is_reported_and_changes_nothing(tmp_path):
    (tmp_path / "a.txt").write_text("old")

    def full(path: Path) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(BadInput, match="No space left"):
        write_whole(tmp_path, {"a.txt": writes("A"), "b.txt": full})
    assert contents(tmp_path) == {"a.txt": "old"}


def test_a_move_that_fails_midway_gives_the_old_files_back(tmp_path):
    (tmp_path / "a.txt").write_text("old a")
    (tmp_path / "c.txt").mkdir()
    files = {"a.txt": writes("A"), "b.txt": writes("B"), "c.txt": writes("C")}
    with pytest.raises(BadInput, match=r"c\.txt is a folder"):
        write_whole(tmp_path, files)
    assert (tmp_path / "a.txt").read_text() == "old a"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.txt", "c.txt"]


@pytest.mark.parametrize("broken_at", [0, 1, 2])
def test_whichever_move_fails_the_folder_is_as_it_was(tmp_path, monkeypatch, broken_at):
    for name in "ac":
        (tmp_path / name).write_text(f"old {name}")
    real, count = Path.replace, iter(range(100))

    def replace(self: Path, target: Path) -> Path:
        if next(count) == broken_at:
            raise OSError(5, "Input/output error")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(BadInput, match="Input/output error"):
        write_whole(tmp_path, {n: writes(f"new {n}") for n in "abc"})
    assert contents(tmp_path) == {"a": "old a", "c": "old c"}


@pytest.mark.parametrize("place", ["file", "file/below"])
def test_a_file_where_the_folder_should_be(tmp_path, place):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(BadInput) as caught:
        write_whole(tmp_path / place, {"a.txt": writes("A")})
    assert str(tmp_path / place) in str(caught.value)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written(tmp_path):
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(BadInput):
            write_whole(tmp_path, {"a.txt": writes("A")})
    finally:
        tmp_path.chmod(0o700)


@pytest.mark.parametrize("name", ["../a", "a/b", "", ".."])
def test_names_that_leave_the_folder(tmp_path, name):
    with pytest.raises(ValueError, match="plain file name"):
        write_whole(tmp_path / "out", {name: writes("A")})
    assert not (tmp_path / "out").exists()


def test_a_writer_that_writes_nothing(tmp_path):
    with pytest.raises(BadInput, match="was not written"):
        write_whole(tmp_path / "out", {"a.txt": lambda path: None})
    assert not (tmp_path / "out").exists()

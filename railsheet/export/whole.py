"""Files written whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from railsheet.errors import BadInput


def write_whole(folder: Path, files: Mapping[str, Callable[[Path], None]]) -> tuple[Path, ...]:
    """Write a set of files into a folder; on any failure the folder is left as it was.

    Every file is first written to a hidden folder inside it, so on the same disk. Only when all
    are there does each take its place in one step; should a step fail, the old files come back.

    Args:
        folder: made if it is missing.
        files: for each file's name, what writes it to the path it is given.

    Returns:
        The files, in the order given.

    Raises:
        BadInput: the folder, or the disk, cannot take them.
        ValueError: a name that is not a plain file name.
        Exception: whatever a writer raises, unchanged, unless it is a disk error.
    """
    for name in files:
        if name in ("", ".", "..") or Path(name).name != name:
            raise ValueError(f"{name!r} is not a plain file name")
    folder = Path(os.path.abspath(folder))  # noqa: PTH100 - resolve() would follow a link away
    made = _make_folder(folder)
    finished = False
    try:
        try:
            staging = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder))
        except OSError as error:
            raise _refused(folder, error) from error
        try:
            _write(folder, staging, files)
            finished = True
        finally:
            shutil.rmtree(staging, ignore_errors=True)
    finally:
        if not finished:
            for empty in reversed(made):
                _remove_if_empty(empty)
    return tuple(folder / name for name in files)


def _write(folder: Path, staging: Path, files: Mapping[str, Callable[[Path], None]]) -> None:
    fresh, old = staging / "new", staging / "old"
    try:
        fresh.mkdir()
        old.mkdir()
        for name, write in files.items():
            write(fresh / name)
            if not (fresh / name).is_file():
                raise FileNotFoundError(f"{name} was not written")
    except OSError as error:
        raise _refused(folder, error) from error
    _swap(folder, fresh, old, tuple(files))


def _swap(folder: Path, fresh: Path, old: Path, names: tuple[str, ...]) -> None:
    placed: list[str] = []
    try:
        for name in names:
            target = folder / name
            if target.is_dir():
                raise IsADirectoryError(f"{name} is a folder")
            if target.exists():
                # A second name for the old file, so that the new one can replace it in one step.
                _keep(target, old / name)
            placed.append(name)
            (fresh / name).replace(target)
    except OSError as error:
        for name in reversed(placed):
            if (old / name).exists():
                (old / name).replace(folder / name)
            elif not (fresh / name).exists():
                (folder / name).unlink(missing_ok=True)
        raise _refused(folder, error) from error


def _keep(target: Path, kept: Path) -> None:
    try:
        kept.hardlink_to(target)
    except OSError:
        # Some disks (FAT, network shares) have no second names.
        shutil.copy2(target, kept)


def _make_folder(folder: Path) -> list[Path]:
    """Make a folder and those above it; give those that were missing, the topmost first."""
    missing: list[Path] = []
    at = folder
    while not at.exists() and at != at.parent:
        missing.insert(0, at)
        at = at.parent
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        for made in reversed(missing):
            _remove_if_empty(made)
        raise _refused(folder, error) from error
    return missing


def _remove_if_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return


def _refused(folder: Path, error: OSError) -> BadInput:
    return BadInput(
        file=str(folder),
        place="output folder",
        value="",
        allowed=f"a folder that can be written to ({error.strerror or error})",
    )

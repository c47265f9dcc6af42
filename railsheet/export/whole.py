"""Files written whole or not at all.

A set of files with a list of their checksums takes its folder's place in one step: the new set is
laid in a folder beside it, what else the folder holds is given a second name there, and the two
folders are exchanged (Linux's renameat2). A program that is killed leaves the old set or the new.
Where that cannot be had (another system, folders within the folder, a folder that someone works
in), each file takes its place in one step, one after another, and the next start brings to its end
what a killed one began.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

from railsheet.errors import BadInput
from railsheet.export.folder import Folder, exchange

# The list of checksums, as `sha256sum --check` reads it.
LISTING = "set.sha256"
# Within a folder whose files take their places one by one: what says that all are written, and
# that they are being taken back.
_READY, _UNDO = "ready", "undo"
_INSIDE = re.compile(r"\.railsheet-[a-z0-9_]+")
# Past so many files of its own a folder is no folder of sheets, and is not exchanged.
_MOST_OTHERS = 200

Writers = Mapping[str, Callable[[Path], None]]


def write_whole(folder: Path, files: Writers, *, listed: bool = False) -> tuple[Path, ...]:
    """Write a set of files into a folder; on any failure the folder is left as it was.

    Args:
        folder: made if it is missing.
        files: for each file's name, what writes it to the path it is given.
        listed: the files are one set: `LISTING` is written with them, and files of the set listed
            there before that are not in this one, and are still as they were written, are removed.

    Returns:
        The files, in the order given, the listing last.

    Raises:
        BadInput: the folder, or the disk, cannot take them, or another run is writing there.
        ValueError: a name that is not a plain file name, or two that some disks take for one.
        Exception: whatever a writer raises, unchanged, unless it is a disk error.
    """
    for name in files:
        if name in ("", ".", "..") or Path(name).name != name:
            raise ValueError(f"{name!r} is not a plain file name")
    if len({name.casefold() for name in files}) < len(files):
        raise ValueError("two files whose names differ in capitals alone")
    finished = False
    with Folder(folder) as held:
        try:
            recover(held.path)
            if not (listed and _exchanged(held, files)):
                _one_by_one(held.path, files, listed)
            finished = True
        except OSError as error:
            raise _refused(held.asked, error) from error
        finally:
            if not finished:
                held.unmake()
    return tuple(held.asked / name for name in (*files, *([LISTING] if listed else ())))


def recover(folder: Path) -> None:
    """Bring to its end what a killed run began in a folder, which no other run may hold now.

    Raises:
        OSError: the disk cannot take it.
    """
    beside = re.compile(re.escape(_beside(folder)) + "[a-z0-9_]+")
    # Whoever may not list the folder above has laid nothing there either.
    above = sorted(folder.parent.iterdir()) if os.access(folder.parent, os.R_OK) else []
    for left in above:
        if beside.fullmatch(left.name) and left.is_dir() and not _discarded(left):
            _bring_back(left, folder, _listed(left))
    for left in sorted(folder.iterdir()):
        if not (_INSIDE.fullmatch(left.name) and left.is_dir()):
            continue
        ready, undo = left / _READY, left / _UNDO
        if ready.is_file() or undo.is_file():
            for kept in sorted((left / ("new" if ready.is_file() else "old")).iterdir()):
                kept.replace(folder / kept.name)
        if ready.is_file():
            _remove(folder, ready.read_text(encoding="utf-8").splitlines())
        shutil.rmtree(left, ignore_errors=True)


def _beside(folder: Path) -> str:
    """How the name of a folder beside one begins, in which its next set is laid."""
    return f".{folder.name}.railsheet-"


def _discarded(staging: Path) -> bool:
    """Remove a folder beside that was never exchanged, which then bears its own number."""
    if not staging.name.endswith(f"-{staging.stat().st_ino}"):
        return False
    shutil.rmtree(staging, ignore_errors=True)
    return True


def _exchangeable(folder: Path) -> bool:
    """Whether the folder holds only plain files, and is not one that this program works in."""
    here = Path.cwd()
    if folder in (here, *here.parents) or folder.is_mount():
        return False
    entries = list(folder.iterdir())
    return len(entries) <= _MOST_OTHERS and all(
        entry.is_file() and not entry.is_symlink() for entry in entries
    )


def _made_beside(folder: Path) -> Path | None:
    """A folder beside one, the same people's and as open; None where none can be made."""
    try:
        made = Path(tempfile.mkdtemp(prefix=_beside(folder), dir=folder.parent))
    except OSError:
        return None
    like, mine = folder.stat(), made.stat()
    try:
        if (like.st_uid, like.st_gid) != (mine.st_uid, mine.st_gid):
            os.chown(made, like.st_uid, like.st_gid)
        made.chmod(stat.S_IMODE(like.st_mode))
        return made.rename(folder.parent / f"{_beside(folder)}{mine.st_ino}")
    except OSError:
        made.rmdir()
        return None


def _exchanged(held: Folder, files: Writers) -> bool:
    """Lay the set in a folder beside, and exchange the two; False where that cannot be done."""
    folder = held.path
    staging = _made_beside(folder) if _exchangeable(folder) else None
    if staging is None:
        return False
    try:
        _fill(staging, files, listed=True)
        replaced = {*files, LISTING, *_unchanged(folder)}
        others = [entry for entry in folder.iterdir() if entry.name not in replaced]
        if not (_linked(others, staging) and held.hold(staging) and exchange(staging, folder)):
            return False
    finally:
        # What a folder held before bears no number, and is not lost here.
        swapped = not _discarded(staging)
    if swapped:
        _bring_back(staging, folder, replaced)
    return swapped


def _linked(others: Sequence[Path], folder: Path) -> bool:
    """Give files a second name in a folder; False where the disk has none, or one is gone."""
    try:
        for entry in others:
            (folder / entry.name).hardlink_to(entry)
    except OSError:
        return False
    return True


def _bring_back(old: Path, folder: Path, replaced: set[str]) -> None:
    """Move what came into the old folder meanwhile to the new one, and remove the old."""
    for entry in old.iterdir():
        if entry.name in replaced:
            continue
        there = folder / entry.name
        if not there.exists() or _later(entry, there):
            entry.replace(there)
    shutil.rmtree(old, ignore_errors=True)


def _later(entry: Path, there: Path) -> bool:
    """Whether a file was saved anew since the other was given its name."""
    mine, other = entry.stat(), there.stat()
    return mine.st_ino != other.st_ino and mine.st_mtime_ns > other.st_mtime_ns


def _fill(folder: Path, files: Writers, *, listed: bool) -> None:
    for name, write in files.items():
        write(folder / name)
        if not (folder / name).is_file():
            raise FileNotFoundError(f"{name} was not written")
    if listed:
        lines = [f"{_checksum(folder / name)}  {name}\n" for name in sorted(files)]
        (folder / LISTING).write_text("".join(lines), encoding="utf-8", newline="\n")
    for entry in folder.iterdir():
        # A disk that only finds out later that it is full says so now.
        with entry.open("r+b") as stream:
            os.fsync(stream.fileno())


def _checksum(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _listed(folder: Path) -> set[str]:
    """The names in a folder's listing, and the listing's own."""
    return {LISTING, *_checksums(folder)}


def _unchanged(folder: Path) -> set[str]:
    """The files of the set listed in a folder that are still as they were written."""
    return {
        name
        for name, checksum in _checksums(folder).items()
        if (folder / name).is_file() and _checksum(folder / name) == checksum
    }


def _checksums(folder: Path) -> Mapping[str, str]:
    try:
        text = (folder / LISTING).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return {}
    entries = (line.partition("  ") for line in text.splitlines())
    # The listing is only a file: a name in it is not to lead out of the folder.
    return {name: checksum for checksum, _, name in entries if name and Path(name).name == name}


def _one_by_one(folder: Path, files: Writers, listed: bool) -> None:
    """Write within, then let each file take its place; should one fail, the old ones come back."""
    staging = Path(tempfile.mkdtemp(prefix=".railsheet-", dir=folder))
    try:
        fresh, old = staging / "new", staging / "old"
        fresh.mkdir()
        old.mkdir()
        _fill(fresh, files, listed=listed)
        names = (*files, *([LISTING] if listed else ()))
        gone = sorted(_unchanged(folder) - {*names}) if listed else []
        # From here on a run that is killed is brought to its end by the next.
        (staging / "draft").write_text("\n".join(gone), encoding="utf-8")
        (staging / "draft").rename(staging / _READY)
        _swap(folder, staging, names, gone)
        # The set is whole now; should this fail, the next run has nothing left to bring to its end.
        with contextlib.suppress(OSError):
            (staging / _READY).unlink()
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def _remove(folder: Path, names: Iterable[str]) -> None:
    for name in names:
        (folder / name).unlink(missing_ok=True)


def _swap(folder: Path, staging: Path, names: tuple[str, ...], gone: Iterable[str]) -> None:
    fresh, old = staging / "new", staging / "old"
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
        for name in gone:
            (folder / name).replace(old / name)
            placed.append(name)
    except OSError:
        (staging / _READY).rename(staging / _UNDO)
        for name in reversed(placed):
            if (old / name).exists():
                (old / name).replace(folder / name)
            elif not (fresh / name).exists():
                (folder / name).unlink(missing_ok=True)
        raise


def _keep(target: Path, kept: Path) -> None:
    try:
        kept.hardlink_to(target)
    except OSError:
        # Some disks (FAT, network shares) have no second names.
        shutil.copy2(target, kept)


def _refused(folder: Path, error: OSError) -> BadInput:
    return BadInput(
        file=str(folder),
        place="output folder",
        value="",
        allowed=f"a folder that can be written to ({error.strerror or error}{_which(error)})",
    )


def _which(error: OSError) -> str:
    """The file that the disk named, by its own name alone."""
    named = error.filename2 or error.filename
    return f": {Path(named).name}" if isinstance(named, str) else ""

"""Writes sets into a folder on a disk that fails: run by test_disk_troubles.py, not by itself.

    python failing_disk.py small FOLDER             on a real disk (tmpfs) too small by more or less
    python failing_disk.py every FOLDER [inside]    the k-th call on the disk fails, for every k

Each prints a line of JSON for what was tried: what was said, and what the folder holds.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

from set_writer import FILES, writers

from railsheet.errors import BadInput
from railsheet.export.whole import LISTING, write_whole

MINE = "my notes.txt"
# What Python tells its hooks of before it asks the system (docs.python.org/3/library/audit_events).
CALLS = (
    "open",
    "os.rename",
    "os.mkdir",
    "os.link",
    "os.remove",
    "os.rmdir",
    "os.chmod",
    "os.chown",
)


def held(folder: Path) -> int:
    """The generation the folder holds whole, -1 if it is not one whole set with what was there."""
    listed = {}
    for line in (folder / LISTING).read_text(encoding="utf-8").splitlines():
        checksum, name = line.split("  ", 1)
        listed[name] = checksum
    files = {path.name for path in folder.iterdir() if path.is_file()}
    whole = files == {*listed, LISTING, MINE} and len(listed) == FILES + 1
    whole &= (folder / MINE).read_text(encoding="utf-8") == "mine"
    texts = {name: (folder / name).read_bytes() for name in listed}
    whole &= all(hashlib.sha256(texts[name]).hexdigest() == listed[name] for name in listed)
    first = {text.split(b"\n", 1)[0].decode() for text in texts.values()}
    return int(first.pop().removeprefix("generation ")) if whole and len(first) == 1 else -1


def strangers(folder: Path) -> list[str]:
    """What a run has left lying, in the folder and beside it."""
    names = [path.name for path in (*folder.iterdir(), *folder.parent.iterdir())]
    return sorted(name for name in names if name.startswith("."))


def begin(folder: Path) -> None:
    write_whole(folder, writers(1), listed=True)
    (folder / MINE).write_text("mine", encoding="utf-8")


def tried(folder: Path, generation: int) -> dict[str, object]:
    said = ""
    try:
        write_whole(folder, writers(generation), listed=True)
    except BadInput as bad:
        said = str(bad)
    return {"said": said, "wrote": generation}


def small(disk: Path) -> None:
    def size(kib: int, *first: str) -> None:
        command = ["mount", *first, "-o", f"{'' if first else 'remount,'}size={kib}k", str(disk)]
        subprocess.run(command, check=True)

    size(4096, "-t", "tmpfs", "none")
    folder = disk / "out"
    begin(folder)
    needs = sum(-(-path.stat().st_size // 4096) * 4 for path in folder.iterdir())
    for generation, spare in enumerate(range(4, needs + 40, 8), start=2):
        size(needs + spare)
        before = held(folder)
        outcome = tried(folder, generation)
        outcome |= {"before": before, "after": held(folder), "left": strangers(folder)}
        print(json.dumps(outcome))
        size(4096)


def every(folder: Path, inside: bool) -> None:
    begin(folder)
    if inside:
        # Folders within a folder are not moved about: files take their places one by one.
        (folder / "photos").mkdir()
    fails_at, calls, root = -1, 0, str(folder.parent)

    def hook(event: str, args: tuple[object, ...]) -> None:
        nonlocal calls
        if fails_at < 0 or event not in CALLS or not str(args[0]).startswith(root):
            return
        if event == "open" and not (
            isinstance(args[2], int) and args[2] & (os.O_WRONLY | os.O_RDWR)
        ):
            return
        calls += 1
        if calls == fails_at + 1:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(args[0]))

    sys.addaudithook(hook)
    for at in range(1000):
        # Each has a file that the set before it has not, and the other way about.
        generation = 2 + 3 * at
        before = held(folder)
        fails_at, calls = at, 0
        outcome = tried(folder, generation)
        failed, fails_at = calls > fails_at, -1
        outcome |= {"before": before, "after": held(folder)}
        # The next run brings to its end what this one could not.
        again = tried(folder, 1)
        outcome |= {"again": again["said"], "then": held(folder), "left": strangers(folder)}
        print(json.dumps(outcome))
        if not failed:
            return


if __name__ == "__main__":
    if sys.argv[1] == "small":
        small(Path(sys.argv[2]))
    else:
        every(Path(sys.argv[2]), len(sys.argv) > 3)

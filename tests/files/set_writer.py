"""Writes sets of files into a folder, one after another, until it is killed: run by the tests."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from itertools import count
from pathlib import Path

from railsheet.export.whole import write_whole

FILES = 10


def content(generation: int, number: int) -> str:
    return f"generation {generation}\n" + f"file {number}\n" * 2000


def writers(generation: int) -> dict[str, Callable[[Path], object]]:
    # Each generation has a file that no other has.
    names = [f"{number}.txt" for number in range(FILES)] + [f"only-{generation % 3}.txt"]
    return {
        name: partial(Path.write_text, data=content(generation, number))
        for number, name in enumerate(names)
    }


def main(folder: Path, first: int) -> None:
    for generation in count(first):
        write_whole(folder, writers(generation), listed=True)
        if generation == first:
            print("begun", flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))

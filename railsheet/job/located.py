"""The line of a message whose place is told by marks: ``flight A > readings > R 3``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from railsheet.errors import BadInput
from railsheet.job.source import read_toml, value_line
from railsheet.job.toml_lines import KeyPath

_ENTRY = re.compile(r"(\S+) (.+)")


def located(bad: BadInput) -> BadInput:
    """The same message with the line of its place, where its file is TOML and holds the place."""
    if bad.line is not None or not Path(bad.file).is_file():
        return bad
    try:
        data = read_toml(Path(bad.file))
    except BadInput:
        return bad
    path = _path(data, bad.place, bad.value)
    line = value_line(bad.file, path) if path else None
    return BadInput(bad.file, bad.place, bad.value, bad.allowed, line)


def _path(node: object, place: str, value: str) -> KeyPath:
    """As much of the place as the data has."""
    path: KeyPath = ()
    for step in place.split(" > "):
        below = _below(node, step, value)
        if not below:
            return path
        for key in below:
            node = node[key]  # type: ignore[index]
        path = (*path, *below)
    return path


def _below(node: object, step: str, value: str) -> KeyPath:
    if isinstance(node, list):
        # All of a kind are meant, and the value tells which: the last that has it is one too many.
        for index in range(len(node) - 1, -1, -1):
            if isinstance(node[index], dict) and node[index].get(step) == value:
                return (index, step)
        return ()
    if not isinstance(node, dict):
        return ()
    if step in node:
        return (step,)
    entry = _ENTRY.fullmatch(step)
    if entry is None or entry[1] not in node:
        return ()
    number = _index(node[entry[1]], entry[2])
    return (entry[1],) if number is None else (entry[1], number)


def _index(entries: object, name: str) -> int | None:
    """The entry of that mark, or of that number from 1."""
    if not isinstance(entries, Sequence):
        return None
    for index, entry in enumerate(entries):
        if isinstance(entry, dict):
            mark = entry.get("mark")
            # A flight railed on both sides goes by its mark with L or R.
            if mark is not None and name in (mark, f"{mark}L", f"{mark}R"):
                return index
    if name.isdecimal() and 1 <= int(name) <= len(entries):
        return int(name) - 1
    return None

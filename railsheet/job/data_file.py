"""The data files a job names: shipped with the package, or the user's own beside the job."""

from __future__ import annotations

from pathlib import Path

from railsheet.job.source import Table, read_toml
from railsheet.units.length import Unit


def shipped_names(folder: Path) -> tuple[str, ...]:
    """Names of the data files that come with the package in a folder, sorted."""
    return tuple(sorted(path.stem for path in folder.glob("*.toml")))


def named_file(asked: str, beside: Path, folder: Path) -> Path | None:
    """The file that is asked for: what ends in .toml is from ``beside``, a name from ``folder``.

    Returns:
        The file; None where there is none.
    """
    if asked.endswith(".toml"):
        path = beside / asked
        return path if path.is_file() else None
    return folder / f"{asked}.toml" if asked in shipped_names(folder) else None


def open_parts_file(path: Path) -> tuple[Table, Table]:
    """The ``[kit]`` table of a file of parts and the whole file, both read in the file's units.

    Raises:
        BadInput: it is no TOML file, or does not say its units.
    """
    data = read_toml(path)
    head = Table(str(path), "", data, Unit.INCH).table("kit")
    unit = Unit(head.choice("units", [u.value for u in Unit]))
    root = Table(str(path), "", data, unit)
    root.has("kit")
    return head.with_unit(unit), root

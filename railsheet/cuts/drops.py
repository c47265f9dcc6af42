"""The drops kept from job to job: a list in a TOML file, read and rewritten without loss."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from railsheet.cuts.stock_model import Drop
from railsheet.cuts.stock_result import Bar, StockPlan
from railsheet.errors import BadInput
from railsheet.job.source import Table, read_toml
from railsheet.units.length import Unit

_MOST_MM = 15_000.0
_HEADER = """\
# Drops on hand. Written by railsheet; the list before it is in the file ending .bak.
# Length: end to end, on the shorter side. first_hole, last_hole: from the left and the right end
# to the nearest hole's centre, for punched sections; last_hole may be left out where the holes
# run on to within a pitch of the right end.
"""


def read_drops(path: Path) -> tuple[Drop, ...]:
    """The drops listed in a file, in its order.

    A length is written as anywhere in a job; a bare number is in the file's ``units``.

    Raises:
        BadInput: naming the file, the drop and the key that cannot be used.
    """
    file = str(path)
    data = read_toml(path)
    names = [unit.value for unit in Unit]
    top = Table(file, "", data, Unit.MM)
    unit = Unit(top.choice("units", names))
    # An empty rack is an empty list, which the reader of lists would refuse.
    rows = top.tables("drop", "a table [[drop]] for each") if top.has("drop") else ()
    top.done()
    drops: list[Drop] = []
    seen: set[str] = set()
    for row in rows:
        table = row.with_unit(unit)
        drop = Drop(
            mark=table.text("mark", "what is written on the drop"),
            profile=table.text("profile", "the section's profile"),
            finish=table.text("finish", "the section's finish"),
            length_mm=table.length("length", 1.0, _MOST_MM),
            first_hole_mm=table.length_or_none("first_hole", 0.0, _MOST_MM),
            last_hole_mm=table.length_or_none("last_hole", 0.0, _MOST_MM),
        )
        table.done()
        if drop.mark in seen:
            raise table.bad("mark", "two drops carry this mark")
        for key, hole in (("first_hole", drop.first_hole_mm), ("last_hole", drop.last_hole_mm)):
            if hole is not None and hole > drop.length_mm:
                raise table.bad(key, "the hole must lie on the drop")
        seen.add(drop.mark)
        drops.append(drop)
    return tuple(drops)


def write_drops(path: Path, drops: Iterable[Drop]) -> None:
    """Write the list, whole or not at all; the file it replaces is kept beside it as ``.bak``.

    The new file is read back before it takes the old one's place. Figures are in mm to a
    millionth; a length is cut off there rather than rounded up.

    Raises:
        BadInput: the folder cannot be written to, or the list could not be read back.
    """
    listed = tuple(drops)
    text = _HEADER + 'units = "mm"\n' + "".join(_entry(drop) for drop in listed)
    draft: Path | None = None
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", newline="\n", dir=path.parent, suffix=".part", delete=False
        ) as stream:
            draft = Path(stream.name)
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        if len(read_drops(draft)) != len(listed):
            raise BadInput(str(path), "the file", "", "the list could not be read back")
        if path.exists():
            shutil.copymode(path, draft)
            shutil.copy2(path, path.with_name(path.name + ".bak"))
        draft.replace(path)
    except OSError as error:
        raise BadInput(str(path), "the file", "", f"cannot be written: {error.strerror}") from None
    finally:
        if draft is not None:
            draft.unlink(missing_ok=True)


def drops_after(before: Iterable[Drop], plan: StockPlan) -> tuple[Drop, ...]:
    """What is on hand once a plan is cut: drops not touched, then the remainders worth keeping."""
    listed = list(before)
    cut = {bar.source for section in plan.sections for bar in section.bars}
    kept = name_remainders(listed, plan)
    return (*(drop for drop in listed if drop not in cut), *(drop for _, drop in kept))


def name_remainders(before: Iterable[Drop], plan: StockPlan) -> tuple[tuple[Bar, Drop], ...]:
    """The bars whose remainder is worth keeping, each with that remainder, named.

    A remainder of a drop keeps the drop's mark; others are marked ``D`` and the next number free.
    """
    left: list[tuple[Bar, Drop]] = []
    taken = {drop.mark for drop in before}
    number = 0
    for section in plan.sections:
        for bar in section.bars:
            if not bar.leftover.kept:
                continue
            # A punched section with no hole left is no use as punched stock.
            if section.section.pitch_mm is not None and bar.leftover.first_hole_mm is None:
                continue
            if isinstance(bar.source, Drop):
                mark = bar.source.mark
            else:
                number += 1
                while f"D{number}" in taken:
                    number += 1
                mark = f"D{number}"
            drop = Drop(
                mark=mark,
                profile=section.section.profile,
                finish=section.section.finish,
                length_mm=bar.leftover.length_mm,
                first_hole_mm=bar.leftover.first_hole_mm,
                last_hole_mm=bar.leftover.last_hole_mm,
            )
            left.append((bar, drop))
    return tuple(left)


def _entry(drop: Drop) -> str:
    lines = ["", "[[drop]]"]
    lines += [
        f"{key} = {_quoted(value)}"
        for key, value in (
            ("mark", drop.mark),
            ("profile", drop.profile),
            ("finish", drop.finish),
        )
    ]
    for key, length in (
        ("length", drop.length_mm),
        ("first_hole", drop.first_hole_mm),
        ("last_hole", drop.last_hole_mm),
    ):
        if length is not None:
            lines.append(f'{key} = "{_decimal(length)} mm"')
    return "\n".join(lines) + "\n"


def _decimal(length_mm: float) -> str:
    whole, part = divmod(int(length_mm * 1_000_000 + 0.01), 1_000_000)
    text = f"{whole}.{part:06d}".rstrip("0")
    return text + "0" if text.endswith(".") else text


def _quoted(text: str) -> str:
    # JSON's string is TOML's basic string, but for one control character TOML wants escaped.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


@contextmanager
def drops_replaced(path: Path, drops: Iterable[Drop]) -> Iterator[None]:
    """Write the list, and put the old one back should what is done meanwhile fail.

    Raises:
        BadInput: as `write_drops`; nothing is done then.
    """
    before = path.read_bytes() if path.exists() else None
    write_drops(path, drops)
    try:
        yield
    except BaseException:
        if before is None:
            path.unlink(missing_ok=True)
        else:
            restored = path.with_name(path.name + ".part")
            restored.write_bytes(before)
            restored.replace(path)
        raise

"""A TOML file, and where in it each value stands, so that a message can point at it."""

from __future__ import annotations

import datetime
import difflib
import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from railsheet.errors import BadInput
from railsheet.job.absurd import (
    MOST_ENTRIES,
    MOST_TABLES,
    MOST_TEXT,
    one_line,
    refuse_absurd,
    text_trouble,
    whole_text,
)
from railsheet.job.toml_lines import KeyPath, line_at, value_lines
from railsheet.units.display import decimal_text
from railsheet.units.length import LengthError, Unit, other_unit, parse_length

# Past so many, the words to choose from are not all told where some are like the one written.
_MANY = 12
_AT_LINE = re.compile(r"at line (\d+)")
_WORDS: Mapping[type, str] = {
    str: "text",
    bool: "true or false",
    int: "a whole number",
    dict: "a table",
    list: "a list",
}


def read_toml(path: Path) -> dict[str, object]:
    """The file's contents.

    Raises:
        BadInput: it is not there, cannot be read, is not whole TOML (with line and column), or is
            larger or nested deeper than any job.
    """
    text = whole_text(path)
    refuse_absurd(str(path), text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        said = _AT_LINE.search(str(error))
        line = int(said[1]) if said else None
        raise BadInput(str(path), "TOML", "", f"not a whole TOML file: {error}", line) from None


def value_line(file: str, path: KeyPath) -> int | None:
    """The line of a file where a value, or the table it is missing from, stands; None if nowhere.

    The file is read again: a line is only ever wanted for a message.
    """
    try:
        return line_at(value_lines(Path(file).read_text(encoding="utf-8")), path)
    except (OSError, ValueError):
        return None


class Table:
    """One TOML table being read: every key is asked for, and what nobody asked for is refused."""

    def __init__(
        self,
        file: str,
        place: str,
        data: Mapping[str, object],
        unit: Unit,
        path: KeyPath = (),
    ) -> None:
        self.file = file
        self.place = place
        self.unit = unit
        self.path = path
        self._data = data
        self._asked: set[str] = set()

    def where(self, key: str) -> str:
        """A key's place as the user would look for it: ``flight 1 > readings > R``."""
        return f"{self.place} > {key}" if self.place else key

    def bad(
        self, key: str, allowed: str, value: object = None, at: KeyPath | None = None
    ) -> BadInput:
        """The message for a value that cannot be used.

        Args:
            key: the key as it is told; one within another table as ``bottom_post > mark``.
            allowed: what would be accepted.
            value: what was written, where it is not simply the key's value.
            at: where it stands below this table, where ``key`` does not say.
        """
        below = at or ((key,) if key in self._data else tuple(key.split(" > ")))
        written = _found(self._data, below) if value is None else value
        return BadInput(
            self.file,
            self.where(key),
            "" if written is None else _told(written),
            allowed,
            value_line(self.file, (*self.path, *below)),
        )

    def bad_table(self, value: str, allowed: str) -> BadInput:
        """The message for a table that cannot be used as a whole."""
        line = value_line(self.file, self.path)
        return BadInput(self.file, self.place, value, allowed, line)

    def has(self, key: str) -> bool:
        """Whether the key is written in the file."""
        self._asked.add(key)
        return key in self._data

    def is_list(self, key: str) -> bool:
        """Whether the key is written as a list."""
        self._asked.add(key)
        return isinstance(self._data.get(key), list)

    def missing(self, key: str, allowed: str) -> BadInput:
        """The message for a key that is not written, with one like it that is."""
        unasked = [written for written in self._data if written not in self._asked]
        near = difflib.get_close_matches(key, unasked, n=1)
        hint = f"; is {near[0]} meant for it?" if near else ""
        return self.bad(key, f"missing; {allowed}{hint}")

    def _get(self, key: str, kind: type, allowed: str) -> object:
        self._asked.add(key)
        if key not in self._data:
            raise self.missing(key, allowed)
        value = self._data[key]
        wrong = not isinstance(value, kind) or (kind is int and isinstance(value, bool))
        if wrong:
            words = _WORDS[kind]
            wanted = allowed if allowed.startswith(words) else f"{words} is wanted: {allowed}"
            raise self.bad(key, wanted)
        return value

    def text(
        self, key: str, allowed: str, default: str | None = None, *, most: int = MOST_TEXT
    ) -> str:
        """A line of text, not empty; what the file breaks over lines is set on one."""
        if default is not None and not self.has(key):
            return default
        value = one_line(str(self._get(key, str, allowed)))
        if not value:
            raise self.bad(key, f"empty; {allowed}")
        trouble = text_trouble(value, most)
        if trouble:
            raise self.bad(key, trouble)
        return value

    def choice(self, key: str, options: Sequence[str], default: str | None = None) -> str:
        """One of a few words."""
        allowed = "one of " + ", ".join(options)
        value = self.text(key, allowed, default)
        if value not in options:
            near = difflib.get_close_matches(value, options, n=3)
            if near and len(options) > _MANY:
                allowed = f"none of the {len(options)} known; did you mean {' or '.join(near)}?"
            raise self.bad(key, allowed)
        return value

    def flag(self, key: str, default: bool | None = None) -> bool:
        """True or false."""
        if default is not None and not self.has(key):
            return default
        return bool(self._get(key, bool, "true or false"))

    def count(self, key: str, least: int, most: int, default: int | None = None) -> int:
        """A whole number within limits."""
        if default is not None and not self.has(key):
            return default
        allowed = f"a whole number from {least} to {most}"
        value = self._get(key, int, allowed)
        assert isinstance(value, int)
        if not least <= value <= most:
            raise self.bad(key, allowed)
        return value

    def number(
        self, key: str, least: float, most: float, what: str, default: float | None = None
    ) -> float:
        """A plain number within limits, such as degrees or a rate."""
        if default is not None and not self.has(key):
            return default
        allowed = f"{what}, from {_plain_number(least)} to {_plain_number(most)}"
        self._asked.add(key)
        value = self._data.get(key)
        if value is None:
            raise self.missing(key, allowed)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.bad(key, f"a number is wanted: {allowed}")
        if not least <= value <= most:
            raise self.bad(key, allowed)
        return float(value)

    def date(self, key: str) -> datetime.date:
        """A calendar date, as TOML writes it."""
        self._asked.add(key)
        value = self._data.get(key)
        if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
            return value
        allowed = "a date without quotes or time, as 2026-05-04"
        raise self.missing(key, allowed) if value is None else self.bad(key, allowed)

    def length(
        self, key: str, least_mm: float, most_mm: float, default_mm: float | None = None
    ) -> float:
        """A length in mm, within what such a part can be."""
        if default_mm is not None and not self.has(key):
            return default_mm
        self._asked.add(key)
        if key not in self._data:
            raise self.missing(key, self._range(least_mm, most_mm))
        return self._length(key, self._data[key], least_mm, most_mm, (key,))

    def length_or_none(self, key: str, least_mm: float, most_mm: float) -> float | None:
        """A length in mm, or None where the file does not say."""
        return self.length(key, least_mm, most_mm) if self.has(key) else None

    def lengths(
        self, key: str, what: str, least_mm: float, most_mm: float, *, empty_ok: bool = False
    ) -> tuple[float, ...]:
        """A list of lengths in mm; ``what`` names one entry (riser 3, run 2)."""
        allowed = f"a list with one length for each {what}"
        values = self._get(key, list, allowed)
        assert isinstance(values, list)
        if not values and not empty_ok:
            raise self.bad(key, f"empty; {allowed}")
        self._not_too_many(key, values, what, MOST_ENTRIES)
        return tuple(
            self._length(f"{key} {what} {number}", value, least_mm, most_mm, (key, number - 1))
            for number, value in enumerate(values, start=1)
        )

    def lengths_or_tables(
        self, key: str, what: str, least_mm: float, most_mm: float
    ) -> tuple[float | Table, ...]:
        """A list whose entries are lengths in mm, or tables that say more; at least one."""
        allowed = f"a list with one length, or a table, for each {what}"
        values = self._get(key, list, allowed)
        assert isinstance(values, list)
        if not values:
            raise self.bad(key, f"empty; {allowed}")
        self._not_too_many(key, values, what, MOST_ENTRIES)
        return tuple(
            self._within(f"{self.where(key)} {what} {number}", value, (key, number - 1))
            if isinstance(value, dict)
            else self._length(f"{key} {what} {number}", value, least_mm, most_mm, (key, number - 1))
            for number, value in enumerate(values, start=1)
        )

    def lengths_or_blanks(
        self,
        key: str,
        what: str,
        least_mm: float,
        most_mm: float,
        *,
        first: int = 1,
        most: int = MOST_ENTRIES,
    ) -> tuple[float | None, ...]:
        """A list of lengths in mm, None where the file has ``""``: a reading not taken.

        Args:
            key: the list's key.
            what: names one entry (riser 3, run 2).
            first: the first entry's number.
            most: how many entries there may be.
        """
        values = self._get(key, list, f'a list with one length, or "", for each {what}')
        assert isinstance(values, list)
        self._not_too_many(key, values, what, most)
        return tuple(
            None
            if isinstance(value, str) and not value.strip()
            else self._length(
                f"{key} {what} {number}", value, least_mm, most_mm, (key, number - first)
            )
            for number, value in enumerate(values, start=first)
        )

    def _not_too_many(self, key: str, values: Sequence[object], what: str, most: int) -> None:
        if len(values) > most:
            raise self.bad(key, f"at most {most} (one for each {what})", f"{len(values)} entries")

    @property
    def written(self) -> tuple[str, ...]:
        """Every key written, in the file's order."""
        return tuple(self._data)

    def _length(
        self, place: str, value: object, least_mm: float, most_mm: float, at: KeyPath
    ) -> float:
        # A reading taken in two parts, over a string or past an obstacle, is a list of its parts.
        parts = value if isinstance(value, list) and value else [value]
        self._not_too_many(place, parts, "part of a reading", MOST_ENTRIES)
        length_mm = 0.0
        try:
            for part in parts:
                if not isinstance(part, str | int | float):
                    raise LengthError("a length is wanted")
                length_mm += parse_length(part, self.unit)
        except LengthError as error:
            raise self.bad(place, str(error), value, at) from None
        if not least_mm <= length_mm <= most_mm:
            read = decimal_text(length_mm, self.unit)
            allowed = f"that is {read}; {self._range(least_mm, most_mm)}"
            meant = other_unit(value, self.unit, least_mm, most_mm)
            raise self.bad(place, f"{allowed}{meant}", value, at)
        return length_mm

    def _range(self, least_mm: float, most_mm: float) -> str:
        least, most = decimal_text(least_mm, self.unit), decimal_text(most_mm, self.unit)
        return f"allowed is {least} to {most}"

    def table(self, key: str) -> Table:
        """A table within this one."""
        data = self._get(key, dict, f"a table [{key}]")
        assert isinstance(data, dict)
        return self._within(self.where(key), data, (key,))

    def _within(self, place: str, data: Mapping[str, object], below: KeyPath) -> Table:
        return Table(self.file, place, data, self.unit, (*self.path, *below))

    def tables(self, key: str, allowed: str) -> tuple[Table, ...]:
        """A list of tables, ``[[key]]``; at least one."""
        values = self._get(key, list, allowed)
        assert isinstance(values, list)
        if not values:
            raise self.bad(key, f"empty; {allowed}")
        self._not_too_many(key, values, "table", MOST_TABLES)
        tables = []
        for number, value in enumerate(values, start=1):
            at = (key, number - 1)
            if not isinstance(value, dict):
                raise self.bad(f"{key} {number}", f"a table is wanted: {allowed}", value, at)
            tables.append(self._within(f"{self.where(key)} {number}", value, at))
        return tuple(tables)

    def texts(self, key: str, allowed: str) -> tuple[str, ...]:
        """A list of lines of text; at least one."""
        values = self._get(key, list, allowed)
        assert isinstance(values, list)
        if not values:
            raise self.bad(key, f"empty; {allowed}")
        self._not_too_many(key, values, "line of text", MOST_ENTRIES)
        lines = []
        for number, value in enumerate(values, start=1):
            line = one_line(value) if isinstance(value, str) else ""
            trouble = text_trouble(line, MOST_TEXT) if line else "a line of text is wanted"
            if trouble:
                raise self.bad(f"{key} {number}", trouble, value, (key, number - 1))
            lines.append(line)
        return tuple(lines)

    def with_unit(self, unit: Unit) -> Table:
        """The same table, its bare numbers read in another unit."""
        other = Table(self.file, self.place, self._data, unit, self.path)
        other._asked = self._asked
        return other

    def done(self) -> None:
        """Refuse what was written but never asked for: a misspelt key would be silently lost."""
        for key in self._data:
            if key in self._asked:
                continue
            near = difflib.get_close_matches(key, sorted(self._asked), n=1)
            hint = (
                f"did you mean {near[0]}?" if near else "known: " + ", ".join(sorted(self._asked))
            )
            raise self.bad(key, f"no such key; {hint}")


def _found(data: object, path: KeyPath) -> object:
    """What is written at a path; None where nothing is."""
    for key in path:
        if not isinstance(data, dict) or key not in data:
            return None
        data = data[key]
    return data


def _plain_number(number: float) -> str:
    return f"{number:.0f}" if abs(number) >= 1e5 else f"{number:g}"


def _told(written: object) -> str:
    # Too long a number has no decimal text at all.
    try:
        return f"{written}"
    except ValueError:
        return "a number of thousands of digits"

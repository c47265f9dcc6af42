"""A TOML file, and where in it each value stands, so that a message can point at it."""

from __future__ import annotations

import datetime
import difflib
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from railsheet.errors import BadInput
from railsheet.units.display import decimal_text
from railsheet.units.length import LengthError, Unit, parse_length

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
        BadInput: it is not there, cannot be read, or is not whole TOML (with line and column).
    """
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise BadInput(str(path), "the file", "", "there is no such file") from None
    except UnicodeDecodeError:
        raise BadInput(str(path), "the file", "", "not text in UTF-8") from None
    except OSError as error:
        raise BadInput(str(path), "the file", "", f"cannot be read: {error.strerror}") from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(str(path), "TOML", "", f"not a whole TOML file: {error}") from None


class Table:
    """One TOML table being read: every key is asked for, and what nobody asked for is refused."""

    def __init__(self, file: str, place: str, data: Mapping[str, object], unit: Unit) -> None:
        self.file = file
        self.place = place
        self.unit = unit
        self._data = data
        self._asked: set[str] = set()

    def where(self, key: str) -> str:
        """A key's place as the user would look for it: ``flight 1 > readings > R``."""
        return f"{self.place} > {key}" if self.place else key

    def bad(self, key: str, allowed: str, value: object = None) -> BadInput:
        """The message for a value that cannot be used."""
        written = self._data.get(key) if value is None else value
        return BadInput(
            self.file, self.where(key), "" if written is None else f"{written}", allowed
        )

    def has(self, key: str) -> bool:
        """Whether the key is written in the file."""
        self._asked.add(key)
        return key in self._data

    def is_list(self, key: str) -> bool:
        """Whether the key is written as a list."""
        self._asked.add(key)
        return isinstance(self._data.get(key), list)

    def _get(self, key: str, kind: type, allowed: str) -> object:
        self._asked.add(key)
        if key not in self._data:
            raise self.bad(key, f"missing; {allowed}")
        value = self._data[key]
        wrong = not isinstance(value, kind) or (kind is int and isinstance(value, bool))
        if wrong:
            raise self.bad(key, f"{_WORDS.get(kind, kind.__name__)} is wanted: {allowed}")
        return value

    def text(self, key: str, allowed: str, default: str | None = None) -> str:
        """A line of text, not empty."""
        if default is not None and not self.has(key):
            return default
        value = str(self._get(key, str, allowed)).strip()
        if not value:
            raise self.bad(key, f"empty; {allowed}")
        return value

    def choice(self, key: str, options: Sequence[str], default: str | None = None) -> str:
        """One of a few words."""
        allowed = "one of " + ", ".join(options)
        value = self.text(key, allowed, default)
        if value not in options:
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
        allowed = f"{what}, from {least:g} to {most:g}"
        self._asked.add(key)
        value = self._data.get(key)
        if value is None:
            raise self.bad(key, f"missing; {allowed}")
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
        missing = "missing; " if value is None else ""
        raise self.bad(key, f"{missing}a date without quotes: 2026-05-04")

    def length(
        self, key: str, least_mm: float, most_mm: float, default_mm: float | None = None
    ) -> float:
        """A length in mm, within what such a part can be."""
        if default_mm is not None and not self.has(key):
            return default_mm
        self._asked.add(key)
        if key not in self._data:
            raise self.bad(key, f"missing; {self._range(least_mm, most_mm)}")
        return self._length(key, self._data[key], least_mm, most_mm)

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
        return tuple(
            self._length(f"{key} {what} {number}", value, least_mm, most_mm)
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
        return tuple(
            Table(self.file, f"{self.where(key)} {what} {number}", value, self.unit)
            if isinstance(value, dict)
            else self._length(f"{key} {what} {number}", value, least_mm, most_mm)
            for number, value in enumerate(values, start=1)
        )

    def lengths_or_blanks(
        self, key: str, what: str, least_mm: float, most_mm: float, *, first: int = 1
    ) -> tuple[float | None, ...]:
        """A list of lengths in mm, None where the file has ``""``: a reading not taken.

        Args:
            key: the list's key.
            what: names one entry (riser 3, run 2).
            first: the first entry's number.
        """
        values = self._get(key, list, f'a list with one length, or "", for each {what}')
        assert isinstance(values, list)
        return tuple(
            None
            if isinstance(value, str) and not value.strip()
            else self._length(f"{key} {what} {number}", value, least_mm, most_mm)
            for number, value in enumerate(values, start=first)
        )

    @property
    def written(self) -> tuple[str, ...]:
        """Every key written, in the file's order."""
        return tuple(self._data)

    def _length(self, place: str, value: object, least_mm: float, most_mm: float) -> float:
        # A reading taken in two parts, over a string or past an obstacle, is a list of its parts.
        parts = value if isinstance(value, list) and value else [value]
        length_mm = 0.0
        try:
            for part in parts:
                if not isinstance(part, str | int | float):
                    raise LengthError("a length is wanted")
                length_mm += parse_length(part, self.unit)
        except LengthError as error:
            raise self.bad(place, str(error), value) from None
        if not least_mm <= length_mm <= most_mm:
            read = decimal_text(length_mm, self.unit)
            raise self.bad(place, f"that is {read}; {self._range(least_mm, most_mm)}", value)
        return length_mm

    def _range(self, least_mm: float, most_mm: float) -> str:
        least, most = decimal_text(least_mm, self.unit), decimal_text(most_mm, self.unit)
        return f"allowed is {least} to {most}"

    def table(self, key: str) -> Table:
        """A table within this one."""
        data = self._get(key, dict, f"a table [{key}]")
        assert isinstance(data, dict)
        return Table(self.file, self.where(key), data, self.unit)

    def tables(self, key: str, allowed: str) -> tuple[Table, ...]:
        """A list of tables, ``[[key]]``; at least one."""
        values = self._get(key, list, allowed)
        assert isinstance(values, list)
        if not values:
            raise self.bad(key, f"empty; {allowed}")
        tables = []
        for number, value in enumerate(values, start=1):
            place = f"{self.where(key)} {number}"
            if not isinstance(value, dict):
                raise BadInput(self.file, place, str(value), f"a table is wanted: {allowed}")
            tables.append(Table(self.file, place, value, self.unit))
        return tuple(tables)

    def texts(self, key: str, allowed: str) -> tuple[str, ...]:
        """A list of lines of text; at least one."""
        values = self._get(key, list, allowed)
        assert isinstance(values, list)
        if not values or not all(isinstance(value, str) and value.strip() for value in values):
            raise self.bad(key, f"a list of lines of text is wanted: {allowed}")
        return tuple(value.strip() for value in values)

    def with_unit(self, unit: Unit) -> Table:
        """The same table, its bare numbers read in another unit."""
        other = Table(self.file, self.place, self._data, unit)
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

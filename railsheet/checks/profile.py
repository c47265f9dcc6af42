"""A code profile: the limits of one code in one edition, read from TOML, with local amendments."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from railsheet.checks.limit import Limit
from railsheet.checks.limit_table import amended_limit, read_limit, struck_out
from railsheet.errors import BadInput
from railsheet.job.data_file import named_file, shipped_names
from railsheet.job.source import Table, read_toml
from railsheet.units.length import Unit

_DATA = Path(__file__).parent.parent / "data" / "codes"


@dataclass(frozen=True)
class Amendment:
    """One change that a profile makes to the profile it extends.

    Attributes:
        key: the limit's key.
        before: the limit it changes; None where it adds one.
        after: the limit as it stands; None where it strikes one out.
        clause: the amending clause.
        source: where the amendment was read.
    """

    key: str
    before: Limit | None
    after: Limit | None
    clause: str
    source: str

    @property
    def text(self) -> str:
        """The amendment in words, for a sheet."""
        was = f"was {self.before.text} ({self.before.clause})" if self.before else "not limited"
        now = self.after.text if self.after else "struck out"
        return f"{self.key}: {now}; {was}; amended by {self.clause}"


@dataclass(frozen=True)
class Profile:
    """A code in one edition, resolved with everything it extends.

    Attributes:
        name: the name it is asked for by.
        title: the code's full title.
        edition: the short name its clauses are cited under, such as "IRC 2021".
        publisher: who publishes the code.
        note: what a reader should know of how far it was read; printed with the limits.
        limits: the limits in force, in the file's order.
        amendments: what the extending profiles changed, first to last.
        files: the files it was read from, the profile asked for first.
    """

    name: str
    title: str
    edition: str
    publisher: str
    note: str
    limits: tuple[Limit, ...]
    amendments: tuple[Amendment, ...]
    files: tuple[str, ...]

    @property
    def short(self) -> str:
        """Which code with which amendments, short enough for a title block."""
        if not self.amendments:
            return self.edition
        return f"{self.edition}, amended: see the foot"

    @property
    def amended_text(self) -> str:
        """What is amended, for a sheet's foot; empty where nothing is."""
        if not self.amendments:
            return ""
        over = ", ".join(sorted({limit.edition for limit in self.limits} - {self.edition}))
        keys = ", ".join(amendment.key.replace("_", " ") for amendment in self.amendments)
        return f"Checked against {self.edition}, which amends {over or 'its base'}: {keys}."

    def limit(self, key: str) -> Limit:
        """The limit of that key.

        Raises:
            KeyError: the profile has none.
        """
        for limit in self.limits:
            if limit.key == key:
                return limit
        raise KeyError(key)


def shipped_profiles() -> tuple[str, ...]:
    """Names of the code profiles that come with the package."""
    return shipped_names(_DATA)


def find_profile(asked: str, beside: Path, asked_in: str, place: str) -> Path:
    """A profile's file: a shipped name, or a path that ends in .toml, from ``beside``.

    Raises:
        BadInput: there is no such profile.
    """
    path = named_file(asked, beside, _DATA)
    if path is not None:
        return path
    if asked.endswith(".toml"):
        raise BadInput(asked_in, place, asked, f"there is no code profile {beside / asked}")
    known = ", ".join(shipped_profiles())
    raise BadInput(
        asked_in,
        place,
        asked,
        f"no such code profile; shipped are {known}; a file of yours ends in .toml",
    )


def load_profile(path: Path) -> Profile:
    """Read a profile, with all that it extends.

    Raises:
        BadInput: a file is missing or broken, a key is misspelt or missing, a value is not an
            amount with its unit, an amendment gives no clause or source, or profiles or limits
            refer to one another in a circle.
    """
    return _load(path, ())


def _load(path: Path, above: tuple[Path, ...]) -> Profile:
    data = read_toml(path)
    root = Table(str(path), "", data, Unit.INCH)
    head = root.table("profile")
    base: Profile | None = None
    if head.has("extends"):
        asked = head.text("extends", "the name of a shipped profile, or a file beside this one")
        base_path = find_profile(asked, path.parent, str(path), head.where("extends"))
        if base_path.resolve() in [seen.resolve() for seen in (*above, path)]:
            raise head.bad("extends", "profiles that extend one another in a circle")
        base = _load(base_path, (*above, path))
    default = (base.title, base.publisher) if base else (None, None)
    title = head.text("title", "the code's full title", default[0])
    edition = head.text("edition", "the short name that its clauses are cited under")
    publisher = head.text("publisher", "who publishes it", default[1])
    note = head.text("note", "how far the code was read", "" if base else None)
    limits, amendments = _limits(root, data, edition, base)
    head.done()
    root.done()
    _check_unless(str(path), limits)
    return Profile(
        name=path.stem,
        title=title,
        edition=edition,
        publisher=publisher,
        note=" ".join(text for text in (note, base.note if base else "") if text),
        limits=tuple(limits.values()),
        amendments=(*(base.amendments if base else ()), *amendments),
        files=(str(path), *(base.files if base else ())),
    )


def _limits(
    root: Table, data: Mapping[str, object], edition: str, base: Profile | None
) -> tuple[dict[str, Limit], list[Amendment]]:
    limits = {limit.key: limit for limit in base.limits} if base else {}
    amendments: list[Amendment] = []
    if base is not None and not root.has("limits"):
        return limits, amendments
    tables = root.table("limits")
    written = data["limits"]
    assert isinstance(written, dict)
    for key in written:
        table = tables.table(key)
        before = limits.get(key)
        if base is None:
            limits[key] = read_limit(table, key, edition, amended=False)
            continue
        after: Limit | None
        if before is None:
            _not_a_slip(table, key, limits)
            after = read_limit(table, key, edition, amended=True)
            clause, source = after.clause, after.source
        elif table.has("strike") and table.flag("strike"):
            after, clause, source = None, *struck_out(table)
        else:
            after = amended_limit(table, before, edition)
            clause, source = after.clause, after.source
        if after is None:
            del limits[key]
        else:
            limits[key] = after
        amendments.append(Amendment(key, before, after, clause, source))
    return limits, amendments


def _not_a_slip(table: Table, key: str, known: Mapping[str, Limit]) -> None:
    # A new limit has to say what it is on; a key that only looks new is a misspelt amendment.
    if not table.has("quantity"):
        hint = _hint(key, known)
        raise table.bad_table(key, f"no such limit to amend, nor a new one; {hint}")


def _hint(key: str, known: Mapping[str, Limit]) -> str:
    near = difflib.get_close_matches(key, sorted(known), n=1)
    return f"did you mean {near[0]}?" if near else f"the limits are {', '.join(sorted(known))}"


def _check_unless(file: str, limits: Mapping[str, Limit]) -> None:
    for limit in limits.values():
        for key in limit.unless:
            if key not in limits:
                raise BadInput(
                    file,
                    f"limits > {limit.key} > unless",
                    key,
                    f"no such limit; {_hint(key, limits)}",
                )
    for limit in limits.values():
        seen: set[str] = set()
        ahead = list(limit.unless)
        while ahead:
            key = ahead.pop()
            if key == limit.key:
                raise BadInput(
                    file,
                    f"limits > {key} > unless",
                    key,
                    "limits that except one another in a circle",
                )
            if key not in seen:
                seen.add(key)
                ahead.extend(limits[key].unless)

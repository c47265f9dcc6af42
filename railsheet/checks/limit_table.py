"""One ``[limits.<key>]`` table of a profile file, whole or as an amendment."""

from __future__ import annotations

import re
from dataclasses import replace
from enum import Enum

from railsheet.checks.amount import Kind, parse_amount
from railsheet.checks.judge import Sense
from railsheet.checks.limit import CONDITION_RULES, Bound, Condition, Limit, Quantity
from railsheet.job.source import Table

_KEY = re.compile(r"[a-z][a-z0-9_]*")
_SENSE_KEYS = {
    "at_least": Sense.AT_LEAST,
    "at_most": Sense.AT_MOST,
    "less_than": Sense.LESS_THAN,
    "more_than": Sense.MORE_THAN,
}
_CLAUSE = "the clause, as the code numbers it"
_SOURCE = "where the figure was read: a title with an address or a publisher"


def read_limit(table: Table, key: str, edition: str, *, amended: bool) -> Limit:
    """Read a whole limit.

    Args:
        table: the limit's table.
        key: its key.
        edition: the edition of the profile it stands in.
        amended: it is added by a profile that extends another.

    Raises:
        BadInput: a key is missing, misspelt or has a value that is not allowed.
    """
    if not _KEY.fullmatch(key):
        raise table.bad_table(key, "lower-case letters, digits and _")
    quantity = Quantity(table.choice("quantity", [quantity.value for quantity in Quantity]))
    limit = Limit(
        key=key,
        quantity=quantity,
        measures=table.text("measures", "what is measured, and how"),
        bounds=_bounds(table, quantity),
        clause=table.text("clause", _CLAUSE),
        edition=edition,
        source=table.text("source", _SOURCE),
        read=table.flag("read"),
        basis=_basis(table),
        exceptions=_texts(table, "exceptions"),
        applies=_applies(table),
        unless=_texts(table, "unless"),
        over_mm2=_over(table, quantity),
        amended=amended,
    )
    table.done()
    return limit


def amended_limit(table: Table, before: Limit, edition: str) -> Limit:
    """Read an amendment: what it leaves out stays as it was.

    An amendment must give its own ``clause``, ``source`` and ``read``. Any bound written takes
    the place of all the bounds before; ``applies`` and ``unless`` are likewise taken whole.

    Raises:
        BadInput: the amendment gives no clause or source, or a value is not allowed.
    """
    changed = replace(
        before,
        measures=table.text("measures", "what is measured, and how", before.measures),
        clause=table.text("clause", f"an amendment gives {_CLAUSE}"),
        edition=edition,
        source=table.text("source", f"an amendment says {_SOURCE}"),
        read=table.flag("read"),
        basis=_basis(table),
        amended=True,
    )
    if any(table.has(key) for key in _SENSE_KEYS):
        changed = replace(changed, bounds=_bounds(table, before.quantity))
    if table.has("exceptions"):
        changed = replace(changed, exceptions=_texts(table, "exceptions"))
    if table.has("applies"):
        changed = replace(changed, applies=_applies(table))
    if table.has("unless"):
        changed = replace(changed, unless=_texts(table, "unless"))
    if table.has("over"):
        changed = replace(changed, over_mm2=_over(table, before.quantity))
    table.has("strike")
    table.done()
    return changed


def struck_out(table: Table) -> tuple[str, str]:
    """Read a table that strikes a limit out: its clause and its source, and nothing else.

    Raises:
        BadInput: one is missing, or there is more.
    """
    clause = table.text("clause", f"an amendment gives {_CLAUSE}")
    source = table.text("source", f"an amendment says {_SOURCE}")
    table.done()
    return clause, source


def _basis(table: Table) -> str:
    return table.text("basis", "what was read instead") if table.has("basis") else ""


def _texts(table: Table, key: str) -> tuple[str, ...]:
    return table.texts(key, "a list of lines of text") if table.has(key) else ()


def _amount(table: Table, key: str, kind: Kind, *, nothing_ok: bool = False) -> tuple[float, str]:
    written: object = table.count(key, 1, 1000) if kind is Kind.COUNT else table.text(key, "")
    try:
        return parse_amount(written, kind, nothing_ok=nothing_ok), str(written)
    except ValueError as error:
        raise table.bad(key, str(error)) from None


def _bounds(table: Table, quantity: Quantity) -> tuple[Bound, ...]:
    kind, nothing_ok = quantity.kind, quantity.can_be_nothing
    bounds = [
        Bound(sense, *_amount(table, key, kind, nothing_ok=nothing_ok))
        for key, sense in _SENSE_KEYS.items()
        if table.has(key)
    ]
    if not bounds:
        raise table.bad_table("", f"missing: a bound, one of {', '.join(_SENSE_KEYS)}")
    lower = [b for b in bounds if b.sense in (Sense.AT_LEAST, Sense.MORE_THAN)]
    upper = [b for b in bounds if b.sense in (Sense.AT_MOST, Sense.LESS_THAN)]
    if len(lower) > 1 or len(upper) > 1:
        raise table.bad_table("", "one bound below and one above at the most")
    if lower and upper and lower[0].value > upper[0].value:
        raise table.bad_table(
            f"{lower[0].written} to {upper[0].written}", "the lower bound is above the upper one"
        )
    return tuple(bounds)


def _applies(table: Table) -> tuple[Condition, ...]:
    if not table.has("applies"):
        return ()
    inner = table.table("applies")
    conditions = tuple(_condition(inner, key) for key in CONDITION_RULES if inner.has(key))
    inner.done()
    return conditions


def _condition(table: Table, key: str) -> Condition:
    wanted = CONDITION_RULES[key].wanted
    if isinstance(wanted, Kind):
        value, written = _amount(table, key, wanted)
        return Condition(key, value, written)
    if issubclass(wanted, Enum):
        word = table.choice(key, [str(member.value) for member in wanted])
        return Condition(key, wanted(word), word)
    flag = table.flag(key)
    return Condition(key, flag, "yes" if flag else "no")


def _over(table: Table, quantity: Quantity) -> float | None:
    if quantity is not Quantity.INFILL_LOAD:
        if table.has("over"):
            raise table.bad("over", "only an infill_load acts over an area")
        return None
    return _amount(table, "over", Kind.AREA)[0] if table.has("over") else None

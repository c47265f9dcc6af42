"""Which limits of a profile apply where: they choose themselves by what is there."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.checks.limit import Limit, Quantity, Situation
from railsheet.checks.profile import Profile


@dataclass(frozen=True)
class Undecided:
    """A limit that may apply: the situation leaves out what it hangs on.

    Attributes:
        limit: the limit.
        missing: the facts that are not known, in words.
    """

    limit: Limit
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Choice:
    """The limits for one situation.

    Attributes:
        applying: the limits that apply.
        undecided: the limits that may.
    """

    applying: tuple[Limit, ...]
    undecided: tuple[Undecided, ...]

    def on(self, quantity: Quantity) -> Choice:
        """The limits on one quantity only."""
        return Choice(
            tuple(limit for limit in self.applying if limit.quantity is quantity),
            tuple(entry for entry in self.undecided if entry.limit.quantity is quantity),
        )


def limits_for(profile: Profile, situation: Situation) -> Choice:
    """Choose the limits that apply in a situation.

    A limit applies where every condition of its ``applies`` table holds and no limit named by
    its ``unless`` applies there. A limit whose conditions cannot be told, because the situation
    leaves out a fact that they hang on, comes back undecided: it is never dropped.
    """
    chooser = _Chooser(profile, situation)
    applying, undecided = [], []
    for limit in profile.limits:
        holds, missing = chooser.state(limit)
        if holds:
            applying.append(limit)
        elif holds is None:
            undecided.append(Undecided(limit, missing))
    return Choice(tuple(applying), tuple(undecided))


class _Chooser:
    """Works out each limit once; the profile's reader has refused circles among ``unless``."""

    def __init__(self, profile: Profile, situation: Situation) -> None:
        self._profile = profile
        self._situation = situation
        self._known: dict[str, tuple[bool | None, tuple[str, ...]]] = {}

    def state(self, limit: Limit) -> tuple[bool | None, tuple[str, ...]]:
        if limit.key not in self._known:
            self._known[limit.key] = self._work_out(limit)
        return self._known[limit.key]

    def _work_out(self, limit: Limit) -> tuple[bool | None, tuple[str, ...]]:
        missing: list[str] = []
        for condition in limit.applies:
            holds = condition.holds(self._situation)
            if holds is False:
                return False, ()
            if holds is None:
                missing.append(condition.rule.ask)
        for key in limit.unless:
            holds, lacking = self.state(self._profile.limit(key))
            if holds:
                return False, ()
            if holds is None:
                missing.extend(lacking)
        if missing:
            return None, tuple(dict.fromkeys(missing))
        return True, ()

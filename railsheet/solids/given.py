"""In words: infill that stands in the solids as the layout places it, or does not stand there."""

from __future__ import annotations

from collections.abc import Mapping

from railsheet.solids.setting_out import Given, SettingOut


def given_words(outs: Mapping[str, SettingOut]) -> tuple[str, ...]:
    """What a person must know of infill of a kind that this room does not raise from the kit.

    Args:
        outs: every run of a job as it is set out, by mark.

    Returns:
        For each such bay what of it is missing in the solids, and for each such run what its
        solids prove; none for the kinds that are raised from the kit.
    """
    words: list[str] = []
    for mark, out in outs.items():
        given = {number: bay.given for number, bay in enumerate(out.bays, start=1) if bay.given}
        words += [
            f"Run {mark}, bay {number}: {what}"
            for number, each in given.items()
            if (what := _missing(each))
        ]
        if any(each.members for each in given.values()):
            noun = next(iter(given.values())).noun
            words.append(
                f"Run {mark}: each {noun} is raised where the layout places it: its fit with other "
                "parts is tried; its place and size, its holes in posts, and what carries it, "
                "are not proven."
            )
        bought = sorted({item for each in given.values() for item in each.bought})
        if bought:
            words.append(f"Run {mark}: no solids of what is bought: {', '.join(bought)}.")
    return tuple(words)


def without_infill(out: SettingOut) -> tuple[int, ...]:
    """The bays, from 1, whose infill stands in the solids in part or not at all."""
    return tuple(n for n, bay in enumerate(out.bays, start=1) if bay.given and _missing(bay.given))


def _missing(given: Given) -> str:
    if not given.members:
        return f"the infill ({given.noun}) is NOT in the solids: its kind gives no body of it."
    if given.missing:
        count = given.missing + len(given.members)
        return (
            f"{given.missing} of {count} members of the infill ({given.noun}) are NOT in the "
            "solids: their kind gives no body of them."
        )
    return ""

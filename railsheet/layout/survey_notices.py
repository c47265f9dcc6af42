"""What the survey of a flight tells the people who will cut by it."""

from __future__ import annotations

from railsheet.job.nosings import Nosings
from railsheet.layout.notice import Notice, Weight, look, stop
from railsheet.survey.flight import LeftOut, Survey
from railsheet.survey.quality import Suspect


def survey_notices(survey: Survey) -> tuple[Notice, ...]:
    """Suspect readings, the test of the whole, and what nothing could check."""
    adjustment = survey.adjustment
    names = {reading.key: reading.name for reading in survey.readings}
    notices = [_left_out(aside) for aside in survey.left_out]
    notices += [suspect_notice(names, suspect) for suspect in adjustment.suspects]
    notices += _unread_nosings(survey.stair.nosings)
    test = adjustment.test
    if test is None:
        notices.append(
            look(
                "unchecked",
                "nothing could be checked: no reading was taken more than needed, so a misread "
                "tape would not show. Worth taking: running totals up and along, the total rise, "
                "a diagonal",
            )
        )
        return tuple(notices)
    if not test.passes and not adjustment.suspects:
        notices.append(
            stop(
                "readings disagree",
                "the readings disagree more than their spreads allow, and no single one stands "
                "out: measure the flight again",
            )
        )
    bare = [reading.name for reading in adjustment.unchecked]
    if bare:
        notices.append(
            look("unchecked", "no other reading checks " + ", ".join(bare) + ": a slip in it stays")
        )
    return tuple(notices)


def _unread_nosings(nosings: Nosings) -> list[Notice]:
    if not nosings.unread:
        return []
    at = ", ".join(str(number) for number in nosings.unread)
    noses = f"nose{'s' if len(nosings.unread) > 1 else ''} {at}"
    words = f"N, the nosing, was not read at {noses}: {{mean}}, the mean of the others, is taken"
    return [look("nosing not read", words, mean=nosings.each_mm[nosings.unread[0] - 1])]


def _left_out(aside: LeftOut) -> Notice:
    words = f"{aside.reading.name} is left out, as the job asks: it reads {{read}}; the rest "
    values = [("read", aside.reading.read)]
    if aside.implied is None:
        words += "do not say what it should"
    else:
        words += "imply {implied}"
        values.append(("implied", aside.implied))
    if aside.reading.unit == "rad":
        return Notice(Weight.LOOK, "left out", words, (), tuple(values))
    return Notice(Weight.LOOK, "left out", words, tuple(values))


def suspect_notice(names: dict[str, str], suspect: Suspect) -> Notice:
    """A reading that does not fit the rest, with the names of those it may be confused with."""
    words = f"{suspect.name} reads {{read}}; the rest imply {{implied}}: measure again"
    if suspect.after:
        words = f"left without {_names(names, suspect.after, 'and')}, {words}"
    if suspect.same_as:
        words += f". It may as well be {_names(names, suspect.same_as, 'or')}: measure each again"
    if suspect.could_be:
        words += f". Nearly as likely: {_names(names, suspect.could_be, 'or')}"
    values = (("read", suspect.read), ("implied", suspect.implied))
    if suspect.unit == "rad":
        return Notice(Weight.STOP, "suspect reading", words, (), values)
    return Notice(Weight.STOP, "suspect reading", words, values)


def _names(names: dict[str, str], keys: tuple[str, ...], last: str) -> str:
    words = [names[key] for key in keys]
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + f" {last} " + words[-1]

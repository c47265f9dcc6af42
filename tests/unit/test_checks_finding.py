from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from railsheet.checks.finding import (
    findings_for,
    not_checked,
    worst_first,
)
from railsheet.checks.judge import Status
from railsheet.checks.profile import find_profile, load_profile

IRC = load_profile(find_profile("irc-2021", Path(), "test", ""))
UK = load_profile(find_profile("uk-adk-2013", Path(), "test", ""))


def test_a_band_gives_a_finding_for_each_bound() -> None:
    low, high = findings_for(IRC.limit("guard_height_handrail"), 35.5 * 25.4, "flight A, nose 3")
    assert (low.status, high.status) == (Status.WITHIN, Status.WITHIN)
    assert low.margin == pytest.approx(1.5 * 25.4)
    assert high.margin == pytest.approx(2.5 * 25.4)
    assert low.clause == "IRC 2021 R312.1.2 exception 2"
    assert low.from_memory
    assert low.where == "flight A, nose 3"
    assert "within" in low.tie_rule


def test_a_limit_that_was_read_is_not_from_memory() -> None:
    (finding,) = findings_for(UK.limit("pitch_private"), math.radians(43), "flight A")
    assert not finding.from_memory
    assert finding.status is Status.OUTSIDE
    assert finding.share == pytest.approx(-1 / 42)


def test_the_worst_stand_first_whatever_they_are_amounts_of() -> None:
    inside = findings_for(IRC.limit("riser_height"), 190.0, "a")
    tight = findings_for(IRC.limit("riser_height"), 196.8, "b")
    little_out = findings_for(UK.limit("pitch_private"), math.radians(42.1), "c")
    far_out = findings_for(IRC.limit("triangle_opening"), 200.0, "d")
    unknown = not_checked(IRC.limit("stair_width"), "e", ["the stair's clear width"])
    ordered = worst_first([*inside, *unknown, *tight, *little_out, *far_out])
    assert [finding.where for finding in ordered] == ["d", "c", "e", "b", "a"]
    assert worst_first(reversed(ordered)) == ordered


def test_what_was_not_checked_says_what_is_missing() -> None:
    findings = not_checked(IRC.limit("stair_width"), "flight A", ["W"])
    assert [finding.status for finding in findings] == [Status.NOT_CHECKED]
    assert findings[0].missing == ("W",)
    assert findings[0].margin is None
    assert findings[0].share is None
    with pytest.raises(ValueError, match="nothing is missing"):
        not_checked(IRC.limit("stair_width"), "flight A", [])


def test_a_margin_inside_two_sigma_is_unsure() -> None:
    (close,) = findings_for(IRC.limit("riser_height"), 196.0, "a", sigma=0.5)
    (clear,) = findings_for(IRC.limit("riser_height"), 190.0, "a", sigma=0.5)
    (bare,) = findings_for(IRC.limit("riser_height"), 196.84, "a")
    assert close.unsure
    assert not clear.unsure
    assert not bare.unsure
    assert replace(close, sigma=None).unsure is False

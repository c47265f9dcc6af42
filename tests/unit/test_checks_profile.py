from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from railsheet.checks.choose import limits_for
from railsheet.checks.judge import Sense
from railsheet.checks.limit import CONDITION_RULES, Edge, Grip, Place, Quantity, Situation
from railsheet.checks.profile import Profile, find_profile, load_profile, shipped_profiles
from railsheet.errors import BadInput

STAIR = Situation(
    place=Place.STAIR,
    edge=Edge.OPEN,
    dwelling=True,
    outdoors=True,
    serves_as_handrail=False,
    open_risers=False,
    grip=Grip.ROUND,
    drop_mm=1000.0,
    width_mm=950.0,
    tread_depth_mm=260.0,
    risers=6,
    storeys=2,
)


def shipped(name: str) -> Profile:
    return load_profile(find_profile(name, Path(), "job.toml", "job > code"))


def keys(profile: Profile, situation: Situation, quantity: Quantity) -> set[str]:
    choice = limits_for(profile, situation).on(quantity)
    assert not choice.undecided
    return {limit.key for limit in choice.applying}


def write(folder: Path, text: str, name: str = "town.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


TOWN = """
[profile]
extends = "irc-2021"
edition = "Larch Hollow bylaw 7"
"""

AMEND = '[limits.riser_height]\nat_most = "8 in"\nclause = "7"\nsource = "a"\nread = true\n'

OWN = """
[profile]
title = "An invented code"
edition = "Invented 1"
publisher = "nobody"
note = "for a test"
[limits.riser]
quantity = "riser_height"
measures = "riser"
at_most = "190 mm"
clause = "1"
source = "invented"
read = true
"""


@pytest.mark.parametrize("name", shipped_profiles())
def test_every_shipped_limit_says_where_it_is_from(name: str) -> None:
    profile = shipped(name)
    assert profile.edition
    assert profile.note
    assert len(profile.limits) > 20
    for limit in profile.limits:
        assert limit.clause
        assert limit.source
        assert limit.edition == profile.edition
        assert not limit.amended
        assert all(bound.value > 0.0 or limit.quantity.can_be_nothing for bound in limit.bounds)
        # A sphere that "shall not pass" is a strict limit; every opening has to be one.
        if limit.quantity.value.endswith("_opening"):
            assert [bound.sense for bound in limit.bounds] == [Sense.LESS_THAN]
    assert profile.amendments == ()


def test_shipped_profiles_are_the_ones_promised() -> None:
    assert set(shipped_profiles()) >= {
        "irc-2021",
        "irc-2024",
        "ibc-2018",
        "ibc-2021",
        "ibc-2024",
        "uk-adk-2013",
    }


@pytest.mark.parametrize("name", shipped_profiles())
def test_a_situation_told_in_full_leaves_nothing_undecided(name: str) -> None:
    profile = shipped(name)
    assert limits_for(profile, STAIR).undecided == ()
    assert limits_for(profile, replace(STAIR, place=Place.FLAT)).undecided == ()


def test_the_guards_height_chooses_itself() -> None:
    irc = shipped("irc-2021")
    height = Quantity.GUARD_HEIGHT
    assert keys(irc, STAIR, height) == {"guard_height_stair"}
    rail = replace(STAIR, serves_as_handrail=True)
    assert keys(irc, rail, height) == {"guard_height_handrail"}
    assert keys(irc, replace(STAIR, place=Place.FLAT), height) == {"guard_height_flat"}
    assert keys(irc, replace(STAIR, edge=Edge.WALL), height) == set()


def test_the_building_codes_general_rule_gives_way_only_to_its_exceptions() -> None:
    ibc = shipped("ibc-2021")
    height = Quantity.GUARD_HEIGHT
    flat = replace(STAIR, place=Place.FLAT)
    assert keys(ibc, replace(STAIR, dwelling=False), height) == {"guard_height"}
    assert keys(ibc, STAIR, height) == {"guard_height_dwelling_stair"}
    assert keys(ibc, replace(STAIR, serves_as_handrail=True), height) == {
        "guard_height_dwelling_handrail"
    }
    assert keys(ibc, flat, height) == {"guard_height_dwelling_flat"}
    # Four storeys: the exception for up to three is gone and 42 in is back.
    assert keys(ibc, replace(flat, storeys=4), height) == {"guard_height"}


def test_triggers_are_strict_where_the_code_says_more_than() -> None:
    irc = shipped("irc-2021")
    at_limit = replace(STAIR, drop_mm=30 * 25.4)
    assert keys(irc, at_limit, Quantity.GUARD_HEIGHT) == set()
    just_over = replace(STAIR, drop_mm=30 * 25.4 + 1e-5)
    assert keys(irc, just_over, Quantity.GUARD_HEIGHT) == {"guard_height_stair"}
    assert keys(irc, replace(STAIR, risers=3), Quantity.HANDRAILS) == set()
    assert keys(irc, replace(STAIR, risers=4), Quantity.HANDRAILS) == {"handrails"}
    # "not required where the tread depth is not less than 11 inches"
    eleven = replace(STAIR, tread_depth_mm=11 * 25.4)
    nosing = Quantity.NOSING_PROJECTION
    assert keys(irc, eleven, nosing) == {"nosing_projection_greatest"}
    assert "nosing_projection_least" in keys(irc, STAIR, nosing)
    uk = shipped("uk-adk-2013")
    assert keys(uk, replace(STAIR, width_mm=1000.0), Quantity.HANDRAILS) == {"handrails_wide"}
    assert keys(uk, replace(STAIR, width_mm=999.9), Quantity.HANDRAILS) == {"handrails"}


@pytest.mark.parametrize("name", shipped_profiles())
def test_forgetting_a_fact_never_loses_a_limit(name: str) -> None:
    profile = shipped(name)
    told = {limit.key for limit in limits_for(profile, STAIR).applying}
    for rule in CONDITION_RULES.values():
        choice = limits_for(profile, replace(STAIR, **{rule.fact: None}))
        kept = {limit.key for limit in choice.applying}
        kept |= {entry.limit.key for entry in choice.undecided}
        assert told <= kept
        assert all(entry.missing for entry in choice.undecided)


def test_an_unknown_fact_is_named() -> None:
    choice = limits_for(shipped("irc-2021"), replace(STAIR, drop_mm=None))
    (triangle,) = choice.on(Quantity.TRIANGLE_OPENING).undecided
    assert triangle.missing == ("the drop beside the walk",)


def test_a_town_amends_a_limit_and_the_profile_remembers(tmp_path: Path) -> None:
    path = write(
        tmp_path,
        TOWN
        + """
[limits.riser_height]
at_most = "8 in"
clause = "7.2"
source = "town clerk, bylaw 7"
read = true
[limits.stair_width]
strike = true
clause = "7.3"
source = "town clerk, bylaw 7"
[limits.guard_height_ramp]
quantity = "guard_height"
measures = "guard beside a ramp"
at_least = "1000 mm"
clause = "7.4"
source = "town clerk, bylaw 7"
read = true
""",
    )
    town = load_profile(path)
    riser = town.limit("riser_height")
    assert riser.bounds[0].value == pytest.approx(203.2)
    assert riser.quantity is Quantity.RISER_HEIGHT
    assert (riser.amended, riser.clause, riser.edition) == (True, "7.2", "Larch Hollow bylaw 7")
    assert [condition.key for condition in riser.applies] == ["place"]
    with pytest.raises(KeyError):
        town.limit("stair_width")
    assert [a.key for a in town.amendments] == ["riser_height", "stair_width", "guard_height_ramp"]
    assert "at most 8 in" in town.amendments[0].text
    assert "7 3/4 in" in town.amendments[0].text
    assert "struck out" in town.amendments[1].text
    assert town.amendments[2].before is None
    untouched = town.limit("tread_depth")
    assert (untouched.amended, untouched.edition) == (False, "IRC 2021")
    assert [Path(file).name for file in town.files] == ["town.toml", "irc-2021.toml"]


def test_amendments_stack_through_a_chain_of_files(tmp_path: Path) -> None:
    write(
        tmp_path,
        TOWN + AMEND,
        "state.toml",
    )
    path = write(
        tmp_path,
        '[profile]\nextends = "state.toml"\nedition = "Town 1"\n'
        '[limits.riser_height]\nat_most = "7 in"\nclause = "1"\nsource = "b"\nread = false\n',
    )
    town = load_profile(path)
    assert town.limit("riser_height").bounds[0].written == "7 in"
    assert [a.after.bounds[0].written for a in town.amendments if a.after] == ["8 in", "7 in"]


def test_a_profile_may_stand_alone(tmp_path: Path) -> None:
    profile = load_profile(write(tmp_path, OWN))
    assert profile.limit("riser").text == "at most 190 mm"


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        (TOWN + AMEND.replace('clause = "7"\n', ""), "riser_height > clause", "an amendment gives"),
        (TOWN + AMEND.replace('source = "a"\n', ""), "riser_height > source", "an amendment says"),
        (TOWN + AMEND.replace("read = true\n", ""), "riser_height > read", "missing"),
        (TOWN + AMEND.replace('"8 in"', '"8"'), "riser_height > at_most", "its own unit"),
        (TOWN + AMEND.replace('"8 in"', "8"), "riser_height > at_most", "text"),
        (TOWN + AMEND.replace("at_most", "at_moist"), "riser_height > at_moist", "at_most"),
        (TOWN + AMEND.replace("riser_height", "riser_hieght"), "riser_hieght", "riser_height"),
        (TOWN + AMEND + 'applies = { drop = "30 in" }\n', "applies > drop", "drop_over"),
        (TOWN + AMEND + 'applies = { side = "left" }\n', "applies > side", "open, wall"),
        (TOWN + AMEND + 'applies = { drop_over = "30" }\n', "applies > drop_over", "unit"),
        (TOWN + AMEND + 'applies = { risers_from = "4" }\n', "applies > risers_from", "number"),
        (TOWN + AMEND + 'unless = ["nothing"]\n', "riser_height > unless", "no such limit"),
        (TOWN + AMEND + 'unless = ["riser_height"]\n', "riser_height > unless", "circle"),
        (TOWN + AMEND + 'over = "1 ft2"\n', "riser_height > over", "infill"),
        (TOWN + AMEND + 'less_than = "9 in"\n', "riser_height", "one bound"),
        (TOWN + AMEND + 'at_least = "9 in"\n', "riser_height", "above the upper"),
        (OWN.replace('at_most = "190 mm"\n', ""), "limits > riser", "a bound"),
        (OWN.replace('"190 mm"', '"190 kg"'), "riser > at_most", "length"),
        (OWN.replace('"riser_height"', '"riser"'), "riser > quantity", "riser_height"),
        (OWN.replace("limits.riser", "limits.Riser"), "limits > Riser", "lower-case"),
        (OWN.replace('note = "for a test"\n', ""), "profile > note", "missing"),
        (OWN + "[notes]\n", "notes", "no such key"),
        ("[profile]\nextends = 'irc-1066'\nedition = 'x'\n", "profile > extends", "irc-2021"),
        ("[profile]\nextends = 'gone.toml'\nedition = 'x'\n", "profile > extends", "no code"),
        ("[profile]\nextends = 'town.toml'\nedition = 'x'\n", "profile > extends", "circle"),
        ("[profile\n", "TOML", "line 1"),
    ],
)
def test_a_bad_profile_is_one_clear_message(
    tmp_path: Path, text: str, place: str, said: str
) -> None:
    path = write(tmp_path, text)
    with pytest.raises(BadInput) as caught:
        load_profile(path)
    assert caught.value.file == str(path)
    assert place in caught.value.place
    assert said in str(caught.value)


def test_profiles_that_extend_one_another_are_refused(tmp_path: Path) -> None:
    write(tmp_path, "[profile]\nextends = 'town.toml'\nedition = 'x'\n", "state.toml")
    path = write(tmp_path, "[profile]\nextends = 'state.toml'\nedition = 'x'\n")
    with pytest.raises(BadInput, match="circle"):
        load_profile(path)


def test_asking_for_a_profile_that_is_not_there(tmp_path: Path) -> None:
    for asked in ("irc", "mine.toml"):
        with pytest.raises(BadInput) as caught:
            find_profile(asked, tmp_path, "job.toml", "job > code")
        assert (caught.value.file, caught.value.place) == ("job.toml", "job > code")

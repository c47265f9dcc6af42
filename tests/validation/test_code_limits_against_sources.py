"""Figures of the shipped profiles against what was read, clause by clause."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from railsheet.checks.amount import N_PER_LBF
from railsheet.checks.choose import limits_for
from railsheet.checks.limit import Place, Quantity, Situation
from railsheet.checks.profile import find_profile, load_profile, shipped_profiles

IN = 25.4
FT = 304.8
DEG = math.pi / 180.0

# Each entry: limit, least, greatest (None: no such bound), and where the figure was read.
UK = [
    # Approved Document K 2013, table 1.1: private stair, rise 150 to 220, going 220 to 300.
    ("rise_private", 150.0, 220.0),
    ("going_private", 220.0, 300.0),
    # Table 1.1: general access stair, rise 150 to 170, going 250 to 400.
    ("rise_general", 150.0, 170.0),
    ("going_general", 250.0, 400.0),
    # Table 1.1 note 1: "The maximum pitch for a private stair is 42°."
    ("pitch_private", None, 42 * DEG),
    # Table 1.1 note 2: stairs outdoors that are part of a dwelling, going not less than 280.
    ("going_private_outdoors", 280.0, None),
    # Table 1.1 note *: 2R + G between 550 and 700.
    ("twice_rise_plus_going", 550.0, 700.0),
    # Diagram 1.1: open riser treads overlap at least 16; nosings (not dwellings) at most 25.
    ("open_riser_overlap", 16.0, None),
    ("nosing_general", None, 25.0),
    # 1.41: guarding in dwellings where there is "a drop of more than 600mm".
    ("unguarded_drop", None, 600.0),
    # Diagram 3.1: 900 within a dwelling, 1100 at external balconies; 900 for flights and 1100
    # otherwise in residential, institutional, educational, office and public buildings.
    ("guard_height_dwelling", 900.0, None),
    ("guard_height_balcony", 1100.0, None),
    ("guard_height_flight", 900.0, None),
    ("guard_height_elsewhere", 1100.0, None),
    # 3.3(a): "a 100mm sphere cannot pass through any openings in the guarding".
    ("guard_opening", None, 100.0),
    ("triangle_opening", None, 100.0),
    # Handrail 900 to 1000 above the pitch line or floor: Health and Safety Executive, stair
    # guidance (hse.gov.uk/slips), after the document.
    ("handrail_height", 900.0, 1000.0),
    # BS 6399-1 table 4 (i) and (ii): 0.36 and 0.74 kN/m; 0.5 and 1.0 kN/m2; 0.25 and 0.5 kN.
    ("uniform_load_dwelling", 0.36, None),
    ("uniform_load_other", 0.74, None),
    ("infill_pressure_dwelling", 0.5e-3, None),
    ("infill_pressure_other", 1.0e-3, None),
    ("infill_load_dwelling", 250.0, None),
    ("infill_load_other", 500.0, None),
]

IRC = [
    # IRC 2018 R311.7.5.1 and R311.7.5.2 (jeffco.us/2095/Stairways).
    ("riser_height", None, 7.75 * IN),
    ("tread_depth", 10 * IN, None),
    # IRC 2018 R311.7.1 (the same page).
    ("stair_width", 36 * IN, None),
    # IRC 2018 R311.7.8 and R311.7.8.1 (jeffco.us/2090/Handrails).
    ("handrails", 1.0, None),
    ("handrail_height", 34 * IN, 38 * IN),
    # Earlier edition R311.5.6.2 and R311.5.6.3: 1 1/2 in from the wall; diameter 1 1/4 to 2 in;
    # perimeter 4 to 6 1/4 in, greatest section 2 1/4 in; recess 3/4, 5/16 and 7/8 in.
    ("handrail_clearance", 1.5 * IN, None),
    # IRC 2024 R320.3: 4 1/2 in; taken for 2021 too, whose own text was not read.
    ("handrail_projection", None, 4.5 * IN),
    ("grip_diameter", 1.25 * IN, 2 * IN),
    ("grip_perimeter", 4 * IN, 6.25 * IN),
    ("grip_section", None, 2.25 * IN),
    ("grip_recess_start", None, 0.75 * IN),
    ("grip_recess_depth", 5 / 16 * IN, None),
    ("grip_recess_depth_within", None, 7 / 8 * IN),
    # IRC 2018 R312.1.1, R312.1.2 and R312.1.3 (jeffco.us/2088/Guards).
    ("unguarded_drop", None, 30 * IN),
    ("guard_height_flat", 36 * IN, None),
    ("guard_opening_flat", None, 4 * IN),
    # The exceptions of R312.1.2 and R312.1.3 as Camden County NC enacts them (ordinance
    # 2019-08-01): 34 in on stairs, 34 to 38 in as a handrail, 6 in triangle, 4 3/8 in on stairs.
    ("guard_height_stair", 34 * IN, None),
    ("guard_height_handrail", 34 * IN, 38 * IN),
    ("triangle_opening", None, 6 * IN),
    ("guard_opening_stair", None, 4.375 * IN),
    # Table R301.5 footnote f (Washington Administrative Code 51-51-0301): 50 lb on 1 sq ft; the
    # 200 lb of guards and handrails from a local copy of the table (Pleasanton CA 20.10.050).
    ("concentrated_load", 200 * N_PER_LBF, None),
    ("infill_load", 50 * N_PER_LBF, None),
    # IRC 2021 R311.7.5.1 to R311.7.5.3 (Boulder County publication B32, as quoted in a public
    # repository) and IRC 2024 R318.7.5.1, R318.7.5.3 and R320.6 (a third party's copy of the text):
    # variations, nosings, open risers, rest of the grip.
    ("riser_variation", None, 0.375 * IN),
    ("tread_variation", None, 0.375 * IN),
    ("nosing_projection_least", 0.75 * IN, None),
    ("nosing_projection_greatest", None, 1.25 * IN),
    ("nosing_variation", None, 0.375 * IN),
    ("open_riser_opening", None, 4 * IN),
    ("grip_recessed_perimeter", 6.25 * IN, None),
    ("grip_recess_continues_to", 1.75 * IN, None),
    ("grip_width_above_recess", 1.25 * IN, 2.75 * IN),
]

IBC = [
    # 1015.2 as the Florida Building Code 2020 repeats IBC 2018: 30 in.
    ("unguarded_drop", None, 30 * IN),
    # IBC 2018 1011 as the 2020 Minnesota State Fire Code duplicates it:
    # 1011.5.2, risers 4 to 7 in, treads 11 in; exception 3, in dwellings risers of
    # 7 3/4 in, treads of 10 in, nosings 3/4 to 1 1/4 in; 1011.5.4, 3/8 in; 1011.5.5.3, 4 in
    # sphere; 1011.2, 44 in and exception 1, 36 in; 1011.11, both sides and exception 1, one.
    ("riser_height", 4 * IN, 7 * IN),
    ("riser_height_dwelling", None, 7.75 * IN),
    ("tread_depth", 11 * IN, None),
    ("tread_depth_dwelling", 10 * IN, None),
    ("nosing_projection_dwelling", 0.75 * IN, 1.25 * IN),
    ("riser_variation", None, 0.375 * IN),
    ("tread_variation", None, 0.375 * IN),
    ("open_riser_opening", None, 4 * IN),
    ("stair_width", 44 * IN, None),
    ("stair_width_dwelling", 36 * IN, None),
    ("handrails", 2.0, None),
    ("handrails_dwelling", 1.0, None),
    # The same copy, 1014.2: 34 to 38 in; 1014.6: 12 in beyond the top riser, one tread depth
    # beyond the bottom one; exception 1, from riser to riser within a dwelling unit.
    ("handrail_height", 34 * IN, 38 * IN),
    ("handrail_extension_top", 12 * IN, None),
    ("handrail_extension_bottom", 1.0, None),
    ("handrail_reach_top", 0.0, None),
    ("handrail_reach_bottom", 0.0, None),
    # The same copy, 1014.4 exception 3: 1 1/2 in below the rail before a bracket goes sideways.
    ("handrail_clear_below", 1.5 * IN, None),
    # IRC 2024 R320.3, from which the building code's 4 1/2 in is taken; not read in its own text.
    ("handrail_projection", None, 4.5 * IN),
    # The same copy, 1015.3: 42 in; exceptions 1 to 3: 36, 34, 34 to 38 in; 1015.4: 4 in sphere;
    # exception 2, 6 in triangle; exception 6, 4 3/8 in on the open side of stairs.
    ("guard_height", 42 * IN, None),
    ("guard_height_dwelling_flat", 36 * IN, None),
    ("guard_height_dwelling_stair", 34 * IN, None),
    ("guard_height_dwelling_handrail", 34 * IN, 38 * IN),
    ("guard_opening", None, 4 * IN),
    ("triangle_opening", None, 6 * IN),
    ("guard_opening_dwelling_stair", None, 4.375 * IN),
    # IBC 2021 1607.9.1, 1607.9.1.1 and 1607.9.1.2 as the Florida Building Code 8th edition (2023)
    # repeats them: 50 lb/ft, 200 lb, 50 lb.
    ("uniform_load", 50 * N_PER_LBF / FT, None),
    ("concentrated_load", 200 * N_PER_LBF, None),
    ("infill_load", 50 * N_PER_LBF, None),
    # The grip of the federal accessibility standards of 2010, 505.7 (atbcb/usab-uswds, chapter 5).
    ("grip_diameter", 1.25 * IN, 2 * IN),
    ("grip_perimeter", 4 * IN, 6.25 * IN),
    # The same, 505.5: 1 1/2 in.
    ("handrail_clearance", 1.5 * IN, None),
]

TABLE = [
    (name, *entry)
    for name, entries in (
        ("uk-adk-2013", UK),
        ("irc-2021", IRC),
        ("irc-2024", IRC),
        ("ibc-2018", IBC),
        ("ibc-2021", IBC),
        ("ibc-2024", IBC),
    )
    for entry in entries
]


@pytest.mark.parametrize(("name", "key", "least", "greatest"), TABLE)
def test_the_figure_is_the_one_that_was_read(
    name: str, key: str, least: float | None, greatest: float | None
) -> None:
    limit = load_profile(find_profile(name, Path(), "test", "")).limit(key)
    below = [b.value for b in limit.bounds if b.sense.value in ("at least", "more than")]
    above = [b.value for b in limit.bounds if b.sense.value in ("at most", "less than")]
    assert below == ([] if least is None else [pytest.approx(least, rel=1e-12)])
    assert above == ([] if greatest is None else [pytest.approx(greatest, rel=1e-12)])


# The 2024 residential code moved stairs to R318, handrails to R320 and guards to R321 (read in a
# third party's copy of its sections: R318.7.5.1, R318.7.8, R320.2 to R320.6, R321.1.1 to R321.1.3).
def test_the_residential_codes_clauses_are_of_their_own_edition() -> None:
    own = {"irc-2021": ("R311.", "R312."), "irc-2024": ("R318.", "R320.", "R321.")}
    for name, sections in own.items():
        for limit in load_profile(find_profile(name, Path(), "test", "")).limits:
            assert limit.clause.startswith((*sections, "table R301.5"))
    latest = load_profile(find_profile("irc-2024", Path(), "test", ""))
    assert latest.limit("handrails").clause == "R318.7.8"
    assert latest.limit("handrail_height").clause == "R320.2"
    assert latest.limit("handrail_clearance").clause == "R320.4"
    assert latest.limit("handrail_projection").clause == "R320.3"
    # R320.5: returns "shall not form a gap more than 1/4 inch from the adjacent wall".
    assert latest.limit("handrail_return_gap").clause == "R320.5"
    assert latest.limit("handrail_return_gap").bounds[0].value == 0.25 * IN
    assert latest.limit("grip_perimeter").clause == "R320.6"
    assert latest.limit("guard_opening_stair").clause == "R321.1.3 exception 2"


# What was not read in its own edition has to say so, whatever was read of another.
def test_no_figure_of_a_model_code_passes_for_read_that_was_not() -> None:
    unread = {
        name: {
            lim.key
            for lim in load_profile(find_profile(name, Path(), "t", "")).limits
            if not lim.read
        }
        for name in shipped_profiles()
    }
    assert unread["irc-2024"] == {"concentrated_load", "infill_load"}
    assert unread["irc-2021"] >= {"guard_opening_stair", "guard_height_handrail", "infill_load"}
    every_ibc = {
        limit.key for limit in load_profile(find_profile("ibc-2021", Path(), "t", "")).limits
    }
    loads = {"uniform_load", "concentrated_load", "infill_load"}
    assert unread["ibc-2021"] == every_ibc - loads
    assert unread["ibc-2024"] == every_ibc
    # The copy of the 2018 text drops 1011.5.5, 1014.3.1, 1014.3.2, 1014.7, 1014.8 and 1015.2.
    grips = {key for key in every_ibc if key.startswith("grip_")}
    assert unread["ibc-2018"] == grips | {
        "nosing_projection",
        "handrail_clearance",
        "handrail_projection",
        "unguarded_drop",
        "concentrated_load",
        "infill_load",
    }


# The 2018 extensions stand in 1014.6 and its infill load in 1607.8.1.2; the 2021 one in 1607.9.1.2.
def test_the_building_codes_loads_are_cited_by_their_own_editions_clauses() -> None:
    for name, section in (("ibc-2018", "1607.8.1"), ("ibc-2021", "1607.9.1")):
        profile = load_profile(find_profile(name, Path(), "test", ""))
        for key, tail in (
            ("uniform_load", ""),
            ("concentrated_load", ".1"),
            ("infill_load", ".2"),
        ):
            assert profile.limit(key).clause == section + tail
    old = load_profile(find_profile("ibc-2018", Path(), "test", ""))
    assert old.limit("handrail_extension_top").clause == "1014.6"


# Exception 2 of the 2024 R318.7.5.3: with open risers a nosing may exceed 1 1/4 in.
def test_the_2024_nosing_exception_for_open_risers() -> None:
    latest = load_profile(find_profile("irc-2024", Path(), "test", ""))
    for open_risers, keys in (
        (True, {"nosing_projection_least"}),
        (False, {"nosing_projection_least", "nosing_projection_greatest"}),
    ):
        place = Situation(place=Place.STAIR, open_risers=open_risers, tread_depth_mm=10.5 * IN)
        found = limits_for(latest, place).on(Quantity.NOSING_PROJECTION)
        assert {limit.key for limit in found.applying} == keys

"""A job file held against a code, end to end: what falls inside, outside, and cannot be told."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from railsheet.checks.amount import Kind
from railsheet.checks.finding import Finding
from railsheet.checks.flight_checks import FlightChecks, check_flight
from railsheet.checks.height_figures import heights_of
from railsheet.checks.judge import Status
from railsheet.checks.limit import Quantity
from railsheet.checks.measured import merged, places, situation_of
from railsheet.checks.opening import right_triangle_diameter_mm
from railsheet.checks.openings_of import Sort, openings_of
from railsheet.checks.profile import find_profile, load_profile
from railsheet.checks.telling import figure_text, margin_text
from railsheet.cli.solve import job_profile
from railsheet.errors import BadInput
from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.survey.flight import survey_flight
from railsheet.units.display import default_tape
from railsheet.units.length import Unit

IN = 25.4
SAMPLES = Path(__file__).parent.parent.parent / "samples"
R = 'R = ["7 1/4", "7 1/2", "7 7/16", "7 9/16", "7 3/8", "7 1/2"]'
T = 'T = ["10 1/2", "10 3/8", "10 5/8", "10 1/2", "10 7/16"]'


def checked(path: Path) -> FlightChecks:
    job = load_job(path)
    spec = job.flights[0]
    railing = solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)
    profile = job_profile(job)
    assert profile is not None
    return check_flight(railing, job.building, profile)


def named(checks: FlightChecks, what: str, where: str = "") -> list[Finding]:
    found = [f for f in checks.findings if f.limit.quantity.value == what and where in f.where]
    assert found, (what, where)
    return found


def worst(checks: FlightChecks, what: str, where: str = "") -> Status:
    return named(checks, what, where)[0].status


# The last unit before each limit and the limit itself, in inches and in millimetres. Limits: IRC
# 2024 R318.7.5.1 (riser 7 3/4 in, variation 3/8 in), R318.7.5.2 (tread 10 in), R318.7.5.3 (nosing
# 3/4 to 1 1/4 in), R318.7.1 (width 36 in), R320.2 (handrail 34 to 38 in), R320.4 (1 1/2 in),
# R320.5 (to the nosings), R320.6 (1 1/4 to 2 in round), R321.1.1 (drop 30 in), R321.1.2 (36 in).
CASES = [
    ("riser_height", '"7 9/16"', "7 3/4 in", "7.7501 in"),
    ("riser_height", '"7 9/16"', "196.85 mm", "196.8501 mm"),
    ("riser_variation", '"7 9/16"', "7 5/8 in", "7.62501 in"),
    ("riser_variation", '"7 9/16"', "193.675 mm", "193.6751 mm"),
    ("tread_depth", '"10 3/8"', "10 1/4 in", "9.9999 in"),
    ("tread_depth", '"10 3/8"', "254 mm", "253.9999 mm"),
    ("tread_variation", '"10 3/8"', "10 1/4 in", "10.24999 in"),
    ("nosing_projection", 'N = "1"', "3/4 in", "0.74999 in"),
    ("nosing_projection", 'N = "1"', "31.75 mm", "31.7501 mm"),
    ("stair_width", 'W = "42"', "39.875 in", "39.8749 in"),
    ("handrail_height", 'H = "35 3/4 in"', "34 in", "33.9999 in"),
    ("handrail_height", 'H = "35 3/4 in"', "863.6 mm", "863.5999 mm"),
    ("handrail_height", 'H_most = "36 1/8 in"', "38 in", "38.0001 in"),
    ("handrail_clearance", 'C = "2 in"', "38.1 mm", "38.0999 mm"),
    ("handrail_reach_bottom_nosing", 'X_bottom = "1 1/2 in"', "1 in", "0.9999 in"),
    ("grip_diameter", 'diameter = "1 1/2 in"', "1 1/4 in", "1.2499 in"),
    ("grip_diameter", 'diameter = "1 1/2 in"', "50.8 mm", "50.8001 mm"),
    ("unguarded_drop", 'B = "0"', "22.75 in", "22.7501 in"),
]


@pytest.mark.parametrize(("what", "written", "inside", "outside"), CASES)
def test_just_inside_and_just_outside(
    job_file, what: str, written: str, inside: str, outside: str
) -> None:
    key, equals, _ = written.rpartition("= ")
    for text, status in ((inside, Status.WITHIN), (outside, Status.OUTSIDE)):
        replaced = f'{key}{equals}"{text}"' if equals else f'"{text}"'
        checks = checked(job_file((written, replaced), name=f"{status.value}.toml"))
        assert worst(checks, what) is status, (text, named(checks, what)[0])


def even(job_file, *changes: tuple[str, str], rise: str, run: str, name: str) -> Path:
    return job_file(
        (R, "R = [" + ", ".join([f'"{rise}"'] * 6) + "]"),
        (T, "T = [" + ", ".join([f'"{run}"'] * 5) + "]"),
        *changes,
        name=name,
    )


def test_guard_height_on_the_flat_is_judged_at_36_in(job_file) -> None:
    # IRC 2024 R321.1.2: not less than 36 in above the walking surface; equal is inside.
    for text, status in (("36 in", Status.WITHIN), ("35.9999 in", Status.OUTSIDE)):
        change = ('rail_height = "36"', f'rail_height = "{text}"')
        checks = checked(even(job_file, change, rise="7 1/2", run="10 1/2", name="flat.toml"))
        assert worst(checks, "guard_height", "over the deck") is status


def test_guard_height_on_the_stair_is_judged_at_34_in(job_file) -> None:
    # IRC 2024 R321.1.2 exception 1: not less than 34 in over the line through the nosings.
    for text, status in (("34 in", Status.WITHIN), ("863.5999 mm", Status.OUTSIDE)):
        change = ('rail_height = "36"', f'rail_height = "{text}"')
        checks = checked(even(job_file, change, rise="7 1/2", run="10 1/2", name="stair.toml"))
        assert worst(checks, "guard_height", "nose") is status


def test_a_guard_that_is_the_handrail_has_a_band(job_file) -> None:
    # IRC 2024 R321.1.2 exception 2 and R320.2: 34 to 38 in where the guard is the handrail.
    handrail = "".join(
        f"{line}\n"
        for line in (
            'H = "35 3/4 in"',
            'H_most = "36 1/8 in"',
            'C = "2 in"',
            'X_top = "1 in"',
            'X_bottom = "1 1/2 in"',
            'P = "3 1/2 in"',
        )
    )
    for text, status in (("38 in", Status.WITHIN), ("38.0001 in", Status.OUTSIDE)):
        checks = checked(
            even(
                job_file,
                ('rail_height = "36"', f'rail_height = "{text}"'),
                ("guard_is_handrail = false", "guard_is_handrail = true"),
                (handrail, ""),
                rise="7 1/2",
                run="10 1/2",
                name="band.toml",
            )
        )
        assert worst(checks, "guard_height", "nose") is status
        assert worst(checks, "handrail_height", "nose") is status
        # It begins at the post on tread 1, past the lowest nosing: R320.5.
        assert worst(checks, "handrail_reach_bottom_nosing") is Status.OUTSIDE


@pytest.mark.parametrize(("gap", "status"), [(3.99999, Status.WITHIN), (4.0, Status.OUTSIDE)])
def test_a_sphere_of_4_in_beside_the_deck(job_file, gap: float, status: Status) -> None:
    # IRC 2024 R321.1.3: a 4 in sphere must not pass; an opening of 4 in lets it pass. Where the
    # posts are moved so that both end gaps are just so wide, the one on the deck is judged.
    free = checked(job_file())
    railing_gap = next(o for o in free.openings if o.opening.sort is Sort.END).opening
    post = 'place = "free"'
    base = solve_first(job_file(name="base.toml"))
    shift = 2 * (gap * IN - railing_gap.circle.diameter_mm)
    face = base.downhill_post.face_s_mm - base.stair.nose(1).s_mm - shift
    moved = job_file((post, f'place = "set"\nE = "{face:.9f} mm"'), name="moved.toml")
    checks = checked(moved)
    ends = [
        f for f in named(checks, "guard_opening", "beside the deck") if "at the post" in f.where
    ]
    assert ends[0].figure == pytest.approx(gap * IN, abs=1e-6)
    assert ends[0].status is status
    # On the stair the limit is 4 3/8 in: exception 2.
    assert named(checks, "guard_opening", "opening 1 at the post")[0].status is Status.WITHIN


def solve_first(path: Path):
    job = load_job(path)
    spec = job.flights[0]
    return solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)


def test_the_triangle_is_5_10_in_with_the_rail_on_the_noses(job_file) -> None:
    # 7 3/4 in by 10 in, rail on the noses, no overhang: r = (a + b - sqrt(a^2 + b^2)) / 2, the
    # inradius of a right triangle (Euclid), 5.10 in across.
    changes = (('N = "1"', 'N = "0"'), ('K = "1 1/2"', 'K = "1"'))
    first = even(job_file, *changes, rise="7 3/4", run="10", name="first.toml")
    deep = solve_first(first).section.height_plumb_mm
    down = even(
        job_file,
        *changes,
        ('rail_height = "36"', f'rail_height = "{deep:.9f} mm"'),
        rise="7 3/4",
        run="10",
        name="down.toml",
    )
    wanted = right_triangle_diameter_mm(7.75 * IN, 10 * IN)
    assert wanted / IN == pytest.approx(5.10, abs=0.005)
    steps = [o.opening for o in checked(down).openings if o.opening.where.endswith(("3", "4"))]
    steps = [o for o in steps if o.sort is Sort.STEP]
    assert len(steps) == 2
    for step in steps:
        assert step.circle.diameter_mm == pytest.approx(wanted, abs=1e-5)


@pytest.mark.parametrize(("over", "status"), [(-1e-4, Status.WITHIN), (1e-4, Status.OUTSIDE)])
def test_the_triangle_is_judged_at_6_in(job_file, over: float, status: Status) -> None:
    # IRC 2024 R321.1.3 exception 1: a 6 in sphere must not pass. Lifting the rail off the noses by
    # c makes the triangle similar and larger: its legs grow by c/slope and c, d in proportion.
    changes = (('N = "1"', 'N = "0"'), ('K = "1 1/2"', 'K = "1"'))
    first = solve_first(even(job_file, *changes, rise="7 3/4", run="10", name="first.toml"))
    whole = right_triangle_diameter_mm(7.75 * IN, 10 * IN)
    lift = ((6 * IN + over) / whole - 1) * 7.75 * IN
    height = first.section.height_plumb_mm + lift
    path = even(
        job_file,
        *changes,
        ('rail_height = "36"', f'rail_height = "{height:.9f} mm"'),
        rise="7 3/4",
        run="10",
        name="lifted.toml",
    )
    # The steps beyond the one at the post are all alike.
    found = named(checked(path), "triangle_opening", "2")
    assert found[0].figure == pytest.approx(6 * IN + over, abs=1e-6)
    assert found[0].status is status


def test_every_opening_is_there_once(solve, job_file) -> None:
    railing = solve()
    checks = checked(job_file())
    sorts = [each.opening.sort for each in checks.openings]
    assert sorts.count(Sort.END) == 2
    assert sorts.count(Sort.INFILL) == len(railing.bays[0].baluster_s_mm) - 1
    assert sorts.count(Sort.STEP) == 5
    assert sorts.count(Sort.FLAT) == 1


def test_a_missing_fact_is_asked_for_and_decides_nothing(job_file) -> None:
    checks = checked(job_file(('D = "46 in"', "")))
    for what in ("guard_height", "guard_opening", "triangle_opening"):
        found = named(checks, what)
        assert {f.status for f in found} == {Status.NOT_CHECKED}
        assert all("drop" in " ".join(f.missing) for f in found)
    checks = checked(job_file(("dwelling = true\n", ""), ('"irc-2024"', '"ibc-2024"')))
    assert any("dwelling" in " ".join(f.missing) for f in named(checks, "riser_height"))


def test_a_low_drop_asks_for_no_guard(job_file) -> None:
    # IRC 2024 R321.1.1: more than 30 in; at exactly 30 in no guard is asked for.
    low = checked(job_file(('D = "46 in"', 'D = "30 in"')))
    assert not [f for f in low.findings if f.limit.quantity.value.startswith("guard_")]
    high = checked(job_file(('D = "46 in"', 'D = "30.001 in"')))
    assert named(high, "guard_height")


def test_the_building_code_asks_for_42_in_and_12_in_past_the_riser(job_file) -> None:
    # IBC 1015.3 (42 in) and section 1014, extensions (12 in level): from memory, and marked so.
    change = ("dwelling = true", "dwelling = false"), ('"irc-2024"', '"ibc-2024"')
    checks = checked(job_file(*change, ('X_top = "1 in"', 'X_top = "12 in"')))
    guard = named(checks, "guard_height", "nose")
    assert all(f.status is Status.OUTSIDE and f.from_memory for f in guard)
    assert {f.bound.value for f in guard} == {42 * IN}
    assert worst(checks, "handrail_extension_top") is Status.WITHIN
    checks = checked(job_file(*change, ('X_top = "1 in"', 'X_top = "11.9999 in"')))
    assert worst(checks, "handrail_extension_top") is Status.OUTSIDE


def test_a_profile_beside_the_job_amends_and_says_so(job_file, tmp_path: Path) -> None:
    (tmp_path / "town.toml").write_text(
        """
[profile]
extends = "irc-2024"
edition = "Town 2025"

[limits.triangle_opening]
less_than = "6 1/2 in"
clause = "Town 4.2"
source = "invented"
read = true
""",
        encoding="utf-8",
    )
    checks = checked(job_file(('"irc-2024"', '"town.toml"')))
    triangle = named(checks, "triangle_opening")
    assert all(f.status is Status.WITHIN and f.limit.amended for f in triangle)
    assert triangle[0].clause == "Town 2025 Town 4.2"
    assert checks.profile.short == "Town 2025, amended: see the foot"
    assert "which amends IRC 2024: triangle opening." in checks.profile.amended_text


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('edge = "open"', 'edge = "opne"', "flight 1 > site > edge"),
        ('D = "46 in"', 'D = "46 m"', "flight 1 > site > D"),
        ("dwelling = true", 'dwelling = "yes"', "building > dwelling"),
        ("outdoors = true", "outdoor = true", "did you mean outdoors"),
        ('"irc-2024"', '"irc-1066"', "no such code profile"),
        ("guard_is_handrail = false", "guard_is_handrail = true", "follows from the layout"),
        ('H = "35 3/4 in"\n', "", "handrail > H"),
        ('shape = "round"', 'shape = "square"', "grip > shape"),
    ],
)
def test_bad_facts_are_told(job_file, old: str, new: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        checked(job_file((old, new)))


def test_print_never_tells_another_verdict(job_file) -> None:
    tape = default_tape(Unit.INCH)
    for text, figure, margin in (
        ("7.7501 in", '7 49/64"', '-1/64"'),
        ("7.7499 in", '7 3/4"', '1/64"'),
        ("7 3/4 in", '7 3/4"', '0"'),
        ("7.9 in", '7 7/8"', '-1/8"'),
    ):
        checks = checked(job_file(('"7 9/16"', f'"{text}"')))
        found = next(f for f in named(checks, "riser_height", "riser 4"))
        assert figure_text(found, tape) == figure
        assert margin_text(found, tape) == margin


def test_an_opening_just_under_its_sphere_does_not_print_as_the_sphere(job_file) -> None:
    tape = default_tape(Unit.MM)
    checks = checked(job_file())
    found = next(f for f in named(checks, "guard_opening", "opening 2"))

    near = replace(found, figure=found.bound.value - 0.001, margin=0.001)
    assert float(figure_text(near, tape)) < found.bound.value
    assert margin_text(near, tape) == "0.1"


def test_places_are_gathered() -> None:
    assert places(["riser 1", "riser 2", "riser 3", "riser 5"]) == "riser 1 to 3, 5"
    assert places(["riser 2", "nose 1", "riser 1"]) == "riser 1, 2; nose 1"
    assert places(["whole flight"]) == "whole flight"


def test_loads_follow_the_handbook_on_the_solved_lengths(job_file) -> None:
    # M = P L / 4 and M = P h (AISC Steel Construction Manual table 3-23), with 200 lb from IRC
    # table R301.5 (from memory) on the railing's own span and height.
    path = job_file()
    railing, rows = solve_first(path), checked(path).loads.rows
    pound = 4.4482216152605
    span = railing.bays[0].clear_mm / math.cos(railing.line.rake_rad)
    rail = next(row.demand for row in rows if row.demand.formula == "M = P·L / 4")
    assert rail.value == pytest.approx(200 * pound * span / 4)
    for post in railing.posts:
        moment = 200 * pound * (post.rail_top_z_mm - post.surface_z_mm)
        assert any(row.demand.value == pytest.approx(moment) for row in rows)


def test_infill_that_is_no_row_has_its_load_named_not_worked() -> None:
    job = load_job(SAMPLES / "cable-rail.toml")
    spec = job.flights[0]
    railing = solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)
    path = find_profile("irc-2024", Path(), "", "")
    loads = check_flight(railing, job.building, load_profile(path)).loads
    assert not [row for row in loads.rows if row.demand.load.quantity is Quantity.INFILL_LOAD]
    named_loads = [limit.quantity for limit, missing in loads.undecided if "cable" in missing[0]]
    assert named_loads == [Quantity.INFILL_LOAD]


def test_guard_height_at_a_posts_face_is_over_the_line_through_the_noses(job_file) -> None:
    # Source: numpy's linear interpolation between the noses.
    railing = solve_first(job_file())
    building = load_job(job_file()).building
    situation = situation_of(building, railing.spec, railing.stair)
    s = [nose.s_mm for nose in railing.stair.noses]
    z = [nose.z_mm for nose in railing.stair.noses]
    found = {h.where: h for h in heights_of(railing, situation) if "post" in h.where}
    bay = railing.bays[0]
    checked = 0
    for end, face in (("downhill", bay.downhill_face_mm), ("uphill", bay.uphill_face_mm)):
        if not s[0] <= face <= s[-1]:
            continue
        over = float(np.interp(face, s, z))
        (height,) = [h for where, h in found.items() if f"{end} post" in where]
        assert height.height_mm == pytest.approx(railing.line.z_at(face) - over)
        checked += 1
    assert checked


def test_only_what_says_the_same_is_told_as_one(job_file) -> None:
    checks = checked(job_file())
    told = next(f for f in checks.findings if f.figure is not None)
    one, two = replace(told, where="nose 1"), replace(told, where="nose 2")
    assert [f.where for f in merged([one, two])] == ["nose 1, 2"]
    beyond = replace(two, figure=told.figure + 1.0)
    assert len(merged([one, beyond])) == 2
    wants = [replace(f, figure=None, bound=f.bound, missing=("D",)) for f in (one, two)]
    assert [f.where for f in merged(wants)] == ["nose 1, 2"]
    # What could not be checked is never folded into what was, nor one want into another.
    assert len(merged([one, wants[1]])) == 2
    assert len(merged([wants[0], replace(wants[1], missing=("B",))])) == 2


@pytest.mark.parametrize(("off_deg", "printed"), [(0.0, "0.0°"), (-0.02, "0.1°"), (1.26, "1.3°")])
def test_an_angles_margin_prints_in_tenths_and_never_as_nothing(
    job_file, off_deg: float, printed: str
) -> None:
    checks = checked(job_file())
    found = next(f for f in checks.findings if f.kind is Kind.ANGLE)
    near = replace(found, margin=abs(math.radians(off_deg)))
    assert margin_text(near, default_tape(Unit.INCH)) == printed


def test_the_places_that_are_wanted_are_those_of_all_and_no_others(solve) -> None:
    railing = solve()
    everything = openings_of(railing)
    assert len(everything) > 10
    for wanted in ({everything[-1].where}, {each.where for each in everything[1::3]}):
        assert openings_of(railing, wanted) == tuple(o for o in everything if o.where in wanted)

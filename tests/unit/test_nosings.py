"""The nosing read at each nose: what is read, what rests on which, how its variation is judged."""

from __future__ import annotations

import math
from statistics import fmean, stdev

import pytest

from railsheet.checks.flight_checks import FlightChecks, check_flight
from railsheet.checks.judge import Status
from railsheet.checks.openings_of import Sort, openings_of
from railsheet.cli.solve import SolvedJob, job_profile, solve_job
from railsheet.errors import BadInput
from railsheet.job.load import load_job
from railsheet.job.nosings import Nosings, read_once
from railsheet.layout.flight import solve_flight
from railsheet.layout.railing import Railing
from railsheet.layout.survey_notices import survey_notices
from railsheet.sheets.profile import stair_outlines
from railsheet.survey.flight import survey_flight
from railsheet.survey.spreads import tape_sigma_mm

IN = 25.4
ONE = 'N = "1"'


def listed(*inches: str) -> tuple[str, str]:
    """The sample's one nosing made a list."""
    return ONE, "N = [" + ", ".join(f'"{each}"' for each in inches) + "]"


def checked(path) -> tuple[Railing, FlightChecks]:
    job = load_job(path)
    spec, profile = job.flights[0], job_profile(job)
    assert profile is not None
    railing = solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)
    return railing, check_flight(railing, job.building, profile)


def rows(checks: FlightChecks, quantity: str) -> list[tuple[str, Status, tuple[str, ...]]]:
    found = [f for f in checks.findings if f.limit.quantity.value == quantity]
    return sorted(
        {(f.where, f.status, f.missing) for f in found},
        key=lambda row: (row[0], row[1].value, row[2]),
    )


def test_one_length_is_every_nosing_and_a_list_is_each_its_own(job_file) -> None:
    once = load_job(job_file()).flights[0].readings.nosings
    assert once == read_once(IN, 6)
    each = load_job(job_file(listed("1", "7/8", "1", "1 1/8", "", "1"), name="each.toml"))
    nosings = each.flights[0].readings.nosings
    mean = fmean([1, 0.875, 1, 1.125, 1]) * IN
    assert nosings.each_mm == pytest.approx([IN, 0.875 * IN, IN, 1.125 * IN, mean, IN])
    assert nosings.unread == (5,)
    assert not nosings.once


def test_another_reading_takes_those_not_read_with_it() -> None:
    nosings = Nosings((20.0, 30.0, 25.0), unread=(3,))
    assert nosings.reading(1, 26.0).each_mm == (26.0, 30.0, 28.0)
    assert nosings.reading(3, 40.0).each_mm == (20.0, 30.0, 40.0)
    assert read_once(20.0, 3).reading(1, 22.0) == read_once(22.0, 3)


@pytest.mark.parametrize(
    ("written", "place", "says"),
    [
        ('["1", "1", "1", "1", "1"]', "readings > N", "one for each of 6"),
        ('["1", "1", "1", "1", "1", "1", "1"]', "readings > N", "7"),
        ('["1", "", "", "", "", ""]', "readings > N", "at least two that were read"),
        ('["", "", "", "", "", ""]', "readings > N", "0 read"),
        ("[]", "readings > N", "one for each of 6"),
        ('["1", "1", "4", "1", "1", "1"]', "readings > N nosing 3", "allowed is 0 in to 3 in"),
        ('["1", "1", "-1", "1", "1", "1"]', "readings > N nosing 3", "negative"),
        ('["1", "1", true, "1", "1", "1"]', "readings > N nosing 3", "a length is wanted"),
        ('""', "readings > N", "a length is missing"),
    ],
)
def test_bad_nosings_are_one_message(job_file, written: str, place: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        load_job(job_file((ONE, f"N = {written}")))
    assert place in str(caught.value)
    assert says in str(caught.value)


# IRC 2024 R318.7.5.3, as the profile quotes it: the greatest nosing projection exceeds the
# smallest by not more than 3/8 in; equal is inside.
@pytest.mark.parametrize(
    ("most", "status"),
    [
        ("1 1/8 in", Status.WITHIN),
        ("1.12501 in", Status.OUTSIDE),
        ("28.575 mm", Status.WITHIN),
        ("28.5751 mm", Status.OUTSIDE),
    ],
)
@pytest.mark.parametrize("at", [0, 3, 5])
def test_the_variation_at_its_limit(job_file, most: str, status: Status, at: int) -> None:
    each = ["1"] * 6
    each[at], each[(at + 2) % 6] = most, "3/4 in"
    _, checks = checked(job_file(listed(*each)))
    assert rows(checks, "nosing_variation") == [("greatest less smallest", status, ())]


def test_one_reading_leaves_the_variation_unchecked(job_file) -> None:
    _, checks = checked(job_file())
    ((where, status, missing),) = rows(checks, "nosing_variation")
    assert (where, status) == ("whole flight", Status.NOT_CHECKED)
    assert missing == ("the nosing at each step: N was read once",)


def test_a_nosing_not_read_is_asked_for_and_never_passed_over(job_file) -> None:
    railing, checks = checked(job_file(listed("3/4", "1", "", "1", "", "1 3/16")))
    asked = ("N at nose 3", "N at nose 5")
    # What was read is too far apart already, whatever the other two are.
    assert rows(checks, "nosing_variation") == [
        ("of those read", Status.OUTSIDE, ()),
        ("whole flight", Status.NOT_CHECKED, asked),
    ]
    lacking = [r for r in rows(checks, "nosing_projection") if r[1] is Status.NOT_CHECKED]
    assert [missing for _, _, missing in lacking] == [("N at nose 3",), ("N at nose 5",)]
    (told,) = [
        notice
        for notice in survey_notices(survey_flight(railing.spec.readings))
        if notice.topic == "nosing not read"
    ]
    assert "noses 3, 5" in told.words
    assert dict(told.lengths_mm)["mean"] == pytest.approx(fmean([0.75, 1, 1, 1.1875]) * IN)


def test_every_nosing_is_held_against_the_projection(job_file) -> None:
    # IRC 2024 R318.7.5.3: not less than 3/4 in, not more than 1 1/4 in.
    _, checks = checked(job_file(listed("1", "1", "1 5/16", "1", "11/16", "1")))
    found = rows(checks, "nosing_projection")
    outside = [where for where, status, _ in found if status is Status.OUTSIDE]
    assert outside == ["nosing 3", "nosing 5"]


def test_an_open_stairs_lowest_nose_overlaps_no_tread(job_file) -> None:
    # ADK 2013 asks open treads to overlap; the lowest nose stands over the floor.
    open_stair = ("open_risers = false", "open_risers = true")
    code = ('code = "irc-2024"', 'code = "uk-adk-2013"')
    _, checks = checked(job_file(listed("0", "1", "1", "1", "1/2", "1"), open_stair, code))
    overlaps = rows(checks, "open_riser_overlap")
    assert [where for where, status, _ in overlaps if status is Status.OUTSIDE] == ["nosing 5"]
    assert not any("nosing 1" in where for where, _, _ in overlaps)


def figures_of(solved: SolvedJob) -> dict[str, float]:
    return {figure.key: figure.value for figure in solved.book}


def test_six_alike_lay_out_as_the_one_does(job_file) -> None:
    one = figures_of(solve_job(load_job(job_file())))
    six = figures_of(solve_job(load_job(job_file(listed(*["1"] * 6), name="six.toml"))))
    laid = [key for key in one if ".finding." not in key and "plus_minus" not in key]
    assert {key: six[key] for key in laid} == {key: one[key] for key in laid}
    assert {f"A.nosing.{number}" for number in range(1, 7)} <= set(laid)


def test_a_plate_is_held_to_the_riser_behind_it(job_file) -> None:
    # The bottom post stands on tread 1, with riser 2 behind it.
    def to_riser(path) -> float:
        return solve_job(load_job(path)).book.value("A.post.bottom.plate_to_riser")

    given = ('place = "free"', 'place = "set"\nE = "5 1/4"')
    plain = to_riser(job_file(given))
    behind = to_riser(job_file(given, listed("1", "3/4", "1", "1", "1", "1"), name="two.toml"))
    beyond = to_riser(job_file(given, listed("3/4", "1", "3/4", "1", "1", "1"), name="three.toml"))
    assert behind == pytest.approx(plain - IN / 4)
    assert beyond == pytest.approx(plain)


def test_the_opening_at_a_step_has_the_nosing_above_it(job_file) -> None:
    def circles(path) -> dict[str, float]:
        railing, _ = checked(path)
        return {
            opening.where: opening.circle.diameter_mm
            for opening in openings_of(railing)
            if opening.sort is Sort.STEP
        }

    given = ('place = "free"', 'place = "set"\nE = "5 1/4"')
    plain = circles(job_file(given))
    alike = circles(job_file(given, (ONE, 'N = "1 1/4"'), name="alike.toml"))
    own = circles(job_file(given, listed("1", "1", "1", "1 1/4", "1", "1"), name="own.toml"))
    changed = {where for where in plain if abs(own[where] - plain[where]) > 1e-6}
    assert changed == {"under the rail, step 3"}
    assert own["under the rail, step 3"] == pytest.approx(alike["under the rail, step 3"])


def test_each_riser_is_drawn_under_its_own_nose(job_file) -> None:
    inches = (1.0, 0.75, 1.125, 0.5, 0.0, 1.25)
    railing, _ = checked(job_file(listed(*(f"{each} in" for each in inches))))
    (line,) = stair_outlines(railing.stair, -500.0, 3000.0)
    for nose, inch, number in zip(railing.stair.noses, inches, range(6), strict=True):
        foot, under, front, top = line[1 + 4 * number : 5 + 4 * number]
        assert top == (nose.s_mm, nose.z_mm)
        assert front[0] == nose.s_mm
        assert foot[0] == under[0] == pytest.approx(nose.s_mm + inch * IN)


def test_a_nosing_scatters_as_its_reading_and_one_not_read_as_the_others_do(job_file) -> None:
    read = [0.75, 1.0, 1.0, 1.125, 0.875]
    solved = solve_job(load_job(job_file(listed("3/4", "1", "", "1", "1 1/8", "7/8"))))
    step = solved.job.flights[0].readings.instruments.read_to_mm
    tapes = [tape_sigma_mm(inch * IN, step) for inch in read]
    assert solved.book.sigma("A.nosing.2") == pytest.approx(tapes[1], rel=1e-6)
    # By hand: of m read, one more lies s·√(1 + 1/m) about their mean, which their tapes move.
    among = stdev(read) * IN * math.sqrt(1 + 1 / 5)
    mean = math.hypot(*tapes) / 5
    assert solved.book.sigma("A.nosing.3") == pytest.approx(math.hypot(among, mean), rel=1e-6)
    doubt = next(d for d in solved.works[0].doubts if d.key == "A.nosing.3")
    assert doubt.take == "N 3, the nosing at nose 3"
    assert doubt.sigma_then < doubt.sigma / 2

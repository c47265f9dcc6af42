"""The gap where a rail ends: an opening at a turn, a way onto a flight, or not known what."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from deck_job import BARE_DECK
from turn_job import TURN

from railsheet.checks.flight_checks import FlightChecks
from railsheet.checks.judge import Status
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.load import load_job
from railsheet.layout.turn import Turn, TurnKind

IN = 25.4


def solved(tmp_path: Path, text: str, *changes: tuple[str, str]) -> SolvedJob:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = tmp_path / "turn.toml"
    path.write_text(text, encoding="utf-8")
    return solve_job(load_job(path))


def at_turn(tmp_path: Path, gap: str, *changes: tuple[str, str], units: str = "ft-in") -> SolvedJob:
    """The turn, its posts so far apart between their faces."""
    number, _, unit = gap.partition(" ")
    post = 2.0 if unit == "in" else 50.8
    text = TURN.replace("UNITS", units).replace("P2X", f"{float(number) + post} {unit}")
    return solved(tmp_path, text, *changes)


def turns(job: SolvedJob) -> tuple[Turn, ...]:
    assert job.site is not None
    return job.site.turns


def checks(job: SolvedJob, mark: str) -> FlightChecks:
    (found,) = [work.checks for work in job.runs if work.mark == mark]
    assert found is not None
    return found


# "Shall not allow passage of a sphere 4 inches in diameter": IRC 2024 R321.1.3 (see the profile).
# Between parallel faces the sphere is as wide as they are apart.
@pytest.mark.parametrize(
    ("gap", "units", "status"),
    [
        ("3.9375 in", "ft-in", Status.WITHIN),
        ("3.99999 in", "ft-in", Status.WITHIN),
        ("4 in", "ft-in", Status.OUTSIDE),
        ("4.00001 in", "ft-in", Status.OUTSIDE),
        ("4.0625 in", "ft-in", Status.OUTSIDE),
        ("101 mm", "mm", Status.WITHIN),
        ("101.5999 mm", "mm", Status.WITHIN),
        ("101.6 mm", "mm", Status.OUTSIDE),
        ("102 mm", "mm", Status.OUTSIDE),
    ],
)
def test_the_turn_at_its_limit(tmp_path: Path, gap: str, units: str, status: Status) -> None:
    job = at_turn(tmp_path, gap, units=units)
    number, _, unit = gap.partition(" ")
    (turn,) = turns(job)
    assert turn.kind is TurnKind.OPENING
    assert {turn.post, turn.beside_post} == {"P1", "P2"}
    assert turn.clear_mm == pytest.approx(float(number) * (IN if unit == "in" else 1), abs=1e-9)
    (checked,) = checks(job, "A").turns
    assert {finding.status for finding in checked.findings} == {status}
    assert checked.outside == (status is Status.OUTSIDE)
    rows = [f for f in checks(job, "A").findings if "between post P1 and post P2" in f.where]
    assert [f.status for f in rows] == [status]
    assert rows[0].limit.clause == "R321.1.3"
    if status is Status.OUTSIDE:
        stops = [n.words for n in job.runs[0].notices if n.weight.value == "stop"]
        assert any("between post P1 and post P2" in words for words in stops)
    # In place: on the line between the two faces, and amid them.
    assert turn.middle[0] == pytest.approx(25.4 + turn.clear_mm / 2)
    assert turn.middle[1] == pytest.approx(1600.0)


def test_the_notice_says_what_was_measured_and_no_longer_that_it_was_not(tmp_path: Path) -> None:
    job = at_turn(tmp_path, "3.5 in")
    said = [notice.text(job.job.tape) for work in job.runs for notice in work.notices]
    assert sum("between post P1 and post P2 the greatest sphere" in text for text in said) == 1
    assert not any("not measured" in text for text in said)


def test_rails_or_plates_that_stand_nearer_are_told_and_change_no_figure(tmp_path: Path) -> None:
    (turn,) = turns(at_turn(tmp_path, "3.5 in"))
    # Dunlin's base plates stand out beyond its posts: they are nearer, low down.
    assert turn.clear_mm == pytest.approx(3.5 * IN)
    assert turn.parts_mm is not None
    assert 0 < turn.parts_mm < turn.clear_mm


def test_a_post_turned_aside_is_measured_to_its_corner(tmp_path: Path) -> None:
    # Run B leaves at 45 degrees, and its post turns with it: the corner stands half a diagonal out.
    job = at_turn(tmp_path, "3.5 in", ("bearing = 0", "bearing = 45"))
    (turn,) = turns(job)
    assert turn.clear_mm == pytest.approx((3.5 + 1 - math.sqrt(2)) * IN, abs=1e-9)


def test_infill_that_stands_nearer_than_any_post_is_what_is_measured(tmp_path: Path) -> None:
    # Run B passes P1 at right angles, 5 in from face to the line of its rail.
    job = at_turn(
        tmp_path,
        "5 in",
        ('at = ["7.0 in", "1600 mm"]', 'at = ["6 in", "800 mm"]'),
        ("bearing = 0", "bearing = 90"),
    )
    found = [turn for turn in turns(job) if turn.post == "P1"]
    (turn,) = found
    assert turn.beside == "the infill of run B"
    thick = job.job.kit.baluster.width_mm
    # Nearer than 5 in less half a baluster it cannot be; a post's corner is farther away.
    least = 5 * IN - thick / 2
    assert least - 1e-9 <= turn.clear_mm < least + 25


def test_a_wall_plate_beside_a_rails_end_is_measured(tmp_path: Path) -> None:
    # The rail of run B starts on the wall at x = 5 in, facing away from P1.
    job = at_turn(tmp_path, "4 in", ('mark = "P2"\n', 'mark = "P2"\nkind = "wall plate"\n'))
    (turn,) = turns(job)
    assert turn.beside == "wall plate P2"
    assert turn.clear_mm == pytest.approx(5 * IN, abs=1e-9)


@pytest.mark.parametrize(
    ("gap", "kind"),
    [("21.99 in", TurnKind.OPENING), ("22 in", TurnKind.UNCLOSED), ("71.9 in", TurnKind.UNCLOSED)],
)
def test_a_gap_one_can_walk_through_is_not_judged_but_told(
    tmp_path: Path, gap: str, kind: TurnKind
) -> None:
    job = at_turn(tmp_path, gap)
    (turn,) = turns(job)
    assert turn.kind is kind
    (row,) = [f for f in checks(job, "A").findings if "between post P1" in f.where]
    if kind is TurnKind.OPENING:
        assert row.status is Status.OUTSIDE
    else:
        assert row.status is Status.NOT_CHECKED
        assert "what closes the way between" in row.missing[0]


def test_with_nothing_beside_it_the_end_is_still_told(tmp_path: Path) -> None:
    job = at_turn(tmp_path, "90 in")
    assert turns(job) == ()
    said = [notice.text(job.job.tape) for work in job.runs for notice in work.notices]
    assert any("the rail ends at P1, P2" in text and "not measured" in text for text in said)


def deck(tmp_path: Path, *changes: tuple[str, str]) -> SolvedJob:
    text = BARE_DECK.replace('kit = "dunlin"', 'kit = "dunlin"\ncode = "irc-2024"')
    text = text.replace("[[post]]", "[building]\ndwelling = true\noutdoors = true\n\n[[post]]", 1)
    text = text.replace('K = "1 1/4"\n', 'K = "1 1/4"\n\n[level.site]\nedge = "open"\nD = "64"\n')
    facts = '[flight.site]\nedge = "open"\nD = "64"\nB = "36"\n\n[flight.readings]'
    return solved(tmp_path, text.replace("[flight.readings]", facts), *changes)


def test_a_stairs_mouth_is_no_opening_and_is_told_as_the_way_it_is(tmp_path: Path) -> None:
    job = deck(tmp_path)
    way, beyond = turns(job)
    assert way.kind is TurnKind.WAY
    assert (way.post, way.beside_post, way.flight) == ("P3", "P2", "A")
    # P2 at 132 1/2 in, P3 at 174 1/2 in, both 2 in square.
    assert way.clear_mm == pytest.approx(40 * IN, abs=1e-6)
    rows = [f for f in checks(job, "F").findings if "between post P3 and post P2" in f.where]
    assert rows
    for row in rows:
        assert row.status is Status.NOT_CHECKED
        assert row.missing == ("nothing to read: not an opening, the way onto flight A",)
    # Beyond the far edge of the steps a slot is left, and that is an opening.
    assert beyond.kind is TurnKind.STEPS
    flight = next(work.railing for work in job.works if work.mark == "A")
    edge = flight.uphill_post.in_from_side_mm + flight.kit.plate.across_mm / 2
    assert beyond.clear_mm == pytest.approx(41 * IN - (40 * IN - edge), abs=1e-6)
    (checked,) = [t for t in checks(job, "F").turns if t.figure.turn is beyond]
    assert [f.status for f in checked.findings] == [Status.WITHIN]


def test_a_mouth_too_wide_for_its_flight_leaves_an_opening_beside_the_steps(tmp_path: Path) -> None:
    # An inch more between P2 and P3 makes the slot beside the steps 4 7/8 in.
    job = deck(tmp_path, ('L = "46"', 'L = "45"'))
    beyond = next(turn for turn in turns(job) if turn.kind is TurnKind.STEPS)
    (checked,) = [t for t in checks(job, "F").turns if t.figure.turn is beyond]
    assert checked.outside
    assert beyond.clear_mm == pytest.approx(4.875 * IN, abs=1e-6)


def test_a_mouth_with_the_far_post_over_the_steps_leaves_none(tmp_path: Path) -> None:
    job = deck(tmp_path, ('L = "46"', 'L = "50"'))
    assert [turn.kind for turn in turns(job)] == [TurnKind.WAY]


def test_two_posts_in_a_mouth_too_narrow_to_walk_are_an_opening(tmp_path: Path) -> None:
    job = deck(tmp_path, ('L = "46"', 'L = "83"'))
    (turn,) = [turn for turn in turns(job) if turn.post == "P3"]
    assert turn.kind is TurnKind.OPENING
    assert turn.clear_mm == pytest.approx(3 * IN, abs=1e-6)


def test_heights_that_keep_two_things_apart_are_no_turn(tmp_path: Path) -> None:
    # Run B's floor lies 30 in under run A's: its guard stands 6 in up beside A's foot.
    lower = ('bearing = 0\nL = "1600 mm"\nF = "60 in"', 'bearing = 0\nL = "1600 mm"\nF = "30 in"')
    found = turns(at_turn(tmp_path, "3.5 in", lower))
    assert not any({turn.post, turn.beside_post} == {"P1", "P2"} for turn in found)
    assert {turn.kind for turn in found} <= {TurnKind.UNCLOSED}


def test_the_order_and_the_place_of_runs_change_no_turn(tmp_path: Path) -> None:
    (first,) = turns(at_turn(tmp_path, "3.5 in"))
    head, *tables = TURN.split("\n[[")
    shuffled = "\n[[".join([head, *tables[:3], tables[4], tables[3]])
    text = shuffled.replace("UNITS", "ft-in").replace("P2X", "405.5 in")
    text = text.replace('at = ["0", "0"]', 'at = ["400 in", "0"]')
    (second,) = turns(solved(tmp_path, text))
    assert second.clear_mm == pytest.approx(first.clear_mm, abs=1e-6)
    assert (second.post, second.beside, second.runs) == (first.post, first.beside, first.runs)
    assert second.middle[0] - 400 * IN == pytest.approx(first.middle[0], abs=1e-6)

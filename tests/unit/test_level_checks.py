"""Level runs of the deck sample held against a code: heights, openings, facts, plates, loads."""

from __future__ import annotations

from pathlib import Path

import pytest
from deck_job import BARE_DECK

from railsheet.checks.flight_checks import FlightChecks, check_level
from railsheet.checks.judge import Status
from railsheet.checks.openings_of import Sort
from railsheet.cli.solve import job_profile
from railsheet.errors import BadInput
from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.layout.railing import Railing
from railsheet.layout.site import solve_site
from railsheet.survey.flight import survey_flight

IN = 25.4
POUND = 4.4482216152605
FACTS = 'K = "1 1/4"\n\n[level.site]\nedge = "open"\nD = "64"\n'


def level(
    tmp_path: Path, mark: str, *changes: tuple[str, str], code: str = "irc-2024", facts: str = FACTS
) -> tuple[Railing, FlightChecks]:
    """One level run of the sample, its code and its facts added, then changed."""
    text = BARE_DECK.replace('kit = "dunlin"', f'kit = "dunlin"\ncode = "{code}"')
    text = text.replace('K = "1 1/4"\n', facts)
    # The building code has its dwellings' guards elsewhere.
    dwelling = "true" if code.startswith("irc") else "false"
    building = f"[building]\ndwelling = {dwelling}\noutdoors = true\n\n[[post]]"
    text = text.replace("[[post]]", building, 1)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    path = tmp_path / "deck.toml"
    path.write_text(text, encoding="utf-8")
    job = load_job(path)
    site = solve_site(
        job,
        lambda spec: solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file),
    )
    profile = job_profile(job)
    assert profile is not None
    return site.railings[mark], check_level(site.railings[mark], job.building, profile)


def statuses(checks: FlightChecks, what: str) -> set[Status]:
    found = {f.status for f in checks.findings if f.limit.quantity.value == what}
    assert found, what
    return found


# 36 in: IRC 2024 R321.1.2 (read); 42 in: IBC 2024 1015.3 (read, or marked in the profile).
@pytest.mark.parametrize(
    ("code", "height", "status"),
    [
        ("irc-2024", "36", Status.WITHIN),
        ("irc-2024", "35.9999", Status.OUTSIDE),
        ("irc-2024", "914.4 mm", Status.WITHIN),
        ("irc-2024", "914.3999 mm", Status.OUTSIDE),
        ("ibc-2024", "41.9999", Status.OUTSIDE),
        ("ibc-2024", "42", Status.WITHIN),
    ],
)
def test_the_guard_on_the_flat_at_its_limit(
    tmp_path: Path, code: str, height: str, status: Status
) -> None:
    tall = ('rail_height = "36 1/4"', f'rail_height = "{height}"')
    _, checks = level(tmp_path, "D", tall, code=code)
    assert statuses(checks, "guard_height") == {status}
    assert bool(checks.heights_outside) == (status is Status.OUTSIDE)


def test_every_opening_is_there_once_and_is_as_wide_as_it_was_laid_out(tmp_path: Path) -> None:
    railing, checks = level(tmp_path, "E")
    by_sort = {
        sort: [c.opening for c in checks.openings if c.opening.sort is sort] for sort in Sort
    }
    rows = [bay.infill.row for bay in railing.bays]
    assert len(by_sort[Sort.INFILL]) == sum(len(row.centres_mm) - 1 for row in rows)
    assert len(by_sort[Sort.END]) == 2 * len(railing.bays)
    assert len(by_sort[Sort.FLAT]) == len(railing.bays)
    assert not by_sort[Sort.STEP]
    # A sphere between plumb members taller than they are apart is as wide as they are apart.
    for opening in by_sort[Sort.INFILL]:
        row = rows[0]
        assert opening.circle.diameter_mm == pytest.approx(row.spacing_mm - row.width_mm, abs=1e-6)
    for opening in by_sort[Sort.END]:
        bay = railing.bays[int(opening.where.split()[1].rstrip(",")) - 1]
        first, half = bay.infill.row.centres_mm[0], bay.infill.row.width_mm / 2
        assert opening.circle.diameter_mm == pytest.approx(
            first - half - bay.downhill_face_mm, abs=1e-6
        )
    for opening in by_sort[Sort.FLAT]:
        under = railing.line.start_mm - railing.bays[0].section.height_plumb_mm
        assert opening.circle.diameter_mm == pytest.approx(under, abs=1e-6)


def test_a_wide_gap_under_the_rail_stands_outside_4_in(tmp_path: Path) -> None:
    # IRC 2024 R321.1.3: a 4 in sphere must not pass. A rail set high leaves its gap below.
    _, checks = level(
        tmp_path,
        "D",
        ('rail_height = "36 1/4"\nfrom = "W1"', 'rail_height = "39"\nfrom = "W1"'),
    )
    outside = [each.opening for each in checks.openings if each.outside]
    assert {opening.sort for opening in outside} == {Sort.FLAT}
    assert all(opening.circle.diameter_mm >= 4 * IN for opening in outside)


def test_a_missing_drop_is_asked_for_and_decides_nothing(tmp_path: Path) -> None:
    _, checks = level(tmp_path, "D", facts='K = "1 1/4"\n\n[level.site]\nedge = "open"\n')
    for what in ("guard_height", "guard_opening"):
        assert statuses(checks, what) == {Status.NOT_CHECKED}
        missing = {
            word
            for finding in checks.findings
            if finding.limit.quantity.value == what
            for word in finding.missing
        }
        assert missing == {"the drop beside the walk"}


def test_a_drop_of_30_in_asks_for_no_guard(tmp_path: Path) -> None:
    # IRC 2024 R321.1.1: more than 30 in.
    _, low = level(tmp_path, "D", ('D = "64"', 'D = "30"'))
    assert not [f for f in low.findings if f.limit.quantity.value.startswith("guard")]
    _, high = level(tmp_path, "D", ('D = "64"', 'D = "30.0001"'))
    assert statuses(high, "guard_height") == {Status.WITHIN}


def test_plates_and_spans_are_held_against_the_kit(tmp_path: Path) -> None:
    _, checks = level(tmp_path, "D")
    assert statuses(checks, "post_span") == {Status.WITHIN}
    edges = [f for f in checks.findings if f.limit.quantity.value == "plate_edge"]
    assert {f.status for f in edges} == {Status.WITHIN}
    words = "; ".join(f.where for f in edges)
    # A wall plate stands on nothing; the line post between has its plate as far in as was read.
    assert "line post 1" in words
    assert "post P1" in words
    assert "W1" not in words
    _, near = level(tmp_path, "D", ('I = "7/8"\nK', 'I = "3/4"\nK'))
    assert statuses(near, "plate_edge") == {Status.OUTSIDE}
    _, unread = level(tmp_path, "D", ('I = "7/8"\nK', "K"))
    assert statuses(unread, "plate_edge") == {Status.NOT_CHECKED}


def test_a_wall_plate_has_no_post_base_moment_and_it_is_said(tmp_path: Path) -> None:
    # M = P h for a post (AISC Steel Construction Manual table 3-23); 200 lb, IRC table R301.5
    # (from memory).
    railing, checks = level(tmp_path, "D")
    rows = checks.loads.rows
    assert not [row for row in rows if "W1" in row.part]
    assert any("W1" in missing for _, words in checks.loads.undecided for missing in words)
    post = railing.uphill_post
    moment = 200 * POUND * (post.rail_top_z_mm - post.surface_z_mm)
    shared = [row for row in rows if row.part.startswith("post P1")]
    assert shared
    assert all("this run alone" in row.part for row in shared)
    assert any(row.demand.value == pytest.approx(moment) for row in shared)


@pytest.mark.parametrize(
    ("site", "says"),
    [
        ('edge = "cliff"', "edge"),
        ('D = "minus"', "D"),
        ('B = "0"', "B"),
        ("guard_is_handrail = true", "guard_is_handrail"),
    ],
)
def test_bad_facts_are_told(tmp_path: Path, site: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        level(tmp_path, "D", facts=f'K = "1 1/4"\n\n[level.site]\n{site}\n')

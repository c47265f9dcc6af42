"""Values at the edge: solved with finite figures, or refused with one message."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.errors import BadInput
from railsheet.job.kit import find_kit
from railsheet.job.load import load_job

KIT = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
R = '["7 1/4", "7 1/2", "7 7/16", "7 9/16", "7 3/8", "7 1/2"]'
T = '["10 1/2", "10 3/8", "10 5/8", "10 1/2", "10 7/16"]'
GAPS = 'end_gap = { least = "2 1/2", most = "4" }'
PITCH = 'pitch = "4 1/2"'


@pytest.fixture
def solved(job_file, tmp_path: Path):
    """Solve the porch with other risers and runs, and some of its kit's text replaced."""

    def run(risers: list[str], runs: list[str], *kit: tuple[str, str]) -> SolvedJob:
        text = KIT
        for old, new in kit:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
        job = job_file(
            ('kit = "dunlin"', 'kit = "mine.toml"'),
            (R, str(risers).replace("'", '"')),
            (T, str(runs).replace("'", '"')),
        )
        return solve_job(load_job(job), stock_effort=0.05)

    return run


def finite(job: SolvedJob) -> SolvedJob:
    for figure in job.book:
        assert math.isfinite(figure.value), figure.key
        assert not re.search(r"nan|inf", job.book.text(figure.key)), figure.key
    return job


STEPS, RUNS = ["7 1/4", "7 1/2", "7 7/16", "7 9/16"], ["10 1/2", "10 3/8", "10 5/8"]


def test_one_riser_is_refused(solved) -> None:
    with pytest.raises(BadInput, match="at least two risers"):
        solved(["7"], [])


def test_the_flattest_stair_a_reading_may_give(solved) -> None:
    job = finite(solved(["2"] * 3, ["60"] * 2))
    assert job.book.value("A.rake") == pytest.approx(math.atan(2 / 60))


@pytest.mark.parametrize(("limit", "taken"), [("45", True), ("44.99", False)])
def test_a_rake_at_the_kits_limit(solved, limit: str, taken: bool) -> None:
    change = ("greatest_rake = 40", f"greatest_rake = {limit}")
    if taken:
        assert finite(solved(["7.5"] * 4, ["7.5"] * 3, change))
        return
    with pytest.raises(BadInput, match=r"45\.00°.*at most 44\.99°"):
        solved(["7.5"] * 4, ["7.5"] * 3, change)


def test_a_gap_that_may_be_nothing(solved) -> None:
    finite(solved(STEPS, RUNS, (GAPS, 'end_gap = { least = "0", most = "0.04" }')))


def test_balusters_that_would_stand_in_one_another(solved) -> None:
    # Apart by the pitch along the rail, they come closer than they are wide on the rake.
    kit = ((PITCH, 'pitch = "0.9"'), ('size = "1 1/8"', 'size = "0.8"'))
    with pytest.raises(BadInput, match="stand in one another"):
        solved(STEPS, RUNS, *kit)


def test_a_level_run_has_no_rake_at_all() -> None:
    sample = Path(__file__).parent.parent.parent / "samples" / "deck-two-flights.toml"
    job = finite(solve_job(load_job(sample), stock_effort=0.05))
    assert job.book.value("D.rake") == 0
    assert job.book.text("D.rake") == "0.0°"

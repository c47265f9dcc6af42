"""The spread of a level run's checked figures: by hand, from the spread of its length."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from turn_job import TURN

from railsheet.checks.finding import Finding
from railsheet.cli.main import cli
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.job.load import load_job
from railsheet.survey.plan_adjust import plan_sigma_mm


def job_at(tmp_path: Path, length: str) -> Path:
    """The turn's run A of another length, its free post moved with it."""
    text = TURN.replace("UNITS", "mm").replace("P2X", "150 mm")
    path = tmp_path / "job.toml"
    path.write_text(text.replace('L = "1600 mm"', f'L = "{length}"', 1), encoding="utf-8")
    return path


def solved(tmp_path: Path, length: str) -> SolvedJob:
    return solve_job(load_job(job_at(tmp_path, length)))


def of_run_a(job: SolvedJob) -> tuple[Finding, ...]:
    checks = next(work for work in job.levels if work.mark == "A").checks
    assert checks is not None
    return checks.findings


def test_an_end_gap_near_its_limit_scatters_by_half_the_lengths_spread(tmp_path: Path) -> None:
    # Thirteen balusters at the kit's pitch in one bay: what the run is longer by goes half into
    # each end gap, and the greatest circle between two plumb faces is as wide as they stand apart.
    job = solved(tmp_path, "1618 mm")
    (bay,) = next(work for work in job.levels if work.mark == "A").railing.bays
    ends = [f for f in of_run_a(job) if "at the post" in f.where and f.figure is not None]
    assert ends
    for finding in ends:
        assert finding.figure == pytest.approx(bay.gap_mm, abs=1e-3)
        sigma = plan_sigma_mm(1618.0, job.job.tape.step_mm) / 2
        assert finding.sigma == pytest.approx(sigma, rel=1e-3)
        # 101.6 less 100.975 mm is within two sigmas of 0.48: by the tape it may be outside.
        assert 0.0 < finding.margin < 2 * sigma
        assert finding.unsure


def test_what_does_not_rest_on_the_length_has_no_spread(tmp_path: Path) -> None:
    findings = of_run_a(solved(tmp_path, "1618 mm"))
    heights = [f for f in findings if f.limit.quantity.value == "guard_height"]
    assert heights
    assert all(f.sigma is None for f in heights)
    between = [f for f in findings if f.where.startswith("bay 1, opening 2 ")]
    assert all(f.sigma is None for f in between)


def test_a_gap_far_from_its_limit_is_not_asked_for_a_spread(tmp_path: Path) -> None:
    ends = [f for f in of_run_a(solved(tmp_path, "1600 mm")) if "at the post" in f.where]
    assert ends
    assert all(f.sigma is None and not f.unsure for f in ends)


def test_check_says_where_the_doubt_could_turn_it(tmp_path: Path) -> None:
    done = CliRunner().invoke(cli, ["check", str(job_at(tmp_path, "1618 mm"))])
    assert done.exit_code == 0, done.output
    words = " ".join(done.output.split())
    assert "opening" in words
    assert "margin within the readings' doubt" in words

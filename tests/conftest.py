"""Jobs for the tests, made from one text with named changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from railsheet.job.load import load_job
from railsheet.job.model import FlightSpec
from railsheet.layout.flight import solve_flight
from railsheet.layout.railing import Railing
from railsheet.layout.site import solve_site
from railsheet.layout.site_model import Site
from railsheet.survey.flight import survey_flight
from railsheet.survey.stair import stair_from_readings

# A machine that is busy with something else is no reason to fail a property.
settings.register_profile("patient", deadline=None)
settings.load_profile("patient")

SAMPLES = Path(__file__).parent.parent / "samples"
# The tests' rail stands at a round 36 in, whatever the demonstration's does.
PORCH = (
    (SAMPLES / "porch-flight.toml")
    .read_text(encoding="utf-8")
    .replace('rail_height = "36 1/8"', 'rail_height = "36"')
)

Changed = Callable[..., Path]


@pytest.fixture
def job_file(tmp_path: Path) -> Changed:
    """Write the porch sample with some of its text replaced, each replacement made once."""

    def write(*changes: tuple[str, str], name: str = "job.toml") -> Path:
        text = PORCH
        for old, new in changes:
            assert old in text, f"the sample no longer holds {old!r}"
            text = text.replace(old, new, 1)
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture
def solve(job_file: Changed) -> Callable[..., Railing]:
    """Solve the porch sample with some of its text replaced."""

    def solved(*changes: tuple[str, str]) -> Railing:
        return solve_file(job_file(*changes))

    return solved


def solve_file(path: Path) -> Railing:
    """The first flight of a job file, solved."""
    job = load_job(path)
    spec = job.flights[0]
    return solve_flight(stair_from_readings(spec.readings), spec, job.kit, job.file)


@pytest.fixture
def lay_out() -> Callable[[Path], Site]:
    """Solve the site of a job file: its runs in plan, with no stock plan and no sheets."""

    def laid(path: Path) -> Site:
        job = load_job(path)

        def alone(spec: FlightSpec) -> Railing:
            return solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)

        return solve_site(job, alone)

    return laid


@pytest.fixture
def station(tmp_path: Path, lay_out: Callable[[Path], Site]) -> Callable[..., Site]:
    """Solve the station sample with some of its text replaced."""

    def laid(*changes: tuple[str, str]) -> Site:
        text = (SAMPLES / "station-steps.toml").read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text, f"the sample no longer holds {old!r}"
            text = text.replace(old, new, 1)
        path = tmp_path / "site.toml"
        path.write_text(text, encoding="utf-8")
        return lay_out(path)

    return laid

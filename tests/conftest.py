"""Jobs for the tests, made from one text with named changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.layout.railing import Railing
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

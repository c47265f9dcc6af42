"""Odd input is refused in one line, whatever it is: never a traceback, never a wild number.

The long run is `python tests/fuzz/long_run.py 100000`.
"""

from __future__ import annotations

import math
import random
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mutate import CODES, KITS, SAMPLES, gently_changed, job_and_kit, length_text, mutated, written

from railsheet.checks.profile import load_profile
from railsheet.cli.solve import solve_job
from railsheet.errors import BadInput
from railsheet.job.load import load_job
from railsheet.job.located import located
from railsheet.units.length import LengthError, Unit, parse_length

JOBS = [path.read_text(encoding="utf-8") for path in SAMPLES]
KIT_TEXTS = [path.read_text(encoding="utf-8") for path in KITS]
CODE_TEXTS = [path.read_text(encoding="utf-8") for path in CODES]


def told(bad: BadInput) -> str:
    message = str(located(bad))
    assert "\n" not in message
    assert len(message) < 6000
    return message


def check_length(rng: random.Random) -> None:
    for unit in Unit:
        try:
            length = parse_length(length_text(rng), unit)
        except LengthError:
            continue
        assert math.isfinite(length)
        assert length >= 0


def check_load(rng: random.Random, folder: Path) -> bool:
    """Load a job gone wrong; whether it was taken all the same."""
    try:
        load_job(job_and_kit(rng, folder, JOBS, KIT_TEXTS, mutated))
    except BadInput as bad:
        told(bad)
        return False
    return True


def check_profile(rng: random.Random, folder: Path) -> None:
    path = folder / "code.toml"
    written(path, mutated(rng, rng.choice(CODE_TEXTS)))
    try:
        load_profile(path)
    except BadInput as bad:
        told(bad)


def check_solve(rng: random.Random, folder: Path) -> None:
    """Solve a job whose lengths were changed: finite figures, each with its text, or refused."""
    path = job_and_kit(rng, folder, JOBS, KIT_TEXTS, gently_changed)
    try:
        solved = solve_job(load_job(path), stock_effort=0.02)
    except BadInput as bad:
        told(bad)
        return
    for figure in solved.book:
        assert math.isfinite(figure.value), figure.key
        assert solved.book.text(figure.key)


@given(st.text(max_size=60) | st.from_regex(r"[0-9 ./'\"-]{0,20}(mm|cm|in|ft|m)?", fullmatch=True))
def test_any_text_is_a_length_or_is_refused(text: str) -> None:
    for unit in Unit:
        try:
            length = parse_length(text, unit)
        except LengthError:
            continue
        assert math.isfinite(length)
        assert length >= 0


@given(st.randoms(use_true_random=False))
@settings(max_examples=100)
def test_odd_lengths(rng: random.Random) -> None:
    check_length(rng)


@pytest.mark.parametrize("check", [check_load, check_profile], ids=["jobs and kits", "codes"])
@given(rng=st.randoms(use_true_random=True))
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
def test_files_gone_wrong(check, rng: random.Random) -> None:
    with tempfile.TemporaryDirectory() as folder:
        check(rng, Path(folder))


@pytest.mark.parametrize("seed", range(12))
def test_what_loads_is_solved_or_refused(seed: int, tmp_path: Path) -> None:
    check_solve(random.Random(seed), tmp_path)

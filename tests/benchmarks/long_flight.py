"""A job of one long flight with line posts: the porch's, with more steps."""

from __future__ import annotations

import re
import time
from pathlib import Path
from random import Random

from railsheet.cli import solve
from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.survey.flight import survey_flight

PORCH = Path(__file__).parent.parent.parent / "samples" / "porch-flight.toml"


def long_flight(folder: Path, risers: int) -> Path:
    """Write a flight of so many risers, a sixteenth out here and there, into a folder."""
    chance = Random(4)
    up = [chance.choice(("7 3/16", "7 1/4", "7 1/4", "7 5/16")) for _ in range(risers)]
    along = [chance.choice(("10 7/16", "10 1/2", "10 1/2", "10 9/16")) for _ in up[1:]]
    text = PORCH.read_text(encoding="utf-8")
    for key, read in (("R", up), ("T", along)):
        listed = ", ".join(f'"{each}"' for each in read)
        text = re.sub(rf"^{key} = \[.*\]$", f"{key} = [{listed}]", text, flags=re.MULTILINE)
    path = folder / "long-flight.toml"
    path.write_text(text, encoding="utf-8")
    return path


def doubts_cost(folder: Path, risers: int) -> tuple[float, float]:
    """Processor time of such a flight's doubts: in solves of the flight alone, and in seconds."""
    job = load_job(long_flight(folder, risers))
    spec = job.flights[0]
    stair = survey_flight(spec.readings).stair
    start = time.process_time()
    for _ in range(5):
        solve_flight(stair, spec, job.kit, job.file)
    alone = (time.process_time() - start) / 5
    taken = 0.0

    def timed(function):
        def call(*given, **named):
            nonlocal taken
            begun = time.process_time()
            try:
                return function(*given, **named)
            finally:
                taken += time.process_time() - begun

        return call

    held = solve.finding_sigmas, solve.doubts_along
    solve.finding_sigmas, solve.doubts_along = map(timed, held)
    try:
        solve.solve_job(job)
    finally:
        solve.finding_sigmas, solve.doubts_along = held
    return taken / alone, taken

"""How the work grows, as ratios within one run: never seconds."""

from __future__ import annotations

import dataclasses
import time
from pathlib import Path

from railsheet.cli.solve import solve_job
from railsheet.job.load import load_job

SAMPLE = Path(__file__).parent.parent.parent / "samples" / "porch-flight.toml"


def seconds(job, times: int) -> float:
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        solve_job(job)
        best = min(best, time.perf_counter() - start)
    return best


def test_solving_grows_in_proportion_to_the_flights(record_property) -> None:
    job = load_job(SAMPLE)
    flight = job.flights[0]

    def of(count: int):
        marks = [f"A{number}" for number in range(count)]
        flights = tuple(dataclasses.replace(flight, mark=mark) for mark in marks)
        return dataclasses.replace(job, flights=flights)

    few, many = seconds(of(10), 5), seconds(of(80), 3)
    record_property("eight_times_the_flights", many / few)
    # Eight times the work, with room for a busy machine; squared growth would be 64.
    assert many / few < 24

"""The benchmark: every figure a ratio within this run. ``python tests/benchmarks/report.py``.

About five minutes of processor time. Nothing is asserted here: the tests beside it hold what must
not get worse.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from long_deck import drawing_s, solving_s
from long_flight import doubts_cost
from one_flight import SAMPLE, against_bare
from plain_stock import plainly, planned, rails

from railsheet.job.load import load_job
from railsheet.layout.flight import solve_flight
from railsheet.survey.flight import survey_flight


def one_flight(folder: Path) -> None:
    """Cold start to full set against the bare cost."""
    found = against_bare(folder, 5)
    print("one flight, cold start to full set, against the bare cost of writing as much")
    print(f"  processor time {found.time:.2f} x (goal 1.5)   memory {found.memory:.2f} x")


def solving(folder: Path) -> None:
    """The solve alone, and how solving and drawing grow."""
    job = load_job(SAMPLE)
    spec = job.flights[0]
    best = float("inf")
    for _ in range(5):
        start = time.process_time()
        solve_flight(survey_flight(spec.readings).stair, spec, job.kit, job.file)
        best = min(best, time.process_time() - start)
    print(f"solve alone: a flight of one bay {1000 * best:.2f} ms (goal 5)")
    solved = {bays: solving_s(bays) for bays in (1, 10, 100)}
    print(f"  a level run of 100 bays {10 * solved[100]:.2f} ms a bay (goal 5)")
    _growth(solved)
    print("solved and drawn to the PDF")
    drawing_s(1, folder)
    _growth({bays: drawing_s(bays, folder) for bays in (1, 10, 100)})


def _growth(taken: dict[int, float]) -> None:
    print(
        f"  10 bays {taken[10] / taken[1]:.1f} x one, 100 bays {taken[100] / taken[10]:.1f} x ten"
    )


def doubts(folder: Path) -> None:
    """What the readings' doubt costs, in solves of the flight alone, and how it grows."""
    print("the readings' doubt of one flight's figures and findings, as often as a solve of it")
    found = {risers: doubts_cost(folder, risers) for risers in (15, 30, 60)}
    for risers, (solves, seconds) in found.items():
        print(f"  {risers} risers: {solves:.0f} solves, {seconds / found[15][1]:.1f} x 15 risers")


def stock() -> None:
    """The stock plan against the plain model, which gets as long, and ten seconds at least."""
    print("stock plan against the assignment model given to HiGHS plainly")
    planned(rails(5, 1), 3.0)  # what is loaded once is loaded now
    for count in (20, 60, 200, 1000):
        work = rails(count, 3)
        ours = planned(work, 3.0)
        assert ours.bars is not None
        plain = plainly(work, ours.bars + 1, max(10.0, ours.cpu_s))
        found = "no plan" if plain.bars is None else f"{plain.bars} bars"
        print(
            f"  {count} pieces: {ours.bars} bars, bound {ours.bound}; plainly {found}, "
            f"bound {plain.bound}, in {plain.cpu_s / ours.cpu_s:.1f} x the time"
        )


def main() -> None:
    """Run every part and print its ratios."""
    with tempfile.TemporaryDirectory() as name:
        one_flight(Path(name))
        solving(Path(name))
        doubts(Path(name))
        stock()


if __name__ == "__main__":
    main()

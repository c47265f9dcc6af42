"""No two checked figures of a run go by one name: doubts and findings find them by it."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from railsheet.checks.flight_checks import flight_figures, level_figures
from railsheet.checks.openings_of import Sort, openings_of
from railsheet.cli.solve import solve_job
from railsheet.job.load import load_job

SAMPLES = Path(__file__).parents[2] / "samples"
THIRTEEN = """
R = ["7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 1/2",
     "7 1/2", "7 1/2", "7 1/2"]
T = ["10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2", "10 1/2",
     "10 1/2", "10 1/2", "10 1/2"]
"""


@pytest.mark.parametrize("sample", sorted(path.stem for path in SAMPLES.glob("*.toml")))
def test_every_figure_has_a_name_of_its_own(sample: str) -> None:
    job = load_job(SAMPLES / f"{sample}.toml")
    solved = solve_job(job)
    for work in solved.works:
        openings = openings_of(work.railing)
        figures = flight_figures(work.railing, job.building, openings)
        assert max(Counter(figure.key for figure in figures).values()) == 1
    for level in solved.levels:
        openings = openings_of(level.railing)
        figures = level_figures(level.railing, job.building, openings)
        assert max(Counter(figure.key for figure in figures).values()) == 1


def test_a_step_that_a_line_post_parts_is_two_openings(tmp_path: Path) -> None:
    text = (SAMPLES / "cable-rail.toml").read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(("R = ", "T = "))]
    kept.insert(kept.index("[flight.readings]") + 1, THIRTEEN)
    path = tmp_path / "job.toml"
    path.write_text("\n".join(kept), encoding="utf-8")
    work = solve_job(load_job(path)).works[0]
    post = work.railing.posts[1]
    steps = [each for each in openings_of(work.railing) if each.sort is Sort.STEP]
    parted = {each.where: each.circle for each in steps if "step 7" in each.where}
    assert set(parted) == {"under the rail, step 7, bay 1", "under the rail, step 7, bay 2"}
    assert parted["under the rail, step 7, bay 1"].s_mm < post.centre_s_mm
    assert parted["under the rail, step 7, bay 2"].s_mm > post.centre_s_mm
    assert "under the rail, step 6" in {each.where for each in steps}
    assert work.checks is not None
    # Each has its own place in the findings, with a figure of its own.
    found = [each for each in work.checks.findings if "step 7" in each.where]
    assert {each.where: each.figure for each in found} == {
        where: pytest.approx(circle.diameter_mm, abs=1e-9) for where, circle in parted.items()
    }

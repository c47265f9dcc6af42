"""Flights long enough for line posts, in several kits, proven by their solids.

Source: Open CASCADE through cadquery, a general-purpose solid modelling library. The spheres are
left out: they take the most time, and `test_prove.py` and `test_prove_openings.py` look at them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import solve_job
from railsheet.figures.record import figure_record
from railsheet.job.load import load_job
from railsheet.proof import prove as proof_room
from railsheet.proof.prove import prove

JOB = """
[job]
name = "Long flight"
place = "an invented bank"
date = 2026-11-25
measured_by = "lead hand"
units = "mm"
tape = "1"
kit = "{kit}"
paper = "a3"

[[flight]]
mark = "A"
side = "left"
rail_height = "930"

[flight.readings]
R = {risers}
T = {treads}
N = "25"
K = "38"
W = "1100"
open_risers = false

[flight.bottom_post]
stands_on = "tread 1"
place = "free"

[flight.top_post]
stands_on = "deck"
place = "set"
E = "102"
I = "22"
"""


@pytest.fixture(autouse=True)
def no_spheres(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> Iterator[object]:
        return iter(())

    monkeypatch.setattr(proof_room, "sphere_figures", none)


@pytest.mark.parametrize(
    ("kit", "steps", "rise_mm", "going_mm"),
    [
        # Plumb cuts that open an empty hole: its side was taken for the cut.
        ("whimbrel", 22, 165, 280),
        # Windows that the kit's span clips, with line posts and without.
        ("dunlin", 19, 190, 300),
        ("whimbrel", 9, 165, 280),
        ("siskin", 19, 190, 300),
        ("dunnock", 18, 175, 270),
    ],
)
def test_a_long_flight_is_proven(
    kit: str, steps: int, rise_mm: int, going_mm: int, tmp_path: Path
) -> None:
    path = tmp_path / "long.toml"
    risers, treads = [rise_mm] * steps, [going_mm] * (steps - 1)
    path.write_text(JOB.format(kit=kit, risers=risers, treads=treads))
    solved = solve_job(load_job(path))
    if steps > 12:
        assert len(solved.works[0].railing.bays) > 2
    record = figure_record(solved.book, solved.job, solved.notices, {})
    proof = prove(raised_job(solved, "test"), json.loads(json.dumps(record))["figures"])
    assert not [(held.key, held.from_solid, held.on_sheet) for held in proof.failing]
    assert proof.holds

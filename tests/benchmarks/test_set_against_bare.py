"""A full set's cost against that of a plain program that writes as much."""

from __future__ import annotations

from pathlib import Path

from one_flight import against_bare


def test_a_set_stays_within_a_few_times_the_bare_cost(tmp_path: Path) -> None:
    found = against_bare(tmp_path, 3)
    # The goal is 1.5; DEVELOPERS.md says what stands between. This holds what was won: it was 4.0.
    assert found.time <= 3.0
    assert found.memory <= 2.0

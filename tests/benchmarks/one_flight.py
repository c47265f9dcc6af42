"""A cold start to the full set of one flight, against the bare cost of writing as much."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from child_cost import ROOT, Cost, least, run
from counted_set import counted

SAMPLE = ROOT / "samples" / "porch-flight.toml"
BARE = Path(__file__).parent / "bare_writer.py"


@dataclass(frozen=True)
class AgainstBare:
    """The drawn set's cost and the bare one's, each the best of several, taken in turn."""

    drawn: Cost
    bare: Cost

    @property
    def time(self) -> float:
        """How many times the bare processor time a set takes."""
        return self.drawn.cpu_s / self.bare.cpu_s

    @property
    def memory(self) -> float:
        """How many times the bare memory a set takes at its peak."""
        return self.drawn.peak_kb / self.bare.peak_kb


def against_bare(folder: Path, times: int) -> AgainstBare:
    """Draw one flight and write its like, in turn, so that both meet the same machine."""
    out, bare, bytecode = folder / "set", folder / "bare", folder / "bytecode"
    counts = folder / "counts.json"
    bare.mkdir()
    draw = ("-m", "railsheet", "draw", SAMPLE, "--out", out)
    write = (BARE, counts, bare)
    run(draw, bytecode)  # what is compiled once is compiled now
    counts.write_text(json.dumps(counted(out)), encoding="utf-8")
    run(write, bytecode)
    pairs = [(run(draw, bytecode), run(write, bytecode)) for _ in range(times)]
    return AgainstBare(least([drawn for drawn, _ in pairs]), least([bare for _, bare in pairs]))

"""How much of the solving rooms the tests hold: small wrongs are made, and the tests must notice.

    pip install coverage
    python tests/mutation/run.py [--minutes 25] [--seed 9] [--again FILE]

First every unit and validation test is run once to learn which lines it runs (a few minutes; kept
in the folder of `--work` till it is removed). Then wrongs are drawn evenly at random from all of
survey, layout, checks and cuts (`mutants.py`), until the minutes are over, and each is tried
against the tests that run its line (`killers.py`). The seed says the order, so a longer run holds
a shorter one. `--again` tries exactly the wrongs of an earlier run's results, by name.
Results are written to WORK/results.json; the survivors are printed.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import tempfile
from collections import Counter
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

import pytest  # noqa: E402
from killers import OPTIONS, TESTS, Cover, Kill, Map  # noqa: E402
from mutants import ROOT, Mutant, modules, mutants_of  # noqa: E402


def learn(work: Path) -> Map:
    """Which tests run which line: read from the folder, or found in a run of its own."""
    path = work / "lines.json"
    if not path.exists():
        child = os.fork()
        if not child:
            pytest.main([*OPTIONS, *TESTS], plugins=[Cover(path, modules())])
            os._exit(0)
        os.waitpid(child, 0)
    return Map(**json.loads(path.read_text(encoding="utf-8")))


def chosen(seed: int, again: Path | None) -> tuple[list[Mutant], int]:
    """The mutants in the order they are tried, and of how many."""
    everyone = [mutant for module in modules() for mutant in mutants_of(module)]
    if again is None:
        order = list(everyone)
        random.Random(seed).shuffle(order)
        return order, len(everyone)
    by_name = {mutant.name: mutant for mutant in everyone}
    kept = json.loads(again.read_text(encoding="utf-8"))
    same = [
        by_name[one["name"]]
        for one in kept
        if one["name"] in by_name and by_name[one["name"]].was == one["was"]
    ]
    print(f"{len(kept) - len(same)} of {len(kept)} stand no more where they stood")
    return same, len(everyone)


def main() -> None:
    """Learn, try, tell."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--minutes", type=float, default=25)
    parser.add_argument("--seed", type=int, default=9)
    parser.add_argument("--again", type=Path)
    parser.add_argument("--work", type=Path, default=Path(tempfile.gettempdir()) / "mutation")
    asked = parser.parse_args()
    os.chdir(ROOT)
    asked.work.mkdir(parents=True, exist_ok=True)
    known = learn(asked.work)
    mutants, of = chosen(asked.seed, asked.again)
    run = Kill(mutants, known, asked.work / "results.json", asked.minutes)
    pytest.main([*OPTIONS, f"--basetemp={asked.work / 'tmp'}", *TESTS], plugins=[run])
    tell(run, of)


def tell(run: Kill, of: int) -> None:
    """The score of each room, and who survived."""
    ended = {"killed", "no end"}
    rooms: dict[str, Counter[bool]] = {}
    for one in run.outcomes:
        if one.how not in ("gone", "false alarm"):
            rooms.setdefault(one.name.split(".")[1], Counter())[one.how in ended] += 1
    for one in run.outcomes:
        if one.how not in ended:
            short = " (cut short)" if one.cut_short else ""
            print(f"{one.how}{short}: {one.name} line {one.line}\n    {one.was}\n    {one.now}")
    print(f"tried {len(run.outcomes)} of {of}")
    for room, counts in sorted(rooms.items()):
        total = counts.total()
        print(f"{room:8} {counts[True]:4} of {total:4} noticed: {counts[True] / total:.1%}")
    noticed = sum(counts[True] for counts in rooms.values())
    total = sum(counts.total() for counts in rooms.values())
    print(f"{'all':8} {noticed:4} of {total:4} noticed: {noticed / max(total, 1):.1%}")


if __name__ == "__main__":
    main()

"""A long fuzz run by hand: `python tests/fuzz/long_run.py 100000 [SEED]`.

Of the inputs, six in ten are lengths, 35 in a hundred job and kit files, four in a hundred code
profiles, and one in a hundred is solved as well where it loads. Each must end within ten seconds
of the processor, in at most a gigabyte of memory. Any failure is printed with the seed that
repeats it.
"""

from __future__ import annotations

import random
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

from test_fuzz_input import check_length, check_load, check_profile, check_solve

SECONDS = 10
GIGABYTE = 1 << 30


def main(inputs: int, seed: int) -> int:
    failed = 0
    counts: Counter[str] = Counter()
    slowest: dict[str, float] = {}
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for number in range(inputs):
            rng = random.Random(f"{seed} {number}")
            of = number % 100
            kind = "length" if of < 60 else "load" if of < 95 else "code" if of < 99 else "solve"
            signal.setitimer(signal.ITIMER_PROF, SECONDS)
            began = time.monotonic()
            try:
                if kind == "length":
                    check_length(rng)
                elif kind == "load":
                    counts["loaded"] += check_load(rng, folder)
                elif kind == "code":
                    check_profile(rng, folder)
                else:
                    check_solve(rng, folder)
            except BaseException as error:
                if isinstance(error, KeyboardInterrupt):
                    raise
                failed += 1
                print(f"seed {seed} {number} ({kind}):")
                traceback.print_exc(limit=-4, file=sys.stdout)
            finally:
                signal.setitimer(signal.ITIMER_PROF, 0)
            counts[kind] += 1
            slowest[kind] = max(slowest.get(kind, 0.0), time.monotonic() - began)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    print(f"{inputs} inputs, {failed} failed, {time.monotonic() - start:.0f} s, {dict(counts)}")
    print(f"peak memory {peak / GIGABYTE:.2f} GiB; slowest, s: {slowest}")
    return 1 if failed or peak > GIGABYTE else 0


def _too_long(number: int, frame: object) -> None:
    raise TimeoutError(f"longer than {SECONDS} s")


if __name__ == "__main__":
    signal.signal(signal.SIGPROF, _too_long)
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1))

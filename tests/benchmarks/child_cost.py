"""What a program costs from its start to its end, all of its own loading included."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent

# A child's peak counts what the process that started it held: a small one starts it.
_LAUNCH = """
import os, subprocess, sys
quiet = subprocess.DEVNULL
child = subprocess.Popen(sys.argv[1:], stdout=quiet, stderr=quiet)
_, status, used = os.wait4(child.pid, 0)
print(os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime, used.ru_maxrss)
"""


@dataclass(frozen=True)
class Cost:
    """What one run took.

    Attributes:
        cpu_s: processor time of the process, user and system, seconds: on a machine that others
            use the clock says how busy they are.
        peak_kb: the most memory it held, as the system counts it (kB on Linux).
    """

    cpu_s: float
    peak_kb: int


def run(arguments: Sequence[object], bytecode: Path) -> Cost:
    """Run Python with these arguments and wait for its end.

    Args:
        bytecode: where compiled modules are kept: an installed program finds them there.

    Raises:
        RuntimeError: it failed.
    """
    env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    env |= {"PYTHONPYCACHEPREFIX": str(bytecode), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-S", "-c", _LAUNCH, sys.executable, *map(str, arguments)],
        capture_output=True,
        text=True,
        env=env,
        check=True,
    )
    status, cpu_s, peak_kb = done.stdout.split()
    if status != "0":
        raise RuntimeError(f"{arguments} ended with {status}")
    return Cost(float(cpu_s), int(peak_kb))


def least(costs: Sequence[Cost]) -> Cost:
    """The best of several runs: what was least disturbed."""
    return Cost(min(cost.cpu_s for cost in costs), min(cost.peak_kb for cost in costs))

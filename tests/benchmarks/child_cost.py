"""What a program costs from its start to its end, all of its own loading included."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent


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
    child = subprocess.Popen(
        [sys.executable, *map(str, arguments)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=env,
    )
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise RuntimeError(f"{arguments} ended with {child.returncode}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss)


def least(costs: Sequence[Cost]) -> Cost:
    """The best of several runs: what was least disturbed."""
    return Cost(min(cost.cpu_s for cost in costs), min(cost.peak_kb for cost in costs))

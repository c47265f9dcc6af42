"""Heavy libraries are loaded only where a command uses them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

SAMPLE = Path(__file__).parent.parent.parent / "samples" / "porch-flight.toml"
HEAVY = ("cadquery", "matplotlib.pyplot", "scipy", "shapely", "ezdxf", "reportlab", "numpy")


def loaded(*arguments: str) -> set[str]:
    """Which heavy libraries a command has loaded when it ends."""
    code = (
        "import sys, atexit\n"
        f"atexit.register(lambda: print('loaded', *(m for m in {HEAVY!r} if m in sys.modules)))\n"
        f"sys.argv = ['railsheet', *{arguments!r}]\n"
        "from railsheet.cli.main import main\n"
        "main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=300
    )
    last = done.stdout.strip().splitlines()[-1].split()
    assert last[0] == "loaded"
    return set(last[1:])


@pytest.mark.parametrize(
    "command", [("--help",), ("new", "stair.toml", "--risers", "6"), ("draw", "--help")]
)
def test_a_word_of_help_loads_nothing_heavy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert loaded(*command) == set()


def test_drawing_loads_neither_solids_nor_plots_nor_a_solver_it_does_not_need(
    tmp_path: Path,
) -> None:
    found = loaded("draw", str(SAMPLE), "--out", str(tmp_path / "set"))
    assert found == {"numpy", "shapely", "ezdxf", "reportlab"}

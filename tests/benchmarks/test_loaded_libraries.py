"""What a command does not need is not loaded: heavy libraries, and modules of what a job lacks."""

from __future__ import annotations

import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parent.parent.parent / "samples"
SAMPLE = SAMPLES / "porch-flight.toml"
HEAVY = ("cadquery", "matplotlib.pyplot", "scipy", "shapely", "ezdxf", "reportlab", "numpy")
# Libraries that the plain program of the bare cost does not load either.
NEEDLESS = ("numpy.ma", "urllib.request", "http.client", "email", "ssl", "xml.sax.saxutils")
# What a flight of punched rails between two posts has nothing of, and the sample that has it.
PLAIN_LACKS = {
    "deck-two-flights": (
        "checks.turn_figures",
        "cli.site_work",
        "figures.level_doubt",
        "figures.plan",
        "layout.corner",
        "layout.joints",
        "layout.level",
        "layout.plan",
        "layout.site",
        "layout.site_model",
        "layout.turn",
        "sheets.inspection_level",
        "sheets.level_elevation",
        "sheets.level_sheets",
        "sheets.plan_sheet",
        "sheets.turns",
        "survey.plan_adjust",
    ),
    "wall-handrail": (
        "checks.own_handrail",
        "cli.handrails",
        "cuts.handrail_cuts",
        "figures.handrail",
        "figures.handrail_doubt",
        "job.handrail",
        "job.handrail_read",
        "job.kit_handrail",
        "layout.handrail",
        "layout.handrail_model",
        "sheets.handrail_sheet",
        "sheets.handrail_tables",
        "sheets.handrail_work",
    ),
    "cable-rail": ("layout.infill.cable",),
    "drilled-rail": ("layout.infill.drilled",),
    "cut-to-fit": ("layout.infill.cut",),
    "racking-panel": ("layout.infill.panel",),
    "solid-pane": ("layout.infill.solid",),
    "butted-rails": ("layout.ends.butt",),
    "housed-rails": ("layout.ends.housed",),
    "coped-rails": ("layout.ends.coped", "layout.development", "sheets.wrap_template"),
    "rail-over-posts": ("layout.ends.over",),
    "returned-rail": ("job.kit_return", "layout.ends.returned", "sheets.return_plan"),
    "eased-rails": (
        "figures.easing",
        "job.kit_easing",
        "layout.eased_joint",
        "layout.easing",
        "sheets.easing_sheet",
    ),
    "crooked-garden-stair": ("layout.straight", "layout.width"),
}
# What no sample is drawn with: an earlier set, drops on hand, solids.
ASKED_BY_OPTION = (
    "cli.compare",
    "cli.many",
    "figures.compare",
    "sheets.clouds",
    "sheets.view_sheet",
    "solids.view_lines",
)


def modules(*arguments: str, status: int = 0) -> set[str]:
    """Every module that a command has loaded when it ends."""
    code = (
        "import sys, atexit\n"
        "atexit.register(lambda: print('loaded', *sys.modules))\n"
        f"sys.argv = ['railsheet', *{arguments!r}]\n"
        "from railsheet.cli.main import main\n"
        "main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == status, done.stderr
    last = done.stdout.strip().splitlines()[-1].split()
    assert last[0] == "loaded"
    return set(last[1:])


def own(names: tuple[str, ...]) -> set[str]:
    """Modules of the project by their whole names; each must be there, or it was renamed."""
    whole = {f"railsheet.{name}" for name in names}
    assert all(find_spec(name) for name in whole)
    return whole


def drawn(sample: str, folder: Path) -> set[str]:
    return modules("draw", str(SAMPLES / f"{sample}.toml"), "--out", str(folder / "set"))


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """What drawing a plain flight loads."""
    return drawn("porch-flight", tmp_path_factory.mktemp("plain"))


@pytest.mark.parametrize(
    "command", [("--help",), ("new", "stair.toml", "--risers", "6"), ("draw", "--help")]
)
def test_a_word_of_help_loads_nothing_heavy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert not modules(*command) & {*HEAVY}


@pytest.mark.parametrize("command", [("draw", "--out", "set"), ("check",)])
def test_a_mistake_in_a_job_is_told_before_anything_is_loaded_to_solve_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    text = SAMPLE.read_text(encoding="utf-8")
    (tmp_path / "job.toml").write_text(text.replace("[job]", "[job]\nmade_up = 1", 1), "utf-8")
    found = modules(command[0], "job.toml", *command[1:], status=2)
    assert not found & {*HEAVY}
    rooms = {name.split(".")[1] for name in found if name.startswith("railsheet.")}
    assert not rooms & {"survey", "layout", "checks", "cuts", "figures", "sheets", "export"}


def test_drawing_loads_neither_solids_nor_plots_nor_a_solver_it_does_not_need(
    plain: set[str],
) -> None:
    assert plain & {*HEAVY} == {"numpy", "shapely", "ezdxf", "reportlab"}
    assert not plain & {*NEEDLESS}


def test_a_plain_flight_loads_nothing_of_what_it_has_not(plain: set[str]) -> None:
    lacked = own(tuple(name for names in PLAIN_LACKS.values() for name in names))
    assert not plain & (lacked | own(ASKED_BY_OPTION))


@pytest.mark.parametrize("sample", PLAIN_LACKS)
def test_what_a_plain_flight_lacks_is_loaded_for_a_job_that_has_it(
    sample: str, tmp_path: Path
) -> None:
    assert own(PLAIN_LACKS[sample]) <= drawn(sample, tmp_path)

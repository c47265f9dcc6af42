"""What changed, in words: every kind of change is told once, and nothing that did not change."""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from railsheet.cli.compare import read_record
from railsheet.cli.main import cli
from railsheet.errors import BadInput
from railsheet.figures.compare import compare

SAMPLES = Path(__file__).parent.parent.parent / "samples"


@pytest.fixture(scope="module")
def porch() -> dict:
    return dict(read_record(SAMPLES / "porch-flight.toml"))


@pytest.fixture
def later(porch) -> dict:
    """The same record, to be changed."""
    return copy.deepcopy(porch)


def lines(porch: dict, later: dict, title: str) -> tuple[str, ...]:
    found = compare(porch, later)
    return next((change.lines for change in found.changes if change.title == title), ())


def test_nothing_changed_is_nothing_told(porch, later) -> None:
    found = compare(porch, later)
    assert found.same
    assert not found.keys


def test_a_moved_figure_says_from_to_and_by_how_much(porch, later) -> None:
    figure = later["figures"]["A.bay.1.rail.top.length"]
    was = figure["shown"]
    figure["value"] += 0.25
    figure["shown"] = '56 1/8"'
    assert lines(porch, later, "Rails") == (
        f'A: Bay 1, top rail: long point to long point: {was} is now 56 1/8", 1/4" more',
    )
    assert compare(porch, later).keys == {"A.bay.1.rail.top.length"}


def test_a_move_too_small_to_print_is_counted(porch, later) -> None:
    later["figures"]["A.bay.1.rail.top.length"]["value"] += 1e-4
    found = compare(porch, later)
    assert not found.changes
    assert not found.keys
    assert found.unprinted == 1
    assert not found.same


def test_noise_is_no_change(porch, later) -> None:
    later["figures"]["A.bay.1.rail.top.length"]["value"] *= 1 + 1e-13
    assert compare(porch, later).same


def test_parts_are_known_by_what_they_are_not_by_their_place_in_the_list(porch, later) -> None:
    figures = later["figures"]
    keys = [key for key in figures if key.startswith("A.part.")]
    numbers = sorted({int(key.split(".")[2]) for key in keys})
    shifted = {key: figures.pop(key) for key in keys}
    for key, figure in shifted.items():
        head, name, number, what = key.split(".")
        if int(number) != numbers[0]:
            figures[f"{head}.{name}.{int(number) - 1}.{what}"] = figure
    told = lines(porch, later, "Parts")
    dropped = porch["figures"][f"A.part.{numbers[0]}.count"]
    assert f"Dropped: run A: {dropped['about']}, {dropped['value']}" in told
    assert len(told) == 2
    assert all(line.startswith("Dropped") for line in told)


def test_findings_and_notices_that_come_and_go(porch, later) -> None:
    finding = later["findings"][0]
    old = finding["status"]
    finding["status"] = "outside" if old != "outside" else "within"
    gone = later["notices"].pop(0)
    later["notices"].append({"weight": "stop", "topic": "x", "text": "a new thing"})
    (told,) = lines(porch, later, "Findings")
    assert finding["clause"] in told
    assert f"was {old}, is {finding['status']}" in told
    assert set(lines(porch, later, "Notices")) == {
        "New: STOP: a new thing",
        f"Gone: {gone['text']}",
    }


def test_holes_are_told_by_the_rail(porch, later) -> None:
    for number in (2, 3):
        figure = later["figures"][f"A.bay.1.rail.top.hole.{number}"]
        figure["value"] += 0.125 * number
        figure["shown"] += "*"
    assert lines(porch, later, "Holes and marks on rails") == (
        'Run A, bay 1, top rail: 2 moved, by 3/8" at the most',
    )


def test_a_run_that_is_new_and_one_that_is_gone(porch, later) -> None:
    later["figures"] = {
        (f"B{key[1:]}" if key.startswith("A.") else key): figure
        for key, figure in later["figures"].items()
    }
    assert lines(porch, later, "Runs") == ("Run B is new", "Run A is gone")


def test_the_command_says_it_and_its_code_tells(job_file: Callable[..., Path]) -> None:
    one = job_file(name="one.toml")
    two = job_file(('E = "4"', 'E = "4 1/4"'), name="two.toml")
    run = CliRunner().invoke(cli, ["compare", str(one), str(two)])
    assert run.exit_code == 1
    assert 'Top post: nose to its face: 4" is now 4 1/4", 1/4" more' in run.output
    assert "--all" in run.output
    more = CliRunner().invoke(cli, ["compare", str(one), str(two), "--all"])
    assert len(more.output.splitlines()) > len(run.output.splitlines())
    same = CliRunner().invoke(cli, ["compare", str(one), str(one)])
    assert (same.exit_code, same.output.splitlines()[-1]) == (0, "Nothing changed.")


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("a.json", None, "cannot be read"),
        ("a.json", "{", "is no JSON"),
        ("a.json", "[1]", "format 1"),
        ("a.json", '{"format": 2}', "format 1"),
        ("a.json", '{"format": 1, "job": {}, "figures": {}}', "a whole figures.json"),
        ("a.txt", "x", "a job file (.toml)"),
        ("a.dxf", "0\nSECTION\nnonsense", "is no DXF drawing"),
    ],
)
def test_what_cannot_be_compared_is_named(tmp_path, porch, name, text, says) -> None:
    path = tmp_path / name
    if text is not None:
        path.write_text(text, encoding="utf-8")
    sample = str(SAMPLES / "porch-flight.toml")
    run = CliRunner().invoke(cli, ["compare", sample, str(path)])
    assert isinstance(run.exception, BadInput)
    assert says in str(run.exception)
    assert str(path) in str(run.exception)


REVISION = '\n[[revision]]\nmark = "{}"\ndate = {}\nnote = ["{}"]\n'


@pytest.mark.parametrize(
    ("tables", "place"),
    [
        ([("A", "2026-11-21", "x"), ("A", "2026-11-22", "y")], "mark"),
        ([("A", "2026-11-21", "x"), ("B", "2026-11-20", "y")], "date"),
        ([("LONGMARK", "2026-11-21", "x")], "mark"),
        ([("A", "2026-11-21", " ")], "note"),
    ],
)
def test_revisions_that_cannot_be(job_file, tables, place) -> None:
    path = job_file()
    path.write_text(
        path.read_text(encoding="utf-8") + "".join(REVISION.format(*t) for t in tables),
        encoding="utf-8",
    )
    with pytest.raises(BadInput) as caught:
        read_record(path)
    assert place in caught.value.place


def test_a_finding_that_only_comes_in_another_place_is_not_marked() -> None:
    """Findings are numbered worst first: one that is as it was may have another number."""

    def entry(about: str, shown: str, value: float) -> dict:
        return {"value": value, "unit": "in", "shown": shown, "rounded": "nearest", "about": about}

    job = {"name": "a", "units": "ft-in", "tape": "1/16"}
    one, other = entry("riser 1", '7"', 7.0), entry("tread 2", '10"', 10.0)
    moved = entry("riser 1", '7 1/16"', 7.0625)
    before = {"A.finding.1.figure": one, "A.finding.2.figure": other}
    after = {"A.finding.1.figure": other, "A.finding.2.figure": moved}
    records = [{"job": job, "figures": figures, "notices": []} for figures in (before, after)]
    assert compare(*records).keys == {"A.finding.2.figure"}

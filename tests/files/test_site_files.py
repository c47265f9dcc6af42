"""What a site's files hang together by: the order of runs, one reading moved, plan and parts."""

from __future__ import annotations

import csv
import json
import math
import re
from pathlib import Path

import pytest

from railsheet.cli.draw import draw_job

HEAD = """
[job]
name = "Square deck"
place = "an invented yard"
date = 2026-11-21
measured_by = "lead hand"
units = "mm"
tape = "1"
kit = "dunlin"
paper = "a3"
"""
# Three sides of a deck: bearing and length between post middles, mm.
SIDES = {"D": ("P1", "P2", 0, 3000), "E": ("P2", "P3", 90, 2500), "F": ("P3", "P4", 180, 3000)}


def level(mark: str, length: float) -> str:
    start, end, bearing, _ = SIDES[mark]
    return (
        f'\n[[level]]\nmark = "{mark}"\nside = "left"\nrail_height = "1000"\nfrom = "{start}"\n'
        f'to = "{end}"\nbearing = {bearing}\nL = "{length}"\nI = "22"\nK = "30"\n'
    )


def drawn(folder: Path, order: str, **lengths: float) -> Path:
    text = HEAD + "".join(level(mark, lengths.get(mark, SIDES[mark][3])) for mark in order)
    (folder / "deck.toml").parent.mkdir(parents=True, exist_ok=True)
    (folder / "deck.toml").write_text(text, encoding="utf-8")
    draw_job(folder / "deck.toml", folder / "out", which="fabricator")
    return folder / "out"


@pytest.fixture(scope="module")
def deck(tmp_path_factory) -> Path:
    return drawn(tmp_path_factory.mktemp("deck"), "DEF")


def figures_of(out: Path) -> dict:
    return json.loads((out / "figures.json").read_text(encoding="utf-8"))["figures"]


def test_the_order_of_runs_in_the_file_changes_no_byte(deck: Path, tmp_path: Path) -> None:
    other = drawn(tmp_path / "turned", "FDE")
    names = sorted(path.name for path in deck.iterdir() if path.is_file())
    assert {"sheets.pdf", "D.dxf", "figures.json", "cuts.csv"} <= set(names)
    for name in names:
        # The record names the file it was read from, which is the same here.
        assert (deck / name).read_bytes() == (other / name).read_bytes(), name


def test_moving_one_reading_changes_only_what_depends_on_it(deck: Path, tmp_path: Path) -> None:
    before, after = figures_of(deck), figures_of(drawn(tmp_path / "moved", "DEF", F=2990))
    nothing = {"value": math.nan}
    changed = {
        key
        for key in before.keys() | after.keys()
        for one, other in [(before.get(key, nothing), after.get(key, nothing))]
        # Arithmetic far out in a sum may turn the last digit of another.
        if not abs(one["value"] - other["value"]) < 1e-9
        or abs(one.get("sigma", 0.0) - other.get("sigma", 0.0)) > 1e-9
    }
    assert "F.bay.1.clear" in changed
    for key in changed:
        # Its own figures, the post at its end, and the bars that all runs share.
        shared = re.match(r"(stock|buy|saw)\.", key) or ".bar." in key
        plan = key.startswith("site.") and re.search(r"P4|\.F\.|\.LF\.", key)
        # What one more reading would leave: a check diagonal rests on more than its own run.
        then = key.endswith(".plus_minus_then")
        assert key.startswith("F.") or shared or plan or then, key


def test_run_lengths_are_the_distances_between_the_plans_posts(deck: Path) -> None:
    figures = figures_of(deck)
    for mark, (start, end, _, length) in SIDES.items():
        a, b = (
            [figures[f"site.post.{post}.{axis}"]["value"] for axis in "xy"] for post in (start, end)
        )
        assert math.dist(a, b) == pytest.approx(length, abs=1e-9)
        assert figures[f"site.run.{mark}.length"]["value"] == pytest.approx(length, abs=1e-9)


def test_the_parts_of_the_runs_are_the_buying_list(deck: Path) -> None:
    figures = figures_of(deck)
    counted = sum(
        figure["value"]
        for key, figure in figures.items()
        if re.fullmatch(r"[A-Z]\.part\.\d+\.count", key)
    )
    with (deck / "parts.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["Kind"] != "bar"]
    assert counted == sum(int(row["Needed"]) for row in rows)

"""Spheres pushed at every opening of the solids, windows, gaps at rails' ends; faults planted.

Sources: Open CASCADE through cadquery, a general-purpose solid modelling library. The inradius of a
right triangle, (a + b - c) / 2: Euclidean geometry.
"""

from __future__ import annotations

import copy
import math
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_prove import SAMPLES, taken

from railsheet.proof.bays import take_bay
from railsheet.proof.compare import Compared, compare
from railsheet.proof.derived import Derived
from railsheet.proof.pressed import pressed_figures
from railsheet.proof.rail_ends import rail_end_figures
from railsheet.proof.section import Section
from railsheet.proof.spheres import sphere_figures
from railsheet.proof.under import walls_of
from railsheet.proof.windows import window_figures
from railsheet.solids.raised import RaisedJob
from railsheet.solids.run import RaisedRun

IN = 25.4
LIMIT_IN = 0.001
NONE = walls_of(())


def section(*solids: list[tuple[float, float]]) -> Section:
    """A section made of plain outlines."""
    faces = {}
    edges = []
    for number, outline in enumerate(solids):
        wire = cq.Wire.makePolygon([cq.Vector(s, 0, z) for s, z in outline], close=True)
        faces[str(number)] = (cq.Face.makeFromWires(wire),)
        edges += list(zip(outline, [*outline[1:], outline[0]], strict=True))
    return Section(faces, np.array(edges, dtype=np.float64))


@settings(max_examples=25, deadline=None)
@given(st.floats(120, 250), st.floats(180, 400), st.floats(0.2, 0.8), st.floats(0.2, 0.8))
def test_a_sphere_in_a_right_triangle(rise: float, run: float, along: float, up: float) -> None:
    """Tread, riser and a rail on the noses: the inradius, wherever it is pushed from."""
    tread = [(-50.0, -50.0), (run + 50, -50), (run + 50, 0), (-50, 0)]
    riser = [(run, -50.0), (run + 50, -50), (run + 50, rise + 50), (run, rise + 50)]
    high = rise / run
    rail = [(-50.0, -50 * high), (run + 50, (run + 50) * high), (run, 900), (-50, 900)]
    start = np.array([run * (0.4 + 0.5 * along), 0.0])
    start[1] = start[0] * high * (0.1 + 0.8 * up)
    pushed = section(tread, riser, rail).push(start, NONE)
    assert pushed.radius_mm == pytest.approx((rise + run - math.hypot(rise, run)) / 2, abs=1e-6)


def test_a_sphere_in_a_slot_and_at_a_wall() -> None:
    left, right = (
        [(-9.0, 0.0), (0, 0), (0, 500), (-9, 500)],
        [(80.0, 0), (89, 0), (89, 500), (80, 500)],
    )
    slot = section(left, right)
    assert slot.push(np.array([7.0, 250.0]), NONE).radius_mm == pytest.approx(40, abs=1e-6)
    wall = np.array([[[60.0, 0.0], [60.0, 500.0]]])
    assert slot.push(np.array([7.0, 250.0]), wall).radius_mm == pytest.approx(30, abs=1e-6)
    assert not slot.free(np.array([-4.0, 250.0]))


def bays_of(run: RaisedRun):
    return tuple(take_bay(run, bay) for bay in run.bays)


def held(raised: RaisedJob, mark: str, figures: dict) -> dict[str, Compared]:
    """What spheres, pressed cables and windows come to, by key."""
    run = raised.runs[mark]
    bays = bays_of(run)
    found = [
        *sphere_figures(run, bays, figures),
        *pressed_figures(run, bays, figures),
        *window_figures(run, bays, figures),
    ]
    return {each.key: each for each in compare(found, figures)}


def openings(figures: dict, mark: str) -> set[str]:
    ends = f"{mark}.opening.", ".diameter"
    return {key for key in figures if key.startswith(ends[0]) and key.endswith(ends[1])}


@pytest.fixture(scope="module")
def jobs() -> dict[str, tuple[RaisedJob, dict]]:
    return {name: taken(SAMPLES / f"{name}.toml") for name in ("cable-rail", "solid-pane")}


# One of each sort: a punched row is held in test_prove.py's samples.
@pytest.mark.parametrize(("name", "mark"), [("cable-rail", "F"), ("solid-pane", "G")])
def test_every_opening_is_held_and_a_fault_in_each_is_found(jobs, name: str, mark: str) -> None:
    raised, figures = jobs[name]
    right = held(raised, mark, figures)
    keys = openings(figures, mark)
    assert keys
    assert keys <= set(right)
    assert not any(each.fails for each in right.values())
    # All at once, each off by two thousandths of an inch, to either side.
    for way in (1, -1):
        wrong = copy.deepcopy(figures)
        for key in right:
            wrong[key]["value"] += way * 0.002 * (IN if wrong[key]["unit"] == "mm" else 1)
        assert all(each.fails for each in compare_with(right, wrong).values())


def compare_with(right: dict[str, Compared], figures: dict) -> dict[str, Compared]:
    """The same solids' figures against another record."""
    again = compare((Derived(k, v.from_solid, v.measure) for k, v in right.items()), figures)
    return {each.key: each for each in again}


def moved(raised: RaisedJob, mark: str, part: str, by: cq.Vector) -> RaisedJob:
    run = raised.runs[mark]
    parts = dict(run.parts)
    parts[part] = replace(parts[part], solid=parts[part].solid.translate(by))
    return replace(raised, runs={**raised.runs, mark: replace(run, parts=parts)})


def test_a_cable_that_sags_opens_one_gap_and_shuts_the_next(jobs) -> None:
    raised, figures = jobs["cable-rail"]
    run = raised.runs["F"]
    plumb = cq.Vector(0, 0, 0.002 * IN / run.bays[0].bottom.along.x)
    off = held(moved(raised, "F", "F1-C3", plumb), "F", figures)
    fails = sorted(
        each.off_mm / IN for key, each in off.items() if each.fails and ".opening." in key
    )
    # Under it the opening grew (one now, through the slit that it leaves in its brace), over it
    # both shrank; two cables so much nearer together spread to less under the sphere.
    assert [round(each, 4) for each in fails[:3]] == [-0.002, 0.002, 0.002]
    assert len(fails) == 4


def test_a_pane_set_aside_is_found(jobs) -> None:
    raised, figures = jobs["solid-pane"]
    off = held(moved(raised, "G", "G1-PN", cq.Vector(0.002 * IN, 0, 0)), "G", figures)
    fails = {key: each.off_mm for key, each in off.items() if each.fails}
    assert fails == {
        "G.opening.1.diameter": pytest.approx(-0.002 * IN, abs=1e-5),
        "G.opening.2.diameter": pytest.approx(0.002 * IN, abs=1e-5),
    }


def test_a_tread_or_a_bottom_rail_out_of_place_is_found(jobs) -> None:
    raised, figures = jobs["solid-pane"]
    under = {k for k in openings(figures, "G") if "under the rail" in figures[k]["about"]}
    assert len(under) == 6
    off = held(moved(raised, "G", "G1-BR", cq.Vector(0, 0, 0.004 * IN)), "G", figures)
    assert under <= {key for key, each in off.items() if each.fails and each.off_mm < 0}


def test_a_sphere_that_presses_harder_spreads_more(jobs) -> None:
    raised, figures = jobs["cable-rail"]
    assert held(raised, "F", figures)["F.bay.1.spread"].off_mm == pytest.approx(0, abs=0.005)
    run = raised.runs["F"]
    infill = run.out.kit.infill
    harder = replace(infill, push_n=infill.push_n * 1.02)
    pushed = replace(run, out=replace(run.out, kit=replace(run.out.kit, infill=harder)))
    (spread, opening) = compare(pressed_figures(pushed, bays_of(pushed), figures), figures)
    assert spread.fails
    assert opening.fails
    assert opening.from_solid > opening.on_sheet


def test_spheres_at_turned_posts_wall_plates_and_over_line_posts(tmp_path: Path) -> None:
    """The station's runs M and N, coded: turned posts and plates, line posts, a level deck."""
    text = (SAMPLES / "station-steps.toml").read_text(encoding="utf-8")
    text = text.replace('kit = "dunlin"', 'kit = "dunlin"\ncode = "irc-2024"', 1)
    start = text.index("[[flight]]")
    text = f"{text[:start]}[building]\ndwelling = true\noutdoors = true\n\n{text[start:]}"
    facts = '[{0}.site]\nedge = "open"\nD = "1600"\n\n'
    blocks = []
    for block in text.split("\n[["):
        kind = block.lstrip("[").split("]")[0]
        more = facts.format(kind) if kind in ("flight", "level") and ".site]" not in block else ""
        blocks.append(f"{block.rstrip()}\n\n{more}")
    path = tmp_path / "station.toml"
    path.write_text("\n[[".join(blocks), encoding="utf-8")
    raised, figures = taken(path)
    for mark in ("B", "N"):
        right = held(raised, mark, figures)
        assert openings(figures, mark)
        assert openings(figures, mark) <= set(right)
        assert not any(each.fails for each in right.values())


@pytest.mark.parametrize("key", ["site.turn.1.clear", "site.turn.2.clear"])
def test_the_clear_at_a_rails_end(key: str) -> None:
    raised, figures = taken(SAMPLES / "deck-two-flights.toml")
    right = {e.key: e for e in compare(rail_end_figures(raised, figures), figures)}
    assert not right[key].fails
    # Post P3 stands in its runs' solids wherever they are raised first: all of them are moved.
    runs = {}
    for mark, run in raised.runs.items():
        parts = {
            name: replace(p, solid=_nudged(raised, mark, p.solid)) if name == "P3" else p
            for name, p in run.parts.items()
        }
        runs[mark] = replace(run, parts=parts)
    off = replace(raised, runs=runs)
    fails = {e.key for e in compare(rail_end_figures(off, figures), figures) if e.fails}
    assert key in fails


def _nudged(raised: RaisedJob, run: str, solid: cq.Shape) -> cq.Shape:
    """Two thousandths aside and along, on the site."""
    there = raised.location(run)
    moved_there = solid.moved(there).translate(cq.Vector(0.002 * IN, 0.002 * IN, 0))
    return moved_there.moved(there.inverse)


def test_windows_follow_the_kit(jobs) -> None:
    """A wider allowed gap, raised anew, no longer gives the windows that the sheets print."""
    raised, figures = taken(SAMPLES / "porch-flight.toml")
    run = raised.runs["A"]
    right = compare(window_figures(run, bays_of(run), figures), figures)
    assert {e.key for e in right} == {
        key for key in figures if ".window." in key and "plus_minus" not in key
    }
    assert not any(each.fails for each in right)
    infill = run.out.kit.infill
    wider = replace(infill, gap=replace(infill.gap, most_mm=infill.gap.most_mm + 0.002 * IN))
    other = replace(run, out=replace(run.out, kit=replace(run.out.kit, infill=wider)))
    off = compare(window_figures(other, bays_of(other), figures), figures)
    fails = {each.key for each in off if each.fails}
    assert {"A.window.12.gaps_from", "A.window.11.gaps_from"} <= fails
    assert "A.window.12.gaps_to" not in fails

"""Handrails proven by solids raised from their corners in plan; planted faults found.

Source: Open CASCADE through cadquery, a general-purpose solid modelling library.
"""

from __future__ import annotations

import copy
import dataclasses
import json
import re
from pathlib import Path

import cadquery as cq
import pytest

from railsheet.cli.draw import raised_job
from railsheet.cli.solve import solve_job
from railsheet.figures.record import figure_record
from railsheet.job.handrail import Joints
from railsheet.job.load import load_job
from railsheet.proof.compare import Compared, compare
from railsheet.proof.contacts import contacts
from railsheet.proof.handrails import handrail_figures
from railsheet.solids.handrail import piece_solid
from railsheet.solids.handrail_raised import RaisedHandrail, handrail_parts

SAMPLES = Path(__file__).parents[2] / "samples"
# What is no figure of a solid: given, bought, or where the tape is hooked.
_NOT_IN_SOLIDS = re.compile(
    r"plus_minus|\.part\.|\.bar\.|_wanted|section|_most|\.drop$|from_nose|\.along$|\.after$"
    r"|\.middle$|level_top"
)


@pytest.fixture(
    scope="module",
    params=[(n, j) for n in ("wall-handrail", "landing-handrail") for j in ("fittings", "mitred")],
    ids="-".join,
)
def proven(request):
    name, joints = request.param
    job = load_job(SAMPLES / f"{name}.toml")
    spec = dataclasses.replace(job.handrails[0], joints=Joints(joints))
    solved = solve_job(dataclasses.replace(job, handrails=(spec,)))
    record = figure_record(solved.book, solved.job, solved.notices, {})
    figures = json.loads(json.dumps(record))["figures"]
    (rail,) = raised_job(solved, "test").handrails
    return rail, figures, solved.handrails[0].handrail


def held(rail: RaisedHandrail, figures: dict) -> tuple[Compared, ...]:
    return compare(handrail_figures(rail), figures)


def test_every_figure_of_a_handrail_is_held(proven) -> None:
    rail, figures, _ = proven
    found = held(rail, figures)
    assert not [each for each in found if each.fails]
    mark = f"{rail.out.mark}."
    # A piece's own middle is measured; a corner's is told over the surface below.
    wanted = {
        key
        for key in figures
        if key.startswith(mark)
        and (not _NOT_IN_SOLIDS.search(key) or re.search(r"piece\.\d+\.middle$", key))
    }
    assert len(wanted) > 80
    assert wanted <= {each.key for each in found}
    assert not contacts(handrail_parts(rail)).clashes


def test_pieces_are_those_of_the_step_file(proven) -> None:
    rail, _, handrail = proven
    for raised, piece in zip(rail.pieces, handrail.pieces, strict=True):
        other = piece_solid(handrail, piece).val()
        shared = raised.solid.intersect(other).Volume()
        assert shared == pytest.approx(raised.solid.Volume(), rel=1e-6)
        assert shared == pytest.approx(other.Volume(), rel=1e-6)


@pytest.mark.parametrize("way", [1, -1])
def test_a_fault_of_two_thousandths_in_any_length_is_found(proven, way: int) -> None:
    rail, figures, _ = proven
    right = held(rail, figures)
    wrong = copy.deepcopy(figures)
    lengths = [each.key for each in right if figures[each.key]["unit"] in ("in", "mm")]
    assert len(lengths) > 60
    for key in lengths:
        wrong[key]["value"] += way * 0.002 * (25.4 if wrong[key]["unit"] == "mm" else 1.0)
    assert {each.key for each in held(rail, wrong) if each.fails} >= set(lengths)


def test_a_rail_nearer_the_wall_and_a_piece_too_long_are_found(proven) -> None:
    rail, figures, _ = proven
    main = rail.main[0] - 1
    piece = rail.pieces[main]
    near = rail.walls[0].normal * -0.06
    moved = dataclasses.replace(piece, solid=piece.solid.translate(near))
    pieces = (*rail.pieces[:main], moved, *rail.pieces[main + 1 :])
    off = held(dataclasses.replace(rail, pieces=pieces), figures)
    clear = next(each for each in off if each.key == "H.clear")
    assert clear.off_mm == pytest.approx(0.06, abs=1e-5)
    longer = piece.solid.fuse(piece.solid.translate(piece.way * 0.06))
    grown = dataclasses.replace(piece, solid=longer)
    pieces = (*rail.pieces[:main], grown, *rail.pieces[main + 1 :])
    off = held(dataclasses.replace(rail, pieces=pieces), figures)
    fails = {each.key for each in off if each.fails}
    assert f"H.piece.{piece.number}.length" in fails
    assert isinstance(longer, cq.Shape)

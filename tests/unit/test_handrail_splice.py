"""A handrail longer than its longest bar: spliced beside a bracket, or told that it cannot be."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.errors import BadInput
from railsheet.job.kit_handrail import load_handrail_kit
from railsheet.job.load import load_job
from railsheet.layout.handrail_splice import SPLICE

ROOT = Path(__file__).parents[2]
JOB = (ROOT / "samples" / "long-handrail.toml").read_text()
PARTS = (ROOT / "railsheet" / "data" / "kits" / "handrails" / "whinchat.toml").read_text()
STOCK = 'stock = ["2400", "3600", "4800"]'


@cache
def solved() -> SolvedJob:
    return solve_job(load_job(ROOT / "samples" / "long-handrail.toml"))


def with_parts(tmp_path: Path, *changes: tuple[str, str]) -> SolvedJob:
    text = PARTS
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    (tmp_path / "own.toml").write_text(text)
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace('"whinchat"', '"own.toml"'))
    return solve_job(load_job(path))


def test_a_piece_longer_than_its_bar_is_spliced_beside_a_bracket() -> None:
    rail = solved().handrails[0].handrail
    kit = rail.spec.kit
    assert kit.splice is not None
    (joint,) = [j for j in rail.joints if rail.corners[j.corner].words == SPLICE]
    assert joint.fitting is not None
    assert joint.fitting.name == kit.splice.name
    before, after = rail.pieces[joint.corner - 1], rail.pieces[joint.corner]
    assert before.way == pytest.approx(after.way)
    assert (before.upper.lean_rad, after.lower.lean_rad) == (0.0, 0.0)
    for piece in rail.pieces:
        assert piece.length_mm < 4800
    # The two in line are too long for one bar, and so for none less than two.
    assert before.length_mm + after.length_mm > 4800
    # In space, from the splice to the nearest bracket: beyond its saddle, within what is asked.
    at = np.array(rail.corners[joint.corner].at)
    start = np.array(rail.corners[rail.pieces[rail.first_piece].start].at)
    assert np.all(np.isfinite(at - start))
    along = sum(p.corner_to_corner_mm for p in rail.pieces[rail.first_piece : joint.corner])
    near = min(abs(bracket.from_end_mm - along) for bracket in rail.brackets)
    least = kit.bracket.saddle_mm / 2 + kit.bracket.from_joint_mm
    assert least <= near <= kit.splice.near_mm


def test_a_splice_moves_no_corner_and_no_spacing_past_its_limit() -> None:
    rail = solved().handrails[0].handrail
    straight = [np.array(c.at) for c in rail.corners]
    for a, b, c in zip(straight, straight[1:], straight[2:], strict=False):
        one, other = b - a, c - b
        turn = np.arctan2(np.linalg.norm(np.cross(one, other)), one @ other)
        place = next(i for i, at in enumerate(straight) if at is b)
        assert (turn < 1e-9) == (rail.corners[place].words == SPLICE)
    assert all(b - a <= 1200 + 1e-6 for a, b in pairwise(b.from_end_mm for b in rail.brackets))
    assert not solved().handrails[0].handrail.notices


@pytest.mark.parametrize("gap", ["0", "3"])
def test_spliced_pieces_stand_in_line_in_space_their_gap_apart(gap, tmp_path) -> None:
    """Measured by Open CASCADE, through cadquery."""
    from railsheet.solids.handrail import handrail_solids, piece_solid

    rail = with_parts(tmp_path, ('gap = "0"\nnear', f'gap = "{gap}"\nnear')).handrails[0].handrail
    (number,) = [n for n, c in enumerate(rail.corners) if c.words == SPLICE]
    before, after = (piece_solid(rail, rail.pieces[n]).val() for n in (number - 1, number))
    assert before.distance(after) == pytest.approx(float(gap), abs=1e-6)
    named = handrail_solids(rail).objects
    assert (f"H-J{number + 1}" in named) == (gap != "0")
    assert {piece.mark for piece in rail.pieces} <= set(named)


def test_shorter_bars_take_more_splices(tmp_path) -> None:
    rail = with_parts(tmp_path, (STOCK, 'stock = ["2400"]')).handrails[0].handrail
    assert sum(c.words == SPLICE for c in rail.corners) == 2
    assert all(piece.length_mm <= 2400 for piece in rail.pieces)


def test_the_stop_stays_where_no_bracket_lets_it_be_spliced(tmp_path) -> None:
    """Bars of 700 mm end before the next bracket, 933 mm on."""
    rail = with_parts(tmp_path, (STOCK, 'stock = ["700"]')).handrails[0].handrail
    assert not any(c.words == SPLICE for c in rail.corners)
    assert any("no bracket stands where a splice" in n.words for n in rail.notices)


def test_the_stop_stays_where_the_parts_have_no_splice(tmp_path) -> None:
    text = PARTS[PARTS.index("[splice]") : PARTS.index("[limits]")]
    rail = with_parts(tmp_path, (text, "")).handrails[0].handrail
    assert any("these parts have none for" in n.words for n in rail.notices)


def test_a_splice_far_from_a_bracket_is_told(tmp_path) -> None:
    """The nearest it can be is half a saddle and the bracket's own clear: more than 12 mm."""
    rail = with_parts(tmp_path, ('near = "150" ', 'near = "12" ')).handrails[0].handrail
    assert any(n.topic == "handrail splice" for n in rail.notices)


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('near = "150" ', 'near = "0" ', "splice > near"),
        ('gap = "0"\nnear', 'gap = "90"\nnear', "splice > gap"),
        ('gap = "0"\nnear', 'gap = "0"\nfar = "9"\nnear', "splice > far"),
    ],
)
def test_a_splice_that_cannot_be_is_refused(old, new, place, tmp_path) -> None:
    assert PARTS.count(old) == 1
    path = tmp_path / "own.toml"
    path.write_text(PARTS.replace(old, new))
    with pytest.raises(BadInput) as refused:
        load_handrail_kit(path)
    assert refused.value.place == place

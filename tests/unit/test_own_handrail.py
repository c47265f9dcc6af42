"""A handrail laid out on its own, checked beside its flight: figures, limits and lengths from code.

Sources: IRC 2024 R320.2 to R320.6 and IBC 2018 1014.2 to 1014.8, as the shipped profiles say where
each was read.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from railsheet.checks.finding import Finding
from railsheet.checks.judge import Status
from railsheet.checks.limit import Quantity
from railsheet.cli.solve import SolvedJob, solve_job
from railsheet.errors import BadInput
from railsheet.job.load import load_job

SAMPLE = (Path(__file__).parents[2] / "samples" / "wall-handrail.toml").read_text(encoding="utf-8")
IN = 25.4
PUBLIC = (('code = "irc-2024"', 'code = "ibc-2018"'), ("dwelling = true", "dwelling = false"))
NO_LENGTHS = (('X = "11"', "# no X"), ('X = "12"', "# no X"))


def job(tmp_path: Path, *changes: tuple[str, str]) -> SolvedJob:
    text = SAMPLE
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    return solve_job(load_job(path))


def found(solved: SolvedJob, quantity: Quantity) -> list[Finding]:
    checks = solved.works[0].checks
    assert checks is not None
    return [f for f in checks.findings if f.limit.quantity is quantity and "handrail" in f.where]


def test_it_is_measured_as_laid_out(tmp_path: Path) -> None:
    solved = job(tmp_path)
    rail = solved.handrails[0].handrail
    stair = solved.works[0].railing.stair
    heights = {f.figure for f in found(solved, Quantity.HANDRAIL_HEIGHT)}
    # R320.2: 34 to 38 in over every nose; each finding is one bound, alike noses gathered.
    line = rail.line("A")
    for nose in stair.noses:
        over = line.slope * nose.s_mm + line.start_mm - nose.z_mm
        assert min(abs(over - figure) for figure in heights) < 1e-6
    # R320.3: 4 1/2 in. 1 5/8 clear and a rail of 1 1/2 stand out 3 1/8.
    (projection,) = found(solved, Quantity.HANDRAIL_PROJECTION)
    assert projection.figure == pytest.approx(3.125 * IN)
    assert projection.margin == pytest.approx(1.375 * IN)
    assert projection.clause == "IRC 2024 R320.3"
    # R320.5: a return's gap at most 1/4 in; the end plates leave 1/16.
    (gap,) = found(solved, Quantity.HANDRAIL_RETURN_GAP)
    assert gap.figure == pytest.approx(IN / 16)
    assert gap.bound.value == pytest.approx(IN / 4)
    # R320.4: 1 1/2 in clear.
    (clear,) = found(solved, Quantity.HANDRAIL_CLEARANCE)
    assert clear.margin == pytest.approx(IN / 8)
    # R320.5: from over the top nosing to over the lowest: past each by riser and nosing.
    top, bottom = (
        found(solved, q)[0].figure
        for q in (Quantity.HANDRAIL_REACH_TOP_NOSING, Quantity.HANDRAIL_REACH_BOTTOM_NOSING)
    )
    assert top == pytest.approx(13 * IN)
    assert bottom == pytest.approx(10 * IN)


def test_what_stands_outside_is_found(tmp_path: Path) -> None:
    solved = job(
        tmp_path, ('H = "36"', 'H = "39"'), ('C = "1 5/8"', 'C = "2 3/4"'),
        ('parts = "merlin"', 'parts = "thick.toml"'),
    ) if write_thick(tmp_path) else None  # fmt: skip
    assert solved is not None
    for quantity, bound in (
        (Quantity.HANDRAIL_HEIGHT, 38 * IN),
        (Quantity.GRIP_DIAMETER, 2 * IN),
        (Quantity.HANDRAIL_PROJECTION, 4.5 * IN),
        (Quantity.HANDRAIL_RETURN_GAP, 0.25 * IN),
    ):
        outside = [f for f in found(solved, quantity) if f.status is Status.OUTSIDE]
        assert outside, quantity
        assert outside[0].bound.value == pytest.approx(bound)
    words = " ".join(notice.words for notice in solved.works[0].notices)
    assert "handrail H" in words


def write_thick(folder: Path) -> bool:
    from railsheet.job.kit_handrail import find_handrail_kit

    text = find_handrail_kit("merlin", folder, "", "").read_text(encoding="utf-8")
    text = text.replace('diameter = "1 1/2"', 'diameter = "2 1/4"')
    text = text.replace('wall = { name = "wall end plate", gap = "1/16"',
                        'wall = { name = "wall end plate", gap = "3/8"')  # fmt: skip
    (folder / "thick.toml").write_text(text, encoding="utf-8")
    return True


def test_lengths_come_from_the_code_where_the_job_says_none(tmp_path: Path) -> None:
    solved = job(tmp_path, *PUBLIC, *NO_LENGTHS)
    rail = solved.handrails[0].handrail
    stair = solved.works[0].railing.stair
    # IBC 2018 1014.6: 12 in level past the top riser; at the bottom one tread depth, sloping.
    assert rail.top.level_mm == pytest.approx(12 * IN)
    assert rail.bottom.sloping_mm == pytest.approx(min(stair.runs_mm))
    for quantity in (Quantity.HANDRAIL_EXTENSION_TOP, Quantity.HANDRAIL_EXTENSION_BOTTOM):
        (finding,) = found(solved, quantity)
        assert finding.status is Status.WITHIN
        assert finding.margin == pytest.approx(0.0, abs=1e-6)


def test_a_length_short_of_the_code_is_outside(tmp_path: Path) -> None:
    solved = job(tmp_path, *PUBLIC, ('X = "11"', 'X = "10"'), ('X = "12"', 'X = "11"'))
    (top,) = found(solved, Quantity.HANDRAIL_EXTENSION_TOP)
    assert top.status is Status.OUTSIDE
    assert top.margin == pytest.approx(-1 * IN)
    (bottom,) = found(solved, Quantity.HANDRAIL_EXTENSION_BOTTOM)
    assert bottom.figure == pytest.approx(10 / 11)
    # 1014.4 exception 3, brackets: 1 1/2 in straight down before the arm turns.
    (below,) = found(solved, Quantity.HANDRAIL_CLEAR_BELOW)
    assert below.figure == pytest.approx(1.625 * IN)


def test_without_a_code_a_length_is_asked_for(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"handrail H > bottom > X.*missing"):
        job(tmp_path, ('code = "irc-2024"\n', ""), *NO_LENGTHS)


def test_what_the_codes_length_hangs_on_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="whether it serves one dwelling"):
        job(tmp_path, PUBLIC[0], ("dwelling = true\n", ""), *NO_LENGTHS)


def test_its_figures_carry_the_readings_doubt(tmp_path: Path) -> None:
    solved = job(tmp_path)
    book = solved.book
    # A rail over seven noses, each read to a sixteenth: its rake's pieces scatter, its return not.
    assert book.sigma("H.piece.2.length") > 0.1
    assert book.sigma("H.piece.1.length") == pytest.approx(0.0, abs=1e-9)
    assert book.sigma("H.over.A.nose.4.height") > 0.01
    # Which stud a bracket goes on is a choice, and no reading moves it from one to the next.
    keys = [figure.key for figure in book if figure.key.startswith("H.bracket.")]
    sigmas = [book.sigma(key) for key in keys if "plus_minus" not in key]
    assert len(sigmas) > 10
    assert all(sigma is not None and sigma < 5.0 for sigma in sigmas)
    heights = found(solved, Quantity.HANDRAIL_HEIGHT)
    assert all(f.sigma is not None and f.sigma > 0 for f in heights)

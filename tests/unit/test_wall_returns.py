"""A top rail's return to a wall, as a job and a kit ask for it, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from railsheet.checks.flight_checks import flight_figures
from railsheet.checks.limit import Quantity
from railsheet.checks.openings_of import openings_of
from railsheet.cli.solve import solve_job
from railsheet.errors import BadInput
from railsheet.job.load import load_job

ROOT = Path(__file__).parents[2]
SAMPLES, KITS = ROOT / "samples", ROOT / "railsheet" / "data" / "kits"
BELOW = '[flight.bottom_post.return]\nC = "3 3/8"\n'


def job(tmp_path: Path, sample: str, *changes: tuple[str, str]) -> Path:
    text = (SAMPLES / f"{sample}.toml").read_text()
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path = tmp_path / "job.toml"
    path.write_text(text)
    return path


def kit(tmp_path: Path, name: str, *changes: tuple[str, str]) -> None:
    text = (KITS / f"{name}.toml").read_text()
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    (tmp_path / "mine.toml").write_text(text)


MINE = ('kit = "brambling"', 'kit = "mine.toml"')


@pytest.mark.parametrize(
    ("sample", "changes", "place", "words"),
    [
        (
            "returned-rail",
            ((BELOW, BELOW.replace('"3 3/8"', '"1/8"')),),
            "flight 1 > bottom_post > return > C",
            "",
        ),
        (
            "returned-rail",
            ((BELOW, BELOW + 'to = "left"\n'),),
            "flight 1 > bottom_post > return > to",
            "outer side",
        ),
        (
            "returned-rail",
            ((BELOW, BELOW + 'D = "2"\n'),),
            "flight 1 > bottom_post > return > D",
            "",
        ),
        # A rail that ends in a bracket has no free end past its post.
        ("porch-flight", (("[flight.top_post]", BELOW + "\n[flight.top_post]"),), "top_return", ""),
        (
            "rail-over-posts",
            (('E = "3 1/2"', 'E = "3 1/2"\nreturn = { C = "4" }'),),
            "flight A > top_post > return",
            "another goes on from here",
        ),
        (
            "rail-over-posts",
            (('kind = "wall plate"', 'kind = "wall plate"\nreturn = { C = "4" }'),),
            "post 1 > return",
            "needs none",
        ),
    ],
)
def test_what_cannot_be_is_refused(sample, changes, place, words, tmp_path) -> None:
    with pytest.raises(BadInput) as refused:
        solve_job(load_job(job(tmp_path, sample, *changes)))
    assert refused.value.place == place
    assert words in refused.value.allowed


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ((('join = "mitre"', 'join = "elbow"'),), "top_return > fixing"),
        ((('join = "mitre"', 'join = "bent"'),), "top_return > join"),
        ((('past = "4" ', 'past = "-4" '),), "top_return > past"),
        (
            (
                ('join = "mitre"\n', 'join = "elbow"\n'),
                ('fixing = "rail joint bolt or dowel, glued"\n', ""),
                (
                    "[wall_plate]",
                    '[top_return.elbow]\nname = "x"\nturn = { least = 30, most = 60 }\n'
                    'radius = "2"\nleg = "1"\n\n[wall_plate]',
                ),
            ),
            "top_return > elbow > turn",
        ),
    ],
)
def test_a_kit_that_cannot_be_is_refused(changes, place, tmp_path) -> None:
    kit(tmp_path, "brambling", *changes)
    with pytest.raises(BadInput) as refused:
        load_job(job(tmp_path, "returned-rail", MINE))
    assert refused.value.place == place


def test_a_return_with_no_length_left_is_refused(tmp_path) -> None:
    """An elbow set back 8 in cannot reach a wall 3 3/8 in from the newel."""
    kit(
        tmp_path,
        "brambling",
        ('join = "mitre"\n', 'join = "elbow"\n'),
        ('fixing = "rail joint bolt or dowel, glued"\n', ""),
        (
            "[wall_plate]",
            '[top_return.elbow]\nname = "x"\nturn = { least = 90, most = 90 }\n'
            'radius = "7"\nleg = "1"\n\n[wall_plate]',
        ),
    )
    with pytest.raises(BadInput, match="nothing is left"):
        solve_job(load_job(job(tmp_path, "returned-rail", MINE)))


def test_a_level_run_is_returned_at_its_free_end(tmp_path) -> None:
    changes = ('kind = "wall plate"', 'return = { C = "4" }')
    solved = solve_job(load_job(job(tmp_path, "rail-over-posts", changes)))
    railing = next(work.railing for work in solved.runs if work.mark == "C")
    (piece,) = railing.bays[-1].returns
    # The run's rail is on the right going along it: the far side lies to the right.
    assert (piece.end.value, piece.aside) == ("uphill", -1.0)
    half_post = railing.kit.post.width_mm / 2
    assert piece.to_wall_mm == pytest.approx(4 * 25.4 + half_post)


def test_the_checks_look_at_the_opening_beside_the_post_and_at_the_returns_gap() -> None:
    solved = solve_job(load_job(SAMPLES / "returned-rail.toml"))
    railing = solved.works[0].railing
    figures = list(flight_figures(railing, solved.job.building, openings_of(railing)))
    beside = [f.figure for f in figures if "the rail returns to" in f.where]
    assert beside == [pytest.approx(3.375 * 25.4), pytest.approx(3.5 * 25.4)]
    gaps = [f.figure for f in figures if f.quantity is Quantity.HANDRAIL_RETURN_GAP]
    assert gaps == [0.0, 0.0]
    # As a handrail the rail goes past its newels, to where its return begins.
    reach = next(f.figure for f in figures if f.quantity is Quantity.HANDRAIL_REACH_TOP_NOSING)
    last = railing.stair.noses[-1].s_mm
    assert reach == pytest.approx(railing.bays[0].returns[1].corner_s_mm - last)

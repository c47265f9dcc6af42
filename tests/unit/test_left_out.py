"""A reading set aside by the job: not used, told with what the rest imply, refused where needed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from railsheet.cli.solve import solve_job
from railsheet.errors import BadInput
from railsheet.job.load import load_job
from railsheet.survey.flight import survey_flight

IN = 25.4
CROOKED = (Path(__file__).parent.parent.parent / "samples" / "crooked-garden-stair.toml").read_text(
    encoding="utf-8"
)


def job_of(tmp_path: Path, left_out: str, *changes: tuple[str, str]) -> Path:
    text = CROOKED.replace("[flight.readings]\n", f"[flight.readings]\n{left_out}\n", 1)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("written", ["R4", "R 4"])
def test_the_stair_does_not_rest_on_what_is_left_out(tmp_path: Path, written: str) -> None:
    readings = load_job(job_of(tmp_path, f'left_out = ["{written}"]')).flights[0].readings
    survey = survey_flight(readings)
    # Whatever it reads, the stair is the same to the last bit.
    other = load_job(
        job_of(
            tmp_path,
            'left_out = ["R 4"]',
            ('"7 7/16", "7 1/4", "7 3/8"', '"7 7/16", "9 3/4", "7 3/8"'),
        )
    )
    assert survey_flight(other.flights[0].readings).stair == survey.stair
    # And it is what is found where that riser was never read.
    unread = load_job(job_of(tmp_path, "", ('"7 7/16", "7 1/4", "7 3/8"', '"7 7/16", "", "7 3/8"')))
    without = survey_flight(unread.flights[0].readings)
    assert without.stair == survey.stair
    assert np.array(survey.adjustment.covariance_mm2) == pytest.approx(
        np.array(without.adjustment.covariance_mm2)
    )


def test_the_rest_agree_and_imply_what_it_should_have_read(tmp_path: Path) -> None:
    whole = survey_flight(load_job(job_of(tmp_path, "")).flights[0].readings)
    (suspect,) = whole.adjustment.suspects
    assert suspect.key == "R 4"
    survey = survey_flight(load_job(job_of(tmp_path, 'left_out = ["R4"]')).flights[0].readings)
    assert not survey.adjustment.suspects
    assert survey.adjustment.test is not None
    assert survey.adjustment.test.passes
    (aside,) = survey.left_out
    assert aside.reading.read == pytest.approx(7.25 * IN)
    # The suspect's own figure for it takes the slants as straight about where all the readings
    # put the noses.
    assert aside.implied == pytest.approx(suspect.implied, abs=0.01)
    assert survey.stair.risers_mm[3] == pytest.approx(aside.implied, abs=1e-9)


def test_it_is_told_in_a_notice_and_in_the_book(tmp_path: Path) -> None:
    solved = solve_job(load_job(job_of(tmp_path, 'left_out = ["R4", "P 2-6"]')))
    told = [n.text(solved.job.tape) for n in solved.notices if n.topic == "left out"]
    assert told == [
        'riser 4 is left out, as the job asks: it reads 7 1/4"; the rest imply '
        + solved.book.text("A.reading.R4.implied"),
        "rake, nose 2 to nose 6 is left out, as the job asks: it reads 35.6°; the rest imply "
        + solved.book.text("A.reading.P2_6.implied"),
    ]
    assert not [n for n in solved.notices if n.topic == "suspect reading"]
    assert solved.book.value("A.reading.R4.read") == pytest.approx(7.25 * IN)
    assert "A.reading.R4.adjusted" not in solved.book


def test_a_line_read_once_and_left_out_implies_nothing(tmp_path: Path) -> None:
    once = ('wall = ["60",', 'post = ["50", "", "", "", "", "", ""]\nwall = ["60",')
    readings = load_job(job_of(tmp_path, 'left_out = ["Z post 0"]', once)).flights[0].readings
    (aside,) = survey_flight(readings).left_out
    assert aside.implied is None


@pytest.mark.parametrize(
    ("written", "value", "allowed"),
    [
        ('left_out = ["R9"]', "R9", "no such reading; taken are R1, R2"),
        # Run 3 was not taken, so it cannot be left out.
        ('left_out = ["T3"]', "T3", "no such reading"),
        ('left_out = ["R4", "R 4"]', "R4", "named twice"),
        ('left_out = "R4"', "R4", "a list"),
        ("left_out = []", "", "left_out"),
    ],
)
def test_a_name_that_is_no_readings_is_refused(
    tmp_path: Path, written: str, value: str, allowed: str
) -> None:
    if written.endswith("[]"):
        with pytest.raises(BadInput, match=allowed):
            load_job(job_of(tmp_path, written))
        return
    with pytest.raises(BadInput) as refused:
        load_job(job_of(tmp_path, written))
    assert "readings > left_out" in refused.value.place
    assert refused.value.value == value
    assert allowed in refused.value.allowed


def test_leaving_out_what_alone_fixes_a_nose_says_what_to_take(job_file) -> None:
    path = job_file(("[flight.readings]\n", '[flight.readings]\nleft_out = ["R 4"]\n'))
    with pytest.raises(BadInput) as refused:
        solve_job(load_job(path))
    assert refused.value.place == "flight A > readings > left_out"
    assert refused.value.value == "R 4"
    assert "take riser 4" in refused.value.allowed

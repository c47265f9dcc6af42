"""A flight whose nosing was read at each nose, drawn and read back."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import ezdxf
import pytest
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job

IN = 25.4
NOSINGS = (1.0, 0.875, None, 1.125, 1.0, 1.375)


@pytest.fixture(scope="module")
def drawn(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("nosings")
    text = (Path(__file__).parents[2] / "samples" / "porch-flight.toml").read_text("utf-8")
    written = ", ".join('""' if inch is None else f"{inch}" for inch in NOSINGS)
    assert 'N = "1"' in text
    job = folder / "job.toml"
    job.write_text(text.replace('N = "1"', f"N = [{written}]"), encoding="utf-8")
    draw_job(job, folder / "out", which="inspection")
    return folder / "out"


def test_each_nosing_is_a_figure(drawn: Path) -> None:
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    read = [inch for inch in NOSINGS if inch is not None]
    for number, inch in enumerate(NOSINGS, start=1):
        wanted = sum(read) / len(read) if inch is None else inch
        assert figures[f"A.nosing.{number}"]["value"] == pytest.approx(wanted)
    assert "A.nosing" not in figures


def test_the_drawn_risers_stand_back_by_their_own_nosings(drawn: Path) -> None:
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    shapes = ezdxf.readfile(drawn / "A.dxf").modelspace().query('LWPOLYLINE[layer=="STAIR"]')
    steps = max(shapes, key=len)
    # The outline begins on the bottom surface; a view may stand over another in model space.
    floor = steps[0][1]
    corners = [(x, y - floor) for x, y, *_ in steps]
    for number in range(1, 7):
        nose = [figures[f"A.nose.{number}.{axis}"]["value"] for axis in "sz"]
        at = next(i for i, corner in enumerate(corners) if corner == pytest.approx(nose, abs=1e-6))
        # Foot of the riser, the tread's underside over it, the nose's lower edge, the nose.
        foot, under, front = corners[at - 3 : at]
        assert front[0] == pytest.approx(nose[0], abs=1e-6)
        back = figures[f"A.nosing.{number}"]["value"]
        assert under[0] - nose[0] == pytest.approx(back, abs=1e-6)
        assert foot[0] == pytest.approx(under[0], abs=1e-9)


def test_the_sheets_say_what_was_read_and_what_was_not(drawn: Path) -> None:
    lines, sizes = read_lines(drawn / "sheets.pdf")
    words = " ".join(" ".join(line.text for line in lines).split())
    assert "osing variation, of those read: 1/2" in words
    assert "N at nose 3" in words
    for line in lines:
        wide, high = sizes[line.page - 1]
        assert 0 < line.box[0] < line.box[2] < wide, line
        assert 0 < line.box[1] < line.box[3] < high, line
    for first, second in itertools.combinations(lines, 2):
        assert first.page != second.page or not first.overlaps(second, 2.2), (first, second)

"""What draw writes of a whole site, read back from the files themselves."""

from __future__ import annotations

import itertools
import json
import math
from pathlib import Path

import ezdxf
import pytest
from deck_job import BARE_DECK
from pdf_lines import read_lines

from railsheet.cli.check import check_job
from railsheet.cli.draw import draw_job
from railsheet.job.load import load_job
from railsheet.sheets.dimensions import measured
from railsheet.sheets.drawing import figure_key

SAMPLES = Path(__file__).parent.parent.parent / "samples"


@pytest.fixture(scope="module", params=["deck-two-flights"])
def drawn(request, tmp_path_factory) -> Path:
    out = tmp_path_factory.mktemp(request.param)
    draw_job(SAMPLES / f"{request.param}.toml", out)
    return out


def dimensions_held(drawn: Path) -> int:
    """Hold every DIMENSION of every DXF against its figure; how many there were."""
    figures = json.loads((drawn / "figures.json").read_text(encoding="utf-8"))["figures"]
    count = 0
    for path in sorted(drawn.glob("*.dxf")):
        doc = ezdxf.readfile(path)
        assert not doc.audit().has_errors
        for dimension in doc.modelspace().query("DIMENSION"):
            key = figure_key(dimension)
            figure = figures[key]
            value = math.radians(figure["value"]) if figure["unit"] == "deg" else figure["value"]
            assert measured(dimension) == pytest.approx(abs(value), abs=1e-6), key
            shown = dimension.get_geometry_block().query("MTEXT").first.plain_text()
            assert shown == figure["shown"] or shown.startswith(figure["shown"] + " "), key
            count += 1
    return count


def test_every_dimension_of_every_run_measures_the_figure_it_shows(drawn: Path) -> None:
    assert dimensions_held(drawn) > 300


def test_no_text_lies_over_another_or_off_the_page(drawn: Path) -> None:
    lines, sizes = read_lines(drawn / "sheets.pdf")
    for line in lines:
        wide, high = sizes[line.page - 1]
        assert 0 < line.box[0] < line.box[2] < wide, line
        assert 0 < line.box[1] < line.box[3] < high, line
    for _, page in itertools.groupby(lines, key=lambda line: line.page):
        for first, second in itertools.combinations(page, 2):
            assert not first.overlaps(second, 2.2), (first, second)


def test_the_plan_points_to_each_runs_first_sheet(drawn: Path) -> None:
    lines, _ = read_lines(drawn / "sheets.pdf")
    runs = {p.stem for p in drawn.glob("?.dxf")}
    assert len(runs) >= 4
    for run in runs:
        pointed = next(t.text for t in lines if t.page == 1 and t.text.startswith(f"{run}: sheet"))
        sheet = int(pointed.split()[-1])
        titles = [t.text for t in lines if t.page == sheet]
        assert any(f"{run}: elevation" in text for text in titles), (run, sheet)


@pytest.fixture(scope="module")
def checked_deck(tmp_path_factory) -> tuple[Path, Path]:
    """The deck with a code named and its drops read: the job file, and its inspection set."""
    text = BARE_DECK.replace('kit = "dunlin"', 'kit = "dunlin"\ncode = "irc-2024"')
    # Run E's rail is set so high that a 4 in sphere passes under it.
    assert '"36 1/4"\nfrom = "P1"' in text
    text = text.replace('"36 1/4"\nfrom = "P1"', '"39"\nfrom = "P1"')
    text = text.replace('K = "1 1/4"\n', 'K = "1 1/4"\n\n[level.site]\nedge = "open"\nD = "64"\n')
    folder = tmp_path_factory.mktemp("checked-deck")
    job = folder / "deck.toml"
    job.write_text(text, encoding="utf-8")
    draw_job(job, folder / "out", which="inspection")
    return job, folder / "out"


def test_a_level_runs_findings_are_in_the_record_and_on_the_first_page(checked_deck) -> None:
    _, out = checked_deck
    record = json.loads((out / "figures.json").read_text(encoding="utf-8"))
    runs = {finding["flight"] for finding in record["findings"]}
    assert runs == {"A", "B", "D", "E", "F", "G"}
    outside = [f for f in record["findings"] if f["status"] == "outside" and f["flight"] == "E"]
    assert {f["what"] for f in outside} == {"guard opening"}
    assert all("under the rail" in f["where"] for f in outside)
    assert all(f["clause"] == "IRC 2024 R321.1.3" for f in outside)
    lines, _ = read_lines(out / "sheets.pdf")
    cover = " ".join(line.text for line in lines if line.page == 1)
    assert "Level run E" in cover
    assert outside[0]["figure_shown"] in cover
    assert not any("not held against the code" in line.text for line in lines)


def test_a_level_runs_spheres_are_drawn_at_their_diameters(checked_deck) -> None:
    _, out = checked_deck
    figures = json.loads((out / "figures.json").read_text(encoding="utf-8"))["figures"]
    for run in "DEFG":
        doc = ezdxf.readfile(out / f"{run}.dxf")
        circles = [
            2 * circle.dxf.radius
            for circle in doc.modelspace().query("CIRCLE")
            if circle.dxf.layer in ("DIM", "FINDING")
        ]
        openings = [
            figure["value"]
            for key, figure in figures.items()
            if key.startswith(f"{run}.opening.") and key.endswith(".diameter")
        ]
        assert circles
        for diameter in circles:
            assert min(abs(diameter - each) for each in openings) < 1e-6
        red = doc.modelspace().query("CIRCLE[layer=='FINDING']")
        assert bool(red) == (run == "E")


def test_no_text_of_the_checked_deck_lies_over_another_or_off_the_page(checked_deck) -> None:
    _, out = checked_deck
    test_no_text_lies_over_another_or_off_the_page(out)


def test_check_lists_level_runs_by_name(checked_deck, capsys: pytest.CaptureFixture[str]) -> None:
    job, _ = checked_deck
    assert check_job(load_job(job)) == 1
    said = capsys.readouterr().out
    assert "level run D, " in said
    assert "flight A, " in said

"""The check command and the sheet sets, as a person meets them: run, and read back."""

from __future__ import annotations

import itertools
import json
import re
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import ezdxf
import jsonschema
import pytest
from pdf_lines import TextLine, read_lines

from railsheet.cli.draw import draw_job
from railsheet.sheets.drawing import figure_key

SAMPLES = Path(__file__).parent.parent.parent / "samples"
MARKS = {"porch-flight": "A", "garden-steps": "B"}
# With the rail this much higher the triangles under it stand outside.
HIGHER = {
    "porch-flight": ('rail_height = "36 1/8"', 'rail_height = "37"'),
    "garden-steps": ('rail_height = "920"', 'rail_height = "950"'),
}


def outside_job(name: str, folder: Path) -> Path:
    text = (SAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    old, new = HIGHER[name]
    assert old in text
    path = folder / "job.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


def run(*arguments: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "railsheet", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.fixture(scope="module", params=sorted(MARKS))
def inspected(request, tmp_path_factory) -> tuple[str, Path, list[TextLine], list]:
    out = tmp_path_factory.mktemp(f"inspect-{request.param}")
    job = outside_job(request.param, tmp_path_factory.mktemp("job"))
    draw_job(job, out, which="inspection")
    lines, sizes = read_lines(out / "sheets.pdf")
    return request.param, out, lines, sizes


def test_check_exits_by_what_it_found(job_file, tmp_path: Path) -> None:
    outside = run("check", outside_job("porch-flight", tmp_path))
    assert outside.returncode == 1
    assert "OUTSIDE" in outside.stdout
    assert "NOT CHECKED" in outside.stdout
    assert max(len(line) for line in outside.stdout.splitlines()[1:]) <= 100
    # With no drop to guard against there is nothing for these limits to be outside of.
    low = job_file(('D = "46 in"', 'D = "20 in"'))
    within = run("check", low)
    assert within.returncode == 0, within.stdout
    assert "0 outside" in within.stdout
    bad = run("check", job_file(('code = "irc-2024"', 'code = "irc-2042"')))
    assert bad.returncode == 2
    assert "no such code profile" in bad.stderr
    assert bad.stdout == ""
    unnamed = run("check", job_file(('code = "irc-2024"\n', "")))
    assert unnamed.returncode == 2
    assert "job > code" in unnamed.stderr


@pytest.mark.parametrize("name", sorted(MARKS))
def test_the_samples_stand_within_their_code(name: str) -> None:
    done = run("check", SAMPLES / f"{name}.toml")
    assert done.returncode == 0, done.stdout
    assert "NOT CHECKED" in done.stdout


def test_check_is_sorted_worst_first(tmp_path: Path) -> None:
    done = run("check", outside_job("porch-flight", tmp_path)).stdout
    order = [done.index(word) for word in ("OUTSIDE (", "NOT CHECKED (", "WITHIN (")]
    assert order == sorted(order)
    assert done.index("triangle opening") < done.index("riser height")


def test_no_words_of_approval_anywhere(inspected) -> None:
    name, _, lines, _ = inspected
    printed = run("check", SAMPLES / f"{name}.toml").stdout
    for said in (printed, *(line.text for line in lines)):
        text = said.replace("Approved Document", "")  # a title
        assert not re.search(
            r"\b(complies|compliant|approved|legal|pass(es|ed)? code)\b", text, re.I
        )


def test_the_set_has_its_sheets(inspected) -> None:
    _, _, lines, sizes = inspected
    said = {line.text for line in lines}
    for title in (
        "Inspection request",
        "Inspector's stamp",
        "Inspector's notes",
        "Outside a limit",
    ):
        assert title in said
    assert any("Demand only" in text for text in said)
    assert any("heights and openings" in text for text in said)
    for number in range(1, len(sizes) + 1):
        page = [line.text for line in lines if line.page == number]
        assert f"{number} of {len(sizes)}" in page
        assert any(text.startswith("Checked against: ") for text in page)


def test_the_index_points_at_the_sheets(inspected) -> None:
    name, _, lines, _ = inspected
    mark = MARKS[name]
    cover = [line.text for line in lines if line.page == 1]
    number = int(cover[cover.index(f"Flight {mark}: plan") - 1])
    assert f"Flight {mark}: plan" in [line.text for line in lines if line.page == number]
    at = cover.index("Load statement: demand only")
    page = int(cover[at - 1])
    assert "Load statement" in [line.text for line in lines if line.page == page]


def test_every_finding_is_printed_with_its_figure_and_clause(inspected) -> None:
    _, out, lines, _ = inspected
    record = json.loads((out / "figures.json").read_text(encoding="utf-8"))
    schema = json.loads((files("railsheet") / "data" / "figures.schema.json").read_text())
    jsonschema.Draft202012Validator(schema).validate(record)
    assert len(record["findings"]) > 30
    whole = " ".join(line.text for line in lines)
    for finding in record["findings"]:
        if finding["figure"] is not None:
            assert record["figures"][finding["figure"]]["shown"] == finding["figure_shown"]
            assert finding["figure_shown"] in whole, finding
            assert finding["margin_shown"] in whole, finding
        assert finding["clause"].split(" ")[0] in whole
    for notice in record["notices"]:
        if notice["weight"] == "stop":
            assert notice["text"].split(";")[0] in whole or notice["text"].split()[0] in whole


def test_no_text_lies_over_another_or_off_the_page(inspected) -> None:
    _, _, lines, sizes = inspected
    for line in lines:
        wide, high = sizes[line.page - 1]
        assert 0 < line.box[0] < line.box[2] < wide, line
        assert 0 < line.box[1] < line.box[3] < high, line
    for first, second in itertools.combinations(lines, 2):
        assert first.page != second.page or not first.overlaps(second, 2.2), (first, second)


def test_every_sphere_is_drawn_at_its_diameter(inspected) -> None:
    name, out, _, _ = inspected
    mark = MARKS[name]
    record = json.loads((out / "figures.json").read_text(encoding="utf-8"))
    doc = ezdxf.readfile(out / f"{mark}.dxf")
    assert not doc.audit().has_errors
    drawn = sorted(
        2 * circle.dxf.radius
        for circle in doc.modelspace().query("CIRCLE")
        if circle.dxf.layer in ("FINDING", "DIM")
    )
    labels = [
        (key, note)
        for note in doc.modelspace().query("MTEXT")
        if (key := figure_key(note)) and ".opening." in key
    ]
    assert len(labels) == len(drawn) >= 8
    diameters = sorted(record["figures"][key]["value"] for key, _ in labels)
    assert drawn == pytest.approx(diameters, abs=1e-6)
    for key, note in labels:
        assert note.plain_text() == record["figures"][key]["shown"]
    outside = [f for f in record["findings"] if f["status"] == "outside"]
    triangles = [f for f in outside if f["what"] == "triangle opening"]
    red = [note for _, note in labels if note.dxf.layer == "FINDING"]
    assert len(red) >= len(triangles) > 0


# The least height over the deck stands over the last nose: 35 in is outside of 36 in there and
# inside of 34 in on the stair, so the one figure drawn is the red one.
def test_a_height_outside_is_marked_in_its_place(job_file, tmp_path: Path) -> None:
    job = job_file(('rail_height = "36"', 'rail_height = "35"'))
    draw_job(job, tmp_path / "out", which="inspection")
    record = json.loads((tmp_path / "out" / "figures.json").read_text(encoding="utf-8"))
    (outside,) = [
        finding
        for finding in record["findings"]
        if finding["status"] == "outside" and finding["what"] == "guard height"
    ]
    doc = ezdxf.readfile(tmp_path / "out" / "A.dxf")
    red = [d for d in doc.modelspace().query("DIMENSION") if d.dxf.layer == "FINDING"]
    assert [figure_key(d) for d in red] == ["A.outside.1.height"]
    figure = record["figures"]["A.outside.1.height"]
    assert figure["value"] == pytest.approx(record["figures"][outside["figure"]]["value"])
    assert figure["shown"] == outside["figure_shown"]
    assert red[0].get_measurement() == pytest.approx(figure["value"], abs=1e-6)
    heights = [k for d in doc.modelspace().query("DIMENSION") if (k := figure_key(d))]
    assert "A.nose.6.rail_height" not in heights
    assert "A.nose.5.rail_height" in heights


# Two standard deviations of the readings either side of a limit: the table says it is in doubt.
def test_a_margin_within_the_readings_doubt_is_said_to_be(job_file) -> None:
    near = run("check", job_file(('rail_height = "36"', 'rail_height = "36 1/16"'))).stdout
    clear = run("check", job_file(('rail_height = "36"', 'rail_height = "36 1/2"'))).stdout
    for said, doubted in ((near, True), (clear, False)):
        rows = " ".join(said.split())
        at = rows.index("least over the")
        assert ("margin within the" in rows[at : at + 120]) is doubted


@pytest.mark.parametrize("which", ["saw", "fabricator"])
def test_the_shop_sets_leave_out_what_they_do_not_need(tmp_path: Path, which: str) -> None:
    draw_job(outside_job("porch-flight", tmp_path), tmp_path, which=which)
    lines, _ = read_lines(tmp_path / "sheets.pdf")
    said = {line.text for line in lines}
    assert "Pieces to cut" in said
    assert "Inspector's stamp" not in said
    assert ("Flight A: fit-up card" in said) == (which == "saw")
    # What stands outside is still said on the first sheet, and marked in the drawing.
    assert any("STOP" in line.text for line in lines if line.page == 1)
    doc = ezdxf.readfile(tmp_path / "A.dxf")
    assert doc.modelspace().query('CIRCLE[layer=="FINDING"]')


def test_without_a_code_the_shop_sheets_are_drawn_and_it_is_said(job_file, tmp_path: Path) -> None:
    job = job_file(('code = "irc-2024"\n', ""))
    done = run("draw", job, "--out", tmp_path / "all")
    assert done.returncode == 0, done.stderr
    assert "nothing was checked" in done.stdout
    lines, _ = read_lines(tmp_path / "all" / "sheets.pdf")
    assert any("no code is named" in line.text for line in lines)
    wanted = run("draw", job, "--set", "inspection", "--out", tmp_path / "none")
    assert wanted.returncode == 2
    assert not (tmp_path / "none").exists()


def test_amendments_are_in_every_title_block(job_file, tmp_path: Path) -> None:
    (tmp_path / "town.toml").write_text(
        '[profile]\nextends = "irc-2024"\nedition = "Town 2025"\n'
        '[limits.riser_height]\nat_most = "7 in"\nclause = "Town 1"\nsource = "invented"\n'
        "read = true\n",
        encoding="utf-8",
    )
    job = job_file(('"irc-2024"', '"town.toml"'))
    draw_job(job, tmp_path / "out")
    lines, sizes = read_lines(tmp_path / "out" / "sheets.pdf")
    for number in range(1, len(sizes) + 1):
        page = " ".join(line.text for line in lines if line.page == number)
        assert "Checked against Town 2025, which amends IRC 2024: riser height." in page
    assert any("Local amendments" in line.text for line in lines)
    assert any("Town 1†" in line.text for line in lines)

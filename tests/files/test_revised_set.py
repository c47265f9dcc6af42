"""A second issue of a job: its title block, its clouds, its marked rows, and the DXF read again."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pdfplumber
import pytest
from click.testing import CliRunner

from railsheet.cli.draw import draw_job
from railsheet.cli.main import cli
from railsheet.export.reread import read_drawing
from railsheet.sheets.clouds import LAYER
from railsheet.sheets.drawing import figure_key
from railsheet.sheets.layers import INKS

PORCH = Path(__file__).parent.parent.parent / "samples" / "porch-flight.toml"
ISSUED = (
    '\n[[revision]]\nmark = "A"\ndate = 2026-11-21\nnote = ["first issue"]\n'
    '\n[[revision]]\nmark = "B"\ndate = 2026-11-24\nnote = ["top post moved"]\n'
)


@pytest.fixture(scope="module")
def two_issues(tmp_path_factory) -> tuple[Path, Path]:
    """The porch, and its second issue: the top post stands half an inch further back."""
    folder = tmp_path_factory.mktemp("issues")
    draw_job(PORCH, folder / "one", which="saw")
    text = PORCH.read_text(encoding="utf-8")
    assert text.count('E = "4"') == 1
    job = folder / "two.toml"
    job.write_text(text.replace('E = "4"', 'E = "4 1/2"') + ISSUED, encoding="utf-8")
    draw_job(job, folder / "two", which="saw", since=folder / "one")
    return folder / "one", folder / "two"


def figures(folder: Path) -> dict:
    return json.loads((folder / "figures.json").read_text(encoding="utf-8"))["figures"]


def changed(two_issues) -> set[str]:
    old, new = (figures(folder) for folder in two_issues)
    return {k for k in new if k not in old or old[k]["shown"] != new[k]["shown"]}


def test_every_changed_dimension_stands_in_a_cloud_and_no_other(two_issues) -> None:
    doc = ezdxf.readfile(two_issues[1] / "A.dxf")
    msp = doc.modelspace()
    clouds = [line for line in msp.query("LWPOLYLINE") if line.rgb == INKS[LAYER] and line.has_arc]
    assert clouds
    boxes = [ezdxf.bbox.extents([line]) for line in clouds]
    keys = changed(two_issues)
    told = {True: 0, False: 0}
    for dimension in msp.query("DIMENSION"):
        (text,) = dimension.get_geometry_block().query("MTEXT")
        middle = ezdxf.bbox.extents([text]).center
        inside = any(box.inside(middle) for box in boxes)
        moved = figure_key(dimension) in keys
        assert inside or not moved, figure_key(dimension)
        told[moved] += 1
        if moved:
            continue
        # An unchanged figure may be taken in only by a cloud of two changed ones beside it.
        assert not inside or len(clouds) < sum(told.values())
    assert told[True] > 10
    assert told[False] > 10


def test_a_set_drawn_for_the_first_time_has_no_clouds(two_issues) -> None:
    doc = ezdxf.readfile(two_issues[0] / "A.dxf")
    assert not doc.modelspace().query(f'*[layer=="{LAYER}"]')


def test_title_blocks_and_tables_tell_the_revision(two_issues) -> None:
    ink = tuple(part / 255 for part in INKS[LAYER])
    with pdfplumber.open(two_issues[1] / "sheets.pdf") as pdf:
        texts = [page.extract_text() for page in pdf.pages]
        bars = [
            line
            for page in pdf.pages
            for line in page.lines
            if line["stroking_color"] == pytest.approx(ink, abs=0.01)
            and line["linewidth"] == pytest.approx(2.5)
        ]
    assert all("Rev B, 2026-11-24" in text for text in texts)
    whole = "\n".join(texts)
    assert "Revisions" in whole
    assert "top post moved" in whole
    assert "Changed since the set of 2026-11-20" in whole
    assert 'Top post: nose to its face: 4" is now 4 1/2", 1/2" more' in whole
    assert len(bars) > 8
    assert "\u2063" not in whole


def test_no_mark_of_change_is_left_in_other_files(two_issues) -> None:
    for path in two_issues[1].iterdir():
        if path.suffix in (".csv", ".json", ".dxf", ".svg"):
            assert "\u2063" not in path.read_text(encoding="utf-8-sig"), path.name


def test_a_drawing_reads_back_to_the_figures(two_issues) -> None:
    record = json.loads((two_issues[1] / "figures.json").read_text(encoding="utf-8"))
    drawing = read_drawing(two_issues[1] / "A.dxf")
    assert drawing["job"]["name"] == record["job"]["name"]
    assert drawing["job"]["revision"] == record["job"]["revision"] == "B"
    assert len(drawing["figures"]) > 60
    for key, figure in drawing["figures"].items():
        said = record["figures"][key]
        assert figure["unit"] == said["unit"]
        assert figure["value"] == pytest.approx(abs(said["value"]), abs=1e-6), key


def test_drawings_are_compared_by_what_they_measure(two_issues) -> None:
    one, two = (str(folder / "A.dxf") for folder in two_issues)
    same = CliRunner().invoke(cli, ["compare", two, str(two_issues[1])])
    assert same.exit_code == 0
    assert "Nothing changed in them." in same.output
    run = CliRunner().invoke(cli, ["compare", one, two])
    assert run.exit_code == 1
    assert 'A.post.top.from_nose: 4" ' in run.output

"""Names are names: they neither lead out of the folder, break a file, nor run anything."""

from __future__ import annotations

import csv
import json
import math
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from click.testing import CliRunner
from pdf_lines import read_lines
from pypdf import PdfReader

from railsheet.cli.main import cli
from railsheet.export.plain import as_text, write_csv
from railsheet.job.kit import find_kit

NAME = "../../Крыльцо <b>&amp;</b> {\\P} %%d 玄関の階段 현관 계단 בית 7/8 ^J 'x' =1+1"
POST = "=HYPERLINK(1) <img src='/etc/passwd'/> 柱 בית, 3 1/8"


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        ("=1+1", "'=1+1"),
        ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
        ("-2+3", "'-2+3"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t=1"),
        (" =1", "' =1"),
        ("＝1", "'＝1"),
        ('-1 1/2"', '-1 1/2"'),
        ("-12.5", "-12.5"),
        ("top rail", "top rail"),
        ("", ""),
    ],
)
def test_no_cell_is_run(cell: str, written: str, tmp_path: Path) -> None:
    assert as_text(cell) == written
    write_csv(tmp_path / "a.csv", ["a"], [[cell], ['quote " and\nline']])
    with (tmp_path / "a.csv").open(encoding="utf-8-sig", newline="") as stream:
        assert list(csv.reader(stream)) == [["a"], [written], ['quote " and\nline']]


def test_odd_names_are_printed_and_nothing_else(job_file, tmp_path: Path) -> None:
    kit = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
    kit = kit.replace('name = "2 in post welded to its plate"', f'name = "{POST}"')
    (tmp_path / "mine.toml").write_text(kit, encoding="utf-8")
    written = NAME.replace("\\", "\\\\")
    job = job_file(
        ('name = "Larch Hollow, porch flight"', f'name = "{written}"'),
        ('kit = "dunlin"', 'kit = "mine.toml"'),
    )
    out = tmp_path / "below" / "out"
    done = CliRunner().invoke(cli, ["draw", str(job), "--out", str(out)])
    assert done.exit_code == 0, done.output
    assert {path.name for path in tmp_path.iterdir()} == {"job.toml", "mine.toml", "below"}
    assert [path.name for path in out.parent.iterdir()] == ["out"]
    pdf = PdfReader(out / "sheets.pdf")
    assert pdf.metadata is not None
    assert pdf.metadata.title == NAME
    text = "\n".join(page.extract_text() for page in pdf.pages)
    assert "玄関の階段" in text
    assert "현관 계단" in text
    assert "Крыльцо" in text
    # In the order of setting, and no figure turned with the name before it.
    lines = [line.text for line in read_lines(out / "sheets.pdf")[0]]
    assert any("תיב 7/8" in line for line in lines)
    assert any("תיב, 3 1/8" in line for line in lines)
    assert "<b>&amp;</b>" in text
    assert "柱" in text
    for page in pdf.pages:
        for font in page["/Resources"]["/Font"].values():
            assert "/FontFile2" in font.get_object()["/FontDescriptor"], "every font is embedded"
    doc = ezdxf.readfile(out / "A.dxf")
    assert not doc.audit().errors
    # The title block shortens what has no room; what is left reads as it was written.
    titles = {e.dxf.text for e in doc.entitydb.values() if e.dxftype() in ("TEXT", "ATTRIB")}
    assert any(title.startswith("../../Крыльцо <b>&amp;</b>") for title in titles)
    ElementTree.parse(out / "A-heights.svg")
    record = json.loads((out / "figures.json").read_text(encoding="utf-8"))
    assert record["job"]["name"] == NAME
    assert all(math.isfinite(figure["value"]) for figure in record["figures"].values())
    with (out / "parts.csv").open(encoding="utf-8-sig", newline="") as stream:
        cells = [cell for row in csv.reader(stream) for cell in row]
    assert f"'{POST}" in cells
    assert not [cell for cell in cells if cell.startswith(("=", "+", "@"))]


def test_a_terminal_that_orders_text_turns_no_figure(job_file, tmp_path: Path) -> None:
    kit = find_kit("dunlin", Path(), "", "").read_text(encoding="utf-8")
    kit = kit.replace('name = "top rail, punched below"', 'name = "מעקה"')
    (tmp_path / "mine.toml").write_text(kit, encoding="utf-8")
    job = job_file(('kit = "dunlin"', 'kit = "mine.toml"'))
    done = CliRunner().invoke(cli, ["draw", str(job), "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    told = [line for line in done.output.splitlines() if "מעקה" in line]
    assert told
    # After the name a left-to-right mark (UAX #9): what follows is the paragraph's again.
    assert all("מעקה\u200e" in line for line in told)

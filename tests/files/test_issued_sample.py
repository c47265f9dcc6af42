"""The sample that was issued twice: its inspection set has a bar beside what changed."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest

from railsheet.cli.draw import draw_job
from railsheet.sheets.layers import INKS

SAMPLE = Path(__file__).parents[2] / "samples" / "drilled-rail.toml"
EARLIER = SAMPLE.parent / "earlier" / SAMPLE.name


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    out = tmp_path_factory.mktemp("issued")
    draw_job(SAMPLE, out, which="inspection", since=EARLIER)
    with pdfplumber.open(out / "sheets.pdf") as pdf:
        yield pdf.pages


def test_findings_that_changed_have_a_bar_and_no_others(pages) -> None:
    ink = tuple(part / 255 for part in INKS["REVISION"])
    marked, plain = [], []
    for page in pages:
        words = page.extract_words()
        if not any(word["text"] == "Findings" for word in words):
            continue
        bars = [
            line for line in page.lines if line["stroking_color"] == pytest.approx(ink, abs=0.01)
        ]
        rows = [w for w in words if w["text"] in ("riser", "tread") and w["x0"] < 200]
        for row in rows:
            middle = (row["top"] + row["bottom"]) / 2
            beside = any(bar["top"] <= middle <= bar["bottom"] for bar in bars)
            line = " ".join(w["text"] for w in words if abs(w["top"] - row["top"]) < 2)
            (marked if beside else plain).append(line)
    assert any("riser 4" in line and "7 9/16" in line for line in marked)
    assert any("tread 2" in line and "10 3/8" in line for line in plain)
    assert not any("10 3/8" in line for line in marked)


def test_its_title_blocks_name_the_issue(pages) -> None:
    for page in pages:
        words = page.extract_text()
        assert "Rev B" in words
        assert "2026-11-23" in words

"""The strip at the foot of the sheet, read back from the page."""

from __future__ import annotations

import datetime
import itertools

import pdfplumber
import pytest

from railsheet.export.sheet_pdf import write_sheets
from railsheet.job.revision import Revision
from railsheet.sheets.drawing import new_document
from railsheet.sheets.lettering import text_width_mm
from railsheet.sheets.paper import PAPER_SIZES, add_sheet, paper
from railsheet.sheets.scales import MM_PER_UNIT, standard_scales
from railsheet.sheets.sheet_set import SheetPage
from railsheet.sheets.title import TitleBlock, fitted, room_for, title_block

MM = 25.4 / 72.0
CAUTION = (
    "Check every figure on site before cutting. Local code, the authority having jurisdiction and "
    "licensed practice decide what is allowed; these sheets print only what was checked."
)


def block(scale, **changes):
    fields = {
        "job": "Back stair",
        "place": "Rear entrance, upper flat",
        "measured_by": "J. Doe",
        "date": "2026-11-02",
        "title": "Elevation, flight 1",
        "number": 2,
        "of": 7,
        "scale": scale,
        "rounding": "Inches, to the nearest 1/16",
        "kit": "Square picket rail",
        "code": "Residential profile",
        "caution": CAUTION,
    }
    return TitleBlock(**(fields | changes))


def page_of(tmp_path, unit, size, portrait, fields):
    doc = new_document(unit, 1.0)
    sheet = paper(size, portrait=portrait)
    layout = add_sheet(doc, "1", sheet)
    room = title_block(layout, sheet, fields)
    report = write_sheets([SheetPage(layout, ())], tmp_path / "t.pdf", "Test")[0]
    with pdfplumber.open(tmp_path / "t.pdf") as pdf:
        page = pdf.pages[0]
        _ = page.objects
    return room, report, page, sheet


@pytest.mark.parametrize("portrait", [False, True])
@pytest.mark.parametrize("size", PAPER_SIZES)
def test_every_field_is_there_and_nothing_overlaps(tmp_path, size, portrait):
    fields = block(standard_scales("in")[6])
    room, report, page, sheet = page_of(tmp_path, "in", size, portrait, fields)
    said = " ".join(report.texts)
    for text in (fields.job, fields.title, fields.kit, fields.code, fields.date, "2 of 7"):
        assert text in said
    assert " ".join(CAUTION.split()) in said
    # Runs of characters with one baseline; a run may not touch the next on its line.
    rows = itertools.groupby(
        sorted(page.chars, key=lambda c: (round(c["matrix"][5], 2), c["x0"])),
        key=lambda c: round(c["matrix"][5], 2),
    )
    for _, row in rows:
        for a, b in itertools.pairwise(row):
            assert b["x0"] >= a["x1"] - 0.02
    for char in page.chars:
        assert char["size"] * MM * 1493 / 2048 >= 2.0 - 0.01
        assert sheet.frame.left < char["x0"] * MM < char["x1"] * MM < sheet.frame.right
        assert char["matrix"][5] * MM < room.bottom


@pytest.mark.parametrize("mark", ["B", "12", "WWWWWW"])
@pytest.mark.parametrize("portrait", [False, True])
@pytest.mark.parametrize("size", PAPER_SIZES)
def test_a_revision_is_never_cut_short(tmp_path, size, portrait, mark):
    """The longest mark that a job may give, in the widest letters, is whole with its date."""
    revision = Revision(mark, datetime.date(2026, 11, 23), ("read again",))
    fields = block(standard_scales("in")[6], revision=revision, number=128, of=130)
    room, report, page, sheet = page_of(tmp_path, "in", size, portrait, fields)
    assert not any("…" in text for text in report.texts)
    words = page.extract_words(keep_blank_chars=True)
    column = sheet.frame.right - 0.13 * sheet.frame.size[0]
    mine = sorted((w for w in words if w["x0"] * MM > column), key=lambda w: w["top"])
    told = " ".join(w["text"] for w in mine)
    assert f"Rev {mark}" in told
    assert "2026-11-23" in told
    assert sheet.name in told
    assert "128 of 130" in told
    for word in mine:
        assert word["x1"] * MM < sheet.frame.right
        assert word["top"] >= (sheet.height_mm - room.bottom) / MM - 0.01
    for one, other in itertools.pairwise(mine):
        assert other["top"] >= one["bottom"] - 1.0 or other["x0"] >= one["x1"]


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_scale_bar_measures_what_it_says(tmp_path, unit):
    for scale in standard_scales(unit):
        _, _, page, _ = page_of(tmp_path, unit, "Letter", False, block(scale))
        figure = next(w for w in page.extract_words() if w["text"] in ("in", "ft", "mm"))
        before = [w for w in page.extract_words() if abs(w["top"] - figure["top"]) < 1]
        last = max((w for w in before if w["x1"] < figure["x0"]), key=lambda w: w["x1"])
        true = float(last["text"]) * {"in": 1.0, "ft": 12.0, "mm": 1.0}[figure["text"]]
        boxes = [r for r in page.rects + page.curves if r["fill"] is False or r["stroke"]]
        low = [b for b in boxes if b["height"] * MM < 2.0]
        length = (max(b["x1"] for b in low) - min(b["x0"] for b in low)) * MM
        assert length == pytest.approx(true * MM_PER_UNIT[unit] / scale.denominator, abs=0.05)


def test_a_sheet_without_scale_says_so(tmp_path):
    _, report, _, _ = page_of(tmp_path, "mm", "A4", False, block(None))
    assert "Not to scale" in report.texts


def test_room_is_known_before_the_sheet_is_drawn(tmp_path):
    room, _, _, sheet = page_of(tmp_path, "mm", "A3", False, block(None))
    assert room == room_for(sheet, CAUTION)
    assert room_for(sheet, "").bottom < room.bottom


@pytest.mark.parametrize("width", [20.0, 40.0, 60.0, 90.0])
def test_long_fields_are_squeezed_then_shortened(width):
    text = "A very long name of a job that somebody typed in full"
    shown, factor = fitted(text, 3.5, width, bold=True)
    assert text_width_mm(shown, 3.5, bold=True) * factor <= width + 1e-9
    assert shown == text or shown.endswith("…")
    assert 0.75 <= factor <= 1.0

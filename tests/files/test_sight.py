"""A view draws what it can show and no more; what it leaves out could not have shown."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from railsheet.cli.solve import solve_job
from railsheet.export.sheet_pdf import write_sheets
from railsheet.export.sight import Sight
from railsheet.job.load import load_job
from railsheet.sheets.sheet_set import Which, compose

SAMPLES = Path(__file__).parent.parent.parent / "samples"


def test_the_pages_are_the_same_bytes_as_with_every_entity_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = load_job(SAMPLES / "porch-flight.toml")
    solved = solve_job(job)
    sheets = compose(job, solved.works, solved.book, Which.SAW, solved.buying)
    seen: list[int] = []
    real = Sight.within

    def counted(self, view):
        shown = list(real(self, view))
        seen.append(len(shown))
        return iter(shown)

    drawings = [page for page in sheets.pages if not page.tables]
    monkeypatch.setattr(Sight, "within", counted)
    write_sheets(drawings, tmp_path / "some.pdf", "x")
    monkeypatch.setattr(Sight, "within", lambda self, view: iter(self.model(view.doc)))
    write_sheets(drawings, tmp_path / "all.pdf", "x")
    assert (tmp_path / "some.pdf").read_bytes() == (tmp_path / "all.pdf").read_bytes()
    every = len(sheets.documents["A"].modelspace())
    assert min(seen) < every / 4


def test_a_pattern_wider_than_its_area_shows_nothing_and_stops_nothing() -> None:
    doc = ezdxf.new()
    for size, scale in ((1000.0, 1.0), (0.001, 50.0)):
        hatch = doc.modelspace().add_hatch()
        hatch.set_pattern_fill("ANSI31", scale=scale)
        # Off zero, where a line of the pattern begins.
        at = 1.0
        corners = [(at, at), (at + size, at), (at + size, at + size / 2)]
        hatch.paths.add_polyline_path(corners, is_closed=True)
    doc.modelspace().add_line((0, 0), (1, 1))
    shown = Sight().model(doc)
    assert len(shown) == 2
    assert shown[0].box.right > 500

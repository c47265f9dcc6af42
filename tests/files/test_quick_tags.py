"""What is written quickly is what ezdxf writes by itself."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.filemanagement import new

from railsheet.cli.part_files import part_files
from railsheet.cli.solve import solve_job
from railsheet.export import dxf
from railsheet.export.quick_tags import quick_tags
from railsheet.job.load import load_job
from railsheet.sheets.sheet_set import Which, compose

SAMPLES = Path(__file__).parent.parent.parent / "samples"


def written(doc: Drawing, *, quickly: bool) -> str:
    text = StringIO()
    if quickly:
        with quick_tags():
            doc.write(text)
    else:
        doc.write(text)
    return text.getvalue()


def test_the_files_of_a_set_are_what_ezdxf_writes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = load_job(SAMPLES / "porch-flight.toml")
    solved = solve_job(job)
    docs: list[Drawing] = []
    # Part drawings are made where they are named.
    monkeypatch.setattr(dxf, "save_dxf", lambda doc, path: docs.append(doc))
    for write in part_files(solved, "all").values():
        write(tmp_path)
    sheets = compose(job, solved.works, solved.book, Which.ALL, solved.buying)
    docs += sheets.documents.values()
    monkeypatch.setattr(options, "write_fixed_meta_data_for_testing", True)
    assert len(docs) > 5
    for doc in docs:
        assert written(doc, quickly=True) == written(doc, quickly=False)


def test_entities_with_more_than_a_sheet_ever_gives_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(options, "write_fixed_meta_data_for_testing", True)
    doc = new("R2010", setup=True)
    msp = doc.modelspace()
    more = {"color": 1, "ltscale": 2, "invisible": 1, "true_color": 5, "thickness": 3}
    msp.add_line((0, 0), (1, 2, 3), dxfattribs=more)
    msp.add_circle((1, 1), 2, dxfattribs={"extrusion": (0, 0, -1), "transparency": 0x02000080})
    msp.add_spline([(0, 0), (1, 1), (2, 0)])
    msp.add_ellipse((0, 0), (5, 0), 0.4)
    msp.add_text("x", dxfattribs={"oblique": 15, "width": 0.8}).set_placement((1, 2))
    msp.add_mtext("a\nb").set_bg_color(3)
    msp.add_lwpolyline([(0, 0, 1, 1, 0.5), (1, 1, 0, 0, 0)], close=True)
    msp.add_linear_dim((0, 2), (0, 0), (5, 0)).render()
    assert written(doc, quickly=True) == written(doc, quickly=False)


def test_a_line_break_never_begins_a_tag_of_its_own() -> None:
    doc = new("R2010")
    doc.linetypes.add("L", [1.0, 1.0], description="one\n  0\nEOF")
    with pytest.raises(ValueError, match="line break"):
        written(doc, quickly=True)


def test_ezdxf_is_left_as_it_was() -> None:
    from ezdxf.entities.dxfns import DXFNamespace

    before = DXFNamespace.export_dxf_attribs
    with pytest.raises(KeyError), quick_tags():
        raise KeyError
    assert DXFNamespace.export_dxf_attribs is before

"""A run's DXF in the hands of others: ezdxf, GDAL and a CAD program, none of them ours.

LibreCAD (Debian package `librecad`) prints it without a screen; poppler-utils (`pdftoppm`) makes
a picture of that. `.ci/run` installs both; where they are not there the picture test is skipped.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections import Counter
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely

from railsheet.cli.draw import draw_job
from railsheet.sheets.drawing import figure_key
from railsheet.sheets.layers import LAYERS
from railsheet.sheets.part_blocks import LENGTH, MARK, PROFILE

SAMPLES = Path(__file__).parent.parent.parent / "samples"


@pytest.fixture(scope="module", params=["porch-flight", "solid-pane"])
def drawn(request, tmp_path_factory) -> tuple[str, Path, dict]:
    """A run's mark, its DXF, its figures."""
    out = tmp_path_factory.mktemp(request.param)
    draw_job(SAMPLES / f"{request.param}.toml", out, which="fabricator")
    figures = json.loads((out / "figures.json").read_text())["figures"]
    mark = next(key for key in figures if key.endswith(".bay.1.clear")).split(".")[0]
    return mark, out / f"{mark}.dxf", figures


def in_place(doc) -> list:
    """The elevation's parts: those nearest the top of model space, each mark once."""
    seen: dict[str, object] = {}
    for insert in doc.modelspace().query("INSERT"):
        seen.setdefault(insert.get_attrib_text(MARK), insert)
    return list(seen.values())


def test_layers_are_described_and_what_repeats_is_a_block(drawn) -> None:
    mark, path, figures = drawn
    doc = ezdxf.readfile(path)
    assert not doc.audit().errors
    for spec in LAYERS:
        layer = doc.layers.get(spec.name)
        assert (layer.dxf.color, layer.dxf.lineweight) == (spec.aci, spec.weight)
        assert layer.description == spec.about
    parts = Counter(insert.dxf.layer for insert in in_place(doc))
    members = figures.get(f"{mark}.bay.1.balusters", figures.get(f"{mark}.bay.1.members"))
    assert parts["BALUSTER"] == members["value"]
    assert parts["POST"] == 2
    assert parts["BRACKET"] == 4
    kinds = Counter(insert.dxf.name.split("-")[0] for insert in doc.modelspace().query("INSERT"))
    assert kinds["INFILL"] >= members["value"]
    # Raked rails are parallel: every baluster of a bay is one shape.
    assert len([b for b in doc.blocks if b.name.startswith("INFILL-")]) == 1


def test_attributes_say_mark_profile_and_length(drawn) -> None:
    mark, path, figures = drawn
    doc = ezdxf.readfile(path)
    for insert in doc.modelspace().query("INSERT"):
        said = {attribute.dxf.tag: attribute for attribute in insert.attribs}
        assert set(said) == {MARK, PROFILE, LENGTH}
        assert all(a.is_invisible and a.dxf.text.strip() for a in said.values())
        key = figure_key(insert)
        if insert.dxf.layer == "POST":
            assert said[LENGTH].dxf.text == figures[key]["shown"]
            assert said[MARK].dxf.text.startswith(f"{mark}-P")
        elif insert.dxf.layer == "BALUSTER" and "kit.baluster.length" in figures:
            # This kit's balusters come at one length and are not cut.
            assert said[LENGTH].dxf.text == figures["kit.baluster.length"]["shown"]


def test_title_blocks_are_blocks_with_attributes(drawn) -> None:
    _, path, _ = drawn
    doc = ezdxf.readfile(path)
    numbers = []
    for layout in doc.layouts:
        if layout.name == "Model":
            continue
        (title,) = [i for i in layout.query("INSERT") if i.dxf.name.startswith("TITLE-")]
        said = {a.dxf.tag: a.dxf.text for a in title.attribs}
        defined = {d.dxf.tag for d in doc.blocks.get(title.dxf.name).query("ATTDEF")}
        assert set(said) == defined
        assert {"JOB", "TITLE", "SCALE", "SHEET", "REVISION", "CODE"} <= defined
        numbers.append(said["SHEET"])
        for view in layout.query("VIEWPORT"):
            # DXF reference, VIEWPORT group 90: 0x4000 locks the scale.
            assert view.dxf.id == 1 or view.dxf.flags & 0x4000
    assert len(set(numbers)) == len(numbers) >= 3


def test_header_states_unit_reach_and_dimension_style(drawn) -> None:
    _, path, figures = drawn
    doc = ezdxf.readfile(path)
    inches = figures["kit.post.width"]["unit"] == "in"
    assert doc.header["$INSUNITS"] == (1 if inches else 4)
    assert doc.header["$MEASUREMENT"] == (0 if inches else 1)
    # DIMLUNIT 5 fractional, 2 decimal; DIMFRAC 2 not stacked: DXF reference, header.
    assert doc.header["$DIMLUNIT"] == (5 if inches else 2)
    assert doc.header["$DIMRND"] == pytest.approx(1 / 16 if inches else 1.0)
    assert doc.header["$DIMDEC"] == (4 if inches else 0)
    if inches:
        assert doc.header["$DIMFRAC"] == 2
    assert doc.header["$DIMSTYLE"] in doc.dimstyles
    low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    _, _, shapes, _ = pyogrio.raw.read(path, columns=["Layer"])
    seen = shapely.total_bounds(shapely.from_wkb(shapes))
    # GDAL reads lettering as points and leaves out what a view alone shows: it lies within.
    assert low[0] <= seen[0] + 1e-6
    assert low[1] <= seen[1] + 1e-6
    assert high[0] >= seen[2] - 1e-6
    assert high[1] >= seen[3] - 1e-6
    (active,) = [v for v in doc.viewports if v.dxf.name.lower() == "*active"]
    wide = active.dxf.height * active.dxf.aspect_ratio
    for axis, reach in ((0, wide), (1, active.dxf.height)):
        assert active.dxf.center[axis] == pytest.approx((low[axis] + high[axis]) / 2, abs=1e-6)
        assert high[axis] - low[axis] <= reach <= 40 * (high[axis] - low[axis])


def test_gdal_counts_what_the_figures_count(drawn) -> None:
    mark, path, figures = drawn
    meta, _, shapes, fields = pyogrio.raw.read(path, columns=["Layer", "SubClasses"])
    layers = fields[list(meta["fields"]).index("Layer")]
    outlines = {
        layer: [shapely.from_wkb(s) for s, at in zip(shapes, layers, strict=True) if at == layer]
        for layer in ("BALUSTER", "POST")
    }
    members = figures.get(f"{mark}.bay.1.balusters", figures.get(f"{mark}.bay.1.members"))["value"]
    assert len(outlines["BALUSTER"]) % members == 0
    assert outlines["BALUSTER"]
    heights = sorted({round(o.bounds[3] - o.bounds[1], 6) for o in outlines["POST"]})
    for name in ("bottom", "top"):
        shaft = figures[f"{mark}.post.{name}.height"]["value"]
        shaft -= figures["kit.plate.thickness"]["value"]
        assert any(abs(height - shaft) < 1e-5 for height in heights), name


needs_cad = pytest.mark.skipif(
    not (shutil.which("librecad") and shutil.which("pdftoppm")),
    reason="librecad or poppler-utils is not installed; .ci/run installs them",
)


@needs_cad
def test_a_cad_program_draws_the_same_picture(drawn, tmp_path) -> None:
    mark, path, figures = drawn
    shutil.copy(path, tmp_path / "run.dxf")
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)}
    subprocess.run(
        ["librecad", "dxf2pdf", "-a", "-p", "420x297", "-o", "run.pdf", "run.dxf"],
        cwd=tmp_path,
        env=env,
        check=True,
        timeout=120,
        capture_output=True,
    )
    subprocess.run(
        ["pdftoppm", "-r", "100", "-gray", "run.pdf", "run"],
        cwd=tmp_path,
        check=True,
        timeout=60,
    )
    (picture,) = tmp_path.glob("run*.pgm")
    inked = read_pgm(picture) < 200
    rows, columns = np.flatnonzero(inked.any(1)), np.flatnonzero(inked.any(0))
    # Fitted to the page: what it drew is as wide to its height as the file says it is.
    doc = ezdxf.readfile(path)
    low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    shape = (high[0] - low[0]) / (high[1] - low[1])
    drawn_shape = (columns[-1] - columns[0]) / (rows[-1] - rows[0])
    assert drawn_shape == pytest.approx(shape, rel=0.12)
    # And there is a drawing there, not a frame or a blot.
    assert 0.002 < inked.mean() < 0.5


def read_pgm(path: Path) -> np.ndarray:
    """A binary grey picture (Netpbm P5)."""
    _, size, depth, data = path.read_bytes().split(b"\n", 3)
    wide, high = (int(part) for part in size.split())
    assert depth == b"255"
    return np.frombuffer(data, dtype=np.uint8).reshape(high, wide)

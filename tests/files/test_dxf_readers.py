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
    _, _, shapes, (paper,) = pyogrio.raw.read(path, columns=["PaperSpace"])
    model = [s for s, on in zip(shapes, paper, strict=True) if on != 1]
    assert 100 < len(model) < len(shapes)
    seen = shapely.total_bounds(shapely.from_wkb(model))
    # GDAL reads lettering as points: what it finds lies within.
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


def printed(path: Path, folder: Path) -> np.ndarray:
    """Where the CAD program put ink, fitting all it found to one page."""
    shutil.copy(path, folder / "drawing.dxf")
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(folder)}
    for command in (
        ["librecad", "dxf2pdf", "-a", "-m", "-o", "drawing.pdf", "drawing.dxf"],
        ["pdftoppm", "-scale-to", "2000", "-gray", "drawing.pdf", "drawing"],
    ):
        subprocess.run(command, cwd=folder, env=env, check=True, timeout=120, capture_output=True)
    (picture,) = folder.glob("drawing*.pgm")
    return read_pgm(picture) < 200


def proportions(inked: np.ndarray) -> float:
    rows, columns = np.flatnonzero(inked.any(1)), np.flatnonzero(inked.any(0))
    return float((columns[-1] - columns[0]) / (rows[-1] - rows[0]))


@needs_cad
def test_a_cad_program_draws_the_run(drawn, tmp_path) -> None:
    _, path, _ = drawn
    inked = printed(path, tmp_path)
    # It knows no layouts and lays every sheet over model space: both reach as far as the file says.
    doc = ezdxf.readfile(path)
    reach = ezdxf.math.BoundingBox2d()
    for layout in doc.layouts:
        reach.extend((layout.dxf.extmin.vec2, layout.dxf.extmax.vec2))
    assert proportions(inked) == pytest.approx(reach.size.x / reach.size.y, rel=0.1)
    assert 0.002 < inked.mean() < 0.5


@needs_cad
def test_a_cad_program_draws_a_part_in_its_proportions(drawn, tmp_path) -> None:
    _, path, figures = drawn
    inked = printed(path.parent / "part-plate.dxf", tmp_path)
    # The plate's outline is the only ink as wide as the drawing: its rows span the plate's depth.
    counts = inked.sum(1)
    level = np.flatnonzero(counts > 0.9 * counts.max())
    columns = np.flatnonzero(inked[level[0]])
    wide, deep = columns[-1] - columns[0], level[-1] - level[0]
    said = figures["kit.plate.along"]["value"] / figures["kit.plate.across"]["value"]
    assert wide / deep == pytest.approx(said, rel=0.02)


def read_pgm(path: Path) -> np.ndarray:
    """A binary grey picture (Netpbm P5)."""
    _, size, depth, data = path.read_bytes().split(b"\n", 3)
    wide, high = (int(part) for part in size.split())
    assert depth == b"255"
    return np.frombuffer(data, dtype=np.uint8).reshape(high, wide)

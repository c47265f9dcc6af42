"""Part drawings as a machine reads them: closed, single, at full size, and no more than is asked.

Readers: ezdxf; GDAL's DXF driver through pyogrio; shapely for the plane geometry.
"""

from __future__ import annotations

import itertools
import json
import math
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely

from railsheet.cli.draw import draw_job
from railsheet.job.kit import load_kit
from railsheet.sheets.identity import JOB
from railsheet.sheets.part_drawing import CUT, HOLE, PART_LAYERS, SCRIBE

SAMPLES = Path(__file__).parent.parent.parent / "samples"
NAMES = ("porch-flight", "drilled-rail", "cut-to-fit", "cable-rail", "solid-pane", "wood-guard")


Made = tuple[str, Path, dict]


@pytest.fixture(scope="module")
def sets(tmp_path_factory) -> Callable[[str], Made]:
    """A fabricator's set of a sample: its name, its folder, its figures; drawn once."""

    @cache
    def made(name: str) -> Made:
        out = tmp_path_factory.mktemp(name)
        draw_job(SAMPLES / f"{name}.toml", out, which="fabricator")
        return name, out, json.loads((out / "figures.json").read_text())["figures"]

    return made


@pytest.fixture(params=NAMES)
def made(request, sets) -> Made:
    """Each sample's set in turn."""
    return sets(request.param)


def parts(out: Path) -> list[Path]:
    return sorted(out.glob("part-*.dxf"))


def ring(line) -> list[tuple[float, float]]:
    return [(x, y) for x, y in line.get_points("xy")]


def test_what_is_cut_is_one_closed_line_and_nothing_else(made) -> None:
    _, out, _ = made
    assert len(parts(out)) >= 4
    for path in parts(out):
        doc = ezdxf.readfile(path)
        auditor = doc.audit()
        assert not auditor.errors
        assert not auditor.fixes
        msp = doc.modelspace()
        assert {e.dxf.layer for e in msp} <= set(PART_LAYERS)
        (cut,) = msp.query(f'*[layer=="{CUT}"]')
        assert cut.dxftype() == "LWPOLYLINE"
        assert cut.closed
        area = shapely.Polygon(ring(cut))
        assert area.is_valid
        assert area.exterior.is_ccw
        assert area.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-9)
        sides = [math.dist(a, b) for a, b in itertools.pairwise([*ring(cut), ring(cut)[0]])]
        assert min(sides) > 0.01
        assert not any(bulge for (bulge,) in cut.get_points("b"))
        holes = list(msp.query(f'*[layer=="{HOLE}"]'))
        assert all(hole.dxftype() == "CIRCLE" and hole.dxf.radius > 0 for hole in holes)
        for hole in holes:
            disc = shapely.Point(hole.dxf.center.vec2).buffer(hole.dxf.radius)
            assert area.contains(disc), path.name
        for one, other in itertools.combinations(holes, 2):
            assert math.dist(one.dxf.center.vec2, other.dxf.center.vec2) > (
                one.dxf.radius + other.dxf.radius
            )
        scribed = [ring(e) for e in msp.query(f'*[layer=="{SCRIBE}"]')]
        assert len({tuple(points) for points in scribed}) == len(scribed)


def test_files_say_their_unit_and_whose_they_are(made) -> None:
    name, out, _ = made
    metric = '"mm"' in (SAMPLES / f"{name}.toml").read_text().split("[[flight")[0]
    for path in parts(out):
        doc = ezdxf.readfile(path)
        # DXF reference, header: $INSUNITS 1 inches, 4 millimetres; $MEASUREMENT 0 and 1.
        assert doc.header["$INSUNITS"] == (4 if metric else 1)
        assert doc.header["$MEASUREMENT"] == (1 if metric else 0)
        assert doc.header.custom_vars.get(JOB)
        words = [t.plain_text() for t in doc.modelspace().query("MTEXT")]
        assert len(words) == 1
        assert path.stem.removeprefix("part-").split("-side")[0].split("-face")[0] in words[0]


def test_a_second_reader_finds_the_lengths_of_the_figures(made) -> None:
    name, out, figures = made
    mark = next(key for key in figures if key.endswith(".bay.1.clear")).split(".")[0]
    for place, letters in (("top", "TR"), ("bottom", "BR")):
        key = f"{mark}.bay.1.rail.{place}"
        shape = cut_shape(out / f"part-{mark}1-{letters}-side.dxf")
        low, _, high, _ = shape.bounds
        assert high - low == pytest.approx(figures[f"{key}.length"]["value"], abs=1e-6)
        depth = figures[f"kit.{place}_rail.depth"]["value"]
        assert shape.bounds[3] == pytest.approx(depth, abs=1e-6)
        # The long edges run parallel at their ends' saw settings, so the area is their mean's.
        assert shape.area == pytest.approx(mean_length(figures, key, depth) * depth, rel=1e-9)
    # A post that stands already is made by nobody.
    post = out / f"part-{mark}-P1.dxf"
    standing = figures_of_part_marks(out, f"{mark}-P1")
    assert post.exists() == bool(standing)
    if post.exists():
        key = f"{mark}.post.bottom.height"
        height = figures[key]["value"] - figures["kit.plate.thickness"]["value"]
        assert cut_shape(post).bounds[3] == pytest.approx(height, abs=1e-6)
    if name == "solid-pane":
        pane = cut_shape(out / f"part-{mark}1-PN.dxf")
        corners = list(pane.exterior.coords)[:4]
        for at, to, what in ((0, 1, "raked"), (0, 3, "plumb"), (0, 2, "rising"), (1, 3, "falling")):
            expected = figures[f"{mark}.bay.1.pane.{what}"]["value"]
            assert math.dist(corners[at], corners[to]) == pytest.approx(expected, abs=1e-6)


def figures_of_part_marks(out: Path, mark: str) -> list[str]:
    """Part files whose words name a mark."""
    named = []
    for path in parts(out):
        words = ezdxf.readfile(path).modelspace().query("MTEXT").first.plain_text()
        if mark in words.split(":")[0].split(", "):
            named.append(path.name)
    return named


def cut_shape(path: Path) -> shapely.Polygon:
    _, _, shapes, (layers,) = pyogrio.raw.read(path, columns=["Layer"])
    (line,) = [shapely.from_wkb(s) for s, layer in zip(shapes, layers, strict=True) if layer == CUT]
    coords = [(x, y) for x, y, *_ in shapely.get_coordinates(line)]
    return shapely.Polygon(coords)


def mean_length(figures: dict, key: str, depth: float) -> float:
    """Half way up a rail: its length less half of each end's set-back, both cuts parallel."""
    saws = [figures[f"{key}.{end}.saw"]["value"] for end in ("uphill", "downhill")]
    return figures[f"{key}.length"]["value"] - sum(
        depth * math.tan(math.radians(saw)) / 2 for saw in saws
    )


def test_drilled_holes_stand_where_the_figures_say(sets) -> None:
    _, out, figures = sets("drilled-rail")
    mark = next(key for key in figures if key.endswith(".bay.1.clear")).split(".")[0]
    for place, letters in (("top", "TR"), ("bottom", "BR")):
        doc = ezdxf.readfile(out / f"part-{mark}1-{letters}-face.dxf")
        holes = sorted(h.dxf.center.x for h in doc.modelspace().query("CIRCLE"))
        key = f"{mark}.bay.1.rail.{place}"
        numbered = re.compile(re.escape(key) + r"\.hole\.\d+")
        said = sorted(v["value"] for k, v in figures.items() if numbered.fullmatch(k))
        assert len(holes) == figures[f"{mark}.bay.1.balusters"]["value"]
        # Square cut: the face begins at the long point.
        assert holes == pytest.approx(said, abs=1e-6)


def test_plates_have_the_kits_holes(made) -> None:
    name, out, figures = made
    plate = out / "part-plate.dxf"
    if name == "wood-guard":
        assert not plate.exists(), "a newel stands on no plate"
        return
    holes = ezdxf.readfile(plate).modelspace().query("CIRCLE")
    said = [
        tuple(figures[f"kit.plate.hole.{n}.{k}"]["value"] for k in ("along", "across", "size"))
        for n in range(1, 5)
    ]
    found = [(h.dxf.center.x, h.dxf.center.y, 2 * h.dxf.radius) for h in holes]
    assert found == [pytest.approx(each, abs=1e-9) for each in said]


def test_bored_posts_have_a_hole_for_every_cable(sets) -> None:
    _, out, figures = sets("cable-rail")
    mark = next(key for key in figures if key.endswith(".bay.1.clear")).split(".")[0]
    foot = figures["kit.plate.thickness"]["value"]
    heights = [
        figures[key]["value"] - foot
        for key in figures
        if key.startswith(f"{mark}.post.bottom.bore.") and key.endswith(".height")
    ]
    holes = ezdxf.readfile(out / f"part-{mark}-P1.dxf").modelspace().query("CIRCLE")
    assert len(heights) > 5
    assert sorted(h.dxf.center.y for h in holes) == pytest.approx(sorted(heights), abs=1e-6)


def test_a_plate_without_holes_in_the_kit_is_told(tmp_path, capsys, job_file) -> None:
    text = Path(load_kit_file("dunlin")).read_text(encoding="utf-8")
    start, stop = text.index("hole = ["), text.index("]\n", text.index("hole = [")) + 2
    (tmp_path / "bare.toml").write_text(text[:start] + text[stop:], encoding="utf-8")
    path = job_file(('kit = "dunlin"', 'kit = "bare.toml"'))
    draw_job(path, tmp_path / "out", which="fabricator")
    assert "no holes" in capsys.readouterr().out
    doc = ezdxf.readfile(tmp_path / "out" / "part-plate.dxf")
    assert not doc.modelspace().query("CIRCLE")
    assert "NO HOLES" in doc.modelspace().query("MTEXT").first.plain_text()


def load_kit_file(name: str) -> str:
    from railsheet.job import kit

    path = Path(kit.__file__).parent.parent / "data" / "kits" / f"{name}.toml"
    assert load_kit(path).plate.holes
    return str(path)

"""A sample of every kind of rail end, drawn whole and read back; compound cuts out of the PDF."""

from __future__ import annotations

import csv
import json
import math
import re
from itertools import pairwise
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import test_site_sheets as sites
from ezdxf.math import bulge_radius
from pdf_lines import read_lines

from railsheet.cli.draw import draw_job
from railsheet.cli.solve import solve_job
from railsheet.errors import BadInput
from railsheet.job.kit import load_kit
from railsheet.job.load import load_job

KITS = Path(load_job.__code__.co_filename).parents[1] / "data" / "kits"


@pytest.fixture(
    scope="module",
    params=[
        "butted-rails",
        "housed-rails",
        "rail-over-posts",
        "returned-rail",
        "elbow-return",
        "coped-rails",
        "long-handrail",
    ],
)
def drawn(request, tmp_path_factory) -> Path:
    out = tmp_path_factory.mktemp(request.param)
    draw_job(sites.SAMPLES / f"{request.param}.toml", out)
    return out


def test_dimensions_measure_their_figures(drawn: Path) -> None:
    assert sites.dimensions_held(drawn) > 60


def test_no_text_over_another_or_off_the_page(drawn: Path) -> None:
    sites.test_no_text_lies_over_another_or_off_the_page(drawn)


@pytest.fixture(scope="module")
def butted(tmp_path_factory) -> tuple[Path, str]:
    """The butted sample's folder, and all the words of its sheets."""
    out = tmp_path_factory.mktemp("butted")
    draw_job(sites.SAMPLES / "butted-rails.toml", out)
    return out, " ".join(line.text for line in read_lines(out / "sheets.pdf")[0])


SETTING = re.compile(r"Compound cut, (up|down)hill ends: saw at ([\d.]+)°")
BEVEL = re.compile(r"bevel ([\d.]+)°: blade's top")
TILT = re.compile(r"to the (off|kept) side, long point(?: (up))?")
FLAT = re.compile(r"mitre ([\d.]+)°, bevel ([\d.]+)°, long point (\w+ the fence(?:, up)?)")


def turned(axis: int, angle: float) -> np.ndarray:
    """A turn about one axis, right-handed."""
    c, s = math.cos(angle), math.sin(angle)
    i, j = (axis + 1) % 3, (axis + 2) % 3
    out = np.eye(3)
    out[i, i], out[i, j], out[j, i], out[j, j] = c, -s, s, c
    return out


def test_the_printed_setting_cuts_the_rail_to_the_posts_face(butted) -> None:
    """By vectors, another way than the layout: the blade turned as printed, the bar set in place.

    In this sample the runs meet 30 degrees off straight; turned to halve that, the post's face
    stands 15 degrees off square to either rail.
    """
    out, _ = butted
    lines, _ = read_lines(out / "sheets.pdf")
    page = next(line.page for line in lines if line.text == "Rails: runs A, B")
    flight_a = "\n".join(line.text for line in lines if line.page == page)
    which, saw = SETTING.search(flight_a).groups()
    (bevel,) = BEVEL.search(flight_a).groups()
    side, point = TILT.search(flight_a).groups()
    assert (which, side, point) == ("up", "kept", None)
    rake = solve_job(load_job(sites.SAMPLES / "butted-rails.toml")).works[0].railing.line.rake_rad
    # On the saw: x along the bar toward its uphill end, the left face (outer, for this rail on
    # the left going up) lying up as z; the rail's top to the fence, which is y. A square blade's
    # normal is x. The long point is on the table: the blade's top is tilted inward, about y; the
    # rail's top reaches further uphill, at the fence: the table is turned about z.
    normal = np.array([1.0, 0.0, 0.0])
    normal = turned(1, -math.radians(float(bevel))) @ normal
    normal = turned(2, -math.radians(float(saw))) @ normal
    # Set in place: saw x is the rail's axis, saw y the rail's upper face, saw z its left.
    axis = np.array([math.cos(rake), 0.0, math.sin(rake)])
    upper = np.array([-math.sin(rake), 0.0, math.cos(rake)])
    left = np.array([0.0, 1.0, 0.0])
    in_place = normal[0] * axis + normal[1] * upper + normal[2] * left
    # The face is plumb. The runs come at bearings 0 and 30, so the post's faces look along 15 and
    # the rail's end, at bearing 0, is cut to look there too.
    assert in_place[2] == pytest.approx(0.0, abs=2e-3)
    assert math.degrees(math.atan2(in_place[1], in_place[0])) == pytest.approx(15.0, abs=0.06)
    mitre, flat_bevel, _ = FLAT.search(flight_a).groups()
    # Lying flat: the standard pair for a plumb cut at plan angle p on a rake r,
    # tan m = tan p / cos r and sin b = cos p sin r (plane geometry, worked by hand).
    plan = math.radians(15.0)
    assert float(mitre) == pytest.approx(
        math.degrees(math.atan(math.tan(plan) / math.cos(rake))), abs=0.06
    )
    assert float(flat_bevel) == pytest.approx(
        math.degrees(math.asin(math.cos(plan) * math.sin(rake))), abs=0.06
    )


def test_the_saw_sheet_says_the_bevel_and_where_the_long_point_lies(butted) -> None:
    out, words = butted
    figures = json.loads((out / "figures.json").read_text(encoding="utf-8"))["figures"]
    bevels = {
        key: f for key, f in figures.items() if re.match(r"stock\.bar\.\d+\.cut\.\d+\.bevel", key)
    }
    # Both rails of the flight's upper end, and both of the level run's first.
    assert len(bevels) == 4
    for figure in bevels.values():
        assert figure["shown"] == "15.0°"
    assert (
        words.count("bevel 15.0°, long point up")
        + words.count("bevel 15.0°, long point on the table")
        >= 4
    )


def test_the_take_off_counts_what_each_end_takes(butted) -> None:
    out, _ = butted
    with (out / "parts.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = {row["Part"]: row for row in csv.DictReader(stream)}
    text = (out / "parts.csv").read_text(encoding="utf-8-sig")
    assert "flanged wall plate" in text
    assert any("top rail pin set" in part for part in rows)


@pytest.mark.parametrize(
    ("kit", "old", "new", "place", "words"),
    [
        ("brambling", 'kind = "over post"', 'kind = "over all"', "top_end > kind", "over post"),
        ("brambling", 'reveal = "0" ', 'reveal = "2" ', "post > reveal", "none: 0"),
        ("brambling", '[bottom_end]\nkind = "butt"\nname = "shoe rail against the newel"\n'
         'clearance = "0"\n', '[bottom_end]\nkind = "over post"\nname = "x"\ncut = "plumb"\n'
         'past = "1"\nsaddle = "0"\n', "bottom_end > kind", "only the top rail"),
        ("crossbill", 'depth = "1/2"', 'depth = "1 3/4"', "top_end > depth", "less than half"),
        ("crossbill", 'short = "1/32"', 'short = "5/8"', "top_end > short", "stay out"),
        ("dipper", 'socket = "3/8"', 'socket = "3/4"', "wall_plate > socket", "into the wall"),
        ("dipper", "[top_end]", "[top_bracket]\n[top_end]", "top_end", "one kind of end"),
    ],
)  # fmt: skip
def test_a_kit_that_contradicts_itself_is_refused(
    tmp_path: Path, kit: str, old: str, new: str, place: str, words: str
) -> None:
    text = (KITS / f"{kit}.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "kit.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load_kit(path)
    assert place in str(caught.value)
    assert words in str(caught.value)


def test_a_rail_over_posts_that_comes_to_a_bare_wall_is_refused(tmp_path: Path) -> None:
    """There is no post to lie on: the kit must say what plate it ends in."""
    kit = (KITS / "brambling.toml").read_text(encoding="utf-8")
    start, stop = kit.index("[wall_plate]"), kit.index("[limits]")
    (tmp_path / "own.toml").write_text(kit[:start] + kit[stop:], encoding="utf-8")
    job = (sites.SAMPLES / "rail-over-posts.toml").read_text(encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(job.replace('kit = "brambling"', 'kit = "own.toml"'), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        solve_job(load_job(path))
    assert "wall_plate" in str(caught.value)
    assert "no post to lie on" in str(caught.value)


def test_an_easing_is_drawn_with_true_arcs(tmp_path: Path) -> None:
    """Read back by ezdxf (general-purpose): the block's arcs, and the dimension of the radius."""
    draw_job(sites.SAMPLES / "eased-rails.toml", tmp_path)
    figures = json.loads((tmp_path / "figures.json").read_text(encoding="utf-8"))["figures"]
    for run, post in (("A", "end"), ("B", "bottom"), ("B", "top"), ("C", "start")):
        doc = ezdxf.readfile(tmp_path / f"{run}.dxf")
        radius = figures[f"{run}.post.{post}.easing.radius"]["value"]
        # Half the rail's depth and the easing's wall, in, of the kit.
        half = 1.75 / 2 + 0.125
        found = [
            abs(bulge_radius(start[:2], end[:2], start[2]))
            for block in doc.blocks
            if block.name.startswith("EASING-")
            for line in block.query("LWPOLYLINE")
            for start, end in pairwise(line.get_points("xyb"))
            if start[2]
        ]
        for wanted in (radius + half, radius - half):
            assert any(each == pytest.approx(wanted, abs=1e-6) for each in found), (run, post)
    radial = [
        dim
        for run in "ABC"
        for dim in ezdxf.readfile(tmp_path / f"{run}.dxf").query("DIMENSION")
        if dim.dimtype == 4
    ]
    assert sorted(dim.get_measurement() for dim in radial) == pytest.approx([6.0, 8.0])

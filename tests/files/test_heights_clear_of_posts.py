"""A height written over a nose that lies by a line post stands over the post, not on its edges."""

from __future__ import annotations

from pathlib import Path

import ezdxf
from shapely.geometry import box

from railsheet.cli.draw import draw_job
from railsheet.cli.solve import solve_job
from railsheet.job.load import load_job
from railsheet.sheets.dimensions import TEXT_GAP_MM
from railsheet.sheets.drawing import FIGURE_MM, figure_key
from railsheet.sheets.lettering import text_width_mm

SAMPLES = Path(__file__).parents[2] / "samples"


def test_no_height_stands_on_a_line_post(tmp_path: Path) -> None:
    path = SAMPLES / "station-steps.toml"
    draw_job(path, tmp_path, which="saw")
    near = 0
    for work in solve_job(load_job(path)).works:
        railing = work.railing
        half = railing.kit.post.width_mm / 2
        posts = [
            box(p.centre_s_mm - half, p.surface_z_mm, p.centre_s_mm + half, p.top_z_mm)
            for p in railing.posts[1:-1]
        ]
        doc = ezdxf.readfile(tmp_path / f"{work.mark}.dxf")
        for dimension in doc.modelspace().query("DIMENSION"):
            if not (figure_key(dimension) or "").endswith("rail_height"):
                continue
            at = dimension.dxf.text_midpoint
            # The sheet's scale, 1:25; the text stands plumb.
            wide, high = text_width_mm("950", FIGURE_MM) * 12.5, FIGURE_MM * 12.5
            wide += TEXT_GAP_MM * 25  # the ground under the figure rubs out what it covers
            words = box(at.x - high, at.y - wide, at.x + high, at.y + wide)
            assert not any(words.intersects(post) for post in posts)
            near += any(abs(at.x - post.centroid.x) < half + high for post in posts)
    assert near

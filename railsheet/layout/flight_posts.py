"""A flight's posts: what each stands on, its cut, its faces and the mounts on them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import FlightSpec, PostSpec
from railsheet.layout.bay import LINE_POST, POST, Station, station_of
from railsheet.layout.ends.door import end_mount, end_parts, topped
from railsheet.layout.flight_faces import Faces, LinePlace, line_spec
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.post import Post, PostFace
from railsheet.layout.post_place import centre_from_face, plate_bounds
from railsheet.layout.rail_ends import End
from railsheet.layout.rail_line import RailLine
from railsheet.layout.section import Section
from railsheet.survey.stair import Stair


def flight_posts(
    stair: Stair,
    spec: FlightSpec,
    kit: Kit,
    line: RailLine,
    section: Section,
    faces: Faces,
    rule: RowRule,
) -> tuple[Post, ...]:
    """Every post of the flight, uphill."""
    bays = faces.bays(kit.post.width_mm)
    bottom, top = _in_from_side(spec, kit)

    def in_from_side(s_mm: float) -> float:
        share = (s_mm - faces.downhill_mm) / (faces.uphill_mm - faces.downhill_mm)
        return bottom + share * (top - bottom)

    def held(end: End, s_mm: float, station: Station) -> PostFace:
        return post_face(kit, line, section, end, s_mm, station)

    low, high = station_of(spec.bottom_post, spec.side), station_of(spec.top_post, spec.side)
    lowest = (held(End.DOWNHILL, bays[0][0], low),)
    highest = (held(End.UPHILL, bays[-1][1], high),)
    posts = [
        _made(stair, kit, "bottom", spec.bottom_post, bottom, lowest),
        *(
            replace(
                _made(
                    stair,
                    kit,
                    f"line {number}",
                    line_spec(post.surface),
                    in_from_side(post.middle_mm),
                    (
                        held(End.UPHILL, below[1], LINE_POST),
                        held(End.DOWNHILL, above[0], LINE_POST),
                    ),
                ),
                slide_mm=_slide(stair, kit, rule, post, (below, above), counts),
            )
            for number, (post, below, above, counts) in enumerate(
                zip(
                    faces.line,
                    bays[:-1],
                    bays[1:],
                    pairwise(faces.balusters),
                    strict=True,
                ),
                start=1,
            )
        ),
        _made(stair, kit, "top", spec.top_post, top, highest),
    ]
    return tuple(topped(kit, line, post) for post in posts)


def _slide(
    stair: Stair,
    kit: Kit,
    rule: RowRule,
    post: LinePlace,
    bays: tuple[tuple[float, float], tuple[float, float]],
    counts: tuple[int, int],
) -> tuple[float, float]:
    """How far a line post may slide downhill and uphill by itself."""
    bounds = plate_bounds(stair, line_spec(post.surface), kit, End.UPHILL)
    assert bounds.low_mm is not None
    assert bounds.high_mm is not None
    downhill, uphill = bays[0][1] - bounds.low_mm, bounds.high_mm - bays[0][1]
    for (start, stop), count, shortens in (
        (bays[0], counts[0], "downhill"),
        (bays[1], counts[1], "uphill"),
    ):
        least, most = rule.band_mm(count)
        shrink, grow = stop - start - least, min(most, kit.greatest_span_mm) - (stop - start)
        if shortens == "downhill":
            downhill, uphill = min(downhill, shrink), min(uphill, grow)
        else:
            downhill, uphill = min(downhill, grow), min(uphill, shrink)
    return max(downhill, 0.0), max(uphill, 0.0)


def _in_from_side(spec: FlightSpec, kit: Kit) -> tuple[float, float]:
    """Each end post's plate from the side edge.

    Where nothing was read it stands in line with the other post, or at the kit's edge distance.
    """
    bottom, top = spec.bottom_post.in_from_side_mm, spec.top_post.in_from_side_mm
    edge = kit.plate.edge_distance_mm
    low = bottom if bottom is not None else top
    high = top if top is not None else bottom
    return edge if low is None else low, edge if high is None else high


def _made(
    stair: Stair,
    kit: Kit,
    name: str,
    spec: PostSpec,
    in_from_side_mm: float,
    faces: tuple[PostFace, ...],
) -> Post:
    return Post(
        name=name,
        spec=spec,
        centre_s_mm=centre_from_face(kit, spec, faces[0].end, faces[0].s_mm),
        surface_z_mm=stair.surface(spec.surface).z_mm - spec.slab_drop_mm,
        top_z_mm=max(face.rail_top_z_mm for face in faces) + kit.post.reveal_mm,
        in_from_side_mm=in_from_side_mm,
        faces=faces,
    )


def post_face(
    kit: Kit,
    line: RailLine,
    section: Section,
    end: End,
    face_mm: float,
    station: Station = POST,
) -> PostFace:
    """A post's face with the marks of both rails' ends on it.

    Args:
        end: the rails' end that it holds.
        face_mm: its place on the run, where the rails' line meets it.
        station: what the post is, and how the rails leave it.
    """
    rail_top = line.z_at(face_mm)
    places = [station.place(kit, place, end, line, section, face_mm) for place in RailPlace]
    return PostFace(
        end=end,
        s_mm=face_mm,
        underside_z_mm=rail_top - section.height_plumb_mm,
        rail_top_z_mm=rail_top,
        mounts=tuple(mount for at in places if (mount := end_mount(at)) is not None),
        parts=tuple(part for at in places for part in end_parts(at)),
    )

"""Solve a level run: equal bays between two posts, on a flat deck.

A level run is a run over no noses: its line is level, and its s is zero at its first post's plan
point.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from railsheet.errors import BadInput
from railsheet.job.kit import Kit
from railsheet.job.model import (
    SQUARE,
    Bays,
    FlightReadings,
    FlightSpec,
    Ground,
    LevelSpec,
    Place,
    PlanPost,
    PostKind,
    PostSpec,
    Skew,
)
from railsheet.job.nosings import Nosings
from railsheet.layout.bay import LINE_POST, fill_bays, station_of
from railsheet.layout.bores import with_bores
from railsheet.layout.ends.door import topped
from railsheet.layout.flight_posts import post_face
from railsheet.layout.full_panels import full_bay, place_full_panels
from railsheet.layout.infill.door import rake_section, row_rule
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.long_run import (
    Placed,
    RunEnds,
    Stretch,
    ease_mm,
    place_equal_spans,
    place_line_posts,
)
from railsheet.layout.notice import look
from railsheet.layout.notices import railing_notices
from railsheet.layout.post import Post
from railsheet.layout.post_place import centre_from_face
from railsheet.layout.rail_ends import End
from railsheet.layout.rail_line import RailLine
from railsheet.layout.rail_room import must_hold_rails
from railsheet.layout.railing import Railing
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class LevelEnds:
    """What a level run lies between. Lengths in mm.

    Attributes:
        start, end: its posts.
        start_face_mm, end_face_mm: from each post's plan point to the face the rails meet.
        length_mm: between the two plan points.
        start_skew, end_skew: how the rails leave them.
    """

    start: PlanPost
    end: PlanPost
    start_face_mm: float
    end_face_mm: float
    length_mm: float
    start_skew: Skew = SQUARE
    end_skew: Skew = SQUARE


def solve_level(spec: LevelSpec, ends: LevelEnds, kit: Kit, file: str) -> Railing:
    """Solve one level run.

    Raises:
        BadInput: its posts leave no room for one baluster.
    """
    line, section = RailLine(0.0, spec.rail_height_mm), rake_section(kit, 0.0)
    rule = row_rule(kit, 0.0)
    in_panels = _in_panels(spec, ends, kit, rule)
    placed = in_panels or _placed(ends, kit, rule)
    half = kit.post.width_mm / 2
    starts = (placed.downhill_face_mm, *(m + half for m in placed.middles_mm))
    stops = (*(m - half for m in placed.middles_mm), placed.uphill_face_mm)
    spans = list(zip(starts, stops, strict=True))
    for (start, stop), count in zip(spans, placed.balusters, strict=True):
        if rule.gap_mm(stop - start, count) <= 0:
            raise BadInput(
                file,
                f"level {spec.mark} > L",
                f"{stop - start:.0f} mm ({(stop - start) / 25.4:.4g} in) between two faces",
                "no room for one baluster: move a post",
            )
    wishes = _as_run(spec, ends)
    edge = kit.plate.edge_distance_mm if spec.in_from_side_mm is None else spec.in_from_side_mm

    def post(
        name: str, wish: PostSpec, middle: float, faces: tuple[tuple[End, float], ...]
    ) -> Post:
        station = LINE_POST if len(faces) > 1 else station_of(wish, spec.side)
        made = Post(
            name=name,
            spec=wish,
            centre_s_mm=middle,
            surface_z_mm=0.0,
            top_z_mm=spec.rail_height_mm + kit.post.reveal_mm,
            in_from_side_mm=edge,
            faces=tuple(post_face(kit, line, section, end, s, station) for end, s in faces),
        )
        return topped(kit, line, made)

    def end_post(name: str, wish: PostSpec, end: End, face: float) -> Post:
        return post(name, wish, centre_from_face(kit, wish, end, face), ((end, face),))

    bays = fill_bays(kit, line, section, spans, placed.balusters, wishes)
    must_hold_rails(bays, file, f"level {spec.mark} > L")
    posts = (
        end_post("start", wishes.bottom_post, End.DOWNHILL, starts[0]),
        *(
            post(
                f"line {number}",
                PostSpec(Ground.DECK, 0, Place.FREE, None, spec.in_from_side_mm, 0.0, None),
                middle,
                ((End.UPHILL, stops[number - 1]), (End.DOWNHILL, starts[number])),
            )
            for number, middle in enumerate(placed.middles_mm, start=1)
        ),
        end_post("end", wishes.top_post, End.UPHILL, stops[-1]),
    )
    railing = Railing(
        spec=wishes,
        kit=kit,
        stair=Stair((), Nosings(()), spec.thickness_mm, 0.0, False),
        line=line,
        section=section,
        posts=with_bores(posts, bays),
        bays=bays,
        freedom=None,
        notices=(),
    )
    notices = railing_notices(railing, rule)
    if spec.bays is not Bays.EQUAL and in_panels is None:
        notices = (*notices, _NO_PANELS)
    return replace(railing, notices=notices)


_NO_PANELS = look(
    "full panels",
    "no number of full panels leaves a bay here, or two, with every gap right: the bays are equal",
)


def _in_panels(spec: LevelSpec, ends: LevelEnds, kit: Kit, rule: RowRule) -> Placed | None:
    """The run in full panels, where the job wants that and it comes out."""
    full = None if spec.bays is Bays.EQUAL else full_bay(kit, rule)
    if full is None:
        return None
    faces = ends.start_face_mm, ends.length_mm - ends.end_face_mm
    return place_full_panels(faces, full, rule, kit, spec.bays is Bays.FULL_AT_END)


def _placed(ends: LevelEnds, kit: Kit, rule: RowRule) -> Placed:
    """The line posts, anywhere on the deck between: bays equal, gaps right where they can be."""
    downhill, uphill = ends.start_face_mm, ends.length_mm - ends.end_face_mm
    held = RunEnds((downhill, downhill), (uphill, uphill))
    stretch = (Stretch(0, downhill, uphill),)
    asked = (held, stretch, rule, kit.post.width_mm, kit.greatest_span_mm)
    if uphill - downhill <= kit.greatest_span_mm + SAME_MM:
        count = rule.best_count(uphill - downhill)
        ease = ease_mm(rule, uphill - downhill, count)
        single = Placed(downhill, uphill, (), (), (count,), ease)
        if ease >= -SAME_MM:
            return single
        return place_line_posts(*asked) or single
    placed = place_line_posts(*asked) or place_equal_spans(*asked)
    assert placed is not None, "on a flat deck every span can be kept"
    return placed


def _as_run(spec: LevelSpec, ends: LevelEnds) -> FlightSpec:
    """What the job says of the run, as of a flight with no steps."""
    return FlightSpec(
        mark=spec.mark,
        readings=FlightReadings((), (), Nosings(()), spec.thickness_mm, 0.0, False),
        side=spec.side,
        rail_height_mm=spec.rail_height_mm,
        bottom_post=_wish(ends.start, spec, ends.start_skew),
        top_post=_wish(ends.end, spec, ends.end_skew),
        site=spec.site,
        bearing_rad=spec.bearing_rad,
    )


def _wish(post: PlanPost, spec: LevelSpec, skew: Skew) -> PostSpec:
    stands = post.kind is PostKind.EXISTING
    return PostSpec(
        ground=Ground.DECK,
        surface=0,
        place=Place.STANDING if stands else Place.SET,
        from_nose_mm=None,
        in_from_side_mm=spec.in_from_side_mm,
        slab_drop_mm=0.0,
        height_mm=post.height_mm,
        mark=post.mark,
        kind=post.kind,
        skew=skew,
        wall=post.wall,
    )

"""Solve the railing of one flight: line, posts, balusters, rails."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from railsheet.errors import BadInput
from railsheet.job.kit import Kit, RailPlace
from railsheet.job.model import FlightSpec, Place, PostSpec
from railsheet.layout.bay import fill_bay
from railsheet.layout.best_rail import rail_over
from railsheet.layout.infill.door import rake_section, row_rule
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.notices import railing_notices
from railsheet.layout.post_place import (
    centre_from_face,
    choose_place,
    face_from_nose,
    find_windows,
    nearest_place,
    plate_bounds,
)
from railsheet.layout.rail_ends import End, rail_end
from railsheet.layout.rail_line import RailLine
from railsheet.layout.railing import Freedom, Mount, Post, Railing
from railsheet.layout.section import Section
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_RAD
from railsheet.units.display import angle_text


@dataclass(frozen=True)
class _Faces:
    """Both post faces on the run, the number of balusters between them, and how it came about."""

    downhill_mm: float
    uphill_mm: float
    balusters: int
    freedom: Freedom | None


def solve_flight(stair: Stair, spec: FlightSpec, kit: Kit, file: str) -> Railing:
    """Solve one flight's railing.

    Args:
        stair: the adjusted stair.
        spec: what the job wants of this flight.
        kit: the rail system.
        file: the job's file, for messages.

    Raises:
        BadInput: the rake is past the kit's limit, or the posts leave no room for one baluster.
    """
    line, line_notices = rail_over(stair, spec, kit)
    rake = line.rake_rad
    where = f"flight {spec.mark}"
    if rake > kit.greatest_rake_rad + SAME_RAD:
        raise BadInput(
            file,
            f"{where} > readings",
            f"rake {angle_text(rake)}",
            f"past the kit's limit: {kit.name} takes at most {angle_text(kit.greatest_rake_rad)}",
        )
    section = rake_section(kit, rake)
    rule = row_rule(kit, rake)
    faces = _faces(stair, spec, kit, rule)
    clear = faces.uphill_mm - faces.downhill_mm
    if rule.gap_mm(clear, faces.balusters) <= 0:
        raise BadInput(
            file,
            f"{where} > bottom_post and top_post",
            f"{clear / 25.4:.4g} in between their faces",
            "no room for one baluster: move a post",
        )
    bay = fill_bay(kit, 1, line, section, (faces.downhill_mm, faces.uphill_mm), faces.balusters)
    railing = Railing(
        spec=spec,
        kit=kit,
        stair=stair,
        line=line,
        section=section,
        posts=(
            _post(stair, spec, kit, line, section, End.DOWNHILL, faces.downhill_mm),
            _post(stair, spec, kit, line, section, End.UPHILL, faces.uphill_mm),
        ),
        bays=(bay,),
        freedom=faces.freedom,
        notices=(),
    )
    return replace(railing, notices=(*line_notices, *railing_notices(railing, rule)))


def _spec_of(spec: FlightSpec, end: End) -> PostSpec:
    return spec.bottom_post if end is End.DOWNHILL else spec.top_post


def _given_face(stair: Stair, spec: PostSpec) -> float:
    assert spec.from_nose_mm is not None, "the job room lets only a free post go without E"
    return face_from_nose(stair, spec, spec.from_nose_mm)


def _faces(stair: Stair, spec: FlightSpec, kit: Kit, rule: RowRule) -> _Faces:
    free = next((end for end in End if _spec_of(spec, end).place is Place.FREE), None)
    if free is None:
        downhill = _given_face(stair, spec.bottom_post)
        uphill = _given_face(stair, spec.top_post)
        return _Faces(downhill, uphill, rule.best_count(uphill - downhill), None)
    fixed_end = End.UPHILL if free is End.DOWNHILL else End.DOWNHILL
    fixed = _given_face(stair, _spec_of(spec, fixed_end))
    freedom, place = _free_place(stair, _spec_of(spec, free), kit, rule, free, fixed)
    downhill, uphill = (place, fixed) if free is End.DOWNHILL else (fixed, place)
    chosen = freedom.chosen
    balusters = chosen.balusters if chosen else rule.best_count(uphill - downhill)
    return _Faces(downhill, uphill, balusters, freedom)


def _free_place(
    stair: Stair, spec: PostSpec, kit: Kit, rule: RowRule, end: End, fixed_mm: float
) -> tuple[Freedom, float]:
    bounds = plate_bounds(stair, spec, kit, end)
    farthest = fixed_mm - end.inward * kit.greatest_span_mm
    # A landing or a deck goes on past what was read: there the kit's span is the bound.
    low = farthest if bounds.low_mm is None else bounds.low_mm
    high = farthest if bounds.high_mm is None else bounds.high_mm
    if bounds.low_mm is None:
        preferred = high
    elif bounds.high_mm is None:
        preferred = low
    else:
        preferred = (low + high) / 2
    windows = find_windows(rule, fixed_mm, end, low, high)
    wanted = None if spec.from_nose_mm is None else face_from_nose(stair, spec, spec.from_nose_mm)
    if rule.anywhere:
        # Every place works: only the plate has a say, and the count follows.
        aim = preferred if wanted is None else wanted
        found = nearest_place(windows, aim, kit.fit_tolerance_mm)
    elif wanted is None:
        found = choose_place(windows, preferred)
    else:
        found = nearest_place(windows, wanted, kit.fit_tolerance_mm)
    if found is None:
        # Nothing is right. Stay on the surface, as near to a window as it lets the post stand.
        place = _least_wrong(rule, end, fixed_mm, low, high, preferred)
        return Freedom(end, low, high, windows, None, wanted), place
    return Freedom(end, low, high, windows, found[0], wanted), found[1]


def _least_wrong(
    rule: RowRule, end: End, fixed_mm: float, low_mm: float, high_mm: float, preferred: float
) -> float:
    if low_mm > high_mm:
        return preferred
    candidates = (preferred, low_mm, high_mm)

    def outside(place: float) -> float:
        clear = end.inward * (fixed_mm - place)
        return rule.outside_mm(clear, rule.best_count(clear))

    return min(candidates, key=outside)


def _post(
    stair: Stair,
    spec: FlightSpec,
    kit: Kit,
    line: RailLine,
    section: Section,
    end: End,
    face_mm: float,
) -> Post:
    post = _spec_of(spec, end)
    other = _spec_of(spec, End.UPHILL if end is End.DOWNHILL else End.DOWNHILL)
    rail_top = line.z_at(face_mm)
    in_from_side = post.in_from_side_mm
    if in_from_side is None:
        # Nothing read: stand in line with the other post, or at the kit's edge distance.
        in_from_side = other.in_from_side_mm
    if in_from_side is None:
        in_from_side = kit.plate.edge_distance_mm
    return Post(
        end=end,
        spec=post,
        face_s_mm=face_mm,
        centre_s_mm=centre_from_face(kit, end, face_mm),
        surface_z_mm=stair.surface(post.surface).z_mm - post.slab_drop_mm,
        underside_z_mm=rail_top - section.height_plumb_mm,
        rail_top_z_mm=rail_top,
        top_z_mm=rail_top + kit.post.reveal_mm,
        in_from_side_mm=in_from_side,
        mounts=tuple(_mount(kit, place, line, section, end, face_mm) for place in RailPlace),
    )


def _mount(
    kit: Kit, place: RailPlace, line: RailLine, section: Section, end: End, face_mm: float
) -> Mount:
    bracket, rail = kit.bracket(place), kit.rail(place)
    pin_s = rail_end(bracket, end, face_mm, section.rake_rad).pin_s_mm
    half_plumb = rail.depth_mm / 2 / math.cos(section.rake_rad)
    drop = half_plumb if place is RailPlace.TOP else section.height_plumb_mm - half_plumb
    return Mount(
        place=place,
        bracket=bracket,
        part=bracket.rising if end is End.DOWNHILL else bracket.falling,
        centre_z_mm=line.z_at(pin_s) - drop,
    )

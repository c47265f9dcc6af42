"""Solve the railing of one flight: line, posts, balusters, rails."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from railsheet.errors import BadInput
from railsheet.job.kit import Kit
from railsheet.job.model import FlightSpec
from railsheet.layout.bay import fill_bay, fill_bays
from railsheet.layout.best_rail import rail_over
from railsheet.layout.bores import with_bores
from railsheet.layout.flight_faces import ANYHOW, Faces, Placing, find_faces
from railsheet.layout.flight_posts import flight_posts
from railsheet.layout.infill.door import rake_section, row_rule
from railsheet.layout.infill.row_rule import RowRule
from railsheet.layout.notices import railing_notices
from railsheet.layout.post import Post
from railsheet.layout.rail_line import RailLine
from railsheet.layout.rail_room import must_hold_rails
from railsheet.layout.railing import Bay, Railing
from railsheet.layout.section import Section
from railsheet.survey.stair import Stair
from railsheet.tolerance import SAME_MM, SAME_RAD


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
    railing = flight_along(line, stair, spec, kit, file)
    found = railing_notices(railing, row_rule(kit, line.rake_rad))
    return replace(railing, notices=(*line_notices, *found))


def standing_posts(
    stair: Stair,
    spec: FlightSpec,
    kit: Kit,
    line: RailLine,
    section: Section,
    faces: Faces,
    rule: RowRule,
    bays: tuple[Bay, ...],
) -> tuple[Post, ...]:
    """Every post of a flight, uphill, with the holes that its bays ask for.

    Of the stair, what matters is the ground that the posts stand on.
    """
    return with_bores(flight_posts(stair, spec, kit, line, section, faces, rule), bays)


@dataclass(frozen=True)
class Making:
    """What makes a flight's parts, or remembers those it made.

    Attributes:
        bay: as ``fill_bay``.
        posts: as ``standing_posts``.
        placing: how line posts are placed.
    """

    bay: Callable[..., Bay] = fill_bay
    posts: Callable[..., tuple[Post, ...]] = standing_posts
    placing: Placing = ANYHOW


AFRESH = Making()


def flight_along(
    line: RailLine,
    stair: Stair,
    spec: FlightSpec,
    kit: Kit,
    file: str,
    making: Making = AFRESH,
) -> Railing:
    """A flight's railing with the rail where it is told to be, whatever the noses say; no notices.

    Args:
        line: the top of the top rail.
        stair, spec, kit, file: as for ``solve_flight``.
        making: what makes its parts.

    Raises:
        BadInput: as ``solve_flight``.
    """
    rake = line.rake_rad
    where = f"flight {spec.mark}"
    if rake > kit.greatest_rake_rad + SAME_RAD:
        raise BadInput(
            file,
            f"{where} > readings",
            f"rake {math.degrees(rake):.2f}°",
            f"past the kit's limit: {kit.name} takes at most "
            f"{math.degrees(kit.greatest_rake_rad):.2f}°",
        )
    section = rake_section(kit, rake)
    rule = row_rule(kit, rake)
    faces = find_faces(stair, spec, kit, rule, making.placing)
    spans = faces.bays(kit.post.width_mm)
    for (start, stop), count in zip(spans, faces.balusters, strict=True):
        if rule.gap_mm(stop - start, count) <= 0:
            raise BadInput(
                file,
                f"{where} > bottom_post and top_post",
                f"{stop - start:.0f} mm ({(stop - start) / 25.4:.4g} in) between their faces",
                "no room for one baluster: move a post",
            )
        apart = rule.spacing_at(stop - start, count)
        if count > 1 and apart <= rule.width_mm + SAME_MM:
            raise BadInput(
                file,
                f"{where} > readings",
                f"rake {math.degrees(rake):.2f}°",
                f"balusters {rule.width_mm:.1f} mm wide would stand in one another, {apart:.1f} mm "
                "apart, level: the kit's pitch is too small for that rake",
            )
    bays = fill_bays(kit, line, section, spans, faces.balusters, spec, making.bay)
    must_hold_rails(bays, file, f"{where} > bottom_post and top_post")
    return Railing(
        spec=spec,
        kit=kit,
        stair=stair,
        line=line,
        section=section,
        posts=making.posts(stair, spec, kit, line, section, faces, rule, bays),
        bays=bays,
        freedom=faces.freedom,
        notices=(),
    )

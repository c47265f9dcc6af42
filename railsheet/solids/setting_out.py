"""What the solids are raised from: where the rail's line lies, where posts stand, how many fill it.

This module alone reads the solved layout, and reads no more than a person would set out by: the
top rail's line, each post's middle, foot and turn, which of the kit's ends holds a rail there, and
how many balusters, cables or braces go in each bay. No cut length, angle, hole, seat or height is
taken: those follow in space, from the kit. A test holds the other modules of this room off the
layout.

A kind of infill that this room does not know is the one exception: its members, its holes in posts
and how far apart it holds the rails are taken as the layout has them, and prove nothing but fit.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from railsheet.cuts.pieces import Pieces
from railsheet.job.kit import Kit, RailPlace
from railsheet.job.kit_bracket import BracketKit
from railsheet.job.kit_easing import EasingKit
from railsheet.job.kit_ends import EndKit, WallPlateKit
from railsheet.job.kit_infill import (
    CableKit,
    CutKit,
    DrilledKit,
    PanelKit,
    PunchedKit,
    SolidKit,
)
from railsheet.job.kit_return import ReturnKit
from railsheet.job.model import Ground, Place, PostKind, Side
from railsheet.layout.infill.parts import Corner, Infill, Member
from railsheet.layout.post import Post
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay, Railing
from railsheet.layout.site_model import Site, SitePost
from railsheet.layout.turned_post import end_bracket
from railsheet.survey.stair import Stair

if TYPE_CHECKING:
    import cadquery as cq


Holder: TypeAlias = EndKit | WallPlateKit | ReturnKit | EasingKit
"""What holds a rail's end: one of the kit's ends, a wall's plate, its return, an easing."""

# The kinds of infill that this room raises from the kit alone.
_KNOWN = (PunchedKit, DrilledKit, CutKit, PanelKit, CableKit, SolidKit)


@dataclass(frozen=True)
class Station:
    """A post, or what stands in for one. Lengths in mm, run frame.

    Attributes:
        mark: its piece mark.
        key: its name in a figure's key.
        middle_mm: its middle on the run; a wall's face, for a wall plate or a half post.
        aside_mm: how far its middle lies left of the rails' line, seen uphill.
        foot_mm: what its plate stands on.
        turned_rad: the way one of its faces looks, from the run's own way.
        holds_downhill_ends, holds_uphill_ends: whether rails of this run begin, or end, at it.
        surface: the walking surface it stands on, counted up.
        in_from_side_mm: from the side edge of what it stands on to its plate.
        stands_mm: how tall it is before it is cut: as supplied, or as a standing one was read;
            None where that was not read.
        ends: what holds a rail: by the way from the post into the bay, 1 uphill and -1 downhill,
            and by the rail.
        wall: the clear to the wall that the top rail is returned to, and the way to it, 1 to the
            left of one looking uphill and -1 to the right; None where it is not returned.
    """

    mark: str
    key: str
    kind: PostKind
    ground: Ground
    middle_mm: float
    aside_mm: float
    foot_mm: float
    turned_rad: float
    holds_downhill_ends: bool
    holds_uphill_ends: bool
    surface: int
    in_from_side_mm: float
    stands_mm: float | None
    ends: Mapping[tuple[int, RailPlace], Holder]
    wall: tuple[float, float] | None = None

    @property
    def through(self) -> bool:
        """Whether rails of this run meet it on both sides."""
        return self.holds_downhill_ends and self.holds_uphill_ends


@dataclass(frozen=True)
class GivenMember:
    """One member of an infill that is placed by the layout. Lengths in mm, run frame.

    Attributes:
        outline: its corners (s, z) in the guard's plane, with all that the rails hold of it.
        thick_mm: its size across the guard.
        aside_mm: its middle from the rails' middle, to the left of one looking uphill.
    """

    outline: tuple[Corner, ...]
    thick_mm: float
    aside_mm: float


@dataclass(frozen=True)
class GivenBore:
    """A hole through the posts, along the rails: over the bottom rail's underside, plumb; mm."""

    over_underside_mm: float
    diameter_mm: float


@dataclass(frozen=True)
class Given:
    """What a kind of infill that this room does not know gives of itself.

    Attributes:
        noun: one of what fills the bay, in words.
        members: those that have a body.
        missing: how many have none, and so are not raised.
        bores: its holes in the posts on either side.
        bought: what it takes by the piece, in words; of that no body is known.
    """

    noun: str
    members: tuple[GivenMember, ...]
    missing: int
    bores: tuple[GivenBore, ...]
    bought: tuple[str, ...]


@dataclass(frozen=True)
class BayCount:
    """What fills a bay.

    Attributes:
        members: how many balusters, cables or panes.
        braces: how many of a cable bay's braces.
        given: the infill as the layout places it; None where it is raised from the kit.
    """

    members: int
    braces: int
    given: Given | None = None


@dataclass(frozen=True)
class SettingOut:
    """One run, as it is set out. Lengths in mm, run frame.

    Attributes:
        line_start_mm, slope: the top of the top rail, z = slope * s + start.
        stations: its posts, uphill.
        bays: what goes into each bay, uphill.
        free: which of the stations may be slid; None where every post was given.
        height_mm: underside of the bottom rail to the top of the top rail, plumb, where the infill
            is given by the layout; None where it is raised from the kit.
    """

    mark: str
    kit: Kit
    side: Side
    stair: Stair
    line_start_mm: float
    slope: float
    stations: tuple[Station, ...]
    bays: tuple[BayCount, ...]
    free: int | None
    height_mm: float | None = None

    @property
    def given(self) -> bool:
        """Whether its infill is placed by the layout, not raised from the kit."""
        return self.height_mm is not None

    @property
    def level(self) -> bool:
        """Whether it is a level run, over no noses."""
        return not self.stair.noses


@dataclass(frozen=True)
class Standing:
    """Where a run stands in plan.

    Attributes:
        x_mm, y_mm: a point of its rails' line in plan.
        start_mm: where on the run that is.
        base_mm: its run frame's zero, over the site's datum.
        bearing_rad: its way, counter-clockwise from x.
    """

    x_mm: float
    y_mm: float
    start_mm: float
    base_mm: float
    bearing_rad: float


def location_of(standing: Standing) -> cq.Location:
    """From a run's frame to the site's."""
    import cadquery as cq

    back = cq.Location(cq.Vector(-standing.start_mm, 0, 0))
    up = cq.Vector(0, 0, 1)
    turned = cq.Location(cq.Vector(0, 0, 0), up, math.degrees(standing.bearing_rad))
    foot = cq.Vector(standing.x_mm, standing.y_mm, standing.base_mm)
    return cq.Location(foot) * turned * back


@dataclass(frozen=True)
class InPlan:
    """How a post at a run's end stands to the run, by the plan. Lengths in mm.

    Attributes:
        middle_mm, aside_mm: its middle along the run, and left of its line.
        turned_rad: the way one of its faces looks, from the run's own way.
    """

    middle_mm: float
    aside_mm: float
    turned_rad: float


def setting_out(railing: Railing, pieces: Pieces, planned: Mapping[str, InPlan]) -> SettingOut:
    """What a run is set out by.

    Args:
        railing: the solved run; see the module's text for what is read of it.
        pieces: its pieces, for their marks.
        planned: by piece mark, the posts that a plan places.
    """
    return SettingOut(
        mark=railing.spec.mark,
        kit=railing.kit,
        side=railing.spec.side,
        stair=railing.stair,
        line_start_mm=railing.line.start_mm,
        slope=railing.line.slope,
        stations=tuple(
            _station(piece.post, piece.mark, railing, planned.get(piece.mark))
            for piece in pieces.posts
        ),
        bays=tuple(_count(railing.kit, bay) for bay in railing.bays),
        free=_free(railing),
        height_mm=None if _known(railing.kit) else railing.section.height_plumb_mm,
    )


def _free(railing: Railing) -> int | None:
    if railing.freedom is None:
        return None
    return 0 if railing.freedom.end is End.DOWNHILL else len(railing.posts) - 1


def _station(post: Post, mark: str, railing: Railing, planned: InPlan | None) -> Station:
    kit, asked = railing.kit, post.spec.wall
    place = InPlan(post.centre_s_mm, 0.0, 0.0) if planned is None else planned
    ends = {face.end for face in post.faces}
    return Station(
        mark=mark,
        key=post.key,
        kind=post.spec.kind,
        ground=post.spec.ground,
        middle_mm=place.middle_mm,
        aside_mm=place.aside_mm,
        foot_mm=post.surface_z_mm,
        turned_rad=place.turned_rad,
        holds_downhill_ends=End.DOWNHILL in ends,
        holds_uphill_ends=End.UPHILL in ends,
        surface=post.spec.surface,
        in_from_side_mm=post.in_from_side_mm,
        stands_mm=post.spec.height_mm
        if post.spec.place is Place.STANDING
        else kit.post.stock_height_mm,
        ends={
            (face.end.inward, rail): _holds(post, kit, rail)
            for face in post.faces
            for rail in RailPlace
        },
        wall=None if asked is None else (asked.clear_mm, asked.aside(railing.spec.side)),
    )


def _holds(post: Post, kit: Kit, rail: RailPlace) -> Holder:
    """Which of a kit's ends a rail has at a post: the bracket made for its turn, a wall's plate."""
    if post.easing is not None and rail is RailPlace.TOP:
        return post.easing.kit
    if post.spec.wall is not None and rail is RailPlace.TOP:
        assert kit.top_return is not None, "a return is laid out only where the kit has one"
        return kit.top_return
    if post.spec.kind is PostKind.WALL and kit.wall_plate is not None:
        return kit.wall_plate
    end = kit.end(rail)
    return end_bracket(kit, rail, post.spec.skew) if isinstance(end, BracketKit) else end


def _count(kit: Kit, bay: Bay) -> BayCount:
    braces = len(bay.infill.members) - bay.infill.count if isinstance(kit.infill, CableKit) else 0
    return BayCount(bay.infill.count, braces, None if _known(kit) else _given(bay.infill))


def _known(kit: Kit) -> bool:
    return type(kit.infill) in _KNOWN


def _given(infill: Infill) -> Given:
    members = tuple(
        GivenMember(member.body, member.thick_mm, member.aside_mm)
        for member in infill.members
        if _has_body(member)
    )
    return Given(
        noun=infill.noun,
        members=members,
        missing=max(infill.count, len(infill.members)) - len(members),
        bores=tuple(GivenBore(b.over_underside_mm, b.diameter_mm) for b in infill.bores),
        bought=tuple(part.item for part in infill.parts),
    )


def _has_body(member: Member) -> bool:
    """Whether it bounds a body: of an outline that crosses itself the kernel makes none."""
    from shapely import Polygon

    if len(member.body) < 3 or member.thick_mm <= 0:
        return False
    outline = Polygon(member.body)
    return bool(outline.is_valid) and outline.area > 0


@dataclass(frozen=True)
class JobPlaces:
    """Every run of a job as it is set out, and where it stands, by mark."""

    outs: Mapping[str, SettingOut]
    standings: Mapping[str, Standing]


def job_places(runs: Sequence[tuple[Railing, Pieces]], site: Site | None) -> JobPlaces:
    """What a solved job is set out by.

    Where no plan joins the runs, both hands of one stair stand on it, others beside each other.
    """
    if site is None:
        outs = {railing.spec.mark: setting_out(railing, pieces, {}) for railing, pieces in runs}
        return JobPlaces(outs, _apart(outs))
    placed, standings = {}, {}
    for railing, pieces in runs:
        mark = railing.spec.mark
        leg = site.legs[mark]
        ends = site.posts[leg.start], site.posts[leg.end]
        at_s = leg.start_s_mm, leg.start_s_mm + leg.length_mm
        planned = {
            piece.mark: _in_plan(post, leg.bearing_rad, s)
            for piece, post, s in zip((pieces.posts[0], pieces.posts[-1]), ends, at_s, strict=True)
        }
        placed[mark] = setting_out(railing, pieces, planned)
        standings[mark] = Standing(
            x_mm=ends[0].at_mm[0],
            y_mm=ends[0].at_mm[1],
            start_mm=at_s[0],
            base_mm=ends[0].foot_mm - placed[mark].stations[0].foot_mm,
            bearing_rad=leg.bearing_rad,
        )
    return JobPlaces(placed, standings)


def _in_plan(post: SitePost, bearing_rad: float, at_s_mm: float) -> InPlan:
    """A post as a run sees it whose line comes to its plan point at s."""
    off = complex(post.middle_mm[0] - post.at_mm[0], post.middle_mm[1] - post.at_mm[1])
    seen = off * cmath.rect(1.0, -bearing_rad)
    return InPlan(at_s_mm + seen.real, seen.imag, post.turned_rad - bearing_rad)


def _apart(outs: Mapping[str, SettingOut]) -> dict[str, Standing]:
    standings: dict[str, Standing] = {}
    y = 0.0
    for mark, out in outs.items():
        twin = next((o for o in outs.values() if _both_hands(out, o) and o.mark in standings), None)
        width = out.stair.width_mm
        if twin is not None:
            first = standings[twin.mark]
            edge = _edge_mm(twin)
            way = 1.0 if twin.side is Side.RIGHT else -1.0
            across = first.y_mm + way * (width - edge - _edge_mm(out))
            standings[mark] = replace(first, y_mm=across)
            continue
        standings[mark] = Standing(0.0, y, 0.0, 0.0, 0.0)
        y += 2 * width + 2000.0
    return standings


def _both_hands(one: SettingOut, other: SettingOut) -> bool:
    return one.mark != other.mark and one.stair == other.stair and one.side is not other.side


def _edge_mm(out: SettingOut) -> float:
    """From the steps' side edge to the rails' middle, at the first post."""
    return out.stations[0].in_from_side_mm + out.kit.plate.across_mm / 2

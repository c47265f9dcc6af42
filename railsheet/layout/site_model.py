"""A site solved: its runs in plan and the posts they share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from railsheet.job.kit_easing import EasingKit
from railsheet.job.model import PostKind, Skew
from railsheet.layout.level import LevelEnds
from railsheet.layout.notice import Notice
from railsheet.layout.plan import Leg, Misclosure, Point
from railsheet.layout.post import Post, PostFace
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing
from railsheet.layout.turn import Turn
from railsheet.survey.plan_adjust import PlanSurvey


@dataclass(frozen=True)
class Meeting:
    """One run's end at a post.

    Attributes:
        way_rad: the way the rail leaves the post in plan, counter-clockwise from x, as stated:
            brackets and cuts are for that.
        lies_rad: the same way as the plan's readings leave it, adjusted together.
        skew: how far that is off square to the face it leaves from.
        own_height_mm: how tall the post would be cut for this run alone.
    """

    run: str
    post: Post
    face: PostFace
    way_rad: float
    lies_rad: float
    skew: Skew
    own_height_mm: float

    @property
    def rail_top_mm(self) -> float:
        """Top of the top rail at the face, over the post's foot."""
        return self.face.rail_top_z_mm - self.post.surface_z_mm


@dataclass(frozen=True)
class EasingChoice:
    """What the kit's easings come to at a post.

    Attributes:
        kit: the one that carries the top rail over it; None where none does.
        refused: why none does, where the rails change rake there.
    """

    kit: EasingKit | None = None
    refused: Notice | None = None


@dataclass(frozen=True)
class SitePost:
    """A post at the end of one run or more. Lengths in mm.

    Attributes:
        at_mm: its plan point: where the lines of its rails meet.
        middle_mm: the post's middle in plan; the same, but where skew brackets set it off.
        foot_mm: what it stands on, over the site's datum.
        turned_rad: the way one of its faces looks.
        owner: the run that lists it among its pieces: the first of its runs by mark.
        height_mm: its cut, from its foot: one for every run.
        easing: what carries the top rail of two runs over it, or why nothing does.
    """

    mark: str
    kind: PostKind
    at_mm: Point
    middle_mm: Point
    foot_mm: float
    turned_rad: float
    owner: str
    height_mm: float
    meetings: tuple[Meeting, ...]
    easing: EasingChoice = EasingChoice()

    @property
    def set_off(self) -> bool:
        """Whether its middle lies beside the point where its rails' lines meet."""
        return self.at_mm != self.middle_mm


@dataclass(frozen=True)
class Partner:
    """The other top rail of a joint over a post, as it leaves the post.

    Attributes:
        run: its run.
        way_rad: its way in plan.
        climb_rad: how steeply it climbs that way; below zero it falls.
        axis_mm: its axis at the post's middle, over the post's foot.
    """

    run: str
    way_rad: float
    climb_rad: float
    axis_mm: float


@dataclass(frozen=True)
class Meets:
    """What one rail's end comes to at a shared post.

    Attributes:
        way_rad: the way the rail itself leaves the post in plan.
        back_mm: from the post's middle to its face, along the rail.
        partner: the rail it joins over the post; None where it joins none.
        easing: what it joins it by; None where it is cut against it.
    """

    way_rad: float
    back_mm: float
    partner: Partner | None
    easing: EasingKit | None = None


@dataclass(frozen=True)
class Site:
    """All runs in plan.

    Attributes:
        railings: every run by mark, its shared posts cut to their one height.
        legs: every run's line in plan, by mark.
        posts: every post at a run's end, by mark.
        diagonals_mm: check distances between the far posts of runs that meet at a corner.
        misclosures: what loops fail to close by, all within what is allowed.
        survey: the plan's readings adjusted; None where every post's place is given.
        ends: what each level run lies between, its length as adjusted.
        notices: what the meeting of runs calls attention to, by the run that prints it.
        turns: the gap at each rail's end, where anything stands beside it.
        meets: what each run's top rail comes to at its two ends, by mark.
    """

    railings: Mapping[str, Railing]
    legs: Mapping[str, Leg]
    posts: Mapping[str, SitePost]
    diagonals_mm: Mapping[tuple[str, str], float]
    misclosures: tuple[Misclosure, ...]
    survey: PlanSurvey | None
    ends: Mapping[str, LevelEnds]
    notices: Mapping[str, tuple[Notice, ...]]
    turns: tuple[Turn, ...] = ()
    meets: Mapping[str, tuple[tuple[End, Meets], ...]] = field(default_factory=dict)

    def meetings(self, run: str) -> tuple[SitePost, ...]:
        """The posts at a run's two ends, its first post first."""
        leg = self.legs[run]
        return self.posts[leg.start], self.posts[leg.end]

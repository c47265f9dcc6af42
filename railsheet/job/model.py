"""A job as it was written down on site: what was read, what is wanted, and with which kit."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

from railsheet.job.kit import Kit
from railsheet.job.nosings import Nosings
from railsheet.job.rail_rule import Rule
from railsheet.job.saw import SawSpec
from railsheet.job.side import Side as Side  # a flight's side is looked for here
from railsheet.job.site import Building, FlightSite
from railsheet.job.taken import SIXTEENTHS, Instruments, Letter, Taken
from railsheet.units.display import Tape

if TYPE_CHECKING:
    from railsheet.job.handrail import HandrailSpec
    from railsheet.job.revision import Revision
    from railsheet.job.wall_return import WallReturn

# A corner squared by a 3-4-5 triangle of a yard or two, its sides read to 1/16 in, comes out within
# a tenth or two of a degree. common practice, no source
BEARING_SIGMA_RAD = math.radians(0.15)


class Paper(Enum):
    """Paper a shop printer holds: its name, and its longer and shorter side in mm.

    Sizes: ANSI/ASME Y14.1 (Letter, Tabloid), ISO 216 (A4, A3).
    """

    LETTER = ("letter", 279.4, 215.9)
    TABLOID = ("tabloid", 431.8, 279.4)
    A4 = ("a4", 297.0, 210.0)
    A3 = ("a3", 420.0, 297.0)

    @property
    def label(self) -> str:
        """Its name in a job file."""
        return self.value[0]

    @property
    def long_mm(self) -> float:
        """The longer side."""
        return self.value[1]

    @property
    def short_mm(self) -> float:
        """The shorter side."""
        return self.value[2]


class Ground(Enum):
    """What a post stands on."""

    LANDING = "landing"
    SLAB = "slab"
    TREAD = "tread"
    DECK = "deck"


class Place(Enum):
    """How firmly a post's place is given.

    FREE: the layout chooses it. SET: it goes where the reading says, and could still be moved.
    STANDING: it is there already.
    """

    FREE = "free"
    SET = "set"
    STANDING = "standing"


class PostKind(Enum):
    """What a shared post is.

    POST: a new one. EXISTING: one that stands already and is kept. WALL: no post at all, brackets
    on a wall plate. HALF: a post fixed against a wall, its place read to the wall's face.
    """

    POST = "post"
    EXISTING = "existing"
    WALL = "wall plate"
    HALF = "half post"


@dataclass(frozen=True)
class Skew:
    """How a rail leaves a post that the site turns to suit several.

    Attributes:
        angle_rad: its way off square to the post's face, to the left of one who walks from the
            post positive.
        held: the kit has brackets for it.
    """

    angle_rad: float = 0.0
    held: bool = True


SQUARE = Skew()


@dataclass(frozen=True)
class PostSpec:
    """What the job says of one post. Lengths in mm.

    Attributes:
        ground: what it stands on.
        surface: which walking surface, counted up: 0 at the bottom, n at the deck of n risers.
        from_nose_mm: level, from a nose to the face that the rail meets: on a tread or the deck
            uphill from that surface's own nose; at the bottom, downhill from nose 1. For a free
            post it is where the user would like it, or None.
        in_from_side_mm: from the step's side edge to the base plate; None where not read.
        slab_drop_mm: how far the slab lies below the bottom walking surface.
        height_mm: how tall a standing post is above its surface; None where not read.
        mark: the site's mark of a post that other runs may share; empty where it is this run's.
        kind: what a shared post is.
        skew: how the rail leaves it, as the site turns it.
        wall: what its top rail is returned to past it; None where it is not returned.
    """

    ground: Ground
    surface: int
    place: Place
    from_nose_mm: float | None
    in_from_side_mm: float | None
    slab_drop_mm: float
    height_mm: float | None
    mark: str = ""
    kind: PostKind = PostKind.POST
    skew: Skew = SQUARE
    wall: WallReturn | None = None


@dataclass(frozen=True)
class FlightReadings:
    """One flight as the tape read it, from the bottom walking surface up. Lengths in mm.

    Attributes:
        risers_mm: each riser, first to last; None where it was not read.
        runs_mm: each run, level from nose to nose, one fewer than the risers; None likewise.
        nosings: how far each nose stands out over the riser's face below it.
        tread_thickness_mm: how thick a tread is at its nose.
        width_mm: how wide the steps are.
        open_risers: whether one can see through between treads.
        more: further readings of the same steps.
        spreads: stated standard deviations by a reading's key, mm or rad.
        instruments: what the steps were read with.
        left_out: the keys of the readings that are set aside.
    """

    risers_mm: tuple[float | None, ...]
    runs_mm: tuple[float | None, ...]
    nosings: Nosings
    tread_thickness_mm: float
    width_mm: float
    open_risers: bool
    more: tuple[Taken, ...] = ()
    spreads: tuple[tuple[str, float], ...] = ()
    instruments: Instruments = SIXTEENTHS
    left_out: tuple[str, ...] = ()

    @property
    def taken(self) -> tuple[Taken, ...]:
        """Every reading of the steps, risers first."""
        return (
            *(
                Taken(Letter.RISER, f"R {number}", value, number - 1, number)
                for number, value in enumerate(self.risers_mm, start=1)
                if value is not None
            ),
            *(
                Taken(Letter.RUN, f"T {number}", value, number, number + 1)
                for number, value in enumerate(self.runs_mm, start=1)
                if value is not None
            ),
            *self.more,
        )


@dataclass(frozen=True)
class FlightSpec:
    """One flight with its rail on one side.

    Attributes:
        mark: its letter on sheets and piece marks.
        rail_height_mm: wanted height of the top of the top rail, plumb over the noses.
        rail_rule: what makes one straight rail better than another.
        band_mm: least and greatest height the rail may have over any nose; None where not given.
        site: what is beside it.
        bearing_rad: its way up in plan, counter-clockwise from x; None where not given.
        floor_mm: its bottom walking surface over the site's datum; None where another run gives it.
    """

    mark: str
    readings: FlightReadings
    side: Side
    rail_height_mm: float
    bottom_post: PostSpec
    top_post: PostSpec
    rail_rule: Rule = Rule.LEAST_SQUARES
    band_mm: tuple[float, float] | None = None
    site: FlightSite = field(default_factory=FlightSite)
    bearing_rad: float | None = None
    floor_mm: float | None = None


@dataclass(frozen=True)
class PlanPost:
    """A post that runs may share. Lengths in mm.

    Attributes:
        mark: its name on every sheet.
        at_mm: its middle (a wall plate's or half post's wall face) in plan, x and y from the
            site's datum; None where the runs alone place it.
        height_mm: how tall an existing post stands; None for a new one.
        wall: what the one rail that ends here is returned to; None where it is not returned.
    """

    mark: str
    kind: PostKind
    at_mm: tuple[float, float] | None
    height_mm: float | None
    wall: WallReturn | None = None


@dataclass(frozen=True)
class Diagonal:
    """A check read level between two posts' middles. mm."""

    start: str
    end: str
    length_mm: float


class Bays(Enum):
    """How a level run is divided.

    EQUAL: bays as equal as they come. FULL_AT_START, FULL_AT_END: as many full panels as fit, the
    made-up bay at the run's other end.
    """

    EQUAL = "equal"
    FULL_AT_START = "full panels, made up at the end"
    FULL_AT_END = "full panels, made up at the start"


@dataclass(frozen=True)
class LevelSpec:
    """A level run from one post to another. Lengths in mm.

    Attributes:
        side: which hand the rail is on, seen from its first post to its second, for one who walks
            on the deck.
        start, end: its posts' marks.
        length_mm: level, from post middle to post middle (to the wall's face at a wall plate or a
            half post); None where both posts have their places.
        bearing_rad: its way in plan, counter-clockwise from x; None likewise.
        floor_mm: the deck's height over the site's datum; None where a flight or another run
            gives it.
        in_from_side_mm: from the deck's edge to the base plates; None where not read.
        thickness_mm: the deck's thickness as drawn.
        site: what is beside it.
        bays: how it is divided.
    """

    mark: str
    side: Side
    rail_height_mm: float
    start: str
    end: str
    length_mm: float | None
    bearing_rad: float | None
    floor_mm: float | None
    in_from_side_mm: float | None
    thickness_mm: float
    site: FlightSite = field(default_factory=FlightSite)
    bays: Bays = Bays.EQUAL


@dataclass(frozen=True)
class Job:
    """Everything a job file says.

    Attributes:
        file: the job file's path as given.
        name, place, date, measured_by: as the title block prints them.
        tape: unit and rounding of every printed length.
        code: the code profile's name, as written; None where none is named.
        building: what the stair belongs to.
        posts: the posts that runs share, by mark.
        levels: the level runs, by mark.
        saw: what it is cut on.
        revisions: its issues, the first first; none before it was issued.
        diagonals: checks read between posts, in the order of their posts' marks.
        bearing_sigma_rad: what a bearing is good to, one standard deviation.
        handrails: the handrails that are parts of their own.
    """

    file: str
    name: str
    place: str
    date: datetime.date
    measured_by: str
    tape: Tape
    paper: Paper
    code: str | None
    kit: Kit
    flights: tuple[FlightSpec, ...]
    posts: tuple[PlanPost, ...] = ()
    levels: tuple[LevelSpec, ...] = ()
    building: Building = field(default_factory=Building)
    saw: SawSpec = field(default_factory=SawSpec)
    diagonals: tuple[Diagonal, ...] = ()
    bearing_sigma_rad: float = BEARING_SIGMA_RAD
    handrails: tuple[HandrailSpec, ...] = ()
    revisions: tuple[Revision, ...] = ()

    @property
    def revision(self) -> Revision | None:
        """The last issue; None before the first."""
        return self.revisions[-1] if self.revisions else None

    @property
    def has_plan(self) -> bool:
        """Whether it lays runs out in plan: it has level runs, or posts with marks."""
        marked = any(f.bottom_post.mark or f.top_post.mark for f in self.flights)
        return bool(self.levels or self.posts or marked)

"""What one sheet shows of a flight: all of it, or whole bays between two match lines."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from shapely import LineString, box

from railsheet.layout.post import Post, PostFace
from railsheet.layout.railing import Bay, Railing
from railsheet.sheets.paper import Rect
from railsheet.sheets.pen import Pen
from railsheet.sheets.profile import draw_bays, stair_outlines
from railsheet.survey.stair import Nose

# How far the bottom surface and the deck are drawn past the posts, mm of the real thing.
_RUN_ON_MM = 200.0


@dataclass(frozen=True)
class FlightPart:
    """Whole bays of a flight, with the posts at their ends.

    Attributes:
        first, last: whether the flight's bottom and its top are in it.
    """

    railing: Railing
    bays: tuple[Bay, ...]
    posts: tuple[Post, ...]
    first: bool = True
    last: bool = True

    @property
    def whole(self) -> bool:
        """Whether nothing of the flight is on another sheet."""
        return self.first and self.last

    @property
    def noses(self) -> tuple[tuple[int, Nose], ...]:
        """Its noses with their numbers; one on a match line is in both parts."""
        low = -float("inf") if self.first else self.posts[0].centre_s_mm
        high = float("inf") if self.last else self.posts[-1].centre_s_mm
        every = enumerate(self.railing.stair.noses, start=1)
        return tuple((number, nose) for number, nose in every if low <= nose.s_mm <= high)

    @property
    def reach(self) -> Rect:
        """What is drawn of it, mm of the real thing."""
        stair, half = self.railing.stair, self.railing.kit.plate.along_mm / 2
        low, high = self.posts[0], self.posts[-1]
        left, right = low.centre_s_mm - half, high.centre_s_mm + half
        bottom = low.surface_z_mm
        if self.first:
            left = min(stair.nose(1).s_mm, left) - _RUN_ON_MM
            bottom = min(0.0, bottom)
        if self.last:
            right = max(stair.noses[-1].s_mm, right) + _RUN_ON_MM
        return Rect(left, bottom, right, self.railing.crown_z_mm(high))

    def face(self, post: Post) -> PostFace:
        """The face of one of its end posts that its own rails meet."""
        return post.faces[-1] if post is self.posts[0] else post.faces[0]


def whole_flight(railing: Railing) -> FlightPart:
    """A flight in one part."""
    return FlightPart(railing, railing.bays, railing.posts)


def flight_in_parts(railing: Railing, count: int) -> tuple[FlightPart, ...]:
    """A flight in so many parts of whole bays, as even along the run as the posts allow."""
    last = len(railing.bays)
    start = railing.downhill_post.centre_s_mm
    step = (railing.uphill_post.centre_s_mm - start) / count
    cuts = [0]
    for number in range(1, count):
        # Each part keeps a bay, and leaves one for each part after it.
        choice = range(cuts[-1] + 1, last - (count - number) + 1)
        wanted = start + number * step
        cuts.append(min(choice, key=lambda n: abs(railing.posts[n].centre_s_mm - wanted)))
    cuts.append(last)
    return tuple(
        FlightPart(
            railing,
            railing.bays[low:high],
            railing.posts[low : high + 1],
            first=low == 0,
            last=high == last,
        )
        for low, high in pairwise(cuts)
    )


def draw_part(pen: Pen, part: FlightPart) -> None:
    """Stair, posts, rails, brackets and infill of a part, with no dimension."""
    reach = part.reach
    for outline in stair_outlines(part.railing.stair, reach.left, reach.right):
        span = LineString(outline).intersection(box(reach.left, -1e6, reach.right, 1e6))
        for line in getattr(span, "geoms", [span]):
            pen.outline([(x, y) for x, y in line.coords], "STAIR", close=False)
    draw_bays(pen, replace(part.railing, bays=part.bays, posts=part.posts))

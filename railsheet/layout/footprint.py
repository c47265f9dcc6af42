"""The room a post and its plate take in plan on the surface they stand on, turned or square."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from railsheet.job.model import Side
from railsheet.layout.post import Post
from railsheet.layout.post_section import post_in_plan
from railsheet.layout.railing import Railing
from railsheet.layout.turned_post import aside_mm

if TYPE_CHECKING:
    from railsheet.layout.plan import Point


@dataclass(frozen=True)
class Footprint:
    """A post in plan, in its run's frame: (s, in from the step's side edge), mm.

    Attributes:
        plate: the base plate's corners.
        section: the post's.
    """

    plate: tuple[Point, ...]
    section: tuple[Point, ...]

    @property
    def low_s_mm(self) -> float:
        """The plate's end downhill."""
        return min(s for s, _ in self.plate)

    @property
    def high_s_mm(self) -> float:
        """The plate's end uphill."""
        return max(s for s, _ in self.plate)

    @property
    def nearest(self) -> Point:
        """The plate's corner nearest the step's side edge; of two the one downhill."""
        return min(self.plate, key=lambda corner: (round(corner[1], 6), corner[0]))

    @property
    def from_side_mm(self) -> float:
        """From the step's side edge to the plate."""
        return min(y for _, y in self.plate)

    @property
    def inner_mm(self) -> float:
        """From the step's side edge to the side of the post that faces the walking way."""
        return max(y for _, y in self.section)

    @property
    def section_s_mm(self) -> Point:
        """The post's ends along the run."""
        return min(s for s, _ in self.section), max(s for s, _ in self.section)


def footprint(railing: Railing, post: Post) -> Footprint:
    """Where a post's plate and section stand.

    The side-edge reading places the rail's line: half a plate in from where the plate of a post
    that stands square would begin.
    """
    kit, skew, ahead = railing.kit, post.spec.skew, post.end.inward
    hand = 1 if railing.spec.side is Side.RIGHT else -1
    aside = ahead * hand * aside_mm(kit, post.spec.kind, skew)
    middle = post.centre_s_mm, post.in_from_side_mm + kit.plate.across_mm / 2 + aside
    turned = -skew.angle_rad * hand
    along, across, wide = kit.plate.along_mm, kit.plate.across_mm, kit.post.width_mm
    return Footprint(
        _rectangle(middle, along / 2, across / 2, turned),
        post_in_plan(kit.post, middle, 0.0)
        if kit.post.round
        else _rectangle(middle, wide / 2, wide / 2, turned),
    )


def _rectangle(middle: Point, half_x: float, half_y: float, turned_rad: float) -> tuple[Point, ...]:
    c, s = math.cos(turned_rad), math.sin(turned_rad)
    return tuple(
        (middle[0] + x * c - y * s, middle[1] + x * s + y * c)
        for x, y in ((-half_x, -half_y), (half_x, -half_y), (half_x, half_y), (-half_x, half_y))
    )

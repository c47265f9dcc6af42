"""A kit's brackets: what holds a rail's end to a post, and those for a rail that leaves askew."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import Enum
from typing import ClassVar

from railsheet.job.source import Table
from railsheet.tolerance import SAME_RAD

# A square post can always be turned so that no rail leaves more than an eighth turn askew.
_TURN_DEG = (0.5, 45.0)


class EndCut(Enum):
    """How a rail's end is cut."""

    SQUARE = "square"
    PLUMB = "plumb"
    MITRE = "mitre"
    COMPOUND = "compound"
    COPED = "coped"


@dataclass(frozen=True)
class Screw:
    """One kind of screw: its name, how many to an end, and what it joins."""

    name: str
    count: int
    joins: str


@dataclass(frozen=True)
class BracketKit:
    """What holds a rail's end to a post. Lengths in mm.

    Attributes:
        cut: how the rail's end is cut.
        stand_off_mm: level, from the post's face to the pivot pin on the rail's axis; 0 where the
            bracket does not pivot.
        reach_mm: from the pin along the rail (pivoting) or from the post's face, level (fixed), to
            the mouth where the bracket ends.
        insertion_mm: how far the rail goes in past the mouth, measured the same way.
        body_depth_mm: upright size of the body, square to the rail.
        mount: the part screwed to the post, in words.
        mount_height_mm: its upright size on the post.
        mount_width_mm: its size across the post.
        across_least_mm, across_most_mm: where its centre may stand across the post, from the
            post's face on the step's side edge.
        rising: the part that fits a rail rising away from the post (its downhill end).
        falling: the part that fits a rail falling away from the post (its uphill end).
        screws: kinds and counts for one bracket.
        turns_rad: how far off square to the post's face it lets the rail leave in plan, least and
            most, to either hand; equal where it is made at one angle.
        handed: it is made left and right, by the hand the rail turns to as it leaves the post.
        skew: brackets in its stead where the rail leaves askew. Each turns about an upright pin
            ``stand_off_mm`` square off the middle of the post's face.
    """

    runs_over: ClassVar[bool] = False
    into_post_mm: ClassVar[float] = 0.0

    name: str
    cut: EndCut
    stand_off_mm: float
    reach_mm: float
    insertion_mm: float
    body_depth_mm: float
    mount: str
    mount_height_mm: float
    mount_width_mm: float
    across_least_mm: float
    across_most_mm: float
    rising: str
    falling: str
    screws: tuple[Screw, ...]
    turns_rad: tuple[float, float] = (0.0, 0.0)
    handed: bool = False
    skew: tuple[BracketKit, ...] = ()

    def across_mm(self, _: float) -> tuple[float, float]:
        """Where its middle may stand across a post, from its face on the step's side edge."""
        return self.across_least_mm, self.across_most_mm

    def farthest_across_mm(self, _: float) -> float:
        """The farthest across a post that it, or one in its stead, may stand."""
        return max(bracket.across_most_mm for bracket in (self, *self.skew))

    def reaches(self, skew_rad: float) -> bool:
        """Whether it lets a rail leave so far off square."""
        least, most = self.turns_rad
        return least - SAME_RAD <= abs(skew_rad) <= most + SAME_RAD


def read_bracket(table: Table) -> BracketKit:
    """One of a kit's brackets, and those for rails that leave askew in its stead.

    Raises:
        BadInput: a key is missing, misspelt, out of range, or two values contradict.
    """
    skew: tuple[BracketKit, ...] = ()
    if table.has("skew"):
        skew = tuple(_skew(t) for t in table.tables("skew", "a bracket for a rail askew"))
    bracket = replace(_bracket(table), skew=skew)
    table.done()
    return bracket


def _skew(table: Table) -> BracketKit:
    least, most = (
        table.number(key, *_TURN_DEG, "degrees off square to the post's face, to either hand")
        for key in ("turns_from", "turns_to")
    )
    if least > most:
        raise table.bad("turns_from", "no more than turns_to")
    handed = table.flag("handed", False)
    bracket = _bracket(table)
    if bracket.cut is not EndCut.SQUARE:
        raise table.bad("cut", "square: a rail that leaves askew goes square-cut into its bracket")
    if not bracket.stand_off_mm:
        raise table.bad("stand_off", "more than 0: it turns about a pin clear of the post")
    table.done()
    return replace(bracket, turns_rad=(math.radians(least), math.radians(most)), handed=handed)


def _bracket(table: Table) -> BracketKit:
    cut = EndCut(table.choice("cut", [EndCut.SQUARE.value, EndCut.PLUMB.value]))
    across = table.lengths("across", "limit", 0, 200)
    if len(across) != 2 or across[0] > across[1]:
        raise table.bad("across", "two lengths, the least and the most")
    bracket = BracketKit(
        name=table.text("name", "the bracket in words"),
        cut=cut,
        stand_off_mm=table.length("stand_off", 0, 150),
        reach_mm=table.length("reach", 1, 200),
        insertion_mm=table.length("insertion", 0, 200),
        body_depth_mm=table.length("body_depth", 5, 200),
        mount=table.text("mount", "the part screwed to the post, in words"),
        mount_height_mm=table.length("mount_height", 5, 300),
        mount_width_mm=table.length("mount_width", 5, 200),
        across_least_mm=across[0],
        across_most_mm=across[1],
        rising=table.text("rising", "the part for a rail rising away from the post"),
        falling=table.text("falling", "the part for a rail falling away from the post"),
        screws=read_screws(table),
    )
    if bracket.insertion_mm > bracket.reach_mm:
        raise table.bad("insertion", "the rail would go through the post: at most the reach")
    if cut is EndCut.PLUMB and bracket.stand_off_mm:
        raise table.bad("stand_off", "a fixed bracket has no pin: 0")
    return bracket


def read_screws(table: Table) -> tuple[Screw, ...]:
    """The screws of one end.

    Raises:
        BadInput: a key is missing, misspelt or out of range.
    """
    return tuple(read_screw(t) for t in table.tables("screw", "the screws of one end"))


def read_screw(table: Table) -> Screw:
    """One kind of screw.

    Raises:
        BadInput: a key is missing, misspelt or out of range.
    """
    screw = Screw(
        name=table.text("name", "the screw in words"),
        count=table.count("count", 1, 20),
        joins=table.text("joins", "what it joins, in words"),
    )
    table.done()
    return screw

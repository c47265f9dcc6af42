"""Holes of several runs through one post: which of them run into each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
import numpy.typing as npt

from railsheet.job.kit import PostKit
from railsheet.layout.infill.parts import Bore
from railsheet.layout.notice import Notice, look, stop
from railsheet.layout.post_section import post_in_plan
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Meeting, SitePost
from railsheet.tolerance import SAME_MM

Point3 = npt.NDArray[np.float64]


@dataclass(frozen=True)
class BoreAxis:
    """A hole's axis through a post. Lengths in mm; points from the post's middle and foot.

    Attributes:
        run: whose hole it is.
        bore: the hole.
        height_mm: where it meets its run's face, over the post's foot.
        start, stop: its two ends: on its run's face, and behind it where it leaves the post.
    """

    run: str
    bore: Bore
    height_mm: float
    start: Point3
    stop: Point3

    @property
    def name(self) -> str:
        """The hole in words."""
        return f"run {self.run}'s {self.bore.noun} {self.bore.number}"

    def apart_mm(self, other: BoreAxis) -> float:
        """The least distance between the two axes, within the post."""
        return _segments_apart_mm((self.start, self.stop), (other.start, other.stop))

    def one_line_with(self, other: BoreAxis) -> bool:
        """Whether one straight hole is both."""
        way = (self.stop - self.start) / np.linalg.norm(self.stop - self.start)
        ends = (other.start - self.start, other.stop - self.start)
        return all(bool(np.linalg.norm(np.cross(end, way)) <= SAME_MM) for end in ends)


def bores_meet(railings: Mapping[str, Railing], post: SitePost) -> Iterator[Notice]:
    """Holes of two runs that run into one another within the post they share.

    Each is bored along its rails from its run's face through the whole post. Two meet where their
    axes come nearer than their radii together. Two that are one straight hole, each run's member
    ending at its own face, are told without a stop.
    """
    axes = {m.run: tuple(bore_axes(railings[m.run], m, post)) for m in post.meetings}
    for one, other in combinations(axes, 2):
        pairs = [
            (a, b)
            for a, b in product(axes[one], axes[other])
            if a.apart_mm(b) < (a.bore.diameter_mm + b.bore.diameter_mm) / 2 - SAME_MM
        ]
        shared = [(a, b) for a, b in pairs if a.one_line_with(b)]
        met = [(a, b) for a, b in pairs if not a.one_line_with(b)]
        if shared:
            words, lengths = _listed(shared)
            yield look(
                "bores",
                f"in post {post.mark} one hole through it takes both {words}, over its foot: a "
                "fitting goes in from either face. See that both have room",
                **lengths,
            )
        if met:
            words, lengths = _listed(met)
            yield stop(
                "bores",
                f"holes through post {post.mark} run into one another within it: {words}, each "
                "over the post's foot at its own face. No fitting passes another there: give each "
                "run a post of its own with a level run between, or another rail height",
                **lengths,
            )


def _listed(pairs: list[tuple[BoreAxis, BoreAxis]]) -> tuple[str, dict[str, float]]:
    words: list[str] = []
    lengths: dict[str, float] = {}
    for number, (one, other) in enumerate(pairs):
        words.append(f"{one.name} at {{one{number}}} and {other.name} at {{other{number}}}")
        lengths |= {f"one{number}": one.height_mm, f"other{number}": other.height_mm}
    return "; ".join(words), lengths


def bore_axes(railing: Railing, meeting: Meeting, post: SitePost) -> Iterator[BoreAxis]:
    """The holes of one run through a post it shares."""
    way = math.cos(meeting.lies_rad), math.sin(meeting.lies_rad)
    point = post.at_mm[0] - post.middle_mm[0], post.at_mm[1] - post.middle_mm[1]
    through = through_post(railing.kit.post, post.turned_rad, point, way)
    if through is None:
        return
    behind, face = through
    climb = railing.line.slope if meeting.face.end is End.DOWNHILL else -railing.line.slope
    for bore in meeting.face.bores:
        height = meeting.face.bore_z_mm(bore) - meeting.post.surface_z_mm
        start, stop_ = (
            np.array([point[0] + t * way[0], point[1] + t * way[1], height + climb * (t - face)])
            for t in (face, behind)
        )
        yield BoreAxis(meeting.run, bore, height, start, stop_)


def through_post(
    section: PostKit, turned_rad: float, point: tuple[float, float], way: tuple[float, float]
) -> tuple[float, float] | None:
    """From where to where a line in plan lies in a post, from its point along its way.

    The point is from the post's middle. None where it passes by.
    """
    corners = post_in_plan(section, (0.0, 0.0), turned_rad)
    low, high = -math.inf, math.inf
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        # Corners go counter-clockwise: outward lies to the right of each side.
        out = y1 - y0, x0 - x1
        off = out[0] * (x0 - point[0]) + out[1] * (y0 - point[1])
        along = out[0] * way[0] + out[1] * way[1]
        if abs(along) <= SAME_MM:
            if off < 0:
                return None
        elif along > 0:
            high = min(high, off / along)
        else:
            low = max(low, off / along)
    return (low, high) if low < high else None


def _segments_apart_mm(one: tuple[Point3, Point3], other: tuple[Point3, Point3]) -> float:
    """The least distance between two straight pieces: inside both, or at an end of one."""
    (a, b), (c, d) = one, other
    u, v, w = b - a, d - c, a - c
    uu, uv, vv = float(u @ u), float(u @ v), float(v @ v)
    uw, vw = float(u @ w), float(v @ w)
    found = [_to_piece_mm(p, other) for p in one] + [_to_piece_mm(p, one) for p in other]
    square = uu * vv - uv * uv
    if square > uu * vv * 1e-18:
        s, t = (uv * vw - vv * uw) / square, (uu * vw - uv * uw) / square
        if 0 <= s <= 1 and 0 <= t <= 1:
            found.append(float(np.linalg.norm(w + u * s - v * t)))
    return min(found)


def _to_piece_mm(point: Point3, piece: tuple[Point3, Point3]) -> float:
    start, way = piece[0], piece[1] - piece[0]
    share = min(max(float((point - start) @ way) / float(way @ way), 0.0), 1.0)
    return float(np.linalg.norm(point - start - way * share))

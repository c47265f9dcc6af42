"""Holes of one run that come out of a shared post under another run's mount."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from railsheet.layout.bore_mouths import Mouth
from railsheet.layout.bores_meet import BoreAxis, bore_axes, through_post
from railsheet.layout.mount import Mount
from railsheet.layout.notice import Notice, stop
from railsheet.layout.plan import Point
from railsheet.layout.post_section import post_in_plan
from railsheet.layout.railing import Railing
from railsheet.layout.site_model import Meeting, SitePost
from railsheet.tolerance import SAME_MM


def mouths_covered(railings: Mapping[str, Railing], post: SitePost) -> Iterator[Notice]:
    """What one run's mounts cover of another's holes, where these leave the post they share."""
    for one in post.meetings:
        axes = tuple(bore_axes(railings[one.run], one, post))
        for other in post.meetings:
            if other.run == one.run:
                continue
            found = [
                (axis, mount)
                for axis in axes
                for mount, mouth in _mouths(railings[other.run], other, post, axis)
                if mouth.under(mount)
            ]
            if not found:
                continue
            each = [f"{axis.name} at {{at{n}}}" for n, (axis, _) in enumerate(found)]
            words = " and ".join(dict.fromkeys(f"{m.place.value} {m.word}" for _, m in found))
            yield stop(
                "bores",
                f"holes through post {post.mark} come out under run {other.run}'s {words}: "
                f"{'; '.join(each)}, over the post's foot on that face. No fitting goes in there: "
                "another rail height for one of the runs, or a post for each",
                **{f"at{n}": float(axis.stop[2]) for n, (axis, _) in enumerate(found)},
            )


def _mouths(
    railing: Railing, meeting: Meeting, post: SitePost, axis: BoreAxis
) -> Iterator[tuple[Mount, Mouth]]:
    """A hole's far mouth, seen from each mount of another run; none where it is another face."""
    way = math.cos(meeting.lies_rad), math.sin(meeting.lies_rad)
    point = post.at_mm[0] - post.middle_mm[0], post.at_mm[1] - post.middle_mm[1]
    through = through_post(railing.kit.post, post.turned_rad, point, way)
    if through is None:
        return
    at = point[0] + through[1] * way[0], point[1] + through[1] * way[1]
    mouth = float(axis.stop[0]), float(axis.stop[1])
    out = _shared_side(railing, post, at, mouth)
    if out is None:
        return
    bored = axis.stop - axis.start
    level = float(math.hypot(bored[0], bored[1]))
    # A round hole's section by a plumb plane: its half axes lie level and plumb but for a skewed
    # and raked one, whose box this is.
    square = abs(float(bored[0] * out[0] + bored[1] * out[1])) / level
    half = axis.bore.diameter_mm / 2
    for mount in meeting.face.mounts:
        yield (
            mount,
            Mouth(
                math.dist(at, mouth),
                float(axis.stop[2]) - (mount.centre_z_mm - meeting.post.surface_z_mm),
                half / square,
                half * math.hypot(1.0, float(bored[2]) / level),
            ),
        )


def _shared_side(railing: Railing, post: SitePost, one: Point, other: Point) -> Point | None:
    """Which way the side of a post looks that two points of its outline lie on, if they do.

    A round post has no sides: a mouth within a mount's reach there lies on the same one.
    """
    if railing.kit.post.round:
        return other[0] / math.hypot(*other), other[1] / math.hypot(*other)
    corners = post_in_plan(railing.kit.post, (0.0, 0.0), post.turned_rad)
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        long = math.hypot(x1 - x0, y1 - y0)
        out = (y1 - y0) / long, (x0 - x1) / long
        off = (abs(out[0] * (x - x0) + out[1] * (y - y0)) for x, y in (one, other))
        if max(off) <= SAME_MM:
            return out
    return None

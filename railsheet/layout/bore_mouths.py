"""Where a run's holes come out of its own posts: under a mount no fitting goes in."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from railsheet.layout.mount import Mount
from railsheet.layout.notice import Notice, look, stop
from railsheet.layout.railing import Railing
from railsheet.tolerance import SAME_MM


@dataclass(frozen=True)
class Mouth:
    """A hole where it leaves a face: an ellipse, seen square to the face. Lengths in mm.

    Attributes:
        across_mm: its middle from the mount's, level.
        up_mm: its middle from the mount's, plumb.
        half_across_mm, half_up_mm: its half axes.
    """

    across_mm: float
    up_mm: float
    half_across_mm: float
    half_up_mm: float

    def under(self, mount: Mount) -> bool:
        """Whether any of it lies under a mount."""
        aside = max(abs(self.across_mm) - mount.width_mm / 2, 0.0) / self.half_across_mm
        over = max(abs(self.up_mm) - mount.height_mm / 2, 0.0) / self.half_up_mm
        least = SAME_MM / min(self.half_across_mm, self.half_up_mm)
        return math.hypot(aside, over) < 1.0 - least


def own_mouths(railing: Railing) -> Iterator[Notice]:
    """What a run's own posts say of its holes: a mount over one, a fitting from either face."""
    climb = math.hypot(1.0, railing.line.slope)
    for post in railing.posts:
        covered = [
            (bore, face.bore_z_mm(bore) - post.surface_z_mm, mount)
            for face in post.faces
            for bore in face.bores
            for mount in face.mounts
            if Mouth(
                0.0,
                face.bore_z_mm(bore) - mount.centre_z_mm,
                bore.diameter_mm / 2,
                bore.diameter_mm / 2 * climb,
            ).under(mount)
        ]
        if covered:
            each = [f"{b.noun} {b.number} at {{at{n}}}" for n, (b, _, _) in enumerate(covered)]
            words = " and ".join(dict.fromkeys(f"{m.place.value} {m.word}" for _, _, m in covered))
            yield stop(
                "bores",
                f"{post.with_article}'s holes come out under its {words}: "
                f"{'; '.join(each)}, over its foot. No fitting goes in there",
                **{f"at{n}": height for n, (_, height, _) in enumerate(covered)},
            )
    through = [post for post in railing.posts if len(post.faces) > 1 and post.faces[0].bores]
    if through:
        names = " and ".join(post.with_article for post in through)
        noun = through[0].faces[0].bores[0].noun
        yield look(
            "bores",
            f"in {names} each hole takes the {noun} of either bay, a fitting from either face: see "
            "that both have room",
        )

"""The mark of a rail's end on its post."""

from __future__ import annotations

from dataclasses import dataclass

from railsheet.job.kit import RailPlace


@dataclass(frozen=True)
class Mount:
    """The mark of a rail's end on its post's face: a mount, a housing, the rail itself.

    Lengths in mm.

    Attributes:
        word: what it is, in a word.
        centre_z_mm: height of its centre in the run frame.
        height_mm, width_mm: upright, and across the post.
        across_mm: where its centre may stand across the post, least and most, from the post's
            face on the step's side edge.
        deep_mm: how deep it is cut into the post; 0 where it stands on the face.
    """

    place: RailPlace
    word: str
    centre_z_mm: float
    height_mm: float
    width_mm: float
    across_mm: tuple[float, float]
    deep_mm: float = 0.0

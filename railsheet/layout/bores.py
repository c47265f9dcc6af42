"""Holes through posts: what a bay's infill asks for, on the two faces that it stands between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from railsheet.layout.post import Post, PostFace
from railsheet.layout.rail_ends import End
from railsheet.layout.railing import Bay


def with_bores(posts: Sequence[Post], bays: Sequence[Bay]) -> tuple[Post, ...]:
    """The posts with the holes of the bays on either side of them.

    Args:
        posts: going uphill, one more than the bays.
        bays: going uphill.
    """

    def bored(number: int, face: PostFace) -> PostFace:
        bay = bays[number if face.end is End.DOWNHILL else number - 1]
        return replace(face, bores=bay.infill.bores)

    return tuple(
        replace(post, faces=tuple(bored(number, face) for face in post.faces))
        for number, post in enumerate(posts)
    )

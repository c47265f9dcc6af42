"""Every distinct part of a job, as flat outlines."""

from __future__ import annotations

from collections.abc import Sequence

from railsheet.cuts.flat_parts import (
    FlatPart,
    fill_part,
    plate_part,
    post_parts,
    rail_parts,
    template_parts,
    together,
)
from railsheet.job.kit import Kit
from railsheet.job.model import Place
from railsheet.sheets.schedule import RunWork


def flat_parts(works: Sequence[RunWork], kit: Kit) -> tuple[FlatPart, ...]:
    """The parts of all runs, each distinct one once, plate first."""
    found: list[FlatPart] = []
    new_posts = sum(
        piece.listed and piece.post.spec.place is not Place.STANDING
        for work in works
        for piece in work.pieces.posts
    )
    plate = plate_part(kit, new_posts)
    if plate is not None:
        found.append(plate)
    for work in works:
        for rail in work.pieces.rails:
            found += rail_parts(rail, work.railing.spec.side)
        for post in work.pieces.posts:
            found += post_parts(work.railing, post)
        for fill in work.pieces.fills:
            piece = fill_part(fill)
            if piece is not None:
                found.append(piece)
        for bay in work.railing.bays:
            found += template_parts(work.mark, bay)
    return together(found)
